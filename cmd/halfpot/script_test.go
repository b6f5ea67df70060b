package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"halfpot/sql/server/servertest"
)

// The scripts in testdata/script run the whole program, each on a database of
// its own. Beside testscript's commands they know
//
//	run halfpot ARGS...        a command, served by the script's process; it is to end well
//	status N halfpot ARGS...   the same, and expect exit status N
//	status N exec COMMAND...   the exit status of a process of its own
//	lines N FILE               FILE has N lines
//	big FILE BYTES             make FILE that large
//	newdatabase [NAME]         go on with an empty database, or set $NAME to its URL
//
// and every script finds the small invented set of files in $FILES, the demo's in $DEMO.
// $ESC, $CSI and $RLO are characters that steer a terminal.
func TestScripts(t *testing.T) {
	files, err := filepath.Abs(filepath.Join("testdata", "small"))
	if err != nil {
		t.Fatal(err)
	}
	demo, err := filepath.Abs(filepath.Join("..", "..", "testdata", "demo"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			tb := e.T().(testing.TB)
			e.Values[testingKey{}] = tb
			e.Setenv("DATABASE_URL", servertest.Kept(tb))
			e.Setenv("FILES", files)
			e.Setenv("DEMO", demo)
			e.Setenv("ESC", "\x1b")
			e.Setenv("CSI", "\u009b")
			e.Setenv("RLO", "\u202e")
			e.Setenv("HOME", filepath.Join(e.WorkDir, "home"))
			e.Setenv(testNowVariable, testNow)
			e.Setenv(testSinceVariable, time.Now().Format(time.RFC3339Nano))
			s := new(servant)
			for _, pair := range e.Vars {
				name, _, _ := strings.Cut(pair, "=")
				s.env = append(s.env, name)
			}
			e.Values[servantKey{}] = s
			tb.Cleanup(func() {
				if said := s.end(); said != "" {
					tb.Errorf("the process of the script's commands said: %s", said)
				}
			})
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"run":    runCommand,
			"status": statusCommand,
			"lines":  linesCommand,
			"big":    bigCommand,
			"newdatabase": func(ts *testscript.TestScript, neg bool, args []string) {
				name := append(args, "DATABASE_URL")[0]
				ts.Setenv(name, servertest.Kept(ts.Value(testingKey{}).(testing.TB)))
			},
		},
	})
}

// testingKey is under which a script keeps the test it runs in.
type testingKey struct{}

func runCommand(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 1 || args[0] != "halfpot" {
		ts.Fatalf("usage: run halfpot args...")
	}
	switch status := served(ts, args[1:]); {
	case status != 0 && !neg:
		ts.Fatalf("exit status %d", status)
	case status == 0 && neg:
		ts.Fatalf("it was to fail")
	}
}

func statusCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 3 || args[1] != "halfpot" && args[1] != "exec" {
		ts.Fatalf("usage: status N halfpot args..., status N exec command args...")
	}
	code := "0"
	if args[1] == "halfpot" {
		code = fmt.Sprint(served(ts, args[2:]))
	} else if err := ts.Exec(args[2], args[3:]...); err != nil {
		text, ok := strings.CutPrefix(err.Error(), "exit status ")
		if !ok {
			ts.Fatalf("%s: %v", args[2], err)
		}
		code = text
	}
	if code != args[0] {
		ts.Fatalf("exit status %s, want %s", code, args[0])
	}
}

func linesCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: lines N file")
	}
	if n := fmt.Sprint(strings.Count(ts.ReadFile(args[1]), "\n")); n != args[0] {
		ts.Fatalf("%s has %s lines, want %s", args[1], n, args[0])
	}
}

func bigCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: big file bytes")
	}
	var size int64
	if _, err := fmt.Sscan(args[1], &size); err != nil {
		ts.Fatalf("size: %v", err)
	}
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(f.Truncate(size))
	ts.Check(f.Close())
}
