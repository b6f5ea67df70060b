package hand

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
)

func sawRatio(paint string, day int, ratio float64) Observation {
	p := fixture.LevelCatalogue.Index().Paints[paint]
	at := fixture.Noon.AddDate(0, 0, day)
	return Observation{Pot: paint + "-1", Paint: paint, Type: p.Type, Method: p.Type.UsualMethod(), From: at.Add(-time.Hour), To: at, Actual: ratio, Estimated: 1, Jobs: 1}
}

// The single factor: prior median 1 with 0.5, jobs 0.3, four observations;
// computed from the closed form of a normal mean (Gelman et al., Bayesian Data
// Analysis, ch. 2, from memory; the normal cases with published data stand in
// level_test.go).
func TestLearnFactorValues(t *testing.T) {
	prior := coverage.Estimate{Median: 1, LogSD: 0.5}
	got := learnAlone(prior, 0.3, 1.20, 1.35, 0.95, 1.10)
	fixture.CloseTo(t, "log mean", math.Log(got.Median), 0.12074382, 5e-9)
	fixture.CloseTo(t, "log sd", got.LogSD, 0.14367394, 5e-9)
	fixture.CloseTo(t, "median", got.Median, 1.128336, 5e-7)
	fixture.CloseTo(t, "mean", got.Mean(), 1.140042, 5e-7)
	next := coverage.Estimate{Median: got.Median, LogSD: math.Hypot(got.LogSD, 0.3)}
	fixture.CloseTo(t, "next job", next.LogSD, 0.33262923, 5e-9)

	fixture.CloseTo(t, "90 % multiplier", next.Quantile(.9), 1.728105, 5e-7)
	for _, c := range []struct {
		mean, sd, noise, seen float64
		n                     int
		wantMean, wantSD      float64
	}{{180, 40, 20, 150, 10, 150.731707, 6.246950}, {98.6, 0.7, 1, 97.7, 208, 97.708745, 0.069000}} {
		var ratios []float64
		for range c.n { // on the log, shifted by 100 to stay within floating point
			ratios = append(ratios, math.Exp(c.seen-100))
		}
		e := learnAlone(coverage.Estimate{Median: math.Exp(c.mean - 100), LogSD: c.sd}, c.noise, ratios...)
		fixture.CloseTo(t, "mean", math.Log(e.Median)+100, c.wantMean, 1e-6)
		fixture.CloseTo(t, "sd", e.LogSD, c.wantSD, 1e-6)
	}
}

// learnAlone puts the logs of ratios to one node of the tree with its prior.
func learnAlone(prior coverage.Estimate, jobSD float64, ratios ...float64) coverage.Estimate {
	n := &node{variance: square(prior.LogSD)} // a prior about 0: shift to it and back
	for _, r := range ratios {
		n.add(math.Log(r)-math.Log(prior.Median), square(jobSD))
	}
	m, v := n.posterior()
	return coverage.Estimate{Median: prior.Median * math.Exp(m), LogSD: math.Sqrt(v)}
}

// With one paint only the tree is the single factor, when its three components
// make up a prior deviation of 0.5 and jobs scatter by 0.3.
func TestTreeOfOnePaintIsTheSingleFactor(t *testing.T) {
	var seen []Observation
	for i, r := range []float64{1.20, 1.35, 0.95, 1.10} {
		seen = append(seen, sawRatio("tan", i, r))
	}
	rules := inventory.DefaultLearnRules()
	up := square(.5 / inventory.HandSD(coverage.Brush))
	rules.MethodPart, rules.TypePart, rules.PaintPart, rules.JobSD = .6*up, .25*up, .15*up, .3
	l := Learn(fixture.LevelCatalogue.Index(), seen, nil, rules)
	f, ok := l.Factors.Find(inventory.PaintLevel, "tan")
	if !ok || f.Observations != 4 {
		t.Fatalf("paint factor %+v", f)
	}
	fixture.CloseTo(t, "log mean", f.LogMean, 0.12074382, 5e-9)
	fixture.CloseTo(t, "log sd", f.LogSD, 0.14367394, 5e-9)
	m, _ := l.Factors.Find(inventory.MethodLevel, "brush")
	typ, _ := l.Factors.Find(inventory.TypeLevel, "base")
	if !(0 < m.LogMean && m.LogMean < typ.LogMean && typ.LogMean < f.LogMean && m.LogSD > typ.LogSD && typ.LogSD > f.LogSD) {
		t.Errorf("not shrunk from paint %+v to type %+v to method %+v", f, typ, m)
	}
}

