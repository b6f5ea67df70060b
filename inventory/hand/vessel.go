package hand

import (
	"slices"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// teller tells what happened to one pot in the values the model learns from.
type teller struct {
	*scribe
	pot     *inventory.Pot
	paint   *inventory.Paint
	makes   shelf.Make
	over    float64
	again   map[int64]bool // looks that another of the day replaced
	v       Vessel
	unseal  *time.Time // when it was opened, as long as that is not told
	bought  bool
	touched bool // drawn from or read since it was bought
	drawn   bool // since the last reading
}

// empty is the pot with nothing told yet.
func (t *teller) empty() Vessel {
	m := t.makes
	v := Vessel{
		ID:      t.pot.ID,
		Paint:   t.scribe.paint[t.pot.Paint],
		Full:    m.Full,
		FillSD:  m.FillSD,
		Dead:    m.Dead,
		DeadSD:  m.DeadSD,
		Density: m.Density,
		Water:   m.Water,
		Tare:    m.Tare.Grams,
		TareSD:  m.Tare.SD,
	}
	if v.Tare <= 0 { // nothing known of the pot itself: weighings tell what went between them
		v.Tare, v.TareSD = m.Full*.8, 100
	}
	return v
}

func (t *teller) add(e Event) { t.v.Events = append(t.v.Events, e) }

// unsealBefore tells of the opening that came before an event.
func (t *teller) unsealBefore(at time.Time) {
	if t.unseal != nil && t.bought && !at.Before(*t.unseal) {
		t.add(Event{Kind: Unseal, Month: monthOf(*t.unseal)})
		t.unseal = nil
	}
}

// unsealAtLast tells of an opening that no event came after.
func (t *teller) unsealAtLast() {
	if t.unseal == nil {
		return
	}
	if t.v.Opened = !t.bought; t.bought {
		t.add(Event{Kind: Unseal, Month: monthOf(*t.unseal)})
	} else {
		t.v.Events = slices.Insert(t.v.Events, 0, Event{Kind: Unseal, Month: monthOf(*t.unseal)})
	}
}

// share is the part of a full pot that an event speaks of, false where it does not say.
func (t *teller) share(e *inventory.PotEvent) (float64, bool) {
	switch {
	case e.Volume != nil:
		return clip(e.Volume.ML()*t.makes.Content/t.makes.Full, 0, 1), t.makes.Full > 0
	case e.Fraction != nil:
		return clip(*e.Fraction, 0, 1), true
	}
	return 0, false
}

func (t *teller) tell(e *inventory.PotEvent) {
	at := monthOf(e.At)
	switch e.Kind {
	case inventory.Bought:
		t.came(e, at)
	case inventory.Opened:
		t.add(Event{Kind: Unseal, Month: at})
	case inventory.Judged:
		t.judged(e, at)
	case inventory.Weighed:
		t.weighed(e, at)
	case inventory.Used:
		t.touched, t.drawn = true, true
		if e.Volume != nil && !e.Estimated {
			t.add(Event{Kind: DrawKnown, Month: at, Value: e.Volume.ML(), Sittings: 1})
		} else if e.Volume != nil {
			t.v.Events = t.jobs.draws(t.v.Events, t.scribe, e, t.paint, at, t.over)
		}
	case inventory.Spilled:
		t.touched = true
		switch {
		case e.Volume != nil:
			t.add(Event{Kind: SpillML, Month: at, Value: e.Volume.ML() * t.makes.Content})
		case e.Fraction != nil:
			t.add(Event{Kind: SpillShare, Month: at, Value: clip(*e.Fraction, 0, 1)})
		}
	case inventory.Thinned:
		x := Event{Kind: Thin, Month: at}
		if e.Volume != nil {
			x.Value = e.Volume.ML()
		}
		t.add(x)
	case inventory.DriedOut, inventory.GivenAway:
		t.add(Event{Kind: LostForGood, Month: at})
	}
}

func (t *teller) came(e *inventory.PotEvent, at float64) {
	t.bought, t.touched = true, false
	if s, ok := t.share(e); ok && s < .999 {
		t.add(Event{Kind: FreshPart, Month: at, Value: s})
	} else {
		t.add(Event{Kind: Fresh, Month: at})
	}
	if t.unseal != nil && !t.unseal.After(e.At) {
		t.add(Event{Kind: Unseal, Month: at})
		t.unseal = nil
	}
}

// begins reports whether a first reading is the pot's beginning: one that nobody
// drew from and that is found not full was not full, or somebody was at it unseen.
func (t *teller) begins(share float64) bool {
	return !t.touched && share <= 1-t.book.Rules.EyeSD
}

func (t *teller) judged(e *inventory.PotEvent, at float64) {
	if t.again[e.ID] && !t.touched {
		return // the later look of that day begins it
	}
	drawn := t.drawn
	t.drawn = false
	s, ok := t.share(e)
	if !ok {
		return
	}
	if t.begins(s) {
		t.add(Event{Kind: FreshPart, Month: at, Value: s})
		t.touched = true
		return
	}
	t.touched = true
	v := t.verdict(t.pot.ID, e.At)
	switch {
	case t.again[e.ID]:
		v = Misread
	case s == 0 && !drawn && v == NoVerdict:
		v = Missed // an empty pot is mistaken by nobody: somebody was at it
	}
	t.add(Event{Kind: Look, Month: at, Value: s, Verdict: v})
}

func (t *teller) weighed(e *inventory.PotEvent, at float64) {
	if e.GrossGrams <= 0 {
		return
	}
	m := t.makes
	if m.Tare.Grams > 0 && m.Density > 0 {
		if s := (e.GrossGrams - m.Tare.Grams) / (m.Density * m.Full); t.begins(s) {
			t.add(Event{Kind: FreshPart, Month: at, Value: clip(s, 0, 1)})
		}
	}
	t.touched, t.drawn = true, false
	t.add(Event{Kind: Weigh, Month: at, Value: e.GrossGrams, Verdict: t.verdict(t.pot.ID, e.At)})
}
