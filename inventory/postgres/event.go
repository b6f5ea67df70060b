package postgres

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/google/uuid"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// NewEvent is an event to be appended to a pot.
type NewEvent struct {
	Pot string // pot id
	// Event, whose key makes appending idempotent: one whose key is there already
	// is not appended again, and the same key with another event is a Conflict.
	// Without a key it gets one of its own.
	Event inventory.PotEvent
}

// AddEvents appends events and gives them with their numbers and keys. An event
// without a time is taken to happen now. A pot that is not there is NotFound;
// undoing what is undone already, or a key taken by another event, is Conflict.
func (t *Tx) AddEvents(ctx context.Context, events []NewEvent) ([]inventory.PotEvent, error) {
	pots := make([]string, len(events))
	var keys []uuid.UUID
	for i, e := range events {
		pots[i] = e.Pot
		if e.Event.Key != uuid.Nil {
			keys = append(keys, e.Event.Key)
		}
	}
	numbers, err := t.numbers(ctx, pots)
	if err != nil {
		return nil, err
	}
	known, err := t.eventsByKey(ctx, keys)
	if err != nil {
		return nil, err
	}
	out := make([]inventory.PotEvent, len(events))
	for i, n := range events {
		pot, e := numbers[n.Pot], n.Event
		if e.At.IsZero() {
			e.At = t.now
		}
		if e.Key == uuid.Nil {
			e.Key = t.birth()
		} else if old, found := known[e.Key]; found {
			if !old.is(pot, e) {
				return nil, &ClashError{Pot: n.Pot, Index: i, Number: old.event.ID, Key: e.Key}
			}
			out[i] = old.event
			continue
		}
		if err := t.tx.QueryRow(ctx, queries.AddPotEvent, eventValues(pot, e)...).Scan(&e.ID); err != nil {
			return nil, err
		}
		known[e.Key] = keyed{pot, e}
		out[i] = e
	}
	return out, nil
}

