package shelf

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The rule is exact for moments up to the thirteenth: 1, 3, 15, 105, 945, 10395.
func TestGaussHermite(t *testing.T) {
	want := 1.0
	for k := 0; k <= 12; k += 2 {
		sum := 0.0
		for i, z := range gaussZ {
			sum += gaussWeight[i] * math.Pow(z, float64(k))
		}
		if math.Abs(sum/want-1) > 1e-9 {
			t.Errorf("moment %d is %g, want %g", k, sum, want)
		}
		want *= float64(k + 1)
	}
}

// Quantiles of a normal less a lognormal, against bisection of the chance to hold
// that much over a thousand slices.
func TestHeldQuantile(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	fine := make([]float64, 1000)
	for i := range fine {
		fine[i] = normal{0, 1}.quantile((float64(i) + .5) / float64(len(fine)))
	}
	off, n := 0.0, 0.0
	for range 60 {
		h := held{normal{10, math.Exp(.7*rng.NormFloat64()) * .9}, math.Exp(rng.NormFloat64() - .5), 0}
		h.silentSD = h.silent * math.Exp(.4*rng.NormFloat64()-.2)
		s := math.Sqrt(math.Log1p(square(h.silentSD / h.silent)))
		for _, p := range []float64{.05, .5, .95} {
			x := h.quantile(p)
			if c := 1 - h.above(x); math.Abs(c-p) > 1e-3 {
				t.Fatalf("%+v: %g of %g has a chance of %g", h, x, p, c)
			}
			lo, hi := -60., 30.
			for hi-lo > 1e-4 {
				mid, c := (lo+hi)/2, 0.0
				for _, z := range fine {
					c += cdf((mid - h.mean + h.silent*math.Exp(s*z-s*s/2)) / h.sd)
				}
				if c < p*float64(len(fine)) {
					lo = mid
				} else {
					hi = mid
				}
			}
			off += math.Abs(x-lo) / math.Hypot(h.sd, h.silentSD)
			n++
		}
		l := Level{usable: h, topML: 17}
		left, low, high := l.LeftWithin(.9)
		if a, b := l.Range(.9); left != l.Left() || low != a || high != b {
			t.Fatalf("%+v: at once %s (%s to %s), one by one %s (%s to %s)", h, left, low, high, l.Left(), a, b)
		}
	}
	if off/n > .01 {
		t.Errorf("quantiles are %.4f deviations off in the mean", off/n)
	}
}
