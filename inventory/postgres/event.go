package postgres

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// NewEvent is an event to be appended to a pot.
type NewEvent struct {
	Pot   string // pot id
	Event inventory.PotEvent
	// Key, where not empty, makes appending idempotent: an event with a key that
	// is there already is not appended again. The same key with another event is
	// a Conflict.
	Key string
}

// AddEvents appends events and gives their numbers. An event without a time is
// taken to happen now. A pot that is not there is NotFound; undoing what is
// undone already, or a key taken by another event, is Conflict.
func (s *Store) AddEvents(ctx context.Context, events []NewEvent) ([]int64, error) {
	var ids []int64
	err := s.write(ctx, func(tx pgx.Tx) (err error) {
		ids, err = addEvents(ctx, tx, events, s.moment())
		return err
	})
	if err != nil {
		return nil, err
	}
	return ids, nil
}

func addEvents(ctx context.Context, tx pgx.Tx, events []NewEvent, now time.Time) ([]int64, error) {
	var pots, keys []string
	for _, e := range events {
		pots = append(pots, e.Pot)
		if e.Key != "" {
			keys = append(keys, e.Key)
		}
	}
	numbers, err := lockPots(ctx, tx, pots)
	if err != nil {
		return nil, err
	}
	known, err := eventsByKey(ctx, tx, keys)
	if err != nil {
		return nil, err
	}
	ids := make([]int64, len(events))
	for i, n := range events {
		pot, e := numbers[n.Pot], n.Event
		if e.At.IsZero() {
			e.At = now
		}
		if old, found := known[n.Key]; found && n.Key != "" {
			if !old.is(pot, e) {
				return nil, &Error{Kind: Conflict, Text: fmt.Sprintf("another event with the key %q is there already (event %d)", n.Key, old.event.ID)}
			}
			ids[i] = old.event.ID
			continue
		}
		if err := tx.QueryRow(ctx, queries.AddPotEvent, eventValues(pot, e, n.Key)...).Scan(&ids[i]); err != nil {
			return nil, err
		}
		if n.Key != "" {
			e.ID = ids[i]
			known[n.Key] = keyed{pot, e}
		}
	}
	return ids, nil
}

// lockPots holds the pots until the transaction ends and gives their numbers.
func lockPots(ctx context.Context, tx pgx.Tx, ids []string) (map[string]int64, error) {
	rows, err := collect[struct {
		ID     string
		Number int64
	}](ctx, tx, queries.LockPots, ids)
	if err != nil {
		return nil, err
	}
	numbers := make(map[string]int64, len(rows))
	for _, r := range rows {
		numbers[r.ID] = r.Number
	}
	for _, id := range ids {
		if _, found := numbers[id]; !found {
			return nil, notFound("pot", id)
		}
	}
	return numbers, nil
}

// keyed is an event that is in the database, and its pot.
type keyed struct {
	pot   int64
	event inventory.PotEvent
}

// is tells whether it says the same as another event, whose number does not count.
func (k keyed) is(pot int64, e inventory.PotEvent) bool {
	e.ID = k.event.ID
	return k.pot == pot && same(k.event, e)
}

type keyedRow struct {
	Pot       int64
	ID        int64
	Kind      string
	At        time.Time
	VolumeUL  *int64 `db:"volume_ul"`
	Fraction  *float64
	GrossG    *float64 `db:"gross_g"`
	TareG     *float64 `db:"tare_g"`
	Estimated bool
	Undoes    *int64
	Job       *string
	Note      string
	Key       string
}

func eventsByKey(ctx context.Context, tx pgx.Tx, keys []string) (map[string]keyed, error) {
	known := map[string]keyed{}
	for chunk := range slices.Chunk(keys, 50_000) {
		rows, err := collect[keyedRow](ctx, tx, queries.FindEventKeys, chunk)
		if err != nil {
			return nil, err
		}
		for _, r := range rows {
			e := inventory.PotEvent{ID: r.ID, Kind: inventory.EventKind(r.Kind), At: r.At.UTC(), Fraction: r.Fraction, GrossGrams: orZero(r.GrossG),
				TareGrams: orZero(r.TareG), Estimated: r.Estimated, Undoes: orZero(r.Undoes), Job: orZero(r.Job), Note: r.Note}
			if r.VolumeUL != nil {
				v := inventory.Volume(*r.VolumeUL)
				e.Volume = &v
			}
			known[r.Key] = keyed{r.Pot, e}
		}
	}
	return known, nil
}

