package colour

import "math"

// goal is a target colour as lower bounds of differences need it.
type goal struct {
	lab    Lab
	chroma float64
}

func goalOf(t Lab) goal { return goal{t, math.Hypot(t.A, t.B)} }

// least is a difference (CIEDE2000) that no colour in the box falls short of.
//
// With the formula's names: |dL|/SL is least at the nearest L and the largest SL.
// G, which stretches a to a' for both colours alike, is bounded by the chromas. Of
// the quadratic form, c^2 + h^2 + RT c h >= (1 - |RT|/2)(c^2 + h^2), and of its
// parts |dC| >= the gap of the chromas, |dH| >= 2 sqrt(C1 C2) sin(dh/2) at the least
// chromas and the least angle, and dC^2 + dH^2 >= the squared distance in the plane;
// what these leave open goes to the part that counts less. SC, SH and RT are bounded
// by the largest chroma and, where the box keeps clear of grey, by the range of hues.
func (g *goal) least(b *box) float64 {
	gap := func(lo, hi, v float64) float64 { return math.Max(0, math.Max(lo-v, v-hi)) }
	// Lightness.
	dL := gap(b.lo[0], b.hi[0], g.lab.L)
	off := math.Max(math.Abs((g.lab.L+b.lo[0])/2-50), math.Abs((g.lab.L+b.hi[0])/2-50))
	l := dL / (1 + 0.015*off*off/math.Sqrt(20+off*off))

	// How far a is stretched.
	near := math.Hypot(gap(b.lo[1], b.hi[1], 0), gap(b.lo[2], b.hi[2], 0))
	farA, farB := math.Max(math.Abs(b.lo[1]), math.Abs(b.hi[1])), math.Max(math.Abs(b.lo[2]), math.Abs(b.hi[2]))
	most, fewest := stretch((g.chroma+near)/2), stretch((g.chroma+math.Hypot(farA, farB))/2)
	scaled := func(v, small, large float64) float64 {
		if v < 0 {
			small, large = large, small
		}
		return v * small
	}
	aLo, aHi := scaled(b.lo[1], fewest, most), -scaled(-b.hi[1], fewest, most)
	tLo, tHi := g.lab.A*fewest, g.lab.A*most
	if tLo > tHi {
		tLo, tHi = tHi, tLo
	}

	// Chromas and distance in the plane of a' and b.
	c1Lo := math.Hypot(math.Max(0, math.Max(tLo, -tHi)), g.lab.B)
	c1Hi := math.Hypot(math.Max(math.Abs(tLo), math.Abs(tHi)), g.lab.B)
	c2Lo := math.Hypot(math.Max(0, math.Max(aLo, -aHi)), gap(b.lo[2], b.hi[2], 0))
	c2Hi := math.Hypot(math.Max(math.Abs(aLo), math.Abs(aHi)), farB)
	dC := math.Max(0, math.Max(c2Lo-c1Hi, c1Lo-c2Hi))
	dA, dB := fewest*gap(b.lo[1], b.hi[1], g.lab.A), gap(b.lo[2], b.hi[2], g.lab.B)
	plane := dA*dA + dB*dB

	meanMost := (c1Hi + c2Hi) / 2
	dH, t, turn := 0.0, 1.93, 30.0
	if c1Lo > 0 && c2Lo > 0 {
		lo, hi := turns(tLo, tHi, g.lab.B, aLo, aHi, b.lo[2], b.hi[2])
		if lo > -170 && hi < 170 {
			least := math.Max(0, math.Max(lo, -hi))
			dH = 2 * math.Sqrt(c1Lo*c2Lo) * sin(least/2)
			// The mean hue lies half of the turn from the target's own, which moves a
			// little with the stretch.
			h1, h2 := hue(tLo, g.lab.B), hue(tHi, g.lab.B)
			if math.Abs(h1-h2) < 180 {
				from, to := math.Min(h1, h2)+lo/2, math.Max(h1, h2)+hi/2
				mid, half := (from+to)/2, (to-from)/2
				t = math.Min(1.93, hueWeight(mid)+2.41*half*math.Pi/180)
				away := math.Max(0, math.Abs(math.Mod(mid-275+900, 360)-180)-half) / 25
				turn = 30 * math.Exp(-away*away)
			}
		}
	}
	c7 := math.Pow(meanMost, 7)
	rT := 2 * math.Sqrt(c7/(c7+6103515625.0)) * sin(2*turn)
	sC, sH := 1+0.045*meanMost, 1+0.015*meanMost*t
	c, h := dC*dC, dH*dH
	if sC >= sH {
		c = math.Max(c, plane-h)
	} else {
		h = math.Max(h, plane-c)
	}
	return math.Sqrt(l*l + (1-rT/2)*(c/(sC*sC)+h/(sH*sH)))
}

// slack is how far rounding may put a bound too high, amply.
const slack = 1e-9

// stretch is the formula's 1 + G for a mean chroma.
func stretch(meanC float64) float64 {
	c7 := math.Pow(meanC, 7)
	return 1 + 0.5*(1-math.Sqrt(c7/(c7+6103515625.0)))
}

// hueWeight is the formula's T.
func hueWeight(h float64) float64 {
	return 1 - 0.17*cos(h-30) + 0.24*cos(2*h) + 0.32*cos(3*h+6) - 0.20*cos(4*h-63)
}

// turns is the range of angles, in degrees, from the colours (t, tB) to those of
// a box that keeps clear of grey, both ways round; t from tLo to tHi, which does not
// touch grey either.
func turns(tLo, tHi, tB, aLo, aHi, bLo, bHi float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	midT, midB := (tLo+tHi)/2, math.Atan2((bLo+bHi)/2, (aLo+aHi)/2)
	t0 := math.Atan2(tB, midT)
	turn := func(x float64) float64 { return math.Remainder(x, 2*math.Pi) }
	middle := turn(midB - t0)
	var tOff [2]float64
	for i, a := range [2]float64{tLo, tHi} {
		tOff[i] = turn(math.Atan2(tB, a) - t0)
	}
	for _, a := range [2]float64{aLo, aHi} {
		for _, b := range [2]float64{bLo, bHi} {
			off := middle + turn(math.Atan2(b, a)-midB)
			lo, hi = math.Min(lo, off), math.Max(hi, off)
		}
	}
	lo -= math.Max(tOff[0], tOff[1])
	hi -= math.Min(tOff[0], tOff[1])
	return lo * 180 / math.Pi, hi * 180 / math.Pi
}
