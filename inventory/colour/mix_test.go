package colour

import (
	"math"
	"math/rand/v2"
	"testing"
)

func pot(t testing.TB, s string) Ingredient { return Ingredient{smooth(t, s), 1} }

func nearLab(t *testing.T, what string, got, want Lab, tolerance float64) {
	t.Helper()
	near(t, what+" L", got.L, want.L, tolerance)
	near(t, what+" a", got.A, want.A, tolerance)
	near(t, what+" b", got.B, want.B, tolerance)
}

// Values of an independent prototype of the same published formulas.
func TestMixAgainstPrototype(t *testing.T) {
	yellow, blue := pot(t, "#f2c500"), pot(t, "#1f4fa0")
	for _, c := range []struct {
		parts []float64
		want  Lab
	}{
		{[]float64{1, 1}, Lab{41.206, -24.158, 4.330}},
		{[]float64{2, 1}, Lab{45.906, -26.473, 17.040}},
		{[]float64{1, 5}, Lab{35.940, -9.840, -22.388}},
	} {
		s, err := Mix([]Ingredient{yellow, blue}, c.parts)
		if err != nil {
			t.Fatal(err)
		}
		nearLab(t, "yellow and blue", s.Lab(), c.want, .02)
	}
	near(t, "difference", Difference(swatch(t, "#c8b89a"), swatch(t, "#7a3b22")), 44.7167, 1e-4)
	near(t, "difference", Difference(swatch(t, "#f2c500"), swatch(t, "#1f4fa0")), 72.4526, 1e-4)

	brown, bone := smooth(t, "#7a3b22"), smooth(t, "#d8c8a4")
	thin, coat := Over(&brown, .15, &bone), Over(&brown, .5, &bone)
	nearLab(t, "brown wash over bone", thin.Lab(), Lab{44.794, 39.878, 48.059}, .02)
	nearLab(t, "brown coat over bone", coat.Lab(), Lab{33.946, 29.667, 29.903}, .02)
	near(t, "half against double", math.Round(Unsure(&brown, .15, &bone)), 21, 0)
}

func TestMixProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	colour := func() Ingredient {
		s, err := Smooth(SRGB{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256))}.XYZ())
		if err != nil {
			t.Fatal(err)
		}
		return Ingredient{s, math.Exp(r.NormFloat64() / 2)}
	}
	mix := func(of []Ingredient, parts ...float64) Lab {
		s, err := Mix(of, parts)
		if err != nil {
			t.Fatal(err)
		}
		return s.Lab()
	}
	for range 200 {
		a, b, c := colour(), colour(), colour()
		p, q, w := float64(1+r.IntN(5)), float64(1+r.IntN(5)), float64(1+r.IntN(5))
		nearLab(t, "a paint with itself", mix([]Ingredient{a, a}, p, q), a.Spectrum.Lab(), 1e-6)
		nearLab(t, "2:4 for 1:2", mix([]Ingredient{a, b}, 2*p, 2*q), mix([]Ingredient{a, b}, p, q), 1e-9)
		nearLab(t, "another order", mix([]Ingredient{c, a, b}, w, p, q),
			mix([]Ingredient{a, b, c}, p, q, w), 1e-9)
		nearLab(t, "no part of it", mix([]Ingredient{a, b}, p, 0), a.Spectrum.Lab(), 1e-6)

		clear, thick := Over(&a.Spectrum, 0, &b.Spectrum), Over(&a.Spectrum, 60, &b.Spectrum)
		nearLab(t, "no film", clear.Lab(), b.Spectrum.Lab(), 1e-9)
		nearLab(t, "a thick film", thick.Lab(), a.Spectrum.Lab(), .2)
		once := Over(&a.Spectrum, .3, &b.Spectrum)
		twice, double := Over(&a.Spectrum, .3, &once), Over(&a.Spectrum, .6, &b.Spectrum)
		nearLab(t, "two coats", twice.Lab(), double.Lab(), 1e-6)
	}
}

func TestMixRefuses(t *testing.T) {
	a := pot(t, "#7a3b22")
	for _, bad := range [][]float64{{}, {1}, {0, 0}, {-1, 2}, {math.NaN(), 1}, {math.Inf(1), 1}} {
		if _, err := Mix([]Ingredient{a, a}, bad); err == nil {
			t.Errorf("parts %v were taken", bad)
		}
	}
	if _, err := Mix([]Ingredient{a, {a.Spectrum, 0}}, []float64{1, 1}); err == nil {
		t.Error("strength 0 was taken")
	}
}
