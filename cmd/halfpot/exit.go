package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"halfpot/cmd/halfpot/view"
	"halfpot/sql/server"
)

// What the program's exit status means; `halfpot help exit-codes` tells users.
const (
	exitDone      = 0
	exitOther     = 1
	exitBadInput  = 2
	exitNoPlan    = 3
	exitLimit     = 4
	exitCancelled = 130 // 128 + SIGINT, as shells count it
)

// exitMeaning is the one table of exit statuses, for help and its topic.
var exitMeaning = map[int]string{
	exitDone:      "done (an empty list counts as done)",
	exitOther:     "anything else: the database could not be reached, a disk is full, a fault in halfpot",
	exitBadInput:  "bad input or usage; nothing was changed",
	exitNoPlan:    "no plan exists; the reasons are shown",
	exitLimit:     "stopped by a limit before the proof was done; the best plan found is shown, if any",
	exitCancelled: "stopped by Ctrl-C before there was anything to show",
}

// usageError is a mistake on the command line.
type usageError struct {
	msg   string
	hints []string // what helps, best a command to paste
}

func (e *usageError) Error() string   { return e.msg }
func (e *usageError) Hints() []string { return e.hints }
func (e *usageError) exitStatus() int { return exitBadInput }

func usagef(format string, a ...any) error {
	return &usageError{msg: fmt.Sprintf(format, a...)}
}

// hinted adds commands that help to an error.
type hinted struct {
	error
	hints []string
}

func (e hinted) Unwrap() error   { return e.error }
func (e hinted) Hints() []string { return e.hints }

// shown is an outcome that the result has told already: the status says it to
// the shell, and nothing more is printed.
type shown int

func (s shown) Error() string   { return exitMeaning[int(s)] }
func (s shown) exitStatus() int { return int(s) }

// cancelled is an error after Ctrl-C.
type cancelled struct{ error }

func (e cancelled) Unwrap() error { return e.error }

// exitCode turns an error into the exit status; no other place does.
func exitCode(err error) int {
	var outcome shown
	var s interface{ exitStatus() int }
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &outcome):
		return int(outcome)
	case errors.As(err, new(cancelled)):
		return exitCancelled
	case errors.Is(err, context.DeadlineExceeded):
		return exitLimit
	case errors.As(err, &s):
		return s.exitStatus()
	case badInput(err):
		return exitBadInput
	}
	return exitOther
}

// report prints an error with its hints; no other place does. Where JSON was
// asked for, standard error carries one JSON object.
func (a *app) report(asJSON bool, err error) {
	if errors.As(err, new(shown)) {
		return
	}
	msg := err.Error()
	if errors.As(err, new(cancelled)) {
		msg = "stopped; nothing more was changed"
	}
	hints := slices.Clone(hintsOf(err))
	for i, h := range hints {
		hints[i] = a.typed(h)
	}
	if e, ok := errors.AsType[*server.Error](err); ok {
		msg = firstLine(msg)
		hints = append(hints, e.Hints...)
	}
	if asJSON {
		doc := struct {
			Error  string   `json:"error"`
			Hints  []string `json:"hints"`
			Status int      `json:"exit_status"`
		}{msg, hints, exitCode(err)}
		if doc.Hints == nil {
			doc.Hints = []string{}
		}
		enc := json.NewEncoder(view.SafeJSON(a.err))
		enc.SetEscapeHTML(false)
		_ = enc.Encode(doc) // standard error itself failed: there is nowhere left to say so
		return
	}
	lines := strings.Split(strings.TrimRight(msg, "\n"), "\n")
	fmt.Fprintln(a.err, "halfpot:", view.Clean(lines[0]))
	for _, line := range lines[1:] {
		fmt.Fprintln(a.err, "  "+view.Clean(line))
	}
	for _, h := range hints {
		if strings.HasPrefix(h, a.self+" ") {
			h = "try: " + h
		}
		fmt.Fprintln(a.err, "  "+view.Clean(h))
	}
}

// typed is a command as this user would type it.
func (a *app) typed(command string) string {
	rest, ok := strings.CutPrefix(command, "halfpot ")
	if !ok {
		return command
	}
	self := a.self
	if a.demo && !strings.HasPrefix(rest, "demo") {
		self += " --demo"
	}
	return self + " " + rest
}

func hintsOf(err error) []string {
	var h interface{ Hints() []string }
	if errors.As(err, &h) {
		return h.Hints()
	}
	return nil
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}
