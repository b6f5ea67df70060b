package inventory

import (
	"testing"
	"time"
)

// Entries that don't go with the rest are named, each for what it is.
func TestOddEntries(t *testing.T) {
	day := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	look := func(id int64, days int, share float64) PotEvent {
		return PotEvent{ID: id, Kind: Judged, At: day.AddDate(0, 0, days), Fraction: &share}
	}
	weigh := func(id int64, days int, grams float64) PotEvent {
		return PotEvent{ID: id, Kind: Weighed, At: day.AddDate(0, 0, days), GrossGrams: grams}
	}
	ml := Volume(1000)
	type odd struct {
		id    int64
		kind  OddKind
		other int64
	}
	used := PotEvent{ID: 5, Kind: Used, At: day.AddDate(0, 0, 1), Volume: &ml}
	bought := PotEvent{ID: 1, Kind: Bought, At: day}
	now := day.AddDate(0, 0, 9)
	for name, c := range map[string]struct {
		events []PotEvent
		want   []odd
	}{
		"clean":                 {[]PotEvent{bought, look(2, 1, .6), look(3, 2, .2)}, nil},
		"a look before it came": {[]PotEvent{bought, look(2, -1, .6)}, []odd{{id: 2, kind: BeforeItCame}}},
		"a look to come":        {[]PotEvent{bought, look(2, 30, .6)}, []odd{{id: 2, kind: ToCome}}},
		"two looks of one day": {[]PotEvent{bought, look(2, 1, .6), look(3, 1, .2)},
			[]odd{{id: 3, kind: Contradicts, other: 2}}},
		"two that agree":  {[]PotEvent{bought, look(2, 1, .6), look(3, 1, .45)}, nil},
		"painted between": {[]PotEvent{bought, look(2, 1, .6), used, look(6, 1, .2)}, nil},
		"two weighings of one day": {[]PotEvent{bought, weigh(2, 1, 30), weigh(3, 1, 26)},
			[]odd{{id: 3, kind: Contradicts, other: 2}}},
		"lighter than empty": {[]PotEvent{bought, weigh(2, 1, 9)}, []odd{{id: 2, kind: LighterThanEmpty}}},
		"undone": {[]PotEvent{
			bought,
			look(2, 1, .6),
			look(3, 1, .2),
			{ID: 4, Kind: Corrected, Undoes: 2, At: day.AddDate(0, 0, 2)},
		},
			nil},
	} {
		p := Pot{ID: "p", Nominal: 18 * Millilitre, TareGrams: 12, Events: c.events}
		got := p.Odd(now)
		if len(got) != len(c.want) {
			t.Errorf("%s: %+v", name, got)
			continue
		}
		for i, w := range c.want {
			g := got[i]
			if g.Entry.ID != w.id || g.Kind != w.kind || (g.Other == nil) != (w.other == 0) ||
				g.Other != nil && g.Other.ID != w.other || g.Text == "" {
				t.Errorf("%s: %+v, want %+v", name, g, w)
			}
		}
	}
}

// Who judges a pot anew on one day means the later look; after paint was taken out
// both are true.
func TestJudgedAgainCountsTheLast(t *testing.T) {
	at := time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC)
	look := func(id int64, share float64) PotEvent {
		return PotEvent{ID: id, Kind: Judged, At: at, DayOnly: true, Fraction: &share}
	}
	p := Pot{ID: "bone", Events: []PotEvent{look(1, 0.5), look(2, 0), look(3, 0.9)}}
	if got := p.JudgedAgain(); len(got) != 2 || !got[1] || !got[2] {
		t.Errorf("judged again: %v, want 1 and 2", got)
	}
	p.Events = []PotEvent{look(1, 0.5), look(2, 0.45)}
	if got := p.JudgedAgain(); len(got) != 1 || !got[1] {
		t.Errorf("judged again, a little lower: %v, want 1", got)
	}
	used := Volume(5000)
	p.Events = []PotEvent{look(1, 0.5), {ID: 2, Kind: Used, At: at, DayOnly: true, Volume: &used}, look(3, 0)}
	if got := p.JudgedAgain(); len(got) != 0 {
		t.Errorf("judged again: %v, want none: paint was used between", got)
	}
}
