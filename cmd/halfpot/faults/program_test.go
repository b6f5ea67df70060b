package faults

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"halfpot/sql/server"
	"halfpot/sql/server/servertest"
)

var program string // the program under test, which has a clock that tests can set

func TestMain(m *testing.M) { os.Exit(withProgram(m)) }

func withProgram(m *testing.M) int {
	flag.Parse()
	if !long() { // they mostly wait; the whole doses would disturb each other
		_ = flag.Set("test.parallel", "8") // the flag is there
	}
	dir, err := os.MkdirTemp("", "halfpot-faults-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	// The tests of the command line are the program too, by its name.
	program = filepath.Join(dir, "halfpot")
	if out, err := exec.Command("go", "test", "-c", "-ldflags=-s -w", "-o", program, "halfpot/cmd/halfpot").CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "%v: %s\n", err, out)
		return 1
	}
	return servertest.Run(m)
}

// long tells whether the whole dose is wanted, and dose how many tries that makes.
func long() bool { return os.Getenv("HALFPOT_LONG") != "" }

func dose(few, many int) int {
	if !long() {
		return few
	}
	// A part of the whole dose, for a machine with little time: HALFPOT_DOSE=10 is a tenth.
	if part, err := strconv.Atoi(os.Getenv("HALFPOT_DOSE")); err == nil && part > 0 {
		return max(few, many/part)
	}
	return many
}

// chance is this run's source of randomness.
func chance(t *testing.T) *rand.Rand {
	t.Helper()
	seed := uint64(time.Now().UnixNano())
	if text := os.Getenv("HALFPOT_SEED"); text != "" {
		var err error
		if seed, err = strconv.ParseUint(text, 10, 64); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 1))
}

// desk is a painter's database and how the program is told to use it.
type desk struct {
	where []string // flags that lead to the database
	env   []string
	home  string // of a private cluster, or ""
	url   string // of any other, for the oracle
}

const files = "../testdata/small/"

// private makes a desk with a cluster of its own, and loads what a painter has.
func private(t *testing.T, home string) *desk {
	t.Helper()
	return &desk{where: []string{"--home", home}, home: home}
}

func (d *desk) load(t *testing.T) {
	t.Helper()
	var names []string
	for _, name := range []string{"paints.csv", "products.csv", "shops.csv", "delivery.csv", "offers.csv", "pots.csv", "force.toml"} {
		names = append(names, files+name)
	}
	if got := d.run(t.Context(), append([]string{"load"}, names...)...); got.status != 0 {
		t.Fatalf("the desk can't be set up: %+v", got)
	}
}

// outcome is what a command came to.
type outcome struct {
	args   []string
	status int // -1: ended by a signal
	out    string
	err    string
	took   time.Duration
}

func (o outcome) String() string {
	return fmt.Sprintf("halfpot %s: status %d after %v\n%s%s", strings.Join(o.args, " "), o.status, o.took.Round(time.Millisecond), o.out, o.err)
}

// begin starts the program; the function it gives waits for its end.
func (d *desk) begin(ctx context.Context, args ...string) (*exec.Cmd, func() outcome) {
	cmd := exec.CommandContext(ctx, program, append(append([]string{}, d.where...), args...)...)
	cmd.Env = append(append(os.Environ(), "DATABASE_URL="), d.env...)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	began := time.Now()
	started := cmd.Start()
	return cmd, func() outcome {
		o := outcome{args: args, status: -1}
		if started != nil {
			o.err = started.Error()
			return o
		}
		err := cmd.Wait()
		o.out, o.err, o.took = out.String(), errs.String(), time.Since(began)
		if exit, ok := errors.AsType[*exec.ExitError](err); ok {
			o.status = exit.ExitCode()
		} else if err == nil {
			o.status = 0
		}
		return o
	}
}

func (d *desk) run(ctx context.Context, args ...string) outcome {
	_, wait := d.begin(ctx, args...)
	return wait()
}

// database opens the desk's database for the oracle, whatever has befallen it.
func (d *desk) database(t *testing.T) string {
	t.Helper()
	if d.home == "" {
		return d.url
	}
	db, err := server.Open(t.Context(), d.options())
	if err != nil {
		t.Fatal(err)
	}
	return db.URL
}

func (d *desk) options() server.Options { return server.Options{Private: true, Home: d.home} }

// usual is how long an undisturbed command takes on this machine as it is now.
func (d *desk) usual(t *testing.T) time.Duration {
	t.Helper()
	var longest time.Duration
	for range 3 {
		if o := d.run(t.Context(), "pot", "show", "saddle-1"); o.status == 0 {
			longest = max(longest, o.took)
		}
	}
	return longest
}

// victims are the processes of a private server: its postmaster first.
func (d *desk) victims() []int {
	s, err := server.Look(context.Background(), d.options())
	if err != nil || s.PID == 0 {
		return nil
	}
	pids := []int{s.PID}
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", s.PID, s.PID))
	if err != nil {
		return pids
	}
	for _, word := range strings.Fields(string(text)) {
		if pid, err := strconv.Atoi(word); err == nil {
			pids = append(pids, pid)
		}
	}
	return pids
}

func kill(pid int) { _ = syscall.Kill(pid, syscall.SIGKILL) } // it may have ended already

// crowd runs f from n goroutines, each with its number.
func crowd(n int, f func(writer int)) {
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() { f(i) })
	}
	wg.Wait()
}
