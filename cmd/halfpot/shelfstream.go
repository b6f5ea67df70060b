package main

import (
	"context"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// shelfRows lists every pot with its level, in the shelf's order, without
// holding the whole shelf: a long life makes many events. What other pots have
// taught (empty weights, the painter's hand) bears only on pots that were
// weighed or drawn by the estimate, so only these are kept until all are read.
// Wanted says which pots are to be listed.
func (a *app) shelfRows(ctx context.Context, wanted func(potRow, shelf.Level) bool) ([]potRow, error) {
	cat, err := a.catalogue(ctx)
	if err != nil {
		return nil, err
	}
	rules, err := a.levelRules(ctx)
	if err != nil {
		return nil, err
	}
	st := &state{cat: cat, byID: cat.Index()}
	plain := shelf.NewLevelBook(st.byID, shelf.LearnTares(&st.shelf, st.byID, rules), nil, rules)
	rows := []potRow{}
	var waiting []int // places in rows of the pots in st.shelf
	now := a.now()
	err = a.opened.store.EachPot(ctx, func(pot inventory.Pot) error {
		if slices.ContainsFunc(pot.Events, taught) {
			st.shelf.Pots = append(st.shelf.Pots, copied(pot))
			waiting = append(waiting, len(rows))
			rows = append(rows, potRow{})
			return nil
		}
		l := plain.Level(&pot, present(inventory.Shelf{Pots: []inventory.Pot{pot}}, now))
		if row := newPotRow(st.byID, pot, l); wanted(row, l) {
			rows = append(rows, row)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	st.at = present(st.shelf, now)
	if err := a.learnAll(ctx, st, rules); err != nil {
		return nil, err
	}
	for i, l := range st.levels {
		if row := newPotRow(st.byID, st.shelf.Pots[i], l); wanted(row, l) {
			rows[waiting[i]] = row
		}
	}
	return slices.DeleteFunc(rows, func(r potRow) bool { return r.ID == "" }), nil
}

// taught tells events whose reading depends on what other pots have taught.
func taught(e inventory.PotEvent) bool { return e.Kind == inventory.Weighed || e.Estimated }

// copied is a pot whose events outlive the call that read them.
func copied(p inventory.Pot) inventory.Pot {
	p.Events = slices.Clone(p.Events)
	for i := range p.Events {
		e := &p.Events[i]
		if e.Volume != nil {
			v := *e.Volume
			e.Volume = &v
		}
		if e.Fraction != nil {
			f := *e.Fraction
			e.Fraction = &f
		}
	}
	return p
}
