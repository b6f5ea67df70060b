package coverage

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"
	"testing/quick"
)

// Standard normal quantiles as in every table of statistics.
func TestNormalQuantiles(t *testing.T) {
	for p, z := range map[float64]float64{
		.75: .674490, .80: .841621, .90: 1.281552, .95: 1.644854, .975: 1.959964, .99: 2.326348,
		.995: 2.575829, .5: 0,
	} {
		near(t, "quantile", Normal(p), z, 5e-7)
		near(t, "and its mirror", Normal(1-p), -z, 5e-7)
	}
	near(t, "half-width of a 90 % range", z90, Normal(0.95), 1e-12)
}

// Lognormal demand of mean 20 and sd 8, computed.
func TestLognormalMoments(t *testing.T) {
	e := FromRelative(1, 8.0/20)
	e = e.Scale(20 / e.Mean())
	near(t, "log mean", math.Log(e.Median), 2.92152227, 5e-9)
	near(t, "log sd", e.LogSD, 0.38525317, 5e-9)
	near(t, "sd", e.SD(), 8, 1e-9)
	near(t, "q90", e.Quantile(0.90), 30.4244, 5e-5)
	near(t, "q95", e.Quantile(0.95), 34.9951, 5e-5)
}

func TestRangeIsTheCentralNinety(t *testing.T) {
	e := must(FromRange(35, 20, 60))
	low, high := e.Range()
	near(t, "ratio of the ends", high/low, 3, 1e-9)
	near(t, "share below the high end", e.Quantile(0.95), high, 1e-9)
	for _, bad := range [][3]float64{{1, 2, 3}, {3, 1, 2}, {1, 0, 2}, {1, 2, 1}, {1, math.NaN(), 2}} {
		if _, err := FromRange(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("range %v was taken", bad)
		}
	}
}

func TestProductAgainstSimulation(t *testing.T) {
	s := Step{
		AreaCM2:    Estimate{9.6, 0.2},
		Share:      Estimate{0.3, 0.15},
		Cover:      Exact(1),
		WetUM:      Estimate{35, 0.33},
		Coats:      2,
		Efficiency: Estimate{0.75, 0.1},
		WasteML:    Estimate{0.1, 0.7},
		Figures:    10,
		Batch:      5,
	}
	want := must(s.Volume())
	r := rand.New(rand.NewPCG(1, 2))
	draw := func(e Estimate) float64 { return e.Median * math.Exp(e.LogSD*r.NormFloat64()) }
	sample := make([]float64, 200_000)
	for i := range sample {
		sample[i] = draw(s.AreaCM2)*draw(s.Share)*draw(s.WetUM)*1e-4*2/draw(s.Efficiency)*10 + 2*draw(s.WasteML)
	}
	sort.Float64s(sample)
	for _, p := range []float64{0.05, 0.5, 0.9, 0.95} {
		got := sample[int(p*float64(len(sample)))]
		near(t, "quantile against 200,000 draws", want.Quantile(p)/got, 1, 0.06) // the lognormal shape of the sum is approximate
	}
}

func TestSumLaws(t *testing.T) {
	law := func(a, b uint8, s, u uint8) bool {
		x, y := Estimate{float64(a) + 1, float64(s) / 300}, Estimate{float64(b) + 1, float64(u) / 300}
		apart, together := Sum(0, x, y), Sum(1, x, y)
		okMean := math.Abs(apart.Mean()-x.Mean()-y.Mean()) < 1e-9*apart.Mean()
		okSD := math.Abs(apart.SD()-math.Hypot(x.SD(), y.SD())) < 1e-6 &&
			math.Abs(together.SD()-x.SD()-y.SD()) < 1e-6
		return okMean && okSD && together.LogSD >= apart.LogSD
	}
	if err := quick.Check(law, nil); err != nil {
		t.Error(err)
	}
	if Sum(0) != (Estimate{}) || Sum(0.5, Exact(0), Exact(0)) != (Estimate{}) {
		t.Error("a sum of nothing is not nothing")
	}
	if got := Sum(0, Exact(2), Exact(3)); math.Abs(got.Median-5) > 1e-12 || got.LogSD != 0 {
		t.Errorf("exact sum: %+v", got)
	}
}
