package estimate

import (
	"strings"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
)

func TestLogWork(t *testing.T) {
	c := fixture.SmallCatalogue()
	idx := c.Index()
	half, low := 0.5, 0.033
	at := fixture.Noon.AddDate(0, 0, -1)
	stocked := &inventory.Shelf{Pots: []inventory.Pot{
		{ID: "leather-new", Paint: "leather", Nominal: 17 * inventory.Millilitre,
			Events: []inventory.PotEvent{{ID: 1, Kind: inventory.Bought, At: at}}},
		{ID: "leather-old", Paint: "leather", Nominal: 17 * inventory.Millilitre, Opened: &at,
			Events: []inventory.PotEvent{{ID: 2, Kind: inventory.Judged, At: at, Fraction: &low}}},
		{ID: "strap-half", Paint: "strap-b", Nominal: 12 * inventory.Millilitre, Opened: &at,
			Events: []inventory.PotEvent{{ID: 3, Kind: inventory.Judged, At: at, Fraction: &half}}},
	}}
	e := NewEstimator(c, nil)
	levels := levelsOf(stocked, idx, fixture.Noon)
	got := fixture.Must[*Logged](t)(e.LogWork(&c.Forces[0],
		inventory.Job{ID: "j1", Unit: "first", Steps: []string{"straps"}, Figures: 10, At: fixture.Noon},
		levels))
	// No black on the shelf: the stand-in was used.
	if len(got.Work) != 1 || got.Work[0].Mix != "1:strap-b+2:leather" || got.Work[0].Figures != 10 ||
		got.Work[0].Job != "j1" {
		t.Fatalf("work %+v", got.Work)
	}
	sum := fixture.Must[StepSum](t)(e.Sum(c.Forces[0].Units[0], &c.Recipes[0].Steps[2],
		inventory.Mix{{Paint: "leather", Parts: 2}, {Paint: "strap-b", Parts: 1}}, nil, 10))
	drawn := map[string]inventory.Volume{}
	var order []string
	for _, d := range got.Draws {
		drawn[d.Pot] += *d.Event.Volume
		order = append(order, d.Pot)
		if !d.Event.Estimated || d.Event.Job != "j1" || d.Event.Kind != inventory.Used {
			t.Errorf("event %+v", d.Event)
		}
	}
	fixture.CloseTo(t, "leather", (drawn["leather-new"] + drawn["leather-old"]).ML(),
		sum.Applied.Median*2/3, 0.001)
	fixture.CloseTo(t, "strap", drawn["strap-half"].ML(), sum.Applied.Median/3, 0.001)
	if order[0] != "leather-old" || len(order) != 3 || len(got.Missing) != 0 {
		t.Errorf("drawn from %v, missing %v", order, got.Missing)
	}
}

func TestLogWorkSlips(t *testing.T) {
	c := fixture.SmallCatalogue()
	f := &c.Forces[0]
	f.Done = []inventory.Work{
		{Unit: "first", Step: "cloth", Figures: 8},
		{Unit: "first", Step: "prime", Figures: 10},
	}
	e := NewEstimator(c, nil)
	for says, job := range map[string]inventory.Job{
		"nearest: first":    {Unit: "frist", Steps: []string{"cloth"}, At: fixture.Noon},
		"nearest: cloth":    {Unit: "first", Steps: []string{"clothh"}, At: fixture.Noon},
		"at most the 2":     {Unit: "first", Steps: []string{"cloth"}, Figures: 3, At: fixture.Noon},
		"done on all 10":    {Unit: "first", Steps: []string{"prime"}, At: fixture.Noon},
		"at least one step": {Unit: "first", At: fixture.Noon},
		"each step once":    {Unit: "first", Steps: []string{"cloth", "cloth"}, At: fixture.Noon},
		"one of its ways": {Unit: "first", Steps: []string{"cloth"},
			Mixes: map[string]string{"cloth": "no-such-paint"}, At: fixture.Noon},
		"when it was done": {Unit: "first", Steps: []string{"cloth"}},
	} {
		if _, err := e.LogWork(f, job, nil); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v: error %v, want one that says %q", job, err, says)
		}
	}
	got := fixture.Must[*Logged](t)(e.LogWork(f,
		inventory.Job{Unit: "first", Steps: []string{"cloth"}, At: fixture.Noon}, nil))
	if got.Work[0].Figures != 2 || len(got.Draws) != 0 || len(got.Missing) != 1 ||
		got.Missing[0].Paint != "cloth-a" {
		t.Errorf("with an empty shelf: %+v", got)
	}
}
