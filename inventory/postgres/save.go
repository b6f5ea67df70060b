package postgres

import (
	"context"
	"fmt"
	"reflect"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// Save adds and changes what a load brings, and reports what was new, changed
// and the same as before. Saving the same load again changes nothing. What
// refers to something that is neither in the load nor in the database, or breaks
// another rule of the tables, is an *Error of kind Invalid or Conflict; an event
// whose key is known but that says something else is a *ClashError.
func (t *Tx) Save(ctx context.Context, l Load) (Report, error) {
	return t.save(ctx, l, false)
}

// Insert is Save for things that must not be there yet: one that is, is a
// Conflict.
func (t *Tx) Insert(ctx context.Context, l Load) (Report, error) {
	return t.save(ctx, l, true)
}

// Save is [Tx.Save] as a change of its own.
func (s *Store) Save(ctx context.Context, l Load) (Report, error) {
	var r Report
	err := s.Change(ctx, NewCommand("save"), func(tx *Tx) (err error) {
		r, err = tx.Save(ctx, l)
		return err
	})
	if err != nil {
		return Report{}, err
	}
	return r, nil
}

func (t *Tx) save(ctx context.Context, l Load, insertOnly bool) (Report, error) {
	var r Report
	tx := t.tx
	have := &inventory.Catalogue{}
	if want := l.Catalogue; !reflect.ValueOf(want).IsZero() {
		var err error
		if have, err = t.keepCatalogue(ctx); err != nil {
			return r, err
		}
	}
	want := l.Catalogue
	// In an order in which each kind finds what it refers to.
	for _, step := range []struct {
		kind  string
		count *Count
		save  func() (Count, error)
	}{
		{"paint", &r.Paints, func() (Count, error) { return savePaints(ctx, tx, have.Paints, want.Paints) }},
		{"stand-in", &r.StandIns,
			func() (Count, error) { return saveStandIns(ctx, tx, have.StandIns, want.StandIns) }},
		{"spectrum", &r.Spectra,
			func() (Count, error) { return saveSpectra(ctx, tx, have.Spectra, want.Spectra) }},
		{"trial mix", &r.TrialMixes,
			func() (Count, error) { return saveTrialMixes(ctx, tx, have.TrialMixes, want.TrialMixes) }},
		{"product", &r.Products,
			func() (Count, error) { return saveProducts(ctx, tx, have.Products, want.Products) }},
		{"shop", &r.Shops, func() (Count, error) { return saveShops(ctx, tx, have.Shops, want.Shops) }},
		{"offer", &r.Offers, func() (Count, error) { return saveOffers(ctx, tx, have.Offers, want.Offers) }},
		{"figure", &r.Figures,
			func() (Count, error) { return saveFigures(ctx, tx, have.Figures, want.Figures) }},
		{"recipe", &r.Recipes,
			func() (Count, error) { return saveRecipes(ctx, tx, have.Recipes, want.Recipes) }},
		{"force", &r.Forces, func() (Count, error) { return saveForces(ctx, tx, have.Forces, want.Forces) }},
		{"pot", &r.Pots, func() (Count, error) { return t.savePots(ctx, l.Pots, insertOnly) }},
		{"job", &r.Jobs, func() (Count, error) { return t.saveJobs(ctx, l.Jobs) }},
		{"event", &r.PotEvents, func() (Count, error) { return t.saveEvents(ctx, l.Pots) }},
	} {
		var err error
		if *step.count, err = step.save(); err != nil {
			return r, err
		}
		if insertOnly && step.count.New < step.count.total() {
			return r, &Error{Kind: Conflict, Text: "there is such a " + step.kind + " already"}
		}
	}
	t.paints = t.paints || r.Paints.Changed > 0
	return r, nil
}

// put adds what is fresh in bulk and changes what has changed.
func put[T any](
	ctx context.Context, tx pgx.Tx, c compared[T], into queries.Target, update string, values func(T) []any,
) error {
	rows := make([][]any, len(c.fresh))
	for i, t := range c.fresh {
		rows[i] = values(t)
	}
	if err := copyInto(ctx, tx, into, rows); err != nil {
		return err
	}
	if len(c.changed) == 0 {
		return nil
	}
	b := &pgx.Batch{}
	for _, t := range c.changed {
		b.Queue(update, values(t)...)
	}
	return tx.SendBatch(ctx, b).Close()
}

// clearParts removes the parts of what has changed, before they are written anew.
func clearParts[T any](ctx context.Context, tx pgx.Tx, c compared[T], sql string, id func(T) string) error {
	if len(c.changed) == 0 {
		return nil
	}
	ids := make([]string, len(c.changed))
	for i, t := range c.changed {
		ids[i] = id(t)
	}
	_, err := tx.Exec(ctx, sql, ids)
	return err
}

// filling is rows on their way into a table.
type filling struct {
	into queries.Target
	rows [][]any
}

func copyAll(ctx context.Context, tx pgx.Tx, fs ...filling) error {
	for _, f := range fs {
		if err := copyInto(ctx, tx, f.into, f.rows); err != nil {
			return fmt.Errorf("%s: %w", f.into.Table[1], err)
		}
	}
	return nil
}
