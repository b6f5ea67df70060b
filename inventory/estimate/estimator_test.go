package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
)

// The chain test of facts section 3: 170 cm, 70 kg at 1:56 is 5.7708 cm2, with
// 1 clo (x 1.28) and usual kit (x 1.30) 9.6025 cm2; a wet coat of 20, 35, 50
// and 75 um with 20 % loss is 0.02401, 0.04201, 0.06002 and 0.09002 ml.
func TestChainFromBodyToVolume(t *testing.T) {
	c := fixture.SmallCatalogue()
	loss := 0.2
	for film, want := range map[float64]float64{20: 0.02401, 35: 0.04201, 50: 0.06002, 75: 0.09002} {
		s := &inventory.Step{
			ID:      "s",
			Regions: inventory.RegionSet{All: true, Except: []string{"base-top"}},
			Mix:     fixture.One("black"),
			FilmUM:  film,
			Loss:    &loss,
		}
		sum := fixture.Must[StepSum](t)(NewEstimator(c, nil).Sum(c.Forces[0].Units[0], s, s.Mix, nil, 1))
		per := fixture.Must[coverage.Estimate](t)(sum.PerFigure())
		fixture.CloseTo(t, "ml a figure", per.Median, want, 1e-5)
	}
	body := inventory.FigureType{Body: &inventory.Body{StatureCM: 170, MassKG: 70, Scale: 56, Clo: 1, Kit: 1.3}}
	area, _, err := body.Area()
	if err != nil {
		t.Fatal(err)
	}
	// Figures carry besides what no brush reaches, 0.9 by assumption.
	fixture.CloseTo(t, "cm2", area.Median, 9.6025*coverage.Reached.Value, 1e-3)
}

func TestRegionCover(t *testing.T) {
	f := fixture.SmallCatalogue().Figures[0]
	for _, c := range []struct {
		set        inventory.RegionSet
		share, own float64
	}{
		{inventory.RegionSet{All: true}, 1, 4.909},
		{inventory.RegionSet{All: true, Except: []string{"base-top"}}, 1, 0},
		{inventory.RegionSet{All: true, Except: []string{"cloth", "base-top"}}, 0.45, 0},
		{inventory.RegionSet{Names: []string{"cloth", "straps"}}, 0.70, 0},
		{inventory.RegionSet{Names: []string{"base-top"}}, 0, 4.909},
	} {
		share, own, err := f.Cover(c.set)
		if err != nil {
			t.Fatal(err)
		}
		fixture.CloseTo(t, "share", share, c.share, 1e-12)
		fixture.CloseTo(t, "own area", own, c.own, 1e-12)
	}
}

// A mix of 2:1 splits what is applied, and a medium takes its part of it.
func TestUsesSplit(t *testing.T) {
	sum := StepSum{Applied: coverage.Estimate{Median: 6, LogSD: 0.2}, Thinner: 1}
	uses := sum.Uses(inventory.Mix{{Paint: "leather", Parts: 2}, {Paint: "black", Parts: 1}},
		&inventory.Thinning{Medium: "medium", PaintParts: 1, MediumParts: 1})
	want := []PaintUse{
		{"leather", coverage.Estimate{Median: 2, LogSD: 0.2}},
		{"black", coverage.Estimate{Median: 1, LogSD: 0.2}},
		{"medium", coverage.Estimate{Median: 3, LogSD: 0.2}},
	}
	if len(uses) != len(want) {
		t.Fatalf("uses %v, want %v", uses, want)
	}
	for i := range want {
		if uses[i].Paint != want[i].Paint {
			t.Errorf("use %d is %s, want %s", i, uses[i].Paint, want[i].Paint)
		}
		fixture.CloseTo(t, uses[i].Paint, uses[i].Amount.Median, want[i].Amount.Median, 1e-12)
	}
}

// Water is not drawn down.
func TestWaterIsFree(t *testing.T) {
	sum := StepSum{Applied: coverage.Exact(4), Thinner: 1}
	uses := sum.Uses(fixture.One("shade"), &inventory.Thinning{Medium: "", PaintParts: 1, MediumParts: 1})
	if len(uses) != 1 {
		t.Fatalf("thinned with water it takes %v", uses)
	}
	fixture.CloseTo(t, "shade", uses[0].Amount.Median, 2, 1e-12)
}

