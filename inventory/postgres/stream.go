package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// EachPot calls f with every pot in the order entered, its events in the order
// recorded, on one unchanging view of the shelf. The events, which are most of
// a shelf, are not held in memory: the list of a pot's events is used again
// for the next pot. An error of f ends the stream and is returned.
func (s *Store) EachPot(ctx context.Context, f func(inventory.Pot) error) error {
	return s.read(ctx, func(tx pgx.Tx) error {
		pots, err := collect[potRow](ctx, tx, queries.ListPots)
		if err != nil {
			return err
		}
		// One statement for all events: the server reads on while f works.
		rows, err := tx.Query(ctx, queries.ListPotEvents)
		if err != nil {
			return err
		}
		return merge(pots, rows, f)
	})
}

// merge hands each pot to f with its events, which come in the same order.
func merge(pots []potRow, rows pgx.Rows, f func(inventory.Pot) error) error {
	next := 0
	var events []inventory.PotEvent
	flush := func() error {
		p := pots[next].pot()
		p.Events = events
		next++
		events = events[:0]
		return f(p)
	}
	err := scanEvents(rows, func(pot int64, e inventory.PotEvent) error {
		for pots[next].Number != pot {
			if err := flush(); err != nil {
				return err
			}
		}
		events = append(events, e)
		return nil
	})
	for err == nil && next < len(pots) {
		err = flush()
	}
	return err
}

// scanEvents reads rows of list_pot_events and its kin. Columns that a
// statement has before those are scanned into first.
func scanEvents(rows pgx.Rows, f func(pot int64, e inventory.PotEvent) error, first ...any) error {
	var (
		pot         int64
		e           inventory.PotEvent
		kind        string
		at          time.Time
		gross, tare *float64
		undoes      *int64
		job         *string
	)
	into := append(first, &pot, &e.ID, &kind, &at, &e.Volume, &e.Fraction, &gross, &tare, &e.Estimated, &undoes, &job, &e.Note)
	_, err := pgx.ForEachRow(rows, into, func() error {
		e.Kind, e.At = eventKind(kind), at.UTC()
		e.GrossGrams, e.TareGrams, e.Undoes, e.Job = orZero(gross), orZero(tare), orZero(undoes), orZero(job)
		return f(pot, e)
	})
	return err
}

// eventKind gives the constant for a kind, so that a million events share nine strings.
func eventKind(s string) inventory.EventKind {
	for _, k := range kinds {
		if string(k) == s {
			return k
		}
	}
	return inventory.EventKind(s)
}

var kinds = inventory.EventKinds()
