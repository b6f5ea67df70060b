package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
	"halfpot/inventory/textfile"
)

// leftRow is a thing that files no longer name.
type leftRow struct {
	Kind string `json:"kind"`
	ID   string `json:"id"`
}

// leftOut is what a bundle no longer names of what is kept. It is asked before the
// bundle is saved.
func leftOut(ctx context.Context, r kept, bundle *textfile.Bundle) ([]inventory.Thing, error) {
	cat, err := r.LoadCatalogue(ctx)
	if err != nil {
		return nil, err
	}
	left := cat.LeftOut(&bundle.Catalogue)
	if len(bundle.Pots) > 0 {
		shelf, err := r.Shelf(ctx)
		if err != nil {
			return nil, err
		}
		left = append(left, shelf.LeftOut(bundle.Pots)...)
	}
	return left, nil
}

// keepUnits puts units back into the forces of a bundle that their files left out and
// on which work is logged: those retired before, and those that are to be retired now.
// Others of them are an error, since the log must find its units.
func keepUnits(ctx context.Context, tx *postgres.Tx, bundle *textfile.Bundle, retire bool) error {
	cat, err := tx.LoadCatalogue(ctx)
	if err != nil {
		return err
	}
	idx := cat.Index()
	bundle.Catalogue.Forces = slices.Clone(bundle.Catalogue.Forces)
	for i := range bundle.Catalogue.Forces {
		f := &bundle.Catalogue.Forces[i]
		old := idx.Forces[f.ID]
		if old == nil {
			continue
		}
		var jobs []postgres.Job
		for _, u := range old.Units {
			if _, stays := f.Unit(u.ID); stays {
				continue
			}
			if jobs == nil {
				if jobs, err = tx.Jobs(ctx, f.ID); err != nil {
					return err
				}
			}
			if !slices.ContainsFunc(jobs, func(j postgres.Job) bool {
				return slices.ContainsFunc(j.Work, func(w inventory.Work) bool { return w.Unit == u.ID })
			}) {
				continue
			}
			if !retire && !cat.Retired.Has("unit", inventory.UnitID(f.ID, u.ID)) {
				return &usageError{
					fmt.Sprintf("the force %s has no unit %s any more in these files, "+
						"and work is logged on it; nothing was changed. "+
						"--retire takes it out of plans and keeps it in the log", f.ID, u.ID),
					[]string{"halfpot log " + f.ID},
				}
			}
			f.Units = append(slices.Clip(f.Units), u)
		}
	}
	return nil
}

// retireLeft takes away or retires what files no longer name; a pot is given away.
// It is all or none: what a force still needs, or an order still brings, is an error.
func retireLeft(ctx context.Context, tx *postgres.Tx, left []inventory.Thing, now time.Time) error {
	for _, t := range left {
		cat, err := tx.LoadCatalogue(ctx)
		if err != nil {
			return err
		}
		r := &removal{cat: &cat, kind: t.Kind, id: t.ID, now: now}
		r.whole, r.part, _ = strings.Cut(t.ID, "@")
		if t.Kind == "pot" {
			_, err = tx.AddEvents(ctx, []postgres.NewEvent{{
				Pot:   t.ID,
				Event: inventory.PotEvent{Kind: inventory.GivenAway, At: now, Note: "no longer in the files"},
			}})
		} else if t.Kind == "unit" && !has(&cat, r) {
			continue // it went with the force's own lines
		} else {
			_, err = r.do(ctx, tx, false, false)
		}
		if e, ok := errors.AsType[*usageError](err); ok {
			return &usageError{"--retire: " + e.msg, nil}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func has(cat *inventory.Catalogue, r *removal) bool {
	f := cat.Index().Forces[r.whole]
	if f == nil {
		return false
	}
	_, there := f.Unit(r.part)
	return there
}

// showLeft says what files no longer name, and what became of it.
func showLeft(page *view.Page, left []leftRow, retired bool) {
	if len(left) == 0 {
		return
	}
	var kinds []string
	ids := map[string][]string{}
	for _, l := range left {
		if ids[l.Kind] == nil {
			kinds = append(kinds, l.Kind)
		}
		ids[l.Kind] = append(ids[l.Kind], strings.ReplaceAll(l.ID, "@", " "))
	}
	var parts []string
	for _, k := range kinds {
		parts = append(parts, fmt.Sprintf("%s (%s)", count(len(ids[k]), k, k+"s"), listed(ids[k])))
	}
	if retired {
		page.Line("No longer in these files, and taken away or retired: %s.", strings.Join(parts, ", "))
		return
	}
	page.Line("No longer in these files, and kept: %s. Loading with --retire takes them out of lists.",
		strings.Join(parts, ", "))
}

func leftRows(left []inventory.Thing) []leftRow {
	var rows []leftRow
	for _, t := range left {
		rows = append(rows, leftRow{t.Kind, t.ID})
	}
	return rows
}