// What has been learned moves the estimate by its factor and stands in for
// the ranges of the defaults.
func TestLearnedFactor(t *testing.T) {
	c := fixture.SmallCatalogue()
	u, s := c.Forces[0].Units[0], &c.Recipes[0].Steps[1]
	plain := fixture.Must[StepSum](t)(NewEstimator(c, nil).Sum(u, s, s.Mix, nil, 10))
	f := inventory.Factor{
		Level:        inventory.PaintLevel,
		Key:          "cloth-a",
		LogMean:      math.Log(1.5),
		LogSD:        0.1,
		Observations: 12,
	}
	wide := inventory.Factor{
		Level:        inventory.MethodLevel,
		Key:          string(coverage.Brush),
		LogMean:      math.Log(9),
		LogSD:        0.1,
		Observations: 12,
	}
	unlearned := inventory.Factor{Level: inventory.TypeLevel, Key: string(inventory.OneCoat), LogMean: 5}
	sum := fixture.Must[StepSum](t)(NewEstimator(c, inventory.Factors{wide, f, unlearned}).Sum(u, s, s.Mix,
		nil, 10))
	// Film x 1.5 and the tables' waste, each with its own scatter, added by their
	// first two moments (Fenton), worked out apart.
	film, waste := 1.5*fixture.Must[coverage.Estimate](t)(plain.Step.PerFigure()).Median*10, plain.Step.WasteML.Median
	sf := math.Sqrt(.1*.1 + inventory.JobSD*inventory.JobSD + plain.Step.AreaCM2.LogSD*plain.Step.AreaCM2.LogSD)
	sw := math.Hypot(plain.Step.WasteML.LogSD, inventory.WasteJobSD)
	mf, mw := film*math.Exp(sf*sf/2), waste*math.Exp(sw*sw/2)
	s2 := math.Log1p((mf*mf*math.Expm1(sf*sf) + mw*mw*math.Expm1(sw*sw)) / ((mf + mw) * (mf + mw)))
	fixture.CloseTo(t, "median", sum.Applied.Median, (mf+mw)*math.Exp(-s2/2), 1e-9)
	fixture.CloseTo(t, "log-sd", sum.Applied.LogSD, math.Sqrt(s2), 1e-9)
	// Twice the waste does not make forty figures dearer by half: it is a sitting's.
	hand := inventory.Factor{
		Level:        inventory.PaintLevel,
		Key:          "cloth-a",
		LogSD:        1e-6,
		Observations: 9,
		WasteMean:    math.Ln2,
		WasteSD:      1e-6,
		JobFilm:      1e-6,
		JobWaste:     1e-6,
	}
	forty := fixture.Must[StepSum](t)(NewEstimator(c, inventory.Factors{hand}).Sum(u, s, s.Mix, nil, 40))
	tabled := fixture.Must[StepSum](t)(NewEstimator(c, nil).Sum(u, s, s.Mix, nil, 40))
	f40, w40, n40 := tabled.Tabled()
	if n40 != coverage.Sittings(40, u.Batch) {
		t.Errorf("%d sittings", n40)
	}
	fixture.CloseTo(t, "twice the waste", forty.Applied.Mean(),
		f40*math.Exp(tabled.Step.AreaCM2.LogSD*tabled.Step.AreaCM2.LogSD/2)+2*w40, 1e-4)
}

