package coverage

import (
	"math"
	"testing"
)

// near fails unless got is within half a unit of the last decimal given.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %.8g, want %.8g within %g", what, got, want, tolerance)
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Published worked examples of industrial coating handbooks and notes.
func TestSpreadingRatePublished(t *testing.T) {
	for _, c := range []struct{ vs, um, want, tol float64 }{
		{0.65, 125, 5.2, 0.001},    // scribd.com/document/343849341
		{0.71, 125, 5.7, 0.05},     // printed with one decimal; 5.68 computed
		{0.71, 125, 5.68, 0.001},   // computed
		{0.30, 10, 30, 1e-9},       // computed
		{0.35, 12, 29.1667, 5e-5},  // computed
		{1, 1, 1000, 1e-9},         // 1 L covers 1000 m2 at 1 um, en.nbchao.com/k/3464
		{0.65, 75, 8.7, 0.05},      // scribd.com/document/290710110
		{0.55, 400, 1.4, 0.05},     // the same
		{0.33, 25, 13.2, 1e-9},     // waterborne eggshell data sheet prints 14; the formula gives 13.2
		{0.23, 16, 14.375, 1e-9},   // waterborne lacquer, 10 to 15 m2/L printed
		{0.23, 23, 10.0, 1e-9},     // the same, thick coat
		{0.5, 1e-3, 500000, 1e-6},  // linear in the film
		{0.12, 0.4 * 25, 12, 1e-9}, // computed
	} {
		near(t, "spreading rate", must(SpreadingRate(c.vs, c.um)), c.want, c.tol)
	}
	// Table of scribd.com/document/290710110: solids 100 to 40 % at 25 and 100 um.
	for i, vs := range []float64{1, 0.80, 0.65, 0.50, 0.45, 0.40} {
		near(t, "table at 25 um", must(SpreadingRate(vs, 25)), []float64{40, 32, 26, 20, 18, 16}[i], 1e-9)
		near(t, "table at 100 um", must(SpreadingRate(vs, 100)), []float64{10, 8, 6.5, 5, 4.5, 4}[i], 1e-9)
	}
}

func TestSpreadingRateUS(t *testing.T) {
	// geionline.com/wet-film-formulae: 1604.17 ft2/gal at one mil, 160.417 at 10 mil.
	near(t, "ft2/gal, 1 mil", SquareFeetPerGallon(must(SpreadingRate(1, MicrometresPerMil))), 1604.1667, 5e-5)
	near(t, "ft2/gal, 10 mil", SquareFeetPerGallon(must(SpreadingRate(1, 10*MicrometresPerMil))), 160.417, 5e-4)
	// 65 % at 5 mil: 208.52 published with the rounded factor 1604, 208.54 exact (scribd.com/document/343849341).
	near(t, "ft2/gal, 65 %, 5 mil",
		SquareFeetPerGallon(must(SpreadingRate(0.65, 5*MicrometresPerMil))), 208.54, 5e-3)
}

func TestWetFilmPublished(t *testing.T) {
	for _, c := range []struct{ dry, vs, thin, want, tol float64 }{
		{125, 0.71, 0, 176, 0.5},                                 // scribd.com/document/476982351
		{125, 0.71, 0, 176.056, 5e-4},                            // computed
		{100, 0.60, 0, 167, 0.5},                                 // coating maker's note
		{50, 0.50, 0, 100, 1e-9},                                 // scribd.com/document/476982351, inverse
		{6 * MicrometresPerMil, 0.30, 0, 20 * 25.4, 1e-9},        // qualitypros.com.au
		{125, 0.35, 0, 357.14, 5e-3},                             // qualitypros.com.au
		{10, 0.30, 0, 33.333, 5e-4}, {12, 0.35, 0, 34.286, 5e-4}, // computed
		{100, 0.60, 0.10, 183.333, 5e-4}, {75, 0.50, 0.20, 180, 1e-9}, // computed, thinned
		{10, 0.30, 0.5, 50, 1e-9}, {12, 0.35, 1, 68.571, 5e-4},
	} {
		wet := must(WetFilm(c.dry, c.vs, c.thin))
		near(t, "wet film", wet, c.want, c.tol)
		near(t, "and back", must(DryFilm(wet, c.vs, c.thin)), c.dry, 1e-9)
	}
	for _, c := range []struct{ vs, thin, want float64 }{
		{0.60, 0.10, 0.54545},
		{0.30, 0.5, 0.20},
		{0.35, 1, 0.175},
	} {
		near(t, "solids after thinning", must(ThinnedSolids(c.vs, c.thin)), c.want, 5e-6)
	}
	// Table of a paint supplier's guide: m2/L to wet film.
	rates := []float64{16, 14, 12, 10, 8, 6, 4, 2, 1}
	for i, want := range []float64{63, 71, 83, 100, 125, 167, 250, 500, 1000} {
		near(t, "wet film of a coverage", must(WetFilmOfRate(rates[i])), want, 0.5)
	}
}

