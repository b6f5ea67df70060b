package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"halfpot/sql/server/servertest"
)

var update = flag.Bool("update", false, "rewrite what README and scripts show")

// These set the clock of the halfpot that tests run, which the program itself
// knows nothing of: the time it is to be, and the real time at which it was that;
// without the latter it stands still.
const (
	testNowVariable   = "HALFPOT_TEST_NOW"
	testSinceVariable = "HALFPOT_TEST_SINCE"
)

// testNow is the day on which scripts and the README's examples happen.
const testNow = "2026-03-09T12:00:00Z"

// TestMain lets scripts and the README's test run this very program as
// "halfpot", with a clock they can set.
func TestMain(m *testing.M) {
	testscript.Main(cluster{m}, map[string]func(){
		"halfpot": func() {
			if os.Getenv(serveVariable) != "" {
				if err := serve(os.Stdin, os.Stdout); err != nil {
					fmt.Fprintln(os.Stderr, err)
					os.Exit(1)
				}
				os.Exit(0)
			}
			collectLess()
			ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
			defer stop()
			os.Exit(run(ctx, os.Args[1:], systemStreams(), testClock()))
		},
	})
}

// cluster runs the tests with a throw-away PostgreSQL at hand.
type cluster struct{ m *testing.M }

func (c cluster) Run() int {
	// What tests within this process keep beside the database goes with them.
	data, err := os.MkdirTemp("", "halfpot-test")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(data)
	os.Setenv("XDG_DATA_HOME", data)
	return servertest.Run(c.m)
}

// testClock is the time asked for, running on as the real one does or standing still.
func testClock() func() time.Time {
	text := os.Getenv(testNowVariable)
	if text == "" {
		return time.Now
	}
	start, err := time.Parse(time.RFC3339, text)
	if running := os.Getenv(testSinceVariable); running != "" && err == nil {
		var since time.Time
		if since, err = time.Parse(time.RFC3339Nano, running); err == nil {
			return func() time.Time { return start.Add(time.Since(since)) }
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "test clock:", err)
		os.Exit(exitOther)
	}
	return func() time.Time { return start }
}
