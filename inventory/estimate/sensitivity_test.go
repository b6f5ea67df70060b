package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shelf"
)

func influencesOf(t *testing.T, all []PaintInfluences, paint string) PaintInfluences {
	t.Helper()
	for _, p := range all {
		if p.Paint == paint {
			return p
		}
	}
	t.Fatalf("no influences for %s", paint)
	return PaintInfluences{}
}

func TestSensitivity(t *testing.T) {
	c := fixture.SmallCatalogue()
	f := &c.Forces[0]
	book := shelf.NewLevelBook(c.Index(), shelf.Tares{}, nil, shelf.DefaultLevelRules())
	guessed := inventory.Pot{
		ID:      "a-1",
		Paint:   "cloth-a",
		Nominal: 17 * inventory.Millilitre,
		Opened:  &fixture.Noon,
		Events: []inventory.PotEvent{{ID: 1, Kind: inventory.Judged, At: fixture.Noon,
			Fraction: fixture.Frac(.12)}},
	}
	levels := []shelf.Level{book.Level(&guessed, fixture.Noon), sharpLevel("shade", 50)}
	all := fixture.Must[[]PaintInfluences](t)(NewEstimator(c, nil).Sensitivity(f, levels, NeedRules{}))
	for _, p := range all {
		sum := 0.0
		for i, x := range p.Influences {
			sum += x.Share
			if i > 0 && x.Share > p.Influences[i-1].Share {
				t.Errorf("%s: influences out of order", p.Paint)
			}
			if x.Input == "" || x.Of == "" {
				t.Errorf("%s: %+v has no name", p.Paint, x)
			}
		}
		fixture.CloseTo(t, "shares of "+p.Paint, sum, 1, 1e-9)
	}
	// The pot's level by eye (1.4 ml) outweighs the film of 16 coats.
	cloth := influencesOf(t, all, "cloth-a")
	if top := cloth.Influences[0]; top.Of != "a-1" || top.Advice != "weigh it" {
		t.Errorf("the cloth hangs on %+v", cloth.Influences[:3])
	}
	if first := WeighFirst(all, 3); len(first) != 1 || first[0].Of != "a-1" {
		t.Errorf("weigh first: %+v", first)
	}
	// The shade is known to the drop and plenty: the film weighs most of what
	// is left to doubt, and there is nothing to weigh.
	shade := influencesOf(t, all, "shade")
	if shade.Influences[0].Input != "wet film" || shade.Enough < .99 {
		t.Errorf("the shade hangs on %+v, enough with %.2f", shade.Influences[0], shade.Enough)
	}
	// Once learned, the hand stands for film and loss, and the waste for itself.
	learned := inventory.Factors{{Level: inventory.PaintLevel, Key: "shade", LogSD: .3,
		Observations: 2, WasteSD: .2}}
	shade = influencesOf(t,
		fixture.Must[[]PaintInfluences](t)(NewEstimator(c, learned).Sensitivity(f, levels, NeedRules{})),
		"shade")
	if shade.Influences[0].Input != "your hand" || len(shade.Influences) > 5 {
		t.Errorf("learned: %+v", shade.Influences)
	}
}

// The shares against simulation: freeze one input at its middle and see by how
// much the variance of what a step takes falls.
func TestSensitivityAgainstSimulation(t *testing.T) {
	c := fixture.SmallCatalogue()
	c.Forces[0].Units = c.Forces[0].Units[:1]
	e := NewEstimator(c, nil)
	got := influencesOf(t,
		fixture.Must[[]PaintInfluences](t)(e.Sensitivity(&c.Forces[0], nil, NeedRules{})), "cloth-a")
	s := &c.Recipes[0].Steps[1]
	sum := fixture.Must[StepSum](t)(e.Sum(c.Forces[0].Units[0], s, s.Mix, nil, 10))
	st := sum.Step
	rng := rand.New(rand.NewPCG(6, 6))
	variance := func(frozen string) float64 {
		var n, m, m2 float64
		draw := func(name string, e coverage.Estimate) float64 {
			if name == frozen {
				return e.Mean()
			}
			return e.Median * math.Exp(e.LogSD*rng.NormFloat64())
		}
		for range 60_000 {
			v := draw("painted area", st.AreaCM2) * st.Share.Median * draw("part that gets paint",
				st.Cover) * draw("wet film", st.WetUM) * 1e-4 / draw("part that reaches the figure",
				st.Efficiency) * 10
			v = (v + draw("waste a sitting", st.WasteML)) * draw("one time and the next", nothingLearned.Film())
			n++
			d := v - m
			m += d / n
			m2 += d * (v - m)
		}
		return m2 / n
	}
	all := variance("")
	for _, x := range got.Influences[:3] {
		fixture.CloseTo(t, x.Input, x.Share, 1-variance(x.Input)/all, .12)
	}
}
