package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// EachPot calls f with every pot in the order entered, its events in the order
// recorded, on one unchanging view of the shelf. The events, which are most of
// a shelf, are not held in memory: the list of a pot's events is used again
// for the next pot. An error of f ends the stream and is returned.
func (r *Reader) EachPot(ctx context.Context, f func(inventory.Pot) error) error {
	return r.eachPot(ctx, false, f)
}

// eachPot is EachPot where f may keep the lists of events.
func (r *Reader) eachPot(ctx context.Context, keep bool, f func(inventory.Pot) error) error {
	return r.read(ctx, func(tx pgx.Tx) error {
		pots, err := collect[potRow](ctx, tx, queries.ListPots)
		if err != nil {
			return err
		}
		// One statement for all events: the server reads on while f works.
		rows, err := tx.Query(ctx, queries.ListPotEvents)
		if err != nil {
			return err
		}
		return merge(pots, rows, r.zone(), keep, f)
	})
}

// eventsAtOnce is for how many events room is made at once.
const eventsAtOnce = 1000

// merge hands each pot to f with its events, which come in the same order. Lists
// that are kept lie one after the other, so that few are made and none is copied.
func merge(pots []potRow, rows pgx.Rows, zone *time.Location, keep bool, f func(inventory.Pot) error) error {
	next := 0
	var events []inventory.PotEvent
	flush := func() error {
		p := pots[next].pot(zone)
		p.Events = slices.Clip(events)
		next++
		if keep {
			events = events[len(events):]
		} else {
			events = events[:0]
		}
		return f(p)
	}
	err := scanEvents(rows, zone, func(pot int64, e inventory.PotEvent) error {
		for pots[next].Number != pot {
			if err := flush(); err != nil {
				return err
			}
		}
		if keep && len(events) == cap(events) {
			events = append(make([]inventory.PotEvent, 0, len(events)+eventsAtOnce), events...)
		}
		events = append(events, e)
		return nil
	})
	for err == nil && next < len(pots) {
		err = flush()
	}
	return err
}

// scanEvents gives f the pot's number and the event of each row of list_pot_events
// and its kin. Columns that a statement has before those are read into first.
func scanEvents(
	rows pgx.Rows, zone *time.Location, f func(pot int64, e inventory.PotEvent) error, first ...any,
) error {
	var r eventRow
	_, err := pgx.ForEachRow(rows, append(first, r.columns()...), func() error {
		return f(r.Pot, r.event(zone))
	})
	return err
}
