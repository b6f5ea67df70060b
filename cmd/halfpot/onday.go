package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

// onFlag asks for the desk as it was on a day.
func onFlag(c *cobra.Command, on *string) {
	c.Flags().StringVar(on, "on", "", "as it was known on `DAY`, at its end: by all that is dated until then, in today's catalogue")
}

// endOf is the last moment of a day gone by as typed; zero for now.
func (a *app) endOf(typed string) (time.Time, error) {
	if typed == "" {
		return time.Time{}, nil
	}
	now := a.now()
	w, err := parseWhen(typed, now)
	if err != nil {
		return time.Time{}, err
	}
	if err := inventory.CheckWhen(w.at, w.dayOnly, now); err != nil {
		return time.Time{}, err
	}
	if !w.dayOnly {
		return w.at, nil
	}
	next := inventory.Dawn(time.Date(w.at.Year(), w.at.Month(), w.at.Day()+1, 0, 0, 0, 0, now.Location()))
	if end := next.Add(-time.Microsecond); end.Before(now) {
		return end, nil
	}
	return now, nil
}

// notYet says of a pot that was not found on a day gone by that it came later, where
// that is why.
func (a *app) notYet(ctx context.Context, typed, on string, err error) error {
	if on == "" {
		return err
	}
	now, failed := a.state(ctx)
	if failed != nil {
		return err
	}
	pot, failed := now.pot(typed)
	if failed != nil {
		return failed
	}
	if came, ok := pot.Came(); ok {
		return usagef("%s was not there yet: it came on %s", pot.ID, came.At.Format(time.DateOnly))
	}
	return err
}

// pastOnly says of a command without --on which have it.
func pastOnly(c *cobra.Command) string {
	var have []string
	var walk func(*cobra.Command) // of all commands: only the one asked for has been built
	walk = func(c *cobra.Command) {
		if c.Flags().Lookup("on") != nil {
			have = append(have, strings.TrimPrefix(c.CommandPath(), c.Root().Name()+" "))
		}
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot(&app{}, nil))
	if c.Flags().Lookup("until") != nil {
		return c.CommandPath() + " has --from and --until instead of --on"
	}
	return fmt.Sprintf("%s knows only today: a day gone by (--on) can be asked of %s",
		c.CommandPath(), strings.Join(have, ", "))
}

// noteDay says that a page is of a day gone by.
func (s *state) noteDay(page *view.Page, on string) {
	if on != "" {
		noteDay(page, s.At)
	}
}

func noteDay(page *view.Page, day time.Time) {
	page.Line("As it was on %s:", day.Format(time.DateOnly))
}