// AddEvents is [Tx.AddEvents] as a change of its own.
func (s *Store) AddEvents(ctx context.Context, events []NewEvent) ([]inventory.PotEvent, error) {
	var out []inventory.PotEvent
	err := s.Change(ctx, NewCommand("add events"), func(tx *Tx) (err error) {
		out, err = tx.AddEvents(ctx, events)
		return err
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// ClashError says that an event bears the key of one that is there already and
// says something else. What happened to a pot is never changed.
type ClashError struct {
	Pot    string
	Index  int   // of the event among those brought, of its pot where pots were
	Number int64 // of the event that is there
	Key    uuid.UUID
}

func (e *ClashError) Error() string {
	return fmt.Sprintf("another event of %s with the key %s is there already (no. %d); "+
		"what happened is never changed: add a correction, and what really happened without a key", e.Pot, e.Key, e.Number)
}

// numbers gives the numbers of pots, which this change is about to touch.
func (t *Tx) numbers(ctx context.Context, ids []string) (map[string]int64, error) {
	rows, err := collect[struct {
		ID     string
		Number int64
	}](ctx, t.tx, queries.FindPotNumbers, ids)
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
	return numbers, t.keepPots(ctx, ids)
}

// keyed is an event that is in the database, and its pot.
type keyed struct {
	pot   int64
	event inventory.PotEvent
}

// is tells whether it says the same as another event, whose number and key do
// not count. The same day is the same, whatever moment of it levels are reckoned
// with.
func (k keyed) is(pot int64, e inventory.PotEvent) bool {
	e.ID, e.Key = k.event.ID, k.event.Key
	if e.DayOnly && k.event.DayOnly && e.At.Format(time.DateOnly) == k.event.At.Format(time.DateOnly) {
		e.At = k.event.At
	}
	return k.pot == pot && same(k.event, e)
}

// eventRow is an event as the statements give it.
type eventRow struct {
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
	Day       *time.Time
	Key       uuid.UUID
}

// columns are where a row is read into, in the order of the statements.
func (r *eventRow) columns() []any {
	return []any{
		&r.Pot, &r.ID, &r.Kind, &r.At, &r.VolumeUL, &r.Fraction, &r.GrossG, &r.TareG,
		&r.Estimated, &r.Undoes, &r.Job, &r.Note, &r.Day, &r.Key,
	}
}

func (r *eventRow) event(zone *time.Location) inventory.PotEvent {
	e := inventory.PotEvent{
		ID:         r.ID,
		Key:        r.Key,
		Kind:       inventory.EventKind(r.Kind),
		Volume:     (*inventory.Volume)(r.VolumeUL),
		Fraction:   r.Fraction,
		GrossGrams: orZero(r.GrossG),
		TareGrams:  orZero(r.TareG),
		Estimated:  r.Estimated,
		Undoes:     orZero(r.Undoes),
		Job:        orZero(r.Job),
		Note:       r.Note,
	}
	e.At, e.DayOnly = given(r.At, r.Day, zone)
	return e
}

func (t *Tx) eventsByKey(ctx context.Context, keys []uuid.UUID) (map[uuid.UUID]keyed, error) {
	known := map[uuid.UUID]keyed{}
	for chunk := range slices.Chunk(keys, 50_000) {
		rows, err := collect[eventRow](ctx, t.tx, queries.FindEventKeys, chunk)
		if err != nil {
			return nil, err
		}
		for _, r := range rows {
			known[r.Key] = keyed{r.Pot, r.event(t.now.Location())}
		}
	}
	return known, nil
}

func eventValues(pot int64, e inventory.PotEvent) []any {
	var volume *int64
	if e.Volume != nil {
		v := int64(*e.Volume)
		volume = &v
	}
	at, day := stored(e.At, e.DayOnly)
	return []any{
		pot, string(e.Kind), at, volume, e.Fraction, orNull(e.GrossGrams), orNull(e.TareGrams), e.Estimated,
		orNull(e.Undoes), orNull(e.Job), e.Note, day, [16]byte(e.Key),
	}
}

// saveEvents appends the events that pots of a load bring, each once. Within a
// load an event may be numbered, and a correction then names the number of
// the one it undoes; the database's own numbers take their place here.
func (t *Tx) saveEvents(ctx context.Context, pots []inventory.Pot) (Count, error) {
	var ids []string
	var keys []uuid.UUID
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
	numbers, err := t.numbers(ctx, ids)
	if err != nil {
		return Count{}, err
	}
	known, err := t.eventsByKey(ctx, keys)
	if err != nil {
		return Count{}, err
	}
	var c Count
	var rows [][]any
	var corrections []correction
	next := 0
	for i, p := range pots {
		first := next
		for j, e := range p.Events {
			key := keys[next]
			next++
			if old, found := known[key]; found {
				if e.Key != uuid.Nil && !old.copied(numbers[p.ID], e) {
					return c, &ClashError{Pot: p.ID, Index: j, Number: old.event.ID, Key: key}
				}
				c.Same++
				continue
			}
			if e.At.IsZero() {
				e.At = t.now
			}
			e.Key = key
			c.New++
			if e.Kind == inventory.Corrected {
				corrections = append(corrections, correction{&pots[i], keys[first : first+len(p.Events)], e})
				continue
			}
			rows = append(rows, eventValues(numbers[p.ID], e))
		}
	}
	if err := copyInto(ctx, t.tx, queries.IntoPotEvent, rows); err != nil {
		return c, err
	}
	return c, t.saveCorrections(ctx, corrections, numbers)
}

// copied tells whether an event of a file is this one. The number it undoes is
// that of the file, and a copy may leave out the job.
func (k keyed) copied(pot int64, e inventory.PotEvent) bool {
	e.Undoes = k.event.Undoes
	if e.Job == "" {
		e.Job = k.event.Job
	}
	return k.is(pot, e)
}

// correction is a correction of a load on its way into the database.
type correction struct {
	pot   *inventory.Pot
	keys  []uuid.UUID // of the pot's events in the load
	event inventory.PotEvent
}

// saveCorrections appends corrections in the order of the load, after what
// they undo.
func (t *Tx) saveCorrections(ctx context.Context, corrections []correction, numbers map[string]int64) error {
	var undone []uuid.UUID
	for _, c := range corrections {
		if key := c.undoes(); key != uuid.Nil {
			undone = append(undone, key)
		}
	}
	if len(corrections) == 0 {
		return nil
	}
	known, err := t.eventsByKey(ctx, undone)
	if err != nil {
		return err
	}
	for _, c := range corrections {
		if target, found := known[c.undoes()]; found {
			c.event.Undoes = target.event.ID
		}
		pot := numbers[c.pot.ID]
		if err := t.tx.QueryRow(ctx, queries.AddPotEvent, eventValues(pot, c.event)...).Scan(&c.event.ID); err != nil {
			return err
		}
		known[c.event.Key] = keyed{pot, c.event} // a later one may undo it in turn
	}
	return nil
}

// undoes is the key of the event of the load that a correction undoes, nil where
// it names one by the database's number.
func (c correction) undoes() uuid.UUID {
	for i, e := range c.pot.Events {
		if e.ID == c.event.Undoes && e.ID != 0 {
			return c.keys[i]
		}
	}
	return uuid.Nil
}

// eventKeys are the keys of the events of a pot. One without a key of its own is
// named by all it says; of several that say the same, the second and third are
// their own. A time that is not given is not part of the name, so that the file
// it came from can be loaded again later.
func eventKeys(p inventory.Pot) []uuid.UUID {
	keys := make([]uuid.UUID, len(p.Events))
	seen := map[string]int{}
	for i, e := range p.Events {
		if e.Key != uuid.Nil {
			keys[i] = e.Key
			continue
		}
		text := p.ID + "\n" + string(e.Kind) + "\n"
		switch {
		case e.DayOnly:
			text += e.At.Format(time.DateOnly) + "T00:00:00Z"
		case !e.At.IsZero():
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
		text += fmt.Sprintf("\n%g\n%g\n%t\n%d\n%s\n%s",
			e.GrossGrams, e.TareGrams, e.Estimated, e.Undoes, e.Job, e.Note)
		seen[text]++
		sum := sha256.Sum256(fmt.Appendf(nil, "%s\n%d", text, seen[text]))
		keys[i] = uuid.UUID(sum[:16])
	}
	return keys
}