// More of anything never needs less: figures, coats, film, share, loss.
func TestMoreNeverNeedsLess(t *testing.T) {
	c := fixture.SmallCatalogue()
	e := NewEstimator(c, nil)
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		loss := r.Float64() * 0.8
		s := inventory.Step{
			ID:      "s",
			Regions: inventory.RegionSet{Names: []string{"cloth"}},
			Mix:     fixture.One([]string{"cloth-a", "leather", "shade", "bone-can", "soft-pencil"}[r.IntN(5)]),
			Coats:   1 + r.IntN(4),
			FilmUM:  float64(r.IntN(200)),
			Share:   r.Float64(),
			Loss:    &loss,
		}
		u := inventory.Unit{ID: "u", Figure: "walker", Batch: r.IntN(6)}
		n := 1 + r.IntN(30)
		base := fixture.Must[StepSum](t)(e.Sum(u, &s, s.Mix, nil, n)).Applied.Quantile(0.9)
		more := func(what string, change func(*inventory.Step, *inventory.Unit, *int)) {
			s2, u2, n2 := s, u, n
			change(&s2, &u2, &n2)
			if got := fixture.Must[StepSum](t)(e.Sum(u2, &s2, s2.Mix, nil, n2)).Applied.Quantile(0.9); got < base-1e-12 {
				t.Fatalf("%s: %g ml after %g ml, for %+v", what, got, base, s)
			}
		}
		more("figures", func(_ *inventory.Step, _ *inventory.Unit, n *int) { *n++ })
		more("coats", func(s *inventory.Step, _ *inventory.Unit, _ *int) { s.Coats++ })
		more("regions", func(s *inventory.Step, _ *inventory.Unit, _ *int) {
			s.Regions.Names = []string{"cloth", "straps"}
		})
		more("loss", func(s *inventory.Step, _ *inventory.Unit, _ *int) { l := loss + 0.1; s.Loss = &l })
		more("smaller batches", func(_ *inventory.Step, u *inventory.Unit, _ *int) {
			if u.Batch == 0 {
				u.Batch = n
			}
			u.Batch = max(1, u.Batch-1)
		})
	}
}

// How many figures a pot does and what that many figures need agree.
func TestServingsAgreeWithSum(t *testing.T) {
	c := fixture.SmallCatalogue()
	e := NewEstimator(c, nil)
	servings := fixture.Must[[]Serving](t)(e.Servings(c, "leather", coverage.Exact(8), 0, 0.9))
	if len(servings) != 1 || servings[0].Step != "straps" || servings[0].Kind != OwnOption {
		t.Fatalf("leather serves %v", servings)
	}
	sv := servings[0]
	if !(0 < sv.AtLeast && sv.AtLeast < sv.Likely && sv.Likely < sv.AtMost) {
		t.Errorf("at least %d, likely %d, at most %d figures", sv.AtLeast, sv.Likely, sv.AtMost)
	}
	if sv.Batch != UsualBatch || !sv.Assumed || !(sv.Wasted > 0 && sv.Wasted < 1) {
		t.Errorf("nobody says how many sit together: %+v", sv)
	}
	// usable / (F + W/b), with ten a sitting, of a mix of which leather is two thirds.
	s := &c.Recipes[0].Steps[2]
	sum := fixture.Must[StepSum](t)(e.Sum(inventory.Unit{Figure: "walker"}, s, s.Mix, nil, 1))
	per := fixture.Must[coverage.Estimate](t)(sum.PerFigure())
	n := 8 / (coverage.Sum(0, per, sum.WasteOfSitting().Scale(.1)).Median * 2 / 3)
	fixture.CloseTo(t, "figures", float64(sv.Likely), n, .05*n)
	c.Forces[0].Units[0].Batch = 4
	servings = fixture.Must[[]Serving](t)(e.Servings(c, "leather", coverage.Exact(8), 0, 0.9))
	if four := servings[0]; four.Batch != 4 || four.Assumed ||
		!(four.Likely < sv.Likely && four.Wasted > sv.Wasted) {
		t.Errorf("four a sitting, as the unit says: %+v, ten: %+v", four, sv)
	}
}

func BenchmarkNeeds200x12(b *testing.B) {
	c := fixture.SmallCatalogue()
	r := &c.Recipes[0]
	for len(r.Steps) < 12 {
		s := r.Steps[len(r.Steps)%4]
		s.ID = "more-" + string(rune('a'+len(r.Steps)))
		r.Steps = append(r.Steps, s)
	}
	f := &inventory.Force{ID: "big"}
	for i := range 200 {
		f.Units = append(f.Units, inventory.Unit{
			ID:      "u" + string(rune('a'+i/26)) + string(rune('a'+i%26)),
			Figures: 10,
			Figure:  "walker",
			Recipe:  "plain",
		})
	}
	for b.Loop() {
		if _, err := ForceNeeds(c, f, nil, NeedRules{}); err != nil {
			b.Fatal(err)
		}
	}
}