func TestPracticalConsumption(t *testing.T) {
	tsr := must(SpreadingRate(0.60, 75))
	psr := must(PracticalRate(tsr, 0.30))
	near(t, "practical rate 60 %, 75 um, loss 0.30", psr, 5.6, 1e-9)
	near(t, "litres for a m2", 1/psr, 0.178571, 5e-7)
	near(t, "practical rate 30 %, 10 um, loss 0.20",
		must(PracticalRate(must(SpreadingRate(0.30, 10)), 0.20)), 24, 1e-9)
	near(t, "250 m2 at 8 m2/L, factor 1.8", must(Consumption(250, 8, 1.8)), 56.25, 1e-9)
	near(t, "factor of a loss of 0.2", must(ConsumptionFactor(0.2)), 1.25, 1e-12)
}

func TestDeadVolume(t *testing.T) {
	near(t, "dead volume of a 17 ml pot", 17*DeadVolume.Value, 0.51, 1e-12)
}

func TestAerosol(t *testing.T) {
	for _, c := range []struct{ w, gas, want float64 }{
		{0.75, DimethylEther, 0.6781},
		{0.75, PropaneButane, 0.6304},
		{0.77, PropaneButane, 0.6555},
	} {
		near(t, "paint share of a can", must(AerosolPaintShare(c.w, AerosolConcentrate, c.gas)), c.want, 5e-5)
	}
	// 400 ml at 12 % solids, 15 um dry, efficiency 0.25 covers 0.542 m2.
	solids := 0.12 * 400 * must(AerosolPaintShare(0.75, AerosolConcentrate, DimethylEther))
	near(t, "solids in a can, ml", solids, 32.5, 0.06)
	near(t, "m2 of a can", solids/15*0.25, 0.542, 1e-3)
}

func TestRefusals(t *testing.T) {
	for name, f := range map[string]func() error{
		"solids in percent": func() error { _, err := SpreadingRate(30, 10); return err },
		"no solids":         func() error { _, err := WetFilm(10, 0, 0); return err },
		"film of 5 mm":      func() error { _, err := FilmVolume(10, 5000); return err },
		"film NaN":          func() error { _, err := FilmVolume(10, math.NaN()); return err },
		"loss of all":       func() error { _, err := ConsumptionFactor(1); return err },
		"negative loss":     func() error { _, err := PracticalRate(10, -0.1); return err },
		"negative thinning": func() error { _, err := ThinnedSolids(0.3, -1); return err },
		"zero coverage":     func() error { _, err := WetFilmOfRate(0); return err },
		"can without paint": func() error { _, err := AerosolPaintShare(0, 1, 1); return err },
	} {
		err := f()
		if _, ok := err.(*RangeError); !ok {
			t.Errorf("%s: got %v, want a RangeError", name, err)
		}
	}
	_, err := FilmVolume(10, 5000)
	if want := "film 5000 um: expected 0 to 2000 um"; err.Error() != want {
		t.Errorf("got %q, want %q", err, want)
	}
}
