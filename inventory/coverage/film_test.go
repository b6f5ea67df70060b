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

// Units of the handbooks: m2/L in ft2 per US gallon (231 cubic inches), and a
// thousandth of an inch.
const (
	squareFeetPerGallon = 3.785411784 / 0.09290304
	umPerMil            = 25.4
)

// spreadingRate is how many m2 the sum makes of a litre at a dry film, with nothing
// lost: 10 x VS% / DFT in the handbooks.
func spreadingRate(t *testing.T, solids, dryUM float64) float64 {
	t.Helper()
	s := step()
	s.AreaCM2, s.WetUM = Exact(10_000), Exact(dryUM/solids)
	return 1000 / must(s.PerFigure()).Median
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
		near(t, "spreading rate", spreadingRate(t, c.vs, c.um), c.want, c.tol)
	}
	// Table of scribd.com/document/290710110: solids 100 to 40 % at 25 and 100 um.
	for i, vs := range []float64{1, 0.80, 0.65, 0.50, 0.45, 0.40} {
		near(t, "table at 25 um", spreadingRate(t, vs, 25), []float64{40, 32, 26, 20, 18, 16}[i], 1e-9)
		near(t, "table at 100 um", spreadingRate(t, vs, 100), []float64{10, 8, 6.5, 5, 4.5, 4}[i], 1e-9)
	}
}

func TestSpreadingRateUS(t *testing.T) {
	// geionline.com/wet-film-formulae: 1604.17 ft2/gal at one mil, 160.417 at 10 mil.
	near(t, "ft2/gal, 1 mil", squareFeetPerGallon*spreadingRate(t, 1, umPerMil), 1604.1667, 5e-5)
	near(t, "ft2/gal, 10 mil", squareFeetPerGallon*spreadingRate(t, 1, 10*umPerMil), 160.417, 5e-4)
	// 65 % at 5 mil: 208.52 published with the rounded factor 1604, 208.54 exact (scribd.com/document/343849341).
	near(t, "ft2/gal, 65 %, 5 mil",
		squareFeetPerGallon*spreadingRate(t, 0.65, 5*umPerMil), 208.54, 5e-3)
}

// Litres for an area, of the same handbooks: area x factor / rate, with a factor of
// 1 / (1 - loss).
func TestPracticalConsumption(t *testing.T) {
	for _, c := range []struct {
		what               string
		areaM2             int
		solids, dry, reach float64 // what reaches the surface
		want, tol          float64
	}{
		{"60 %, 75 um, loss 0.30", 1, 0.60, 75, 0.70, 0.178571, 5e-7},
		{"30 %, 10 um, loss 0.20", 24, 0.30, 10, 0.80, 1, 1e-9},
		{"250 m2 at 8 m2/L, factor 1.8", 250, 1, 125, 1 / 1.8, 56.25, 1e-9},
	} {
		s := step()
		s.AreaCM2, s.Figures = Exact(10_000), c.areaM2
		s.WetUM, s.Efficiency = Exact(c.dry/c.solids), Exact(c.reach)
		near(t, c.what, must(s.Volume()).Median/1000, c.want, c.tol)
	}
}

func TestDeadVolume(t *testing.T) {
	near(t, "dead volume of a 17 ml pot", 17*DeadVolume.Value, 0.51, 1e-12)
}

// The share of a can's liquid that is paint, by volume: (w/rp) / (w/rp + (1-w)/rg), at
// 75 % of paint by mass (kta.com/aerosol-paint-technology-and-testing) or 77, with
// densities at 20 C from memory: dimethyl ether 0.667 g/ml, propane and butane 0.54,
// the concentrate 0.95 (assumed).
func TestAerosol(t *testing.T) {
	for _, c := range []struct{ w, gas float64 }{{0.75, 0.667}, {0.75, 0.54}, {0.77, 0.54}} {
		paint := c.w / 0.95
		share := paint / (paint + (1-c.w)/c.gas)
		if share < CanPaintShare.Low || share > CanPaintShare.High {
			t.Errorf("%.0f %% of paint, propellant of %g g/ml: %.3f of a can, outside %g to %g",
				100*c.w, c.gas, share, CanPaintShare.Low, CanPaintShare.High)
		}
	}
}
