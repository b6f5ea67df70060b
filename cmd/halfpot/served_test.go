package main

import (
	"bytes"
	"context"
	"encoding/gob"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"github.com/rogpeppe/go-internal/testscript"
)

// Scripts run most commands in one process each that serves them one after the
// other, in the folder and with the environment of each: to start a process costs
// more than most commands do. "exec halfpot" is a process of its own, as all are in
// the README's test.

// typed is a command as a script has it, and shownThen what became of it.
type (
	typed struct {
		Args, Env []string
		Dir       string
	}
	shownThen struct {
		Status   int
		Out, Err string
	}
)

// serveVariable, where it is set, makes halfpot serve a script's commands.
const serveVariable = "HALFPOT_TEST_SERVE"

// serve answers commands until there are no more.
func serve(in io.Reader, out io.Writer) error {
	from, to := gob.NewDecoder(in), gob.NewEncoder(out)
	for {
		var c typed
		if err := from.Decode(&c); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
		os.Clearenv()
		for _, pair := range c.Env {
			if name, value, ok := strings.Cut(pair, "="); ok && name != "" {
				if err := os.Setenv(name, value); err != nil {
					return err
				}
			}
		}
		if err := os.Chdir(c.Dir); err != nil {
			return err
		}
		collectLess()
		var o, e bytes.Buffer
		s := streams{in: strings.NewReader(""), out: &o, err: &e, env: os.Getenv, self: "halfpot"}
		s.width, _ = strconv.Atoi(os.Getenv("COLUMNS"))
		status := run(context.Background(), c.Args, s, testClock())
		if err := to.Encode(shownThen{status, o.String(), e.String()}); err != nil {
			return err
		}
	}
}

// servant is the process that serves a script, started at its first command.
type servant struct {
	once sync.Once
	err  error
	to   *gob.Encoder
	from *gob.Decoder
	said bytes.Buffer // past the streams of its commands: a panic
	stop func() error
	env  []string // names of the script's variables
}

type servantKey struct{}

var setsVariable = regexp.MustCompile(`(?m)^(?:\[\w+\] )?env (\w+)=`)

func (s *servant) start(script string) error {
	text, err := os.ReadFile(filepath.Join("testdata", "script", script+".txtar"))
	if err != nil {
		return err
	}
	for _, m := range setsVariable.FindAllSubmatch(text, -1) {
		s.env = append(s.env, string(m[1]))
	}
	cmd := exec.Command("halfpot")
	cmd.Env = append(os.Environ(), serveVariable+"=yes")
	cmd.Stderr = &s.said
	in, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	s.to, s.from = gob.NewEncoder(in), gob.NewDecoder(out)
	s.stop = func() error {
		_ = in.Close()
		return cmd.Wait()
	}
	return cmd.Start()
}

// end stops the process, and tells what it said that no command was to say.
func (s *servant) end() string {
	if s.stop == nil {
		return ""
	}
	if err := s.stop(); err != nil {
		return err.Error() + "\n" + s.said.String()
	}
	return s.said.String()
}

// served runs a command of a script and gives its exit status.
func served(ts *testscript.TestScript, args []string) int {
	s := ts.Value(servantKey{}).(*servant)
	s.once.Do(func() { s.err = s.start(ts.Name()) })
	ts.Check(s.err)
	c := typed{Args: args, Dir: ts.MkAbs("")}
	for _, name := range s.env {
		c.Env = append(c.Env, name+"="+ts.Getenv(name))
	}
	var got shownThen
	err := s.to.Encode(c)
	if err == nil {
		err = s.from.Decode(&got)
	}
	if err != nil {
		ts.Fatalf("%v: %s", err, s.end())
	}
	_, _ = io.WriteString(ts.Stdout(), got.Out)
	_, _ = io.WriteString(ts.Stderr(), got.Err)
	return got.Status
}
