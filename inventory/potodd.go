package inventory

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// OddEntry is an entry of a pot's list that does not go with the rest. It is
// kept and shown as it was noted.
type OddEntry struct {
	Entry PotEvent
	Kind  OddKind
	Text  string
	Other *PotEvent // the entry it contradicts; nil: none
}

// OddKind is what is odd about an entry.
type OddKind uint8

// What can be odd. Those before it came and those to come don't count.
const (
	BeforeItCame OddKind = iota
	ToCome
	Contradicts
	LighterThanEmpty
)

// Two looks of one day differ honestly by less than a quarter of the pot, two
// weighings by less than a gram: common practice, no source.
const (
	looksDiffer     = 0.25
	weighingsDiffer = 1.0
)

// Odd are the entries that don't go with the rest as of a time, in their order:
// dated before the pot came or after now, readings of one day that contradict
// with nothing taken out between them, and weighings below the empty weight.
func (p *Pot) Odd(now time.Time) []OddEntry {
	var out []OddEntry
	came, bought := p.Came()
	events := p.InOrder()
	for i := range events {
		e := &events[i]
		switch {
		case ahead(e.At, e.DayOnly, now):
			out = append(out, OddEntry{Entry: *e, Kind: ToCome, Text: "lies ahead: counts from that day on"})
			continue
		case bought && !p.counts(e, &came):
			out = append(out, OddEntry{
				Entry: *e,
				Kind:  BeforeItCame,
				Text:  "before the pot came: does not count",
			})
			continue
		}
		if tare := max(e.TareGrams, p.TareGrams); e.Kind == Weighed && e.GrossGrams > 0 && e.GrossGrams < tare {
			out = append(out, OddEntry{
				Entry: *e,
				Kind:  LighterThanEmpty,
				Text:  fmt.Sprintf("lighter than the empty pot (%g g)", tare),
			})
		}
		if o := p.contradicted(events[:i], e); o != nil {
			other := *o
			out = append(out, OddEntry{
				Entry: *e,
				Kind:  Contradicts,
				Other: &other,
				Text:  "contradicts another of the same day",
			})
		}
	}
	slices.SortStableFunc(out, func(a, b OddEntry) int { return cmp.Compare(a.Entry.ID, b.Entry.ID) })
	return out
}

// JudgedAgain are the looks, by number, after which the pot was judged anew on the
// same day with nothing done to it between: whoever looks again means the later one,
// which counts alone.
func (p *Pot) JudgedAgain() map[int64]bool {
	var again map[int64]bool
	events, last := p.InOrder(), -1
	for i := range events {
		switch e := &events[i]; {
		case e.Kind == Judged:
			if last >= 0 && dateNumber(events[last].At) == dateNumber(e.At) {
				if again == nil {
					again = map[int64]bool{}
				}
				again[events[last].ID] = true
			}
			last = i
		case e.Kind != Opened && e.Kind != Weighed:
			last = -1
		}
	}
	return again
}

// contradicted is the last reading of the same kind and day that says something
// else, nil where there is none or something was done to the pot since.
func (p *Pot) contradicted(before []PotEvent, e *PotEvent) *PotEvent {
	if e.Kind != Judged && e.Kind != Weighed {
		return nil
	}
	for i := len(before) - 1; i >= 0; i-- {
		o := &before[i]
		switch {
		case dateNumber(o.At) != dateNumber(e.At):
			return nil
		case o.Kind == e.Kind && e.Kind == Weighed:
			if math.Abs(o.GrossGrams-e.GrossGrams) > weighingsDiffer {
				return o
			}
			return nil
		case o.Kind == e.Kind:
			if math.Abs(p.part(o)-p.part(e)) > looksDiffer {
				return o
			}
			return nil
		case o.Kind != Opened && o.Kind != Judged && o.Kind != Weighed:
			return nil
		}
	}
	return nil
}

// part is the share of the pot that a look says is there.
func (p *Pot) part(e *PotEvent) float64 {
	switch {
	case e.Fraction != nil:
		return *e.Fraction
	case e.Volume != nil && p.Nominal > 0:
		return e.Volume.ML() / p.Nominal.ML()
	}
	return 0
}
