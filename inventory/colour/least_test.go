package colour

import (
	"math"
	"math/rand/v2"
	"testing"
)

// No colour in a box lies nearer than the bound says, whatever target and box, and
// the bound is of use: the box of a colour alone has nearly its difference.
func TestLeastHoldsForAllIn(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	tight, ratio := 0, 0.0
	for range 200_000 {
		target := Lab{r.Float64() * 100, r.NormFloat64() * 45, r.NormFloat64() * 45}
		if r.IntN(5) == 0 {
			target.A, target.B = target.A/20, target.B/20
		}
		at := [3]float64{r.Float64() * 100, r.NormFloat64() * 45, r.NormFloat64() * 45}
		if r.IntN(2) == 0 {
			at = [3]float64{
				target.L + r.NormFloat64()*8,
				target.A + r.NormFloat64()*8,
				target.B + r.NormFloat64()*8,
			}
		}
		var b box
		var p [3]float64
		size := math.Exp(r.Float64()*7 - 4)
		for i := range at {
			w := size * r.Float64()
			b.lo[i], b.hi[i] = at[i]-w*r.Float64(), at[i]+w*r.Float64()
			if i == 0 {
				b.lo[0], b.hi[0] = clamp(b.lo[0], 0, 100), clamp(b.hi[0], 0, 100)
			}
			p[i] = b.lo[i] + (b.hi[i]-b.lo[i])*clamp(r.Float64()*1.4-.2, 0, 1)
		}
		g := goalOf(target)
		q := Lab{p[0], p[1], p[2]}
		d, bound := DeltaE(target, q), g.least(&b)
		if !(bound <= d+1e-9) {
			t.Fatalf("target %v, box %v: %v lies %.6f away, no nearer than %.6f was the bound",
				target, b, q, d, bound)
		}
		alone := box{p, p}
		if d > .5 && d < 10 {
			tight++
			ratio += g.least(&alone) / d
		}
	}
	if mean := ratio / float64(tight); mean < .9 {
		t.Errorf("of a colour alone the bound is %.2f of the difference on the mean, want .9", mean)
	}
}
