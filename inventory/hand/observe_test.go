package hand

import (
	"math"
	"strings"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/estimate"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shelf"
)

// A job is logged, drawn down by the estimate, and the pot weighed before and
// after: what is observed is the weight gone over what the tables say, even
// when a learned factor had a hand in what was drawn.
func TestObservationFromALoggedJob(t *testing.T) {
	c := fixture.SmallCatalogue()
	c.Paints[1].Density = 1.06
	f := &c.Forces[0]
	learned := inventory.Factors{{Level: inventory.PaintLevel, Key: "cloth-a", LogMean: math.Log(2), LogSD: .1, Observations: 3}}
	pot := inventory.Pot{ID: "a-1", Paint: "cloth-a", Nominal: 17 * inventory.Millilitre, Events: []inventory.PotEvent{
		{ID: 1, Kind: inventory.Bought, At: fixture.Noon}, {ID: 2, Kind: inventory.Weighed, At: fixture.Noon, GrossGrams: 33}}}
	rules := shelf.DefaultLevelRules()
	rules.WaterMonth, rules.WaterSitting = 0, 0
	book := shelf.NewLevelBook(c.Index(), shelf.Tares{}, nil, rules)
	at := fixture.Noon.AddDate(0, 0, 1)
	log, err := estimate.NewEstimator(c, learned).LogWork(f, inventory.Job{ID: "job-1", Unit: "first", Steps: []string{"cloth"}, Figures: 10, At: at}, []shelf.Level{book.Level(&pot, at)})
	if err != nil || len(log.Draws) != 1 {
		t.Fatalf("%d draws, %v", len(log.Draws), err)
	}
	f.Done = log.Work
	plain := fixture.Must[estimate.StepSum](t)(estimate.NewEstimator(c, nil).Sum(f.Units[0], &c.Recipes[0].Steps[1], fixture.One("cloth-a"), nil, 10))
	tables := plain.Step.AreaCM2.Median * plain.Step.Share.Median * plain.Step.WetUM.Median * 1e-4 / plain.Step.Efficiency.Median * 10
	tables += plain.Step.WasteML.Median
	fixture.CloseTo(t, "drawn", log.Draws[0].Event.Volume.ML(), 2*tables, .001)

	draw := log.Draws[0].Event
	draw.ID = 3
	gone := 1.3 * tables
	pot.Events = append(pot.Events, draw, inventory.PotEvent{ID: 4, Kind: inventory.Weighed, At: at.Add(1), GrossGrams: 33 - 1.06*gone})
	seen, not, err := Observations(book, c, &inventory.Shelf{Pots: []inventory.Pot{pot}}, at.AddDate(0, 0, 1))
	if err != nil || len(seen) != 1 || len(not) != 0 {
		t.Fatalf("%d observations, %v, %v", len(seen), not, err)
	}
	o := seen[0]
	if o.Method != coverage.Brush || o.Type != inventory.OneCoat || o.Job != "job-1" || o.Jobs != 1 || !o.From.Equal(fixture.Noon) {
		t.Errorf("observation %+v", o)
	}
	fixture.CloseTo(t, "estimated", o.Estimated, tables, 1e-3)
	fixture.CloseTo(t, "actual over estimated", o.Actual/o.Estimated, 1.3, 1e-3)
}

func TestStretchesThatTeachNothing(t *testing.T) {
	c := &inventory.Catalogue{Paints: fixture.LevelCatalogue.Paints}
	idx, rules := fixture.LevelCatalogue.Index(), shelf.DefaultLevelRules()
	b := shelf.NewLevelBook(idx, shelf.LearnTares(&inventory.Shelf{}, idx, rules), nil, rules)
	use := func(ml float64) inventory.PotEvent {
		return inventory.PotEvent{Kind: inventory.Used, Volume: fixture.Vol(ml), Estimated: true}
	}
	weigh := func(g float64) inventory.PotEvent { return inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: g} }
	for _, c2 := range []struct {
		name   string
		events []inventory.PotEvent
		seen   int
		reason string
	}{
		{"weighed before and after", []inventory.PotEvent{weigh(30), use(2), weigh(27)}, 1, ""},
		{"two jobs between", []inventory.PotEvent{weigh(30), use(2), use(1), weigh(26.5)}, 1, ""},
		{"two stretches", []inventory.PotEvent{weigh(30), use(2), weigh(27), use(2), weigh(25)}, 2, ""},
		{"nothing logged", []inventory.PotEvent{weigh(30), weigh(27)}, 0, ""},
		{"measured use only", []inventory.PotEvent{weigh(30), {Kind: inventory.Used, Volume: fixture.Vol(2)}, weigh(27)}, 0, ""},
		{"by eye, a little", []inventory.PotEvent{fixture.Judged(.9), use(1), fixture.Judged(.8)}, 0, "coarse"},
		{"by eye, much", []inventory.PotEvent{fixture.Judged(1), use(9), fixture.Judged(.3)}, 1, ""},
		{"a spill between", []inventory.PotEvent{weigh(30), use(2), {Kind: inventory.Spilled, Volume: fixture.Vol(1)}, weigh(26)}, 0, "spill"},
		{"eye and scale", []inventory.PotEvent{fixture.Judged(1), use(2), weigh(26)}, 0, "empty pot"},
		{"more there than before", []inventory.PotEvent{weigh(26), use(2), weigh(27)}, 0, "coarse"},
		{"the reading was a slip", []inventory.PotEvent{weigh(30), use(2), weigh(27), {Kind: inventory.Corrected, Undoes: 3}}, 0, ""},
		{"given away in between", []inventory.PotEvent{weigh(30), use(2), {Kind: inventory.GivenAway}, weigh(27)}, 0, ""},
	} {
		p := fixture.PotOf("tan", c2.events...)
		seen, not, err := Observations(b, c, &inventory.Shelf{Pots: []inventory.Pot{*p}}, fixture.Noon.AddDate(1, 0, 0))
		if err != nil || len(seen) != c2.seen {
			t.Errorf("%s: %d observations, want %d (%v, %v)", c2.name, len(seen), c2.seen, not, err)
		}
		if c2.reason == "" && len(not) > 0 || c2.reason != "" && (len(not) != 1 || !strings.Contains(not[0].Reason, c2.reason)) {
			t.Errorf("%s: untaught %+v, want a reason with %q", c2.name, not, c2.reason)
		}
	}
	p := fixture.PotOf("tan", weigh(30), use(2), use(2), inventory.PotEvent{Kind: inventory.Used, Volume: fixture.Vol(1)}, weigh(30-1.2*5))
	seen, _, _ := Observations(b, c, &inventory.Shelf{Pots: []inventory.Pot{*p}}, fixture.Noon.AddDate(1, 0, 0))
	fixture.CloseTo(t, "measured use taken off", seen[0].Actual, 4, .08) // some water went too
	fixture.CloseTo(t, "estimated", seen[0].Estimated, 4, 1e-9)
	fixture.CloseTo(t, "equal jobs", seen[0].Jobs, 2, 1e-9)
}
