package inventory

import (
	"math"
	"strings"
	"testing"

	"halfpot/inventory/coverage"
)

// A job is logged, drawn down by the estimate, and the pot weighed before and
// after: what is observed is the weight gone over what the tables say, even
// when a learned factor had a hand in what was drawn.
func TestObservationFromALoggedJob(t *testing.T) {
	c := smallCatalogue()
	c.Paints[1].Density = 1.06
	f := &c.Forces[0]
	learned := Factors{{Level: PaintLevel, Key: "cloth-a", LogMean: math.Log(2), LogSD: .1, Observations: 3}}
	pot := Pot{ID: "a-1", Paint: "cloth-a", Nominal: 17 * Millilitre, Events: []PotEvent{
		{ID: 1, Kind: Bought, At: noon}, {ID: 2, Kind: Weighed, At: noon, GrossGrams: 33}}}
	rules := DefaultLevelRules()
	rules.WaterMonth, rules.WaterSitting = 0, 0
	book := NewLevelBook(c.Index(), Tares{}, nil, rules)
	at := noon.AddDate(0, 0, 1)
	log, err := NewEstimator(c, learned).LogWork(f, Job{ID: "job-1", Unit: "first", Steps: []string{"cloth"}, Figures: 10, At: at}, []Level{book.Level(&pot, at)})
	if err != nil || len(log.Draws) != 1 {
		t.Fatalf("%d draws, %v", len(log.Draws), err)
	}
	f.Done = log.Work
	plain := must[StepSum](t)(NewEstimator(c, nil).Sum(f.Units[0], &c.Recipes[0].Steps[1], one("cloth-a"), nil, 10))
	tables := plain.Step.AreaCM2.Median * plain.Step.Share.Median * plain.Step.WetUM.Median * 1e-4 / plain.Step.Efficiency.Median * 10
	tables += plain.Step.WasteML.Median
	closeTo(t, "drawn", log.Draws[0].Event.Volume.ML(), 2*tables, .001)

	draw := log.Draws[0].Event
	draw.ID = 3
	gone := 1.3 * tables
	pot.Events = append(pot.Events, draw, PotEvent{ID: 4, Kind: Weighed, At: at.Add(1), GrossGrams: 33 - 1.06*gone})
	seen, not, err := book.Observations(c, &Shelf{Pots: []Pot{pot}}, at.AddDate(0, 0, 1))
	if err != nil || len(seen) != 1 || len(not) != 0 {
		t.Fatalf("%d observations, %v, %v", len(seen), not, err)
	}
	o := seen[0]
	if o.Method != coverage.Brush || o.Type != OneCoat || o.Job != "job-1" || o.Jobs != 1 || !o.From.Equal(noon) {
		t.Errorf("observation %+v", o)
	}
	closeTo(t, "estimated", o.Estimated, tables, 1e-3)
	closeTo(t, "actual over estimated", o.Actual/o.Estimated, 1.3, 1e-3)
}

func TestStretchesThatTeachNothing(t *testing.T) {
	c := &Catalogue{Paints: levelCatalogue.Paints}
	b := bookOf(nil)
	use := func(ml float64) PotEvent { return PotEvent{Kind: Used, Volume: vol(ml), Estimated: true} }
	weigh := func(g float64) PotEvent { return PotEvent{Kind: Weighed, GrossGrams: g} }
	for _, c2 := range []struct {
		name   string
		events []PotEvent
		seen   int
		reason string
	}{
		{"weighed before and after", []PotEvent{weigh(30), use(2), weigh(27)}, 1, ""},
		{"two jobs between", []PotEvent{weigh(30), use(2), use(1), weigh(26.5)}, 1, ""},
		{"two stretches", []PotEvent{weigh(30), use(2), weigh(27), use(2), weigh(25)}, 2, ""},
		{"nothing logged", []PotEvent{weigh(30), weigh(27)}, 0, ""},
		{"measured use only", []PotEvent{weigh(30), {Kind: Used, Volume: vol(2)}, weigh(27)}, 0, ""},
		{"by eye, a little", []PotEvent{judged(.9), use(1), judged(.8)}, 0, "coarse"},
		{"by eye, much", []PotEvent{judged(1), use(9), judged(.3)}, 1, ""},
		{"a spill between", []PotEvent{weigh(30), use(2), {Kind: Spilled, Volume: vol(1)}, weigh(26)}, 0, "spill"},
		{"eye and scale", []PotEvent{judged(1), use(2), weigh(26)}, 0, "empty pot"},
		{"more there than before", []PotEvent{weigh(26), use(2), weigh(27)}, 0, "coarse"},
		{"the reading was a slip", []PotEvent{weigh(30), use(2), weigh(27), {Kind: Corrected, Undoes: 3}}, 0, ""},
		{"given away in between", []PotEvent{weigh(30), use(2), {Kind: GivenAway}, weigh(27)}, 0, ""},
	} {
		p := potOf("tan", c2.events...)
		seen, not, err := b.Observations(c, &Shelf{Pots: []Pot{*p}}, noon.AddDate(1, 0, 0))
		if err != nil || len(seen) != c2.seen {
			t.Errorf("%s: %d observations, want %d (%v, %v)", c2.name, len(seen), c2.seen, not, err)
		}
		if c2.reason == "" && len(not) > 0 || c2.reason != "" && (len(not) != 1 || !strings.Contains(not[0].Reason, c2.reason)) {
			t.Errorf("%s: untaught %+v, want a reason with %q", c2.name, not, c2.reason)
		}
	}
	p := potOf("tan", weigh(30), use(2), use(2), PotEvent{Kind: Used, Volume: vol(1)}, weigh(30-1.2*5))
	seen, _, _ := b.Observations(c, &Shelf{Pots: []Pot{*p}}, noon.AddDate(1, 0, 0))
	closeTo(t, "measured use taken off", seen[0].Actual, 4, .08) // some water went too
	closeTo(t, "estimated", seen[0].Estimated, 4, 1e-9)
	closeTo(t, "equal jobs", seen[0].Jobs, 2, 1e-9)
}

func TestWaysOfAStep(t *testing.T) {
	c := smallCatalogue()
	for _, s := range c.Recipes[0].Steps {
		for _, key := range []string{s.Mix.Key(), ""} {
			if m, th := s.way(key); m.Key() != s.Mix.Key() || th != s.Thinning {
				t.Errorf("step %s by %q: %v", s.ID, key, m)
			}
		}
	}
	m := Mix{{"black", 1}, {"leather", 2.5}}
	if got := mixOfKey(m.Key()); got.Key() != m.Key() {
		t.Errorf("%s came back as %s", m.Key(), got.Key())
	}
	if mixOfKey("x:a+1:b") != nil {
		t.Error("parts that are no number make a mix")
	}
}
