package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/postgres"
)

// alike says that what is to be added is there already by all but its id.
type alike struct {
	what  string   // "a paint like that is there already: bone, Oskelund Field Bone"
	other []string // commands that do what else may have been meant
}

func (e *alike) Error() string   { return e.what }
func (e *alike) exitStatus() int { return exitBadInput }

// addFlag gives a command that adds a thing the word by which a second one alike is meant.
func (a *app) addFlag(c *cobra.Command) *bool {
	return c.Flags().Bool("again", false, "add it although one like it is there already")
}

// changeOrAsk is change for what may be there already: at a terminal it asks, in a
// pipe it refuses and names the ways out. f returns an alike unless again is set.
func (a *app) changeOrAsk(
	c *cobra.Command,
	args []string,
	look string,
	again *bool,
	f func(context.Context, *postgres.Tx) (show func() error, err error),
) error {
	err := a.change(c, args, look, f)
	e, found := errors.AsType[*alike](err)
	if !found {
		return err
	}
	if !a.inTerm || !a.errTerm {
		return &usageError{e.what + "; nothing was written. If this is another, add --again", e.other}
	}
	yes, err := a.asks(e.what + ". Add another?")
	if err != nil {
		return err
	}
	if !yes {
		return &usageError{"nothing was written", e.other}
	}
	*again = true
	return a.change(c, args, look, f)
}

// asks puts a question at the terminal; only a yes is one.
func (a *app) asks(question string) (bool, error) {
	fmt.Fprint(a.err, view.Clean(question)+" (y/n) ")
	in := bufio.NewScanner(a.in)
	if !in.Scan() {
		fmt.Fprintln(a.err)
		return false, in.Err()
	}
	said := strings.ToLower(strings.TrimSpace(in.Text()))
	return said == "y" || said == "yes", nil
}
