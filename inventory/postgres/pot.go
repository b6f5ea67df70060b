package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// potRow is a pot without its events.
type potRow struct {
	Number       int64
	ID, Paint    string
	Product      *string
	NominalUL    int64 `db:"nominal_ul"`
	Cost         *decimal.Decimal
	CostCurrency *string
	Place        string
	Opened       *time.Time
	TareG        *float64 `db:"tare_g"`
}

func (r potRow) pot() inventory.Pot {
	p := inventory.Pot{ID: r.ID, Paint: r.Paint, Product: orZero(r.Product), Nominal: inventory.Volume(r.NominalUL), Place: r.Place, TareGrams: orZero(r.TareG)}
	if r.Cost != nil {
		m := money(*r.Cost, orZero(r.CostCurrency))
		p.Cost = &m
	}
	if r.Opened != nil {
		t := r.Opened.UTC()
		p.Opened = &t
	}
	return p
}

func potID(p inventory.Pot) string { return p.ID }

// Shelf gives every pot with all its events, in the order entered. It holds
// all of them in memory; EachPot does not.
func (s *Store) Shelf(ctx context.Context) (inventory.Shelf, error) {
	var shelf inventory.Shelf
	err := s.EachPot(ctx, func(p inventory.Pot) error {
		p.Events = slices.Clone(p.Events)
		shelf.Pots = append(shelf.Pots, p)
		return nil
	})
	return shelf, err
}

// Pots gives some pots with all their events, in the order entered. An id that
// is not there is an *Error of kind NotFound.
func (s *Store) Pots(ctx context.Context, ids ...string) ([]inventory.Pot, error) {
	var pots []inventory.Pot
	err := s.read(ctx, func(tx pgx.Tx) error {
		found, err := collect[potRow](ctx, tx, queries.FindPots, ids)
		if err != nil {
			return err
		}
		numbers := make([]int64, len(found))
		at := make(map[int64]int, len(found))
		for i, r := range found {
			pots = append(pots, r.pot())
			numbers[i], at[r.Number] = r.Number, i
		}
		for _, id := range ids {
			if !slices.ContainsFunc(pots, func(p inventory.Pot) bool { return p.ID == id }) {
				return notFound("pot", id)
			}
		}
		rows, err := tx.Query(ctx, queries.ListEventsOfPots, numbers)
		if err != nil {
			return err
		}
		return scanEvents(rows, func(pot int64, e inventory.PotEvent) error {
			p := &pots[at[pot]]
			p.Events = append(p.Events, e)
			return nil
		})
	})
	return pots, err
}

func collect[T any](ctx context.Context, tx pgx.Tx, sql string, args ...any) ([]T, error) {
	rows, err := tx.Query(ctx, sql, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByName[T])
}

// samePot compares pots without their events, which are a list to append to.
func samePot(have []potRow, want []inventory.Pot) compared[inventory.Pot] {
	bare := func(p inventory.Pot) inventory.Pot { p.Events = nil; return p }
	old := make([]inventory.Pot, len(have))
	for i, r := range have {
		old[i] = r.pot()
	}
	now := make([]inventory.Pot, len(want))
	for i, p := range want {
		now[i] = bare(p)
	}
	return compare(old, now, potID)
}

func savePots(ctx context.Context, tx pgx.Tx, want []inventory.Pot) (Count, error) {
	if len(want) == 0 {
		return Count{}, nil
	}
	ids := make([]string, len(want))
	for i, p := range want {
		ids[i] = p.ID
		if p.Cost != nil {
			if _, err := amount(*p.Cost); err != nil {
				return Count{}, err
			}
		}
	}
	have, err := collect[potRow](ctx, tx, queries.FindPots, ids)
	if err != nil {
		return Count{}, err
	}
	c := samePot(have, want)
	return c.count, put(ctx, tx, c, queries.IntoPot, queries.UpdatePot, potValues)
}

func potValues(p inventory.Pot) []any {
	v := []any{p.ID, p.Paint, orNull(p.Product), int64(p.Nominal)}
	if p.Cost != nil {
		v = append(v, p.Cost.Amount, p.Cost.Currency)
	} else {
		v = append(v, nil, nil)
	}
	return append(v, p.Place, p.Opened, orNull(p.TareGrams))
}
