package textfile

import (
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"

	"halfpot/inventory"
)

func (b *Bundle) pot(r *record) {
	p := inventory.Pot{
		ID:        r.id("id"),
		Paint:     r.id("paint"),
		Product:   r.id("product"),
		Nominal:   r.volume("size"),
		Place:     r.text("place"),
		TareGrams: r.quantity("tare", grams),
	}
	r.need("paint", "size")
	if p.ID == "" {
		p.ID = b.nextPot(p.Paint)
	}
	if !b.claim(r, "pots."+p.ID) {
		return
	}
	if m := r.money("cost", ""); m.Currency != "" {
		p.Cost = &m
	}
	s := potStory{pot: len(b.Pots), opened: r.when("opened"), bought: r.when("bought"), judged: r.when("judged")}
	if !s.opened.at.IsZero() {
		p.Opened, p.OpenedDay = &s.opened.at, s.opened.dayOnly
	}
	s.volume, s.fraction = r.full("full")
	if r.used != nil && r.has("events") { // CSV has the events in a list of their own
		for _, f := range []string{"bought", "full", "judged"} {
			if r.has(f) {
				r.slip(f, f+" beside a list of events", "it to be one of the events")
			}
		}
		for i, t := range r.tables("events") {
			line, column := t.at("")
			t.need("kind", "at")
			b.addEvent(&p, t.event(), t.has("moment"), place{
				file:   int32(t.file),
				line:   int32(line),
				column: int32(column),
			})
			t.named(fmt.Sprintf("pots.%s.events.%d", p.ID, i+1))
			t.closed()
		}
	}
	b.pots = append(b.pots, s)
	b.Pots = append(b.Pots, p)
}

// nextPot names a pot after its paint, and numbers it from the second on.
func (b *Bundle) nextPot(paint string) string {
	for {
		b.potIDs[paint]++
		id := paint
		if n := b.potIDs[paint]; n > 1 {
			id = fmt.Sprintf("%s-%d", paint, n)
		}
		if _, taken := b.places["pots."+id]; !taken {
			return id
		}
	}
}

// full reads how much is left: a volume, or a part of the pot.
func (r *record) full(field string) (*inventory.Volume, *float64) {
	text, ok := r.scalar(field, "half, 60 %, 1/2 or 10 ml")
	if !ok {
		return nil, nil
	}
	a, err := inventory.ParseAmount(text, inventory.BarePart)
	if err != nil {
		r.slip(field, show(text), "how full the pot is, like 60 %, 1/2 or 10 ml")
	}
	return a.Volume, a.Part
}

// event reads one thing that happened to a pot.
func (r *record) event() inventory.PotEvent {
	at := r.when("at")
	if at.dayOnly && r.has("moment") {
		at.at = parsed(r, "moment", "a time", func(s string) (time.Time, error) {
			t, err := parseInstant(s)
			if err != nil {
				return t, err
			}
			on, ok := inventory.OnDay(t, at.at)
			if !ok {
				return t, fmt.Errorf("a moment of %s", at.at.Format(time.DateOnly))
			}
			return on, nil
		})
	}
	e := inventory.PotEvent{
		ID:         int64(r.count("number")),
		Kind:       inventory.EventKind(r.word("kind")),
		At:         at.at,
		DayOnly:    at.dayOnly,
		GrossGrams: r.quantity("gross", grams), TareGrams: r.quantity("tare", grams),
		Estimated: r.flag("estimated"), Undoes: int64(r.count("undoes")), Job: r.id("job"), Note: r.text("note"),
	}
	if r.has("volume") {
		v := r.volume("volume")
		e.Volume = &v
	}
	if r.has("fraction") {
		f := parsed(r, "fraction", "a part of the pot", parsePart)
		e.Fraction = &f
	}
	if r.has("key") {
		e.Key = parsed(r, "key", "a key", func(s string) (uuid.UUID, error) {
			k, err := uuid.Parse(s)
			if err != nil || k == uuid.Nil || len(s) != len(k.String()) {
				return uuid.Nil, errors.New("the key that halfpot gave it, " +
					"like 0b0e0c6e-6a3c-4ac6-9d5d-2f4f6f6b8a10, or nothing")
			}
			return k, nil
		})
	}
	if e.ID < 0 || e.Undoes < 0 {
		r.slip("number", "a number below 0", "1 or more")
	}
	return e
}

// eventRow keeps an event until the pots are known.
func (b *Bundle) eventRow(r *record) {
	row := r.source.(*csvRow)
	b.events = append(b.events, eventRow{pot: r.id("pot"), event: r.event(), settled: r.has("moment"),
		place: place{file: int32(r.file), line: int32(row.line)}})
}
