package shelf

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
)

// Quantiles of the standard normal: any statistical table.
func TestNormalQuantiles(t *testing.T) {
	for _, c := range []struct{ p, z float64 }{
		{.75, .674490}, {.80, .841621}, {.90, 1.281552}, {.95, 1.644854}, {.975, 1.959964}, {.99, 2.326348},
		{.995, 2.575829},
	} {
		fixture.CloseTo(t, "z", normal{0, 1}.quantile(c.p), c.z, 5e-7)
		fixture.CloseTo(t, "cdf", cdf(c.z), c.p, 5e-7)
		fixture.CloseTo(t, "above", normal{10, 2}.above(10-2*c.z), c.p, 5e-7)
	}
	// A worked posterior (tutorsglobe.com 52217380; digits computed): its central
	// 95 % and the chance to lie above 600.
	post := normal{554.372400, 12.846959}
	fixture.CloseTo(t, "low", post.quantile(.025), 529.1928, 5e-5)
	fixture.CloseTo(t, "high", post.quantile(.975), 579.5520, 5e-5)
	fixture.CloseTo(t, "above 600", post.above(600), 1.914e-4, 5e-8)
	fixture.CloseTo(t, "z95", z95, coverage.Normal(0.95), 1e-12)
}

// The normal loss function: tables in textbooks on inventory control, and the
// worked newsvendor problem of tutorsglobe.com 52554787 (demand normal 1000 and
// 200, understocking 40, overstocking 10).
func TestNormalLoss(t *testing.T) {
	for _, c := range []struct{ z, l float64 }{
		{0, .398942}, {.5, .197797}, {1, .083315}, {1.281552, .047343}, {1.644854, .020893}, {2, .008491},
	} {
		fixture.CloseTo(t, "loss", loss(c.z), c.l, 5e-7)
	}
	demand := normal{1000, 200}
	fixture.CloseTo(t, "order for 40/(40+10)", demand.quantile(40.0/50), 1168.3242, 5e-5)
	fixture.CloseTo(t, "expected short at 1169", demand.sd*loss((1169-demand.mean)/demand.sd), 22.1927, 5e-5)
	fixture.CloseTo(t, "order for 30/(30+20)", demand.quantile(0.6), 1050.6694, 5e-5)
}

// A lognormal demand of mean 20 and deviation 8 (computed from the closed form).
func TestLognormalQuantiles(t *testing.T) {
	e := coverage.FromRelative(20, 8.0/20)
	e.Median = 20 * math.Exp(-e.LogSD*e.LogSD/2)
	fixture.CloseTo(t, "mu", math.Log(e.Median), 2.92152227, 1e-8)
	fixture.CloseTo(t, "sigma", e.LogSD, 0.38525317, 1e-8)
	fixture.CloseTo(t, "q90", e.Quantile(.9), 30.4244, 5e-5)
	fixture.CloseTo(t, "q95", e.Quantile(.95), 34.9951, 5e-5)
	fixture.CloseTo(t, "chance below q90", belowLog(e, 30.4244), .9, 1e-5)
	// Fenton and Wilkinson: a sum keeps mean and variance. Independent: 60, 3*64.
	three := coverage.Sum(0, e, e, e)
	fixture.CloseTo(t, "mean of a sum", three.Mean(), 60, 1e-9)
	fixture.CloseTo(t, "deviation of a sum", three.SD(), math.Sqrt(192), 1e-9)
	fixture.CloseTo(t, "deviation of a sum of one cause", coverage.Sum(1, e, e, e).SD(), 24, 1e-9)
}

func TestFentonWilkinsonAgainstSimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	parts := []coverage.Estimate{{Median: 1, LogSD: .3}, {Median: 2, LogSD: .5}, {Median: .5, LogSD: .4}}
	sum := coverage.Sum(0, parts...)
	below, n := 0, 200_000
	q := sum.Quantile(.9)
	for range n {
		v := 0.0
		for _, p := range parts {
			v += p.Median * math.Exp(p.LogSD*rng.NormFloat64())
		}
		if v <= q {
			below++
		}
	}
	fixture.CloseTo(t, "share below the 90 % quantile", float64(below)/float64(n), .9, .01)
}

// The half normal has mean sqrt(2/pi) and variance 1 - 2/pi.
func TestAtLeastZero(t *testing.T) {
	h := normal{0, 1}.atLeastZero()
	fixture.CloseTo(t, "mean", h.mean, math.Sqrt(2/math.Pi), 1e-12)
	fixture.CloseTo(t, "sd", h.sd, math.Sqrt(1-2/math.Pi), 1e-12)
	for m := -12.0; m < 9; m += 0.25 {
		a, b := normal{m, 1}.atLeastZero(), normal{m + 0.25, 1}.atLeastZero()
		if !(a.mean >= 0 && a.mean < b.mean && a.sd > 0 && a.sd <= 1 && a.mean >= m) {
			t.Errorf("mean %g: truncated to %+v, next %+v", m, a, b)
		}
	}
	if got := (normal{-3, 0}).atLeastZero(); got.mean != 0 || got.sd != 0 {
		t.Errorf("exact -3 held at 0 gives %+v", got)
	}
}

func TestClampedAgainstIntegration(t *testing.T) {
	for _, n := range []normal{{5, 2}, {-1, 2}, {9.5, 1}, {20, 3}, {4, 50}} {
		const top = 10.0
		var mean, square float64
		const steps = 400_000
		for i := range steps { // midpoint rule over +-9 sd
			z := -9 + 18*(float64(i)+.5)/steps
			w := phi(z) * 18 / steps
			v := math.Min(math.Max(n.mean+n.sd*z, 0), top)
			mean += w * v
			square += w * v * v
		}
		got := n.clamped(top)
		fixture.CloseTo(t, "mean", got.mean, mean, 1e-6)
		fixture.CloseTo(t, "sd", got.sd, math.Sqrt(square-mean*mean), 1e-5)
	}
}

func TestChanceAgainstIntegration(t *testing.T) {
	for _, c := range []struct {
		have normal
		need coverage.Estimate
	}{
		{normal{10, 2}, coverage.Estimate{Median: 8, LogSD: .3}},
		{normal{10, .1}, coverage.Estimate{Median: 12, LogSD: .4}},
		{normal{10, 4}, coverage.Estimate{Median: 9, LogSD: .02}},
		{normal{1, 3}, coverage.Estimate{Median: .5, LogSD: .6}},
		{normal{10, 0}, coverage.Estimate{Median: 8, LogSD: .3}},
		{normal{10, 2}, coverage.Exact(9)},
	} {
		want, steps := 0.0, 100_000
		for i := range steps {
			z := coverage.Normal((float64(i) + .5) / float64(steps))
			want += c.have.above(c.need.Median*math.Exp(c.need.LogSD*z)) / float64(steps)
		}
		fixture.CloseTo(t, "chance", c.have.chance(c.need), want, .005)
	}
	if got := (normal{0, 0}).chance(coverage.Exact(0)); got != 1 {
		t.Errorf("nothing is enough for nothing with chance %g, want 1", got)
	}
}
