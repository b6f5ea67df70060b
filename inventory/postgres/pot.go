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
	OpenedDay    *time.Time
	TareG        *float64 `db:"tare_g"`
}

func (r potRow) pot(zone *time.Location) inventory.Pot {
	p := inventory.Pot{
		ID:        r.ID,
		Paint:     r.Paint,
		Product:   orZero(r.Product),
		Nominal:   inventory.Volume(r.NominalUL),
		Place:     r.Place,
		TareGrams: orZero(r.TareG),
	}
	if r.Cost != nil {
		m := money(*r.Cost, orZero(r.CostCurrency))
		p.Cost = &m
	}
	if r.Opened != nil {
		t, dayOnly := given(*r.Opened, r.OpenedDay, zone)
		p.Opened, p.OpenedDay = &t, dayOnly
	}
	return p
}

func potID(p inventory.Pot) string { return p.ID }

// Shelf gives every pot with all its events, in the order entered. It holds
// all of them in memory; EachPot does not.
func (r *Reader) Shelf(ctx context.Context) (inventory.Shelf, error) {
	var shelf inventory.Shelf
	err := r.eachPot(ctx, true, func(p inventory.Pot) error {
		shelf.Pots = append(shelf.Pots, p)
		return nil
	})
	return shelf, err
}

// Pots gives some pots with all their events, in the order entered. An id that
// is not there is an *Error of kind NotFound.
func (r *Reader) Pots(ctx context.Context, ids ...string) ([]inventory.Pot, error) {
	var pots []inventory.Pot
	err := r.read(ctx, func(tx pgx.Tx) error {
		found, err := collect[potRow](ctx, tx, queries.FindPots, ids)
		if err != nil {
			return err
		}
		numbers := make([]int64, len(found))
		at := make(map[int64]int, len(found))
		for i, row := range found {
			pots = append(pots, row.pot(r.zone()))
			numbers[i], at[row.Number] = row.Number, i
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
		return scanEvents(rows, r.zone(), func(pot int64, e inventory.PotEvent) error {
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
// The same day is the same, whatever moment of it levels are reckoned with.
func samePot(have []potRow, want []inventory.Pot, zone *time.Location) compared[inventory.Pot] {
	old := make([]inventory.Pot, len(have))
	byID := make(map[string]*inventory.Pot, len(have))
	for i, r := range have {
		old[i] = r.pot(zone)
		byID[r.ID] = &old[i]
	}
	now := make([]inventory.Pot, len(want))
	for i, p := range want {
		p.Events = nil
		if h := byID[p.ID]; h != nil && p.OpenedDay && h.OpenedDay &&
			p.Opened.Format(time.DateOnly) == h.Opened.Format(time.DateOnly) {
			p.Opened = h.Opened
		}
		now[i] = p
	}
	return compare(old, now, potID)
}

func (t *Tx) savePots(ctx context.Context, want []inventory.Pot, insertOnly bool) (Count, error) {
	tx := t.tx
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
	if err := t.keepPots(ctx, ids); err != nil {
		return Count{}, err
	}
	have, err := collect[potRow](ctx, tx, queries.FindPots, ids)
	if err != nil {
		return Count{}, err
	}
	if insertOnly && len(have) > 0 {
		return Count{}, thereAlready("pot", have[0].ID)
	}
	c := samePot(have, want, t.now.Location())
	return c.count, put(ctx, tx, c, queries.IntoPot, queries.UpdatePot, potValues)
}

func potValues(p inventory.Pot) []any {
	v := []any{p.ID, p.Paint, orNull(p.Product), int64(p.Nominal)}
	if p.Cost != nil {
		v = append(v, p.Cost.Amount, p.Cost.Currency)
	} else {
		v = append(v, nil, nil)
	}
	if p.Opened == nil {
		return append(v, p.Place, nil, nil, orNull(p.TareGrams))
	}
	at, day := stored(*p.Opened, p.OpenedDay)
	return append(v, p.Place, at, day, orNull(p.TareGrams))
}
