// Halfpot knows what is left in a painter's pots, estimates what a planned
// force of figures will take, and works out the cheapest set of pots to buy
// to finish it, with a proof that none is cheaper.
//
// This package is the command line: one file for each noun or verb. A command
// reads its flags, calls a room below (inventory, optimize, sql/server) and
// hands the result to a printer of package view; sums and rules live below.
//
// Text for people keeps to these rules. Results go to standard output, all
// else to standard error. An error is one line that begins with "halfpot:"
// in lower case and says what was found and what was expected; lines that
// begin with "  try" hold a command that can be pasted. Nothing chatters
// unless standard error is a terminal.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"

	"halfpot/cmd/halfpot/view"
)

func main() {
	collectLess()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	os.Exit(run(ctx, os.Args[1:], systemStreams(), time.Now))
}

const (
	wastePercent = 400
	muchMemory   = 800 << 20 // bytes
	fileMemory   = 200 << 20
)

// collectLess lets garbage grow further than Go does by itself until memory
// gets scarce: most runs are short and need a few megabytes, of which
// collecting takes up to a twentieth of the time. GOGC and GOMEMLIMIT are
// obeyed where they are set.
func collectLess() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(wastePercent)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(muchMemory)
	}
}

// collectMore is for reading files, which may be far larger than what comes of them.
func collectMore() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(fileMemory)
	}
}

// run is the whole program but for the process around it.
func run(ctx context.Context, args []string, s streams, now func() time.Time) int {
	a := &app{streams: s, now: now}
	defer a.close()
	root := newRoot(a, args)
	root.SetArgs(args)
	command, err := root.ExecuteContextC(ctx)
	if own, ok := errors.AsType[ran](err); ok {
		err = own.error
	} else if _, told := errors.AsType[*usageError](err); err != nil && !told {
		err = flagsProblem(command, err)
	}
	var told shown
	switch {
	case err != nil && a.stored && !errors.As(err, &told):
		// The shell must not think that it has to be done again.
		fmt.Fprintf(a.err, "halfpot: the change is written; only showing it failed: %s\n",
			view.Clean(err.Error()))
		return exitDone
	case err != nil && ctx.Err() != nil && !unknown(err):
		err = cancelled{err}
	}
	if err != nil {
		a.report(a.wantsJSON(args), err)
	}
	return exitCode(err)
}
