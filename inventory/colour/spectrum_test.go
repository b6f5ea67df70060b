package colour

import (
	"math"
	"math/rand/v2"
	"testing"
)

func swatch(t testing.TB, s string) SRGB {
	t.Helper()
	c, err := Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func smooth(t testing.TB, s string) Spectrum {
	t.Helper()
	sp, err := Smooth(swatch(t, s).XYZ())
	if err != nil {
		t.Fatal(s, err)
	}
	return sp
}

// Values of an independent prototype of the same published methods (36 bands, D65).
func TestSmoothAgainstPrototype(t *testing.T) {
	for colour, want := range map[string][4]float64{
		"#c8b89a": {.341823, .477537, .540063, .551665},
		"#1f4fa0": {.318027, .082123, .040308, .034992},
	} {
		s := smooth(t, colour)
		for i, nm := range []int{460, 540, 600, 680} {
			near(t, colour, s[(nm-FirstBand)/BandWidth], want[i], .001)
		}
	}
	for nm, want := range map[int][3]float64{
		450: {.037240, .004207, .196361},
		550: {.042688, .097964, .000857},
	} {
		for c := range want {
			near(t, "weight", weights[(nm-FirstBand)/BandWidth][c], want[c], 1e-5)
		}
	}
	var sum [3]float64
	for i := range weights {
		for c := range sum {
			sum[c] += weights[i][c]
		}
	}
	for c, want := range [3]float64{.9505, 1, 1.0890} {
		near(t, "sum of weights", sum[c], want, 1e-9)
	}
}

// The tables against two things outside: the multi-lobe fit of Wyman, Sloan and
// Shirley, "Simple analytic approximations to the CIE XYZ color matching
// functions", JCGT 2(2), 2013, within the error its authors state, and the
// published white point of D65 (CIE 15: x .3127, y .3290).
func TestTables(t *testing.T) {
	lobe := func(nm, height, peak, below, above float64) float64 {
		width := above
		if nm < peak {
			width = below
		}
		d := (nm - peak) / width
		return height * math.Exp(-d*d/2)
	}
	var sum [3]float64
	for i, m := range matching {
		nm := float64(FirstBand + BandWidth*i)
		near(t, "x", m[0],
			lobe(nm, 1.056, 599.8, 37.9, 31.0)+lobe(nm, 0.362, 442.0, 16.0, 26.7)+
				lobe(nm, -0.065, 501.1, 20.4, 26.2),
			.015)
		near(t, "y", m[1], lobe(nm, 0.821, 568.8, 46.9, 40.5)+lobe(nm, 0.286, 530.9, 16.3, 31.1), .0075)
		near(t, "z", m[2], lobe(nm, 1.217, 437.0, 11.8, 36.0)+lobe(nm, 0.681, 459.0, 26.0, 13.8), .023)
		for c := range sum {
			sum[c] += m[c] * d65[i]
		}
	}
	all := sum[0] + sum[1] + sum[2]
	near(t, "white x", sum[0]/all, .3127, 1e-4)
	near(t, "white y", sum[1]/all, .3290, 2e-4) // bands of 10 nm that end at 730
}

func TestSmoothRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 1000 {
		c := SRGB{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256))}
		x := c.XYZ()
		held := XYZ{
			white.X * clamp(x.X/white.X, darkest, lightest),
			clamp(x.Y, darkest, lightest),
			white.Z * clamp(x.Z/white.Z, darkest, lightest),
		}
		s, err := Smooth(x)
		if err != nil {
			t.Fatal(c, err)
		}
		if d := DeltaE(s.Lab(), held.Lab()); d > 1e-6 {
			t.Errorf("%v: off by %g", c, d)
		}
		for i, v := range s {
			if !(v > 0 && v < 1) {
				t.Fatalf("%v: band %d reflects %g", c, i, v)
			}
		}
	}
	if s, err := Smooth(Lab{50, 300, -300}.XYZ()); err == nil {
		t.Errorf("a colour out of reach got the spectrum %v", s)
	}
}

func TestFromReadings(t *testing.T) {
	var flat []Reading
	for nm := 400.0; nm <= 700; nm += 20 {
		flat = append(flat, Reading{nm, .5})
	}
	s, err := FromReadings(flat)
	if err != nil {
		t.Fatal(err)
	}
	if got := s.Lab(); math.Abs(got.A)+math.Abs(got.B) > 1e-9 || math.Abs(got.L-76.0693) > 1e-3 {
		t.Errorf("half reflectance everywhere is %v, want the grey of L 76.07", got)
	}
	ramp, err := FromReadings([]Reading{
		{390, 0}, {405, .15}, {420, .3}, {440, .5}, {460, .5}, {480, .5}, {500, .5}, {520, .5}, {540, .5},
		{560, .5}, {580, .5}, {600, .5}, {620, .5}, {640, .5}, {660, .5}, {680, .5}, {700, 1.1},
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "between readings", ramp[2], .1, 1e-12)
	near(t, "level before the first", ramp[0], 0, 1e-12)
	near(t, "held at 1", ramp[Bands-1], 1, 1e-12)
	for what, bad := range map[string][]Reading{
		"nothing": nil, "short": flat[:10], "gap": append(append([]Reading(nil), flat[:5]...), flat[7:]...),
		"twice":        append([]Reading{{400, .2}}, flat...),
		"falling":      append(append([]Reading(nil), flat...), flat[3]),
		"late":         flat[1:],
		"negative":     append([]Reading{{390, -.1}}, flat...),
		"above":        append([]Reading{{390, 1.21}}, flat...),
		"not a number": append([]Reading{{390, math.NaN()}}, flat...),
		"metres":       append([]Reading{{0.5, .3}}, flat...),
	} {
		if _, err := FromReadings(bad); err == nil {
			t.Errorf("%s was taken", what)
		}
	}
}

func BenchmarkSmooth(b *testing.B) {
	x := swatch(b, "#7a3b22").XYZ()
	for b.Loop() {
		if _, err := Smooth(x); err != nil {
			b.Fatal(err)
		}
	}
}
