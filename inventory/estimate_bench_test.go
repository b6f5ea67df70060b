package inventory

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// largeForce is 200 units of 8 figures with recipes of 12 steps over 60
// paints; every third step has an alternative.
func largeForce() *Catalogue {
	rng := rand.New(rand.NewPCG(200, 12))
	types := []PaintType{PrimerSpray, OneCoat, Base, Layer, Wash, Highlight, Metallic, Varnish}
	c := &Catalogue{Figures: []FigureType{{ID: "fig", Body: &Body{Scale: 56, Clo: .87}, Regions: HumanRegions()}}}
	for i := range 60 {
		c.Paints = append(c.Paints, Paint{ID: fmt.Sprintf("paint-%d", i), Type: types[i%len(types)]})
	}
	paint := func() Mix { return one(c.Paints[rng.IntN(len(c.Paints))].ID) }
	for i := range 20 {
		r := Recipe{ID: fmt.Sprintf("recipe-%d", i)}
		for j := range 12 {
			s := Step{ID: fmt.Sprintf("step-%d", j), Regions: RegionSet{Names: []string{HumanRegions()[j%5].Name}}, Mix: paint()}
			if j%3 == 0 {
				s.Alternatives = []Alternative{{Mix: paint(), Compromise: 1}}
			}
			r.Steps = append(r.Steps, s)
		}
		c.Recipes = append(c.Recipes, r)
	}
	f := Force{ID: "large"}
	for i := range 200 {
		f.Units = append(f.Units, Unit{ID: fmt.Sprintf("unit-%d", i), Figures: 8, Figure: "fig", Recipe: c.Recipes[i%20].ID, Batch: 4})
	}
	c.Forces = []Force{f}
	return c
}

// largeShelf is two pots of each paint, one of them half used.
func largeShelf(c *Catalogue) *Shelf {
	s := &Shelf{}
	for _, p := range c.Paints {
		for i := range 2 {
			pot := Pot{ID: fmt.Sprintf("%s-%d", p.ID, i), Paint: p.ID, Nominal: 17 * Millilitre, Events: []PotEvent{{ID: 1, Kind: Bought, At: noon}}}
			if i == 1 {
				pot.Events = append(pot.Events, PotEvent{ID: 2, Kind: Judged, At: noon.AddDate(0, 1, 0), Fraction: frac(.5)})
			}
			s.Pots = append(s.Pots, pot)
		}
	}
	return s
}

// The estimate of a force: needs, levels and sums by paint.
func BenchmarkEstimate200Units12Steps(b *testing.B) {
	c := largeForce()
	shelf, now := largeShelf(c), noon.AddDate(0, 2, 0)
	for b.Loop() {
		needs, err := ForceNeeds(c, &c.Forces[0], nil, NeedRules{})
		if err != nil {
			b.Fatal(err)
		}
		levels := ShelfLevels(shelf, c.Index(), nil, now)
		EstimateForce(needs, StockOf(levels, .9), .9)
	}
}

func BenchmarkFinishable200Units12Steps(b *testing.B) {
	c := largeForce()
	levels := ShelfLevels(largeShelf(c), c.Index(), nil, noon.AddDate(0, 2, 0))
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
	levels := ShelfLevels(largeShelf(c), c.Index(), nil, noon.AddDate(0, 2, 0))
	e := NewEstimator(c, nil)
	for b.Loop() {
		if _, err := e.Sensitivity(&c.Forces[0], levels, NeedRules{}); err != nil {
			b.Fatal(err)
		}
	}
}