// The tree against the whole: the same posterior from the joint normal of all
// effects, conditioned by elimination.
func TestTreeAgainstJointNormal(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	rules := inventory.DefaultLearnRules()
	rules.Absurd = math.Inf(1)
	c := &inventory.Catalogue{}
	types := []inventory.PaintType{inventory.Base, inventory.Layer, inventory.Wash}
	for i := range 7 {
		c.Paints = append(c.Paints, inventory.Paint{ID: string(rune('a' + i)), Type: types[i%3]})
	}
	idx := c.Index()
	var seen []Observation
	for i := range 25 {
		p := c.Paints[rng.IntN(5)]
		at := fixture.Noon.Add(time.Duration(i) * time.Hour)
		seen = append(seen, Observation{Pot: p.ID, Paint: p.ID, Type: p.Type, Method: p.Type.UsualMethod(), To: at,
			Actual: math.Exp(rng.NormFloat64() * .5), Estimated: 1, Jobs: 1 + float64(rng.IntN(3)), ReadingSD: .1 * rng.Float64()})
	}
	got := Learn(idx, seen, nil, rules)
	prior := func(a, b Observation) float64 {
		v := 0.0
		if a.Method == b.Method {
			v += square(rules.SD(inventory.MethodLevel, a.Method))
			if a.Type == b.Type {
				v += square(rules.SD(inventory.TypeLevel, a.Method))
				if a.Paint == b.Paint {
					v += square(rules.SD(inventory.PaintLevel, a.Method))
				}
			}
		}
		return v
	}
	for _, f := range got.Factors {
		if f.Level != inventory.PaintLevel {
			continue
		}
		p := idx.Paints[f.Key]
		at := Observation{Paint: p.ID, Type: p.Type, Method: p.Type.UsualMethod()}
		mean, variance := gaussianProcess(seen, at, prior, rules.JobSD)
		fixture.CloseTo(t, "mean of "+f.Key, f.LogMean, mean, 1e-9)
		fixture.CloseTo(t, "sd of "+f.Key, f.LogSD, math.Sqrt(variance), 1e-9)
	}
}

// gaussianProcess conditions the joint normal by solving K w = k.
func gaussianProcess(seen []Observation, at Observation, cov func(a, b Observation) float64, jobSD float64) (mean, variance float64) {
	n := len(seen)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n+2)
		for j := range n {
			a[i][j] = cov(seen[i], seen[j])
		}
		a[i][i] += jobSD*jobSD/seen[i].Jobs + square(seen[i].ReadingSD)
		a[i][n], a[i][n+1] = seen[i].Log(), cov(seen[i], at)
	}
	for i := range n {
		for j := range n {
			if j != i {
				f := a[j][i] / a[i][i]
				for k := i; k < n+2; k++ {
					a[j][k] -= f * a[i][k]
				}
			}
		}
	}
	variance = cov(at, at)
	for i := range n {
		k := cov(seen[i], at)
		mean += k * a[i][n] / a[i][i]
		variance -= k * a[i][n+1] / a[i][i]
	}
	return mean, variance
}

