package inventory

import (
	"math"
	"testing"
)

// Water lost is not paint lost: it is told apart, and the eye and the scale
// are put right for it.
func TestWaterLost(t *testing.T) {
	half := 0.5
	p := &Pot{ID: "p", Paint: "tan", Nominal: 17 * Millilitre, Opened: &noon, Events: []PotEvent{{ID: 1, Kind: Judged, At: noon, Fraction: &half}}}
	b := bookOf(nil)
	now, later := b.Level(p, noon), b.Level(p, noon.AddDate(3, 0, 0))
	if now.WaterML != 0 || now.ThinDue {
		t.Errorf("at once: %g ml of water lost", now.WaterML)
	}
	// 0.3 % a month of 8.5 ml with 70 % water over 36 months.
	closeTo(t, "water lost", later.WaterML, .003*.7*8.5*36, .02)
	if !later.ThinDue || later.usable.mean != now.usable.mean {
		t.Errorf("three years on: thinning due %v, %.2f ml against %.2f", later.ThinDue, later.usable.mean, now.usable.mean)
	}
	weighed := *p
	weighed.Events = append(weighed.Events[:1:1], PotEvent{ID: 2, Kind: Weighed, At: noon.AddDate(3, 0, 0), GrossGrams: 14 + 8.5*(1.2-later.Thicken), TareGrams: 14})
	closeTo(t, "weighed after drying", b.Level(&weighed, noon.AddDate(3, 0, 0)).usable.mean, 8.5-.51, .02)
}

// Stirring water in ends the thickening and leaves the paint as much as it
// was; the eye and the scale are put right for water beyond that too.
func TestThinned(t *testing.T) {
	b := bookOf(nil)
	later := noon.AddDate(3, 0, 0)
	dry := potOf("tan", judged(.5))
	dry.Opened = &noon
	before := b.Level(dry, later)
	with := func(events ...PotEvent) *Pot {
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
		water *Volume
		left  float64 // ml of water still lacking
	}{{"back to its strength", nil, 0}, {"half of what it lost", vol(before.WaterML / 2), before.WaterML / 2}, {"twice what it lost", vol(2 * before.WaterML), 0}} {
		l := b.Level(with(PotEvent{Kind: Thinned, Volume: c.water}), later)
		closeTo(t, c.name, l.WaterML, c.left, .002)
		if l.ThinDue != (l.Thicken >= b.Rules.ThinAt) || l.usable != before.usable {
			t.Errorf("%s: thinning due %v at %.3f, %+v left, before %+v", c.name, l.ThinDue, l.Thicken, l.usable, before.usable)
		}
	}
	if !before.ThinDue || b.Level(with(PotEvent{Kind: Thinned}), later).ThinDue {
		t.Error("thinning is due before it and not after")
	}
	// 8.5 ml of paint with 1.7 ml of water too much look like 10.2 ml = 60 %.
	extra := PotEvent{Kind: Thinned, Volume: vol(before.WaterML + 1.7)}
	closeTo(t, "judged when watered down", b.Level(with(extra, judged(.6)), later).usable.mean, before.usable.mean, .01)
	// The scale sees the water come and no paint go.
	gross := 14 + 8.5*(1.2-before.Thicken)
	l := b.Level(with(PotEvent{Kind: Weighed, GrossGrams: gross}, extra, PotEvent{Kind: Weighed, GrossGrams: gross + extra.Volume.ML()}), later)
	if closeTo(t, "weighed before and after", l.usable.mean, before.usable.mean, .01); l.Doubts != 0 {
		t.Errorf("%d doubts about water stirred in", l.Doubts)
	}
	idx := levelCatalogue.Index()
	if _, err := dry.Record(PotEvent{Kind: Thinned, At: later, Fraction: frac(.5)}, idx, later); err == nil {
		t.Error("thinned by a fraction of the pot is no measure")
	}
	if _, err := potOf("can").Record(PotEvent{Kind: Thinned, At: later}, idx, later); err == nil {
		t.Error("a spray can can't be thinned")
	}
}

// A scale does not tell dried paint from wet, nor anything without the weight
// of the empty pot.
func TestWeighingGonePots(t *testing.T) {
	for _, c := range []struct {
		gone EventKind
		tare float64
		back bool
	}{{DriedOut, 0, false}, {DriedOut, 14, false}, {GivenAway, 0, false}, {GivenAway, 14, true}} {
		l := levelOf(potOf("tan", PotEvent{Kind: Bought}, PotEvent{Kind: c.gone}, PotEvent{Kind: Weighed, GrossGrams: 20, TareGrams: c.tare}))
		if (l.Gone == "") != c.back || (l.Left() > 0) != c.back {
			t.Errorf("%s, then weighed with an empty weight of %g g: %s left, gone %q", c.gone, c.tare, l.Left(), l.Gone)
		}
	}
	// What such a weighing said does not come back with the pot.
	l := levelOf(potOf("tan", PotEvent{Kind: Bought}, PotEvent{Kind: DriedOut}, PotEvent{Kind: Weighed, GrossGrams: 40}, judged(.5), PotEvent{Kind: Weighed, GrossGrams: 20}))
	if want := 17 * (.5 - .03); math.Abs(l.usable.mean-want) > .01 || l.Doubts != 0 {
		t.Errorf("%.2f ml, %d doubts, want %.2f as judged", l.usable.mean, l.Doubts, want)
	}
}
