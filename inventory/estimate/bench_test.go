package estimate

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shelf"
)

// largeForce is 200 units of 8 figures with recipes of 12 steps over 60
// paints; every third step has an alternative.
func largeForce() *inventory.Catalogue {
	rng := rand.New(rand.NewPCG(200, 12))
	types := []inventory.PaintType{
		inventory.PrimerSpray, inventory.OneCoat, inventory.Base, inventory.Layer, inventory.Wash,
		inventory.Highlight, inventory.Metallic, inventory.Varnish,
	}
	regions := []inventory.Region{
		{Name: "head", Share: .09},
		{Name: "jacket", Share: .40},
		{Name: "hands", Share: .05},
		{Name: "trousers", Share: .39},
		{Name: "boots", Share: .07},
	}
	c := &inventory.Catalogue{Figures: []inventory.FigureType{{
		ID:      "fig",
		Body:    &inventory.Body{Scale: 56, Clo: .87},
		Regions: regions,
	}}}
	for i := range 60 {
		c.Paints = append(c.Paints, inventory.Paint{ID: fmt.Sprintf("paint-%d", i), Type: types[i%len(types)]})
	}
	paint := func() inventory.Mix { return fixture.One(c.Paints[rng.IntN(len(c.Paints))].ID) }
	for i := range 20 {
		r := inventory.Recipe{ID: fmt.Sprintf("recipe-%d", i)}
		for j := range 12 {
			s := inventory.Step{
				ID:      fmt.Sprintf("step-%d", j),
				Regions: inventory.RegionSet{Names: []string{regions[j%5].Name}},
				Mix:     paint(),
			}
			if j%3 == 0 {
				s.Alternatives = []inventory.Alternative{{Mix: paint(), Compromise: 1}}
			}
			r.Steps = append(r.Steps, s)
		}
		c.Recipes = append(c.Recipes, r)
	}
	f := inventory.Force{ID: "large"}
	for i := range 200 {
		f.Units = append(f.Units, inventory.Unit{
			ID:      fmt.Sprintf("unit-%d", i),
			Figures: 8,
			Figure:  "fig",
			Recipe:  c.Recipes[i%20].ID,
			Batch:   4,
		})
	}
	c.Forces = []inventory.Force{f}
	return c
}

// largeShelf is two pots of each paint, one of them half used.
func largeShelf(c *inventory.Catalogue) *inventory.Shelf {
	s := &inventory.Shelf{}
	for _, p := range c.Paints {
		for i := range 2 {
			pot := inventory.Pot{
				ID:      fmt.Sprintf("%s-%d", p.ID, i),
				Paint:   p.ID,
				Nominal: 17 * inventory.Millilitre,
				Events:  []inventory.PotEvent{{ID: 1, Kind: inventory.Bought, At: fixture.Noon}},
			}
			if i == 1 {
				pot.Events = append(pot.Events, inventory.PotEvent{
					ID:       2,
					Kind:     inventory.Judged,
					At:       fixture.Noon.AddDate(0, 1, 0),
					Fraction: fixture.Frac(.5),
				})
			}
			s.Pots = append(s.Pots, pot)
		}
	}
	return s
}

// The estimate of a force: needs, levels and sums by paint.
func BenchmarkEstimate200Units12Steps(b *testing.B) {
	c := largeForce()
	stocked, now := largeShelf(c), fixture.Noon.AddDate(0, 2, 0)
	for b.Loop() {
		needs, err := ForceNeeds(c, &c.Forces[0], nil, NeedRules{})
		if err != nil {
			b.Fatal(err)
		}
		levels := levelsOf(stocked, c.Index(), now)
		EstimateForce(needs, shelf.StockOf(levels, .9), func(_ string, u PaintUse) inventory.Volume {
			return u.UL(.9)
		})
	}
}

func BenchmarkFinishable200Units12Steps(b *testing.B) {
	c := largeForce()
	levels := levelsOf(largeShelf(c), c.Index(), fixture.Noon.AddDate(0, 2, 0))
	e := NewEstimator(c, nil)
	for b.Loop() {
		f, err := e.Finishable(&c.Forces[0], levels, NeedRules{}, .9)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(f.Together), "figures")
		b.ReportMetric(float64(f.Bound), "at-most")
	}
}

func BenchmarkSensitivity200Units12Steps(b *testing.B) {
	c := largeForce()
	levels := levelsOf(largeShelf(c), c.Index(), fixture.Noon.AddDate(0, 2, 0))
	e := NewEstimator(c, nil)
	for b.Loop() {
		if _, err := e.Sensitivity(&c.Forces[0], levels, NeedRules{}); err != nil {
			b.Fatal(err)
		}
	}
}
