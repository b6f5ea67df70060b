package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/postgres"
)

// undoJob takes back a whole entry of the log by a further one.
func (a *app) undoJob(c *cobra.Command, args []string, o logOptions) error {
	if err := texts(map[string]*string{"--note": &o.note}); err != nil {
		return err
	}
	return a.change(c, args, "halfpot log", func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
		jobs, err := tx.Jobs(ctx, "")
		if err != nil {
			return nil, err
		}
		job, err := lookup("job", o.undo, "halfpot log", namesOf(jobs, func(j postgres.Job) named {
			return named{id: j.ID, names: []string{strings.TrimPrefix(j.ID, "job-")}}
		}))
		if err != nil {
			return nil, err
		}
		if i := slices.IndexFunc(jobs, func(j postgres.Job) bool { return j.Undoes == job }); i >= 0 {
			return nil, &usageError{
				fmt.Sprintf("%s was taken back already, by %s; nothing was changed", job, jobs[i].ID),
				[]string{"halfpot log"},
			}
		}
		undo, err := tx.UndoJob(ctx, job, o.note)
		return func() error { return a.showUndone(job, undo) }, err
	})
}

func (a *app) showUndone(job string, undo postgres.Job) error {
	row := jobRow{
		Job:   undo.ID,
		Day:   view.Date{Time: undo.At},
		Force: undo.Force,
		Pots:  view.Count(len(undo.Draws)),
		State: "takes back " + undo.Undoes,
		Note:  undo.Note,
	}
	return a.done(row, "%s is taken back by %s: its steps are open again, and %s put right.",
		job, undo.ID, count(len(undo.Draws), "entry on a pot is", "entries on pots are"))
}
