package colour

import "math"

// box holds every colour within some CIEDE2000 difference of a target, and
// more: lowest and highest L, a and b.
type box struct{ lo, hi [3]float64 }

// around gives a box that surely holds all colours within dE of the target.
//
// With G, SL, SC, SH, RT of the formula: |dL| <= SL dE. The plane of (a', b)
// keeps lengths, so that da'^2 + db^2 = dC^2 + dH^2, and a' stretches a by at
// least 1. Of the quadratic form, c^2 + h^2 + RT c h >= (1 - |RT|/2)(c^2 + h^2).
// So the distance in the plane is at most max(SC, SH) dE / sqrt(1 - |RT|/2). The
// factors depend on the other colour; each round bounds them by the last round's
// radius, which is valid from the start.
func around(t Lab, dE float64) box {
	dL := 1.75 * dE // SL is at most 1.75 between L 0 and 100
	for range 4 {
		far := math.Abs(t.L-50) + dL/2
		dL = math.Min(dL, dE*(1+0.015*far*far/math.Sqrt(20+far*far)))
	}
	chroma := math.Hypot(1.5*t.A, t.B) // of the target, as the formula stretches it at most
	radius := math.Inf(1)
	for range 6 {
		meanMost := chroma + math.Min(radius, 400)/2
		rT := 2 * math.Sqrt(1/(1+math.Pow(25/meanMost, 7))) * math.Sin(math.Pi/180*2*turnMost(t, radius))
		worst := math.Max(1+0.045*meanMost, 1+0.015*meanMost*1.93) // T is at most 1.93
		radius = math.Min(radius, worst*dE/math.Sqrt(1-rT/2))
	}
	return box{
		[3]float64{t.L - dL, t.A - radius, t.B - radius},
		[3]float64{t.L + dL, t.A + radius, t.B + radius},
	}
}

// turnMost is the most that the formula's rotation (at most 30 degrees, about hue
// 275) can be for a mean hue of the target and a colour within radius of it.
func turnMost(t Lab, radius float64) float64 {
	// The stretch of a moves the hue itself; its range is from no stretch to 1.5.
	h1, h2 := hue(t.A, t.B), hue(1.5*t.A, t.B)
	lo, hi := math.Min(h1, h2), math.Max(h1, h2)
	least := math.Hypot(t.A, t.B)
	if !(radius < least) || hi-lo > 180 {
		return 30
	}
	swing := math.Asin(radius/least) * 180 / math.Pi
	lo, hi = lo-swing, hi+swing
	if lo <= 275 && hi >= 275 || lo < 0 || hi > 360 {
		return 30
	}
	d := math.Min(math.Abs(lo-275), math.Abs(hi-275)) / 25
	return 30 * math.Exp(-d*d)
}

// meets says whether any colour of c can lie in b.
func (b *box) meets(c *box) bool {
	for i := range b.lo {
		if c.lo[i] > b.hi[i] || c.hi[i] < b.lo[i] {
			return false
		}
	}
	return true
}

// labF is the cube root of CIELAB with its straight foot.
func labF(t float64) float64 {
	if t > 216.0/24389 {
		return math.Cbrt(t)
	}
	return (24389.0/27*t + 16) / 116
}

// light is what bounds are kept of: Y/Yn, X/Xn - Y/Yn and Y/Yn - Z/Zn. The two
// contrasts vary less over a set of spectra than X and Z by themselves.
type light struct{ lo, hi [3]float64 }

// lightOf are the weights of each band for these three.
var lightOf = func() (v [Bands][3]float64) {
	for i, w := range weights {
		x, y, z := w[0]/white.X, w[1]/white.Y, w[2]/white.Z
		v[i] = [3]float64{y, x - y, y - z}
	}
	return v
}()

// between adds up what spectra from lo to hi in every band can be.
func between(lo, hi *Spectrum) (s light) {
	for i := range lo {
		for k, w := range lightOf[i] {
			l, h := lo[i], hi[i]
			if w < 0 {
				l, h = h, l
			}
			s.lo[k] += w * l
			s.hi[k] += w * h
		}
	}
	return s
}

// lab holds the colours of all such light.
func (s *light) lab() box {
	yLo, yHi := math.Max(0, s.lo[0]), math.Max(0, s.hi[0])
	fLo, fHi := labF(yLo), labF(yHi)
	// a = 500 (f(y+c) - f(y)): f is concave, so more light brings the two nearer;
	// neither y nor y+c is ever negative.
	away := func(c float64, near bool) float64 {
		y, f := yLo, fLo
		if (c > 0) == near {
			y, f = yHi, fHi
		} else if y < -c {
			y = math.Min(-c, yHi)
			f = labF(y)
		}
		return labF(math.Max(0, y+c)) - f
	}
	// b = 200 (f(y) - f(y-c)).
	return box{
		[3]float64{116*fLo - 16, 500 * away(s.lo[1], true), -200 * away(-s.lo[2], false)},
		[3]float64{116*fHi - 16, 500 * away(s.hi[1], false), -200 * away(-s.hi[2], true)},
	}
}

// region is what may lie within some difference of a target, as colours and as light.
type region struct {
	box
	light
}

// regionOf surely holds all colours within dE of the target.
func regionOf(t Lab, dE float64) (r region) {
	b := around(t, dE)
	r.box = b
	inf := math.Inf(1)
	r.light = light{[3]float64{inf, inf, inf}, [3]float64{-inf, -inf, -inf}}
	// X and Z against Y grow with a and fall with b; the cube is convex, so that for
	// one a or b they change one way only as L grows: the corners are the extremes.
	for _, l := range [2]float64{b.lo[0], b.hi[0]} {
		f := (l + 16) / 116
		y := cubed(f)
		for k, v := range [3][2]float64{
			{y, y},
			{cubed(f+b.lo[1]/500) - y, cubed(f+b.hi[1]/500) - y},
			{y - cubed(f-b.lo[2]/200), y - cubed(f-b.hi[2]/200)},
		} {
			r.light.lo[k], r.light.hi[k] = math.Min(r.light.lo[k], v[0]), math.Max(r.light.hi[k], v[1])
		}
	}
	return r
}

// cubed is the inverse of [labF].
func cubed(f float64) float64 {
	if f > 6.0/29 {
		return f * f * f
	}
	return (116*f - 16) * 27 / 24389
}

// misses says whether no such light lies in the region.
func (r *region) misses(l *light) bool {
	for k := range l.lo {
		if l.lo[k] > r.light.hi[k] || l.hi[k] < r.light.lo[k] {
			return true
		}
	}
	return false
}

// miss says whether the light lies outside.
func (r *region) miss(v *[3]float64) bool {
	return v[0] < r.light.lo[0] || v[0] > r.light.hi[0] || v[1] < r.light.lo[1] || v[1] > r.light.hi[1] ||
		v[2] < r.light.lo[2] || v[2] > r.light.hi[2]
}