func TestAbsurdObservationIsFlagged(t *testing.T) {
	idx, rules := fixture.LevelCatalogue.Index(), inventory.DefaultLearnRules()
	seen := []Observation{sawRatio("tan", 1, 1.1), sawRatio("tan", 2, 1.2), sawRatio("tan", 3, 1.0)}
	clean := Learn(idx, seen, nil, rules)
	spill := sawRatio("tan", 4, 9)
	spilt := Learn(idx, append(seen, spill), nil, rules)
	if len(spilt.Flagged) != 1 || !slices.Equal(spilt.Factors, clean.Factors) {
		t.Errorf("flagged %d, factors %+v, want those without the spill %+v", len(spilt.Flagged), spilt.Factors, clean.Factors)
	}
	last := spilt.History[len(spilt.History)-1]
	if last.Change != inventory.FactorFlagged || last.Observed != 9 || last.Note == "" || last.Factor.Key != "tan" {
		t.Errorf("history ends with %+v", last)
	}
	spill.Accepted = true
	if l := Learn(idx, append(seen, spill), nil, rules); len(l.Flagged) != 0 || l.Factors[len(l.Factors)-1].LogMean <= clean.Factors[len(clean.Factors)-1].LogMean {
		t.Errorf("accepted by the painter, yet not learned: %+v", l.Factors)
	}
}

func TestPinAndReset(t *testing.T) {
	idx, rules := fixture.LevelCatalogue.Index(), inventory.DefaultLearnRules()
	seen := []Observation{sawRatio("tan", 1, 2), sawRatio("tan", 2, 2), sawRatio("grey", 3, 1.5), sawRatio("tan", 20, 1.5)}
	setting := func(change inventory.ChangeKind, l inventory.FactorLevel, key string, day int, mean float64) inventory.FactorChange {
		return inventory.FactorChange{Change: change, Factor: inventory.Factor{Level: l, Key: key, LogMean: mean, LogSD: .05, Updated: fixture.Noon.AddDate(0, 0, day)}}
	}
	pinned := Learn(idx, seen, []inventory.FactorChange{setting(inventory.FactorPinned, inventory.PaintLevel, "tan", 10, math.Log(.8))}, rules)
	f, _ := pinned.Factors.Find(inventory.PaintLevel, "tan")
	if !f.Pinned || f.LogMean != math.Log(.8) || f.LogSD != .05 {
		t.Errorf("pinned at 0.8: %+v", f)
	}
	// A pinned paint teaches its type nothing more; the grey alone is left.
	alone := Learn(idx, seen[2:3], nil, rules)
	got, _ := pinned.Factors.Find(inventory.TypeLevel, "base")
	want, _ := alone.Factors.Find(inventory.TypeLevel, "base")
	fixture.CloseTo(t, "type beside a pinned paint", got.LogMean, want.LogMean, 1e-9)

	reset := Learn(idx, seen, []inventory.FactorChange{setting(inventory.FactorReset, inventory.TypeLevel, "base", 10, 0)}, rules)
	fresh := Learn(idx, seen[3:], nil, rules)
	for i, f := range reset.Factors {
		g := fresh.Factors[i]
		if f.Level == inventory.MethodLevel { // counts what its types have seen
			continue
		}
		fixture.CloseTo(t, "after the reset", f.LogMean, g.LogMean, 1e-9)
		if f.Key != g.Key || f.Observations != g.Observations {
			t.Errorf("after the reset %+v, want %+v", f, g)
		}
	}
	if _, ok := reset.Factors.Find(inventory.PaintLevel, "grey"); ok {
		t.Error("resetting the type left its paint grey")
	}
	unpinned := Learn(idx, seen, []inventory.FactorChange{setting(inventory.FactorPinned, inventory.PaintLevel, "tan", 10, 0), setting(inventory.FactorReset, inventory.PaintLevel, "tan", 11, 0)}, rules)
	if f, ok := unpinned.Factors.Find(inventory.PaintLevel, "tan"); !ok || f.Pinned || f.Observations != 1 {
		t.Errorf("pinned, then reset: %+v", f)
	}
	early := Learn(idx, nil, []inventory.FactorChange{setting(inventory.FactorPinned, inventory.TypeLevel, "base", 1, .3)}, rules)
	if f, ok := early.Factors.For(coverage.Brush, *idx.Paints["grey"]); !ok || f.LogMean != .3 || f.LogSD != .05 {
		t.Errorf("pinned before any work: %+v", f)
	}
}

