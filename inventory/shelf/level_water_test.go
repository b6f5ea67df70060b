package shelf

import (
	"math"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
)

// Water lost is not paint lost: it is told apart, and the eye and the scale
// are put right for it.
func TestWaterLost(t *testing.T) {
	half := 0.5
	p := &inventory.Pot{
		ID:      "p",
		Paint:   "tan",
		Nominal: 17 * inventory.Millilitre,
		Opened:  &fixture.Noon,
		Events:  []inventory.PotEvent{{ID: 1, Kind: inventory.Judged, At: fixture.Noon, Fraction: &half}},
	}
	b := bookOf(nil)
	now, later := b.Level(p, fixture.Noon), b.Level(p, fixture.Noon.AddDate(3, 0, 0))
	if now.WaterML != 0 || now.ThinDue {
		t.Errorf("at once: %g ml of water lost", now.WaterML)
	}
	// 0.3 % a month of 8.5 ml with 70 % water over 36 months.
	fixture.CloseTo(t, "water lost", later.WaterML, .003*.7*8.5*36, .02)
	if !later.ThinDue || later.usable.mean != now.usable.mean {
		t.Errorf("three years on: thinning due %v, %.2f ml against %.2f",
			later.ThinDue, later.usable.mean, now.usable.mean)
	}
	weighed := *p
	weighed.Events = append(weighed.Events[:1:1], inventory.PotEvent{
		ID:         2,
		Kind:       inventory.Weighed,
		At:         fixture.Noon.AddDate(3, 0, 0),
		GrossGrams: 14 + 8.5*(1.2-later.Thicken),
		TareGrams:  14,
	})
	fixture.CloseTo(t, "weighed after drying", b.Level(&weighed, fixture.Noon.AddDate(3, 0, 0)).usable.mean,
		8.5-.51, .02)
}

// Stirring water in ends the thickening and leaves the paint as much as it
// was; the eye and the scale are put right for water beyond that too.
func TestThinned(t *testing.T) {
	b := bookOf(nil)
	later := fixture.Noon.AddDate(3, 0, 0)
	dry := fixture.PotOf("tan", fixture.Judged(.5))
	dry.Opened = &fixture.Noon
	before := b.Level(dry, later)
	with := func(events ...inventory.PotEvent) *inventory.Pot {
		p := *dry
		p.Events = p.Events[:1:1]
		for i, e := range events {
			e.ID, e.At = int64(i+2), later
			p.Events = append(p.Events, e)
		}
		return &p
	}
	for _, c := range []struct {
		name  string
		water *inventory.Volume
		left  float64 // ml of water still lacking
	}{
		{"back to its strength", nil, 0},
		{"half of what it lost", fixture.Vol(before.WaterML / 2), before.WaterML / 2},
		{"twice what it lost", fixture.Vol(2 * before.WaterML), 0},
	} {
		l := b.Level(with(inventory.PotEvent{Kind: inventory.Thinned, Volume: c.water}), later)
		fixture.CloseTo(t, c.name, l.WaterML, c.left, .002)
		if l.ThinDue != (l.Thicken >= b.Rules.ThinAt) || l.usable != before.usable {
			t.Errorf("%s: thinning due %v at %.3f, %+v left, before %+v",
				c.name, l.ThinDue, l.Thicken, l.usable, before.usable)
		}
	}
	if !before.ThinDue || b.Level(with(inventory.PotEvent{Kind: inventory.Thinned}), later).ThinDue {
		t.Error("thinning is due before it and not after")
	}
	// 8.5 ml of paint with 1.7 ml of water too much look like 10.2 ml = 60 %.
	extra := inventory.PotEvent{Kind: inventory.Thinned, Volume: fixture.Vol(before.WaterML + 1.7)}
	fixture.CloseTo(t, "judged when watered down",
		b.Level(with(extra, fixture.Judged(.6)), later).usable.mean, before.usable.mean, .01)
	// The scale sees the water come and no paint go.
	gross := 14 + 8.5*(1.2-before.Thicken)
	l := b.Level(with(inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: gross}, extra,
		inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: gross + extra.Volume.ML()}),
		later)
	if fixture.CloseTo(t, "weighed before and after", l.usable.mean, before.usable.mean, .01); l.Doubts != 0 {
		t.Errorf("%d doubts about water stirred in", l.Doubts)
	}
	idx := fixture.LevelCatalogue.Index()
	if _, err := dry.Record(inventory.PotEvent{Kind: inventory.Thinned, At: later, Fraction: fixture.Frac(.5)},
		idx, later); err == nil {
		t.Error("thinned by a fraction of the pot is no measure")
	}
	if _, err := fixture.PotOf("can").Record(inventory.PotEvent{Kind: inventory.Thinned, At: later},
		idx, later); err == nil {
		t.Error("a spray can can't be thinned")
	}
}

// A scale does not tell dried paint from wet, nor anything without the weight
// of the empty pot.
func TestWeighingGonePots(t *testing.T) {
	for _, c := range []struct {
		gone inventory.EventKind
		tare float64
		back bool
	}{
		{inventory.DriedOut, 0, false},
		{inventory.DriedOut, 14, false},
		{inventory.GivenAway, 0, false},
		{inventory.GivenAway, 14, true},
	} {
		l := levelOf(fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Bought},
			inventory.PotEvent{Kind: c.gone},
			inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 20, TareGrams: c.tare}))
		if (l.Gone == "") != c.back || (l.Left() > 0) != c.back {
			t.Errorf("%s, then weighed with an empty weight of %g g: %s left, gone %q",
				c.gone, c.tare, l.Left(), l.Gone)
		}
	}
	// What such a weighing said does not come back with the pot.
	l := levelOf(fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Bought},
		inventory.PotEvent{Kind: inventory.DriedOut},
		inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 40}, fixture.Judged(.5),
		inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 20}))
	if want := 17 * (.5 - .03); math.Abs(l.usable.mean-want) > .01 || l.Doubts != 0 {
		t.Errorf("%.2f ml, %d doubts, want %.2f as judged", l.usable.mean, l.Doubts, want)
	}
}
