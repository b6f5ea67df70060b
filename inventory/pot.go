package inventory

import (
	"slices"
	"time"

	"github.com/google/uuid"
)

// Pot is one container of paint the painter owns or owned.
type Pot struct {
	ID        string
	Paint     string // paint id
	Product   string // product id it came as; may be empty
	Nominal   Volume // volume on the label; Item for a pencil or pigment
	Cost      *Money // what it cost; nil: not known
	Place     string // where it stands
	Opened    *time.Time
	OpenedDay bool       // only the day of Opened is known: its calendar date
	TareGrams float64    // mass of the empty pot with its lid; 0: not known
	Events    []PotEvent // in the order they were recorded; never changed or taken away
}

// EventKind is what happened to a pot.
type EventKind string

// What can happen to a pot, and which fields of the event then count.
const (
	Bought    EventKind = "bought"     // Volume or Fraction where it was not full
	Opened    EventKind = "opened"     //
	Judged    EventKind = "judged"     // by eye: Volume or Fraction left
	Weighed   EventKind = "weighed"    // GrossGrams, TareGrams where it is now known
	Used      EventKind = "used"       // Volume taken out; Estimated where nobody measured it
	Spilled   EventKind = "spilled"    // Volume lost, or Fraction of what was there
	Thinned   EventKind = "thinned"    // water stirred in: Volume of it; without one, back to the strength it was sold at
	DriedOut  EventKind = "dried-out"  // nothing usable is left
	GivenAway EventKind = "given-away" // the pot is gone
	Corrected EventKind = "corrected"  // Undoes names the event that never was
)

// EventKinds lists the kinds in the order above.
func EventKinds() []EventKind {
	return []EventKind{Bought, Opened, Judged, Weighed, Used, Spilled, Thinned, DriedOut, GivenAway, Corrected}
}

// PotEvent is one thing that happened to a pot. Exactly one of Volume,
// Fraction and GrossGrams is set where the kind needs a measure.
type PotEvent struct {
	ID         int64     // given by the store, rising; unique within the shelf
	Key        uuid.UUID // its own from birth and the same in every copy; nil: not given yet
	Kind       EventKind
	At         time.Time
	DayOnly    bool // only the day is known: At's calendar date where At stands; At is a moment of it
	Volume     *Volume
	Fraction   *float64 // of the nominal volume, 0 to 1; for Spilled: of what was there
	GrossGrams float64
	TareGrams  float64 // 0: the pot's own tare
	Estimated  bool    // Used: drawn by the estimate, not measured
	Undoes     int64   // Corrected: ID of the event it undoes
	Job        string  // log entry it belongs to; may be empty
	Note       string
}

// Shelf is every pot with its events.
type Shelf struct {
	Pots []Pot
}

// Pot finds a pot by id.
func (s Shelf) Pot(id string) (Pot, bool) {
	for _, p := range s.Pots {
		if p.ID == id {
			return p, true
		}
	}
	return Pot{}, false
}

// corrected tells whether a correction is among the pot's events.
func (p *Pot) corrected() bool {
	for i := range p.Events {
		if p.Events[i].Kind == Corrected {
			return true
		}
	}
	return false
}

// Standing is the pot's events without those undone and the corrections
// themselves, in their order. It is to be read only: nothing is copied where there
// are none, as mostly.
func (p *Pot) Standing() []PotEvent {
	if !p.corrected() {
		return slices.Clip(p.Events)
	}
	undone := map[int64]bool{}
	// A correction may itself be undone by a later one, so read backwards.
	for i := len(p.Events) - 1; i >= 0; i-- {
		if e := p.Events[i]; e.Kind == Corrected && !undone[e.ID] {
			undone[e.Undoes] = true
		}
	}
	var out []PotEvent
	for _, e := range p.Events {
		if e.Kind != Corrected && !undone[e.ID] {
			out = append(out, e)
		}
	}
	return out
}

// InOrder is the standing events by time. Nothing is copied where the
// list is in order and free of corrections, as most are.
func (p *Pot) InOrder() []PotEvent {
	events, sorted := p.Standing(), true
	for i := 1; i < len(events) && sorted; i++ {
		sorted = !events[i].At.Before(events[i-1].At)
	}
	if !sorted {
		events = slices.Clone(events)
		slices.SortStableFunc(events, func(a, b PotEvent) int { return a.At.Compare(b.At) })
	}
	return events
}

// Stock is the usable volume on the shelf of each paint id, at the lower
// quantile the painter's confidence asks for, rounded down.
type Stock map[string]Volume

// Came is the event with which the pot came to be the painter's: the first
// purchase that stands; false where there is none.
func (p *Pot) Came() (PotEvent, bool) {
	events := p.Standing()
	for i := range events {
		if events[i].Kind == Bought {
			return events[i], true
		}
	}
	return PotEvent{}, false
}

// counts tells whether an event that happened before the pot came counts all the
// same: when it was opened does, and what undoes another.
func (p *Pot) counts(e, came *PotEvent) bool {
	if e.Kind == Bought || e.Kind == Opened || e.Kind == Corrected {
		return true
	}
	if e.DayOnly || came.DayOnly {
		return dateNumber(e.At) >= dateNumber(came.At)
	}
	return !e.At.Before(came.At)
}

// There tells whether the pot was the painter's at a time; of one that nobody
// has said when it came, it was.
func (p *Pot) There(at time.Time, dayOnly bool) bool {
	came, ok := p.Came()
	return !ok || p.counts(&PotEvent{Kind: Used, At: at, DayOnly: dayOnly}, &came)
}

// kept tells whether the pot comes from where it was kept before.
func (p Pot) kept() bool {
	for _, e := range p.Events {
		if e.Key != uuid.Nil {
			return true
		}
	}
	return false
}

// Ahead are the events that lie in the future by the clock now, such as of a
// clock that ran fast: they count only from then on.
func (p Pot) Ahead(now time.Time) []PotEvent {
	var out []PotEvent
	for _, e := range p.Events {
		if ahead(e.At, e.DayOnly, now) {
			out = append(out, e)
		}
	}
	return out
}

// Until is the shelf as it was known at a time: the pots that had come, with what
// is dated until then.
func (s Shelf) Until(at time.Time) Shelf {
	var out Shelf
	for _, p := range s.Pots {
		bought := slices.ContainsFunc(p.Events, func(e PotEvent) bool { return e.Kind == Bought })
		p.Events = slices.DeleteFunc(slices.Clone(p.Events), func(e PotEvent) bool { return e.At.After(at) })
		if bought && !slices.ContainsFunc(p.Events, func(e PotEvent) bool { return e.Kind == Bought }) {
			continue
		}
		if p.Opened != nil && p.Opened.After(at) {
			p.Opened, p.OpenedDay = nil, false
		}
		out.Pots = append(out.Pots, p)
	}
	return out
}