func eventValues(pot int64, e inventory.PotEvent, key string) []any {
	var volume *int64
	if e.Volume != nil {
		v := int64(*e.Volume)
		volume = &v
	}
	return []any{pot, string(e.Kind), instant(e.At), volume, e.Fraction, orNull(e.GrossGrams), orNull(e.TareGrams), e.Estimated,
		orNull(e.Undoes), orNull(e.Job), e.Note, orNull(key)}
}

// saveEvents appends the events that pots of a load bring, each once. Within a
// load an event may be numbered, and a correction then names the number of
// the one it undoes; the database's own numbers take their place here.
func saveEvents(ctx context.Context, tx pgx.Tx, pots []inventory.Pot, now time.Time) (Count, error) {
	var ids, keys []string
	for _, p := range pots {
		if len(p.Events) == 0 {
			continue
		}
		ids = append(ids, p.ID)
		keys = append(keys, eventKeys(p)...)
	}
	if len(keys) == 0 {
		return Count{}, nil
	}
	numbers, err := lockPots(ctx, tx, ids)
	if err != nil {
		return Count{}, err
	}
	known, err := eventsByKey(ctx, tx, keys)
	if err != nil {
		return Count{}, err
	}
	var c Count
	var rows [][]any
	var corrections []correction
	next := 0
	for i, p := range pots {
		first := next
		for _, e := range p.Events {
			key := keys[next]
			next++
			if _, found := known[key]; found {
				c.Same++
				continue
			}
			if e.At.IsZero() {
				e.At = now
			}
			c.New++
			if e.Kind == inventory.Corrected {
				corrections = append(corrections, correction{&pots[i], keys[first : first+len(p.Events)], e, key})
				continue
			}
			rows = append(rows, eventValues(numbers[p.ID], e, key))
		}
	}
	if err := copyInto(ctx, tx, queries.IntoPotEvent, rows); err != nil {
		return c, err
	}
	return c, saveCorrections(ctx, tx, corrections, numbers)
}

// correction is a correction of a load on its way into the database.
type correction struct {
	pot   *inventory.Pot
	keys  []string // of the pot's events in the load
	event inventory.PotEvent
	key   string
}

// saveCorrections appends corrections in the order of the load, after what
// they undo.
func saveCorrections(ctx context.Context, tx pgx.Tx, corrections []correction, numbers map[string]int64) error {
	var undone []string
	for _, c := range corrections {
		if key := c.undoes(); key != "" {
			undone = append(undone, key)
		}
	}
	if len(corrections) == 0 {
		return nil
	}
	known, err := eventsByKey(ctx, tx, undone)
	if err != nil {
		return err
	}
	for _, c := range corrections {
		if target, found := known[c.undoes()]; found {
			c.event.Undoes = target.event.ID
		}
		pot := numbers[c.pot.ID]
		if err := tx.QueryRow(ctx, queries.AddPotEvent, eventValues(pot, c.event, c.key)...).Scan(&c.event.ID); err != nil {
			return err
		}
		known[c.key] = keyed{pot, c.event} // a later one may undo it in turn
	}
	return nil
}

// undoes is the key of the event of the load that a correction undoes, "" where
// it names one by the database's number.
func (c correction) undoes() string {
	for i, e := range c.pot.Events {
		if e.ID == c.event.Undoes && e.ID != 0 {
			return c.keys[i]
		}
	}
	return ""
}

// eventKeys names the events of a pot by all they say; of several that say the
// same, the second and third are their own. A time that is not given is not
// part of the name, so that the file it came from can be loaded again later.
func eventKeys(p inventory.Pot) []string {
	keys := make([]string, len(p.Events))
	seen := map[string]int{}
	for i, e := range p.Events {
		text := p.ID + "\n" + string(e.Kind) + "\n"
		if !e.At.IsZero() {
			text += instant(e.At).Format(time.RFC3339Nano)
		}
		text += "\n"
		if e.Volume != nil {
			text += strconv.FormatInt(int64(*e.Volume), 10)
		}
		text += "\n"
		if e.Fraction != nil {
			text += strconv.FormatFloat(*e.Fraction, 'g', -1, 64)
		}
		text += fmt.Sprintf("\n%g\n%g\n%t\n%d\n%s\n%s", e.GrossGrams, e.TareGrams, e.Estimated, e.Undoes, e.Job, e.Note)
		seen[text]++
		sum := sha256.Sum256(fmt.Appendf(nil, "%s\n%d", text, seen[text]))
		keys[i] = "file " + hex.EncodeToString(sum[:16])
	}
	return keys
}