// The prior of the hand is what the tables' ranges come to: a brush coat of 20
// to 60 um and a loss of 15 to 40 % leave about a third.
func TestHandSD(t *testing.T) {
	want := map[inventory.Method][2]float64{coverage.Brush: {.3, .4}, coverage.Wash: {.3, .45}, coverage.DryBrush: {.5, .7}, coverage.Airbrush: {.3, .5}, coverage.SprayCan: {.4, .6}, coverage.Stick: {.6, .7}, "fling": {.5, .5}}
	for m, r := range want {
		if sd := inventory.HandSD(m); sd < r[0] || sd > r[1] {
			t.Errorf("%s: %.3f, want %g to %g", m, sd, r[0], r[1])
		}
	}
	r := inventory.DefaultLearnRules()
	fixture.CloseTo(t, "components", math.Hypot(math.Hypot(r.SD(inventory.MethodLevel, coverage.Brush), r.SD(inventory.TypeLevel, coverage.Brush)), r.SD(inventory.PaintLevel, coverage.Brush)), inventory.HandSD(coverage.Brush), 1e-12)
}

// A type's factor leaves open what its paints differ by.
func TestWiderFactorIsWider(t *testing.T) {
	typ := inventory.Factor{Level: inventory.TypeLevel, Key: string(inventory.Base), LogSD: .1, Observations: 5}
	f, ok := inventory.Factors{typ}.For(coverage.Brush, inventory.Paint{ID: "new", Type: inventory.Base})
	if !ok || math.Abs(f.LogSD-math.Hypot(.1, inventory.DefaultLearnRules().SD(inventory.PaintLevel, coverage.Brush))) > 1e-12 {
		t.Errorf("factor %+v", f)
	}
	typ.Pinned = true
	if f, _ := (inventory.Factors{typ}).For(coverage.Brush, inventory.Paint{ID: "new", Type: inventory.Base}); f.LogSD != .1 {
		t.Errorf("pinned: %+v", f)
	}
}

// Work by another method than the type's usual teaches that method alone.
func TestUnusualMethod(t *testing.T) {
	o := sawRatio("tan", 1, 1.5)
	o.Method = coverage.Airbrush
	l := Learn(fixture.LevelCatalogue.Index(), []Observation{o}, nil, inventory.DefaultLearnRules())
	if len(l.Factors) != 1 || l.Factors[0].Key != "airbrush" || !(l.Factors[0].LogMean > 0) {
		t.Fatalf("factors %+v", l.Factors)
	}
	tan := *fixture.LevelCatalogue.Index().Paints["tan"]
	if _, ok := l.Factors.For(coverage.Brush, tan); ok {
		t.Error("the airbrush taught the brush")
	}
	r := inventory.DefaultLearnRules()
	if f, ok := l.Factors.For(coverage.Airbrush, tan); !ok || math.Abs(f.LogSD-math.Hypot(l.Factors[0].LogSD, math.Hypot(r.SD(inventory.TypeLevel, coverage.Airbrush), r.SD(inventory.PaintLevel, coverage.Airbrush)))) > 1e-12 {
		t.Errorf("airbrushed tan: %+v", f)
	}
}

func TestOrderOfObservationsDoesNotMatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	var seen []Observation
	for i := range 40 {
		seen = append(seen, sawRatio([]string{"tan", "grey"}[i%2], i, math.Exp(.4*rng.NormFloat64())))
	}
	want := Learn(fixture.LevelCatalogue.Index(), seen, nil, inventory.DefaultLearnRules())
	rng.Shuffle(len(seen), func(i, j int) { seen[i], seen[j] = seen[j], seen[i] })
	if got := Learn(fixture.LevelCatalogue.Index(), seen, nil, inventory.DefaultLearnRules()); !slices.Equal(got.Factors, want.Factors) {
		t.Errorf("shuffled %+v, in order %+v", got.Factors, want.Factors)
	}
}

func BenchmarkLearn10kObservations(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 9))
	var seen []Observation
	for i := range 10_000 {
		seen = append(seen, sawRatio([]string{"tan", "grey"}[i%2], i, math.Exp(.4*rng.NormFloat64())))
	}
	idx := fixture.LevelCatalogue.Index()
	for b.Loop() {
		Learn(idx, seen, nil, inventory.DefaultLearnRules())
	}
}
