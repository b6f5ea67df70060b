package main

import (
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

// noteDay says that a page is of a day gone by.
func (s *state) noteDay(page *view.Page, on string) {
	if on != "" {
		noteDay(page, s.At)
	}
}

func noteDay(page *view.Page, day time.Time) {
	page.Line("As it was on %s:", day.Format(time.DateOnly))
}
