package inventory

import (
	"strings"
	"testing"
)

func TestLogWork(t *testing.T) {
	c := smallCatalogue()
	idx := c.Index()
	half, low := 0.5, 0.033
	at := noon.AddDate(0, 0, -1)
	shelf := &Shelf{Pots: []Pot{
		{ID: "leather-new", Paint: "leather", Nominal: 17 * Millilitre, Events: []PotEvent{{ID: 1, Kind: Bought, At: at}}},
		{ID: "leather-old", Paint: "leather", Nominal: 17 * Millilitre, Opened: &at, Events: []PotEvent{{ID: 2, Kind: Judged, At: at, Fraction: &low}}},
		{ID: "strap-half", Paint: "strap-b", Nominal: 12 * Millilitre, Opened: &at, Events: []PotEvent{{ID: 3, Kind: Judged, At: at, Fraction: &half}}},
	}}
	e := NewEstimator(c, nil)
	levels := ShelfLevels(shelf, idx, nil, noon)
	got := must[*Logged](t)(e.LogWork(&c.Forces[0], Job{ID: "j1", Unit: "first", Steps: []string{"straps"}, Figures: 10, At: noon}, levels))
	// No black on the shelf: the stand-in was used.
	if len(got.Work) != 1 || got.Work[0].Mix != "1:strap-b+2:leather" || got.Work[0].Figures != 10 || got.Work[0].Job != "j1" {
		t.Fatalf("work %+v", got.Work)
	}
	sum := must[StepSum](t)(e.Sum(c.Forces[0].Units[0], &c.Recipes[0].Steps[2], Mix{{"leather", 2}, {"strap-b", 1}}, nil, 10))
	drawn := map[string]Volume{}
	var order []string
	for _, d := range got.Draws {
		drawn[d.Pot] += *d.Event.Volume
		order = append(order, d.Pot)
		if !d.Event.Estimated || d.Event.Job != "j1" || d.Event.Kind != Used {
			t.Errorf("event %+v", d.Event)
		}
	}
	closeTo(t, "leather", (drawn["leather-new"] + drawn["leather-old"]).ML(), sum.Applied.Median*2/3, 0.001)
	closeTo(t, "strap", drawn["strap-half"].ML(), sum.Applied.Median/3, 0.001)
	if order[0] != "leather-old" || len(order) != 3 || len(got.Missing) != 0 {
		t.Errorf("drawn from %v, missing %v", order, got.Missing)
	}
}

func TestLogWorkSlips(t *testing.T) {
	c := smallCatalogue()
	f := &c.Forces[0]
	f.Done = []Work{{Unit: "first", Step: "cloth", Figures: 8}, {Unit: "first", Step: "prime", Figures: 10}}
	e := NewEstimator(c, nil)
	for says, job := range map[string]Job{
		"nearest: first":    {Unit: "frist", Steps: []string{"cloth"}, At: noon},
		"nearest: cloth":    {Unit: "first", Steps: []string{"clothh"}, At: noon},
		"at most the 2":     {Unit: "first", Steps: []string{"cloth"}, Figures: 3, At: noon},
		"done on all 10":    {Unit: "first", Steps: []string{"prime"}, At: noon},
		"at least one step": {Unit: "first", At: noon},
		"each step once":    {Unit: "first", Steps: []string{"cloth", "cloth"}, At: noon},
		"one of its ways":   {Unit: "first", Steps: []string{"cloth"}, Mixes: map[string]string{"cloth": "black"}, At: noon},
		"when it was done":  {Unit: "first", Steps: []string{"cloth"}},
	} {
		if _, err := e.LogWork(f, job, nil); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v: error %v, want one that says %q", job, err, says)
		}
	}
	got := must[*Logged](t)(e.LogWork(f, Job{Unit: "first", Steps: []string{"cloth"}, At: noon}, nil))
	if got.Work[0].Figures != 2 || len(got.Draws) != 0 || len(got.Missing) != 1 || got.Missing[0].Paint != "cloth-a" {
		t.Errorf("with an empty shelf: %+v", got)
	}
}
