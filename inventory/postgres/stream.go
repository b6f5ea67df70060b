package postgres

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// EachPot calls f with every pot in the order entered, its events in the order
// recorded, on one unchanging view of the shelf. The events, which are most of
// a shelf, are not held in memory: the list of a pot's events is used again
// for the next pot. An error of f ends the stream and is returned.
func (r *Reader) EachPot(ctx context.Context, f func(inventory.Pot) error) error {
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
		return merge(pots, rows, r.zone(), f)
	})
}

// merge hands each pot to f with its events, which come in the same order.
func merge(pots []potRow, rows pgx.Rows, zone *time.Location, f func(inventory.Pot) error) error {
	next := 0
	var events []inventory.PotEvent
	flush := func() error {
		p := pots[next].pot(zone)
		p.Events = events
		next++
		events = events[:0]
		return f(p)
	}
	err := scanEvents(rows, zone, func(pot int64, e inventory.PotEvent) error {
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

// scanEvents reads rows of list_pot_events and its kin. Text columns that a
// statement has before those are read into first.
//
// A shelf has a million events, and pgx's own scanning takes most of the time
// of listing it; so the binary values are read as they come.
func scanEvents(rows pgx.Rows, zone *time.Location, f func(pot int64, e inventory.PotEvent) error, first ...*string) error {
	defer rows.Close()
	for rows.Next() {
		d := decoder{rows: rows, values: rows.RawValues()}
		for _, s := range first {
			*s = d.text()
		}
		pot := d.int()
		e := inventory.PotEvent{ID: d.int(), Kind: eventKind(d.bytes()), At: d.time(zone)}
		if d.known() {
			v := inventory.Volume(d.int())
			e.Volume = &v
		}
		if d.known() {
			v := d.float()
			e.Fraction = &v
		}
		if d.known() {
			e.GrossGrams = d.float()
		}
		if d.known() {
			e.TareGrams = d.float()
		}
		e.Estimated = d.bool()
		if d.known() {
			e.Undoes = d.int()
		}
		if d.known() {
			e.Job = d.text()
		}
		e.Note = d.text()
		if d.known() {
			day := d.day()
			e.At, e.DayOnly = given(e.At, &day, zone)
		}
		e.Key = uuid.UUID(d.take(16))
		if d.err != nil {
			return d.err
		}
		if err := f(pot, e); err != nil {
			return err
		}
	}
	return rows.Err()
}

// decoder reads the columns of one row in turn, in PostgreSQL's binary format.
type decoder struct {
	rows   pgx.Rows
	values [][]byte
	column int
	err    error // of the first column that is not what it should be
}

// known skips a column that is null, and tells whether there is a value to be read.
func (d *decoder) known() bool {
	if d.column < len(d.values) && d.values[d.column] == nil {
		d.column++
		return false
	}
	return true
}

// take gives the next column, which must be binary and of the given size; 0
// stands for a text, whose two forms are the same.
func (d *decoder) take(size int) []byte {
	if d.err != nil || d.column >= len(d.values) {
		d.fail()
		return zeros[:size]
	}
	v := d.values[d.column]
	if v == nil || size > 0 && (len(v) != size || d.rows.FieldDescriptions()[d.column].Format != pgx.BinaryFormatCode) {
		d.fail()
		return zeros[:size]
	}
	d.column++
	return v
}

func (d *decoder) fail() {
	if d.err == nil {
		d.err = fmt.Errorf("column %d of an event is not in the form it should be", d.column+1)
	}
}

var zeros [16]byte

func (d *decoder) bytes() []byte  { return d.take(0) }
func (d *decoder) text() string   { return string(d.take(0)) }
func (d *decoder) int() int64     { return int64(binary.BigEndian.Uint64(d.take(8))) }
func (d *decoder) float() float64 { return math.Float64frombits(binary.BigEndian.Uint64(d.take(8))) }
func (d *decoder) bool() bool     { return d.take(1)[0] != 0 }

// time is whole microseconds since the year 2000.
func (d *decoder) time(zone *time.Location) time.Time {
	return time.UnixMicro(d.int() + epoch).In(zone)
}

// day is whole days since the year 2000.
func (d *decoder) day() time.Time {
	return time.UnixMicro(epoch).UTC().AddDate(0, 0, int(int32(binary.BigEndian.Uint32(d.take(4)))))
}

var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).UnixMicro()

// eventKind gives the constant for a kind, so that a million events share a few strings.
func eventKind(s []byte) inventory.EventKind {
	for _, k := range kinds {
		if string(k) == string(s) {
			return k
		}
	}
	return inventory.EventKind(s)
}

var kinds = inventory.EventKinds()
