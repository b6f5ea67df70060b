package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"halfpot/sql/server/servertest"
)

var update = flag.Bool("update", false, "rewrite what README and scripts show")

// testNowVariable sets the clock of the halfpot that tests run: the program
// itself knows no such variable.
const testNowVariable = "HALFPOT_TEST_NOW"

// TestMain lets scripts and the README's test run this very program as
// "halfpot", with a clock they can set.
func TestMain(m *testing.M) {
	testscript.Main(cluster{m}, map[string]func(){
		"halfpot": func() {
			ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
			defer stop()
			os.Exit(run(ctx, os.Args[1:], systemStreams(), testClock()))
		},
	})
}

// cluster runs the tests with a throw-away PostgreSQL at hand.
type cluster struct{ m *testing.M }

func (c cluster) Run() int { return servertest.Run(c.m) }

// testClock starts at the time asked for and runs on from there.
func testClock() func() time.Time {
	text := os.Getenv(testNowVariable)
	if text == "" {
		return time.Now
	}
	start, err := time.Parse(time.RFC3339, text)
	if err != nil {
		fmt.Fprintln(os.Stderr, "test clock:", err)
		os.Exit(exitOther)
	}
	begun := time.Now()
	return func() time.Time { return start.Add(time.Since(begun)) }
}
