package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	queries "halfpot/sql"
)

// Save adds and changes what a load brings, and reports what was new, changed
// and the same as before. It is all or nothing, and saving the same load again
// changes nothing. What refers to something that is neither in the load nor in
// the database, or breaks another rule of the tables, is an *Error of kind
// Invalid or Conflict.
func (s *Store) Save(ctx context.Context, l Load) (Report, error) {
	var r Report
	err := s.write(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, queries.HoldWriters); err != nil {
			return err
		}
		have, err := loadCatalogue(ctx, tx)
		if err != nil {
			return err
		}
		want := l.Catalogue
		// In an order in which each kind finds what it refers to.
		for _, step := range []struct {
			count *Count
			save  func() (Count, error)
		}{
			{&r.Paints, func() (Count, error) { return savePaints(ctx, tx, have.Paints, want.Paints) }},
			{&r.StandIns, func() (Count, error) { return saveStandIns(ctx, tx, have.StandIns, want.StandIns) }},
			{&r.Products, func() (Count, error) { return saveProducts(ctx, tx, have.Products, want.Products) }},
			{&r.Shops, func() (Count, error) { return saveShops(ctx, tx, have.Shops, want.Shops) }},
			{&r.Offers, func() (Count, error) { return saveOffers(ctx, tx, have.Offers, want.Offers) }},
			{&r.Figures, func() (Count, error) { return saveFigures(ctx, tx, have.Figures, want.Figures) }},
			{&r.Recipes, func() (Count, error) { return saveRecipes(ctx, tx, have.Recipes, want.Recipes) }},
			{&r.Forces, func() (Count, error) { return saveForces(ctx, tx, have.Forces, want.Forces) }},
			{&r.Pots, func() (Count, error) { return savePots(ctx, tx, l.Pots) }},
			{&r.Jobs, func() (Count, error) { return saveJobs(ctx, tx, l.Jobs, s.moment()) }},
			{&r.PotEvents, func() (Count, error) { return saveEvents(ctx, tx, l.Pots, s.moment()) }},
		} {
			if *step.count, err = step.save(); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return Report{}, err
	}
	return r, nil
}

// put adds what is fresh in bulk and changes what has changed.
func put[T any](ctx context.Context, tx pgx.Tx, c compared[T], into queries.Target, update string, values func(T) []any) error {
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
