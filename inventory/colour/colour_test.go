package colour

import (
	"math"
	"testing"
	"testing/quick"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %.8g, want %.8g within %g", what, got, want, tolerance)
	}
}

// XYZ and Lab of sRGB colours computed from the standard's matrix; the last row
// and red also stand in public test code with a finer matrix, hence 0.02.
func TestXYZAndLab(t *testing.T) {
	for hex, c := range map[string]struct {
		xyz XYZ
		lab Lab
	}{
		"#ffffff": {XYZ{95.05, 100, 108.90}, Lab{100, 0, 0}},
		"#ff0000": {XYZ{41.24, 21.26, 1.93}, Lab{53.2329, 80.1053, 67.2228}},
		"#00ff00": {XYZ{35.76, 71.52, 11.92}, Lab{87.7370, -86.1884, 83.1861}},
		"#0000ff": {XYZ{18.05, 7.22, 95.05}, Lab{32.3026, 79.1936, -107.8537}},
		"#808080": {XYZ{20.5175, 21.5861, 23.5072}, Lab{53.5850, 0, 0}},
		"#80c8ff": {XYZ{47.6064, 53.1177, 102.3514}, Lab{77.9445, -7.8564, -33.9347}},
	} {
		s, err := Parse(hex)
		if err != nil {
			t.Fatal(err)
		}
		x, l := s.XYZ(), s.Lab()
		near(t, hex+" X", 100*x.X, c.xyz.X, 5.1e-5)
		near(t, hex+" Y", 100*x.Y, c.xyz.Y, 5.1e-5)
		near(t, hex+" Z", 100*x.Z, c.xyz.Z, 5.1e-5)
		near(t, hex+" L", l.L, c.lab.L, 5.1e-5)
		near(t, hex+" a", l.A, c.lab.A, 5.1e-5)
		near(t, hex+" b", l.B, c.lab.B, 5.1e-5)
	}
	red := SRGB{255, 0, 0}.Lab() // high-precision matrix of public test code
	near(t, "red L", red.L, 53.2371, 0.02)
	near(t, "red a", red.A, 80.0901, 0.02)
	near(t, "red b", red.B, 67.2033, 0.02)
	sky := SRGB{128, 200, 255}.XYZ() // rdocumentation.org, package munsellinterpol
	near(t, "sky X", 100*sky.X, 47.60334, 0.02)
	near(t, "sky Y", 100*sky.Y, 53.11601, 0.02)
	near(t, "sky Z", 100*sky.Z, 102.3549, 0.02)
}

func TestRoundTripsAndSymmetry(t *testing.T) {
	law := func(c, d SRGB) bool {
		back, err := Parse(c.String())
		e := Difference(c, d)
		return err == nil && back == c && c.Lab().XYZ().SRGB() == c && e >= 0 &&
			math.Abs(e-Difference(d, c)) < 1e-9 && Difference(c, c) == 0
	}
	if err := quick.Check(law, &quick.Config{MaxCount: 5000}); err != nil {
		t.Error(err)
	}
}

func TestParse(t *testing.T) {
	// Values of CIE 15 for sRGB red, a grey and a blue; see the table above.
	for in, want := range map[string]SRGB{
		" C8B89A ":                     {0xc8, 0xb8, 0x9a},
		"lab 53.2329 80.1053 67.2228":  {255, 0, 0},
		"LAB(53.585, 0, 0)":            {128, 128, 128},
		"lab 77.9445 -7.8564 -33.9347": {128, 200, 255},
	} {
		if c, err := Parse(in); err != nil || c != want {
			t.Errorf("%s: %v %v", in, c, err)
		}
	}
	for _, bad := range []string{
		"", "#", "#12345", "#1234567", "#gggggg", "red", "+12345", "0x1234", "#-12345", "#12 456", "cba",
		"lab", "lab 50 0", "lab 50 0 0 0", "lab 50 0 x", "lab 101 0 0", "lab NaN 0 0", "lab 50 120 -120",
		"lab 90 -100 0",
	} {
		if c, err := Parse(bad); err == nil {
			t.Errorf("%q was read as %v", bad, c)
		}
	}
}

func TestBands(t *testing.T) {
	for dE, want := range map[float64]Band{
		0: Same, 1: Same, 1.5: Close, 2: Close, 4.9: Similar, 5: Similar, 5.1: Different,
	} {
		if got := BandOf(dE); got != want {
			t.Errorf("%g: got %s, want %s", dE, got, want)
		}
	}
}

// Values computed from the published Kubelka-Munk formulas.
func TestKubelkaMunk(t *testing.T) {
	for r, ks := range map[float64]float64{
		0.05: 9.025, 0.10: 4.05, 0.20: 1.6, 0.40: 0.45, 0.50: 0.25, 0.60: 0.133333, 0.80: 0.025,
		0.90: 0.005556,
	} {
		near(t, "K/S", AbsorptionOverScatter(r), ks, 5.1e-7)
		near(t, "and back", OpaqueReflectance(AbsorptionOverScatter(r)), r, 1e-12)
	}
	// White K .02 S 1 and dark K 1.5 S .05, share of the dark one: the two constants of
	// a mix are the sums of its pigments'.
	for share, want := range map[float64]float64{
		0: .819002, .05: .643589, .1: .548665, .25: .378092, .5: .213600, 1: .016133,
	} {
		k, s := (1-share)*.02+share*1.5, (1-share)*1+share*.05
		near(t, "mix", OpaqueReflectance(k/s), want, 5.1e-7)
	}
	// Film K .05 S 1 over black and over white .8.
	black := map[float64]float64{.5: .326046, 1: .479861, 2: .618607, 4: .702380, 8: .727804}
	for sx, want := range map[float64]float64{.5: .782356, 1: .768846, 2: .751013, 4: .735870, 8: .730313} {
		near(t, "over white", FilmReflectance(.05, 1, sx, .8), want, 5.1e-7)
		near(t, "over black", FilmReflectance(.05, 1, sx, 0), black[sx], 5.1e-7)
	}
	near(t, "a thick film", FilmReflectance(.05, 1, 1000, 0), .729844, 5.1e-7)
	near(t, "no film", FilmReflectance(.05, 1, 0, .8), .8, 0)
	near(t, "no absorption", FilmReflectance(0, 1, 1, 0), FilmReflectance(1e-9, 1, 1, 0), 1e-4)
}

func BenchmarkDifference(b *testing.B) {
	x, y := SRGB{200, 184, 154}, SRGB{40, 130, 20}
	for b.Loop() {
		Difference(x, y)
	}
}
