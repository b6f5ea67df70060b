package coverage

import (
	"math"
	"testing"
	"testing/quick"
)

// Values computed from the published formulas, checked against the worked
// cases of globalrph.com/bsa2.htm and harderworld.com (Boyd).
func TestBodySurface(t *testing.T) {
	for _, c := range []struct{ h, w, duBois, mosteller, haycock, gehan, boyd float64 }{
		{170, 70, 1.8097, 1.8181, 1.8257, 1.8313, 1.8347},
		{180, 80, 1.9964, 2.0000, 2.0066, 2.0095, 2.0074},
		{160, 55, 1.5632, 1.5635, 1.5655, 1.5767, 1.5785},
		{150, 50, 1.4325, 1.4434, 1.4497, 1.4608, 1.4690},
		{190, 90, 2.1828, 2.1794, 2.1841, 2.1844, 2.1750},
	} {
		for f, want := range map[BodyFormula]float64{
			DuBois:      c.duBois,
			Mosteller:   c.mosteller,
			Haycock:     c.haycock,
			GehanGeorge: c.gehan,
			Boyd:        c.boyd,
		} {
			near(t, string(f), must(BodySurface(f, c.h, c.w)), want, 5e-5)
		}
	}
	if _, err := BodySurface("made-up", 170, 70); err == nil {
		t.Error("an unknown formula was taken")
	}
	for _, hw := range [][2]float64{{17, 70}, {1700, 70}, {170, 0}, {170, math.NaN()}} {
		if _, err := BodySurface(DuBois, hw[0], hw[1]); err == nil {
			t.Errorf("%v was taken", hw)
		}
	}
}

// Bare and x 1.30 areas in cm2 per scale, computed from the formulas.
func TestFigureAreaTable(t *testing.T) {
	scales := []Scale{72, 56, 48, 35, 32}
	for _, c := range []struct {
		h, w          float64
		bare, clothed []float64
	}{
		{170, 70, []float64{3.4909, 5.7708, 7.8546, 14.7731, 17.6729},
			[]float64{4.5382, 7.5020, 10.2110, 19.2051, 22.9748}},
		{180, 80, []float64{3.8511, 6.3661, 8.6650, 16.2973, 19.4963},
			[]float64{5.0065, 8.2760, 11.2645, 21.1865, 25.3452}},
	} {
		for i, n := range scales {
			got := n.ModelArea(must(BodySurface(DuBois, c.h, c.w)))
			near(t, "bare", got, c.bare[i], 6e-5)
			near(t, "clothed", got*1.30, c.clothed[i], 6e-5)
		}
	}
}

// ISO 7730 and 1 + 0.28 clo, computed from the published equations.
func TestClothingFactor(t *testing.T) {
	clo := []float64{0, 0.36, 0.50, 0.57, 0.61, 0.72, 0.96, 1.0, 1.14, 1.37, 1.5}
	iso := []float64{1.0000, 1.0720, 1.1000, 1.1070, 1.1110, 1.1220, 1.1460, 1.1500, 1.1640, 1.1870, 1.2000}
	lin := []float64{1.0000, 1.1008, 1.1400, 1.1596, 1.1708, 1.2016, 1.2688, 1.2800, 1.3192, 1.3836, 1.4200}
	for i, c := range clo {
		near(t, "ISO 7730", must(ClothingFactor(ISO7730, c)), iso[i], 6e-5)
		near(t, "1 + 0.28 clo", must(ClothingFactor("", c)), lin[i], 6e-5)
	}
	// Ten measured ensembles, McCullough and Jones 1984 as printed in the ASHRAE
	// Handbook of Fundamentals (from memory): mean absolute errors.
	var e7730, e028 float64
	measured := [][2]float64{
		{0.36, 1.10}, {0.57, 1.15}, {0.61, 1.20}, {0.96, 1.23}, {1.14, 1.32}, {1.01, 1.28}, {0.72, 1.23},
		{0.89, 1.27}, {1.37, 1.26}, {1.10, 1.46},
	}
	for _, m := range measured {
		e7730 += math.Abs(must(ClothingFactor(ISO7730, m[0])) - m[1])
		e028 += math.Abs(must(ClothingFactor(Linear028, m[0])) - m[1])
	}
	near(t, "mean error of ISO 7730", e7730/10, 0.114, 5e-4)
	near(t, "mean error of 1 + 0.28 clo", e028/10, 0.041, 5e-4)
}

// Ensembles whose garments sum to so many clo by the regression of McCullough and
// Jones (0.161 + 0.835 x sum), computed.
func TestEnsembles(t *testing.T) {
	for _, c := range []struct{ clo, iso, linear float64 }{
		{0.4366, 1.0873, 1.1222}, {0.7037, 1.1204, 1.1970}, {0.8708, 1.1371, 1.2438}, {1.2966, 1.1796, 1.3630},
	} {
		near(t, "ISO 7730", must(ClothingFactor(ISO7730, c.clo)), c.iso, 6e-5)
		near(t, "1 + 0.28", must(ClothingFactor(Linear028, c.clo)), c.linear, 6e-5)
	}
}

func TestScales(t *testing.T) {
	// Man of 1740 mm (Pheasant's tables), computed.
	for n, want := range map[Scale][2]float64{
		72: {24.17, 22.48}, 56: {31.07, 28.90}, 48: {36.25, 33.71}, 35: {49.71, 46.23}, 32: {54.38, 50.57},
	} {
		near(t, "stature", n.ModelLength(174), want[0], 6e-3)
		near(t, "eye height", n.ModelLength(174*EyeHeight), want[1], 6e-3)
	}
	// noquarterbattles.blogspot.com: heights at 1:56.
	for mm, cm := range map[float64]float64{28: 156.8, 30: 168.0, 31: 173.6, 33: 184.8} {
		near(t, "1:56", Scale(56).ModelLength(cm), mm, 1e-9)
		near(t, "to the top", float64(must(TopScale(mm, cm))), 56, 1e-9)
	}
	near(t, "28 mm to eye", float64(must(ParseScale("28 mm to eye", 174))), 57.8, 0.05)
	near(t, "32 mm to eye", float64(must(ParseScale("32mm to the eyes", 174))), 50.6, 0.05)
	near(t, "28 mm to eye for 1686 mm", float64(must(EyeScale(28, 168.6))), 56, 5e-3)
	near(t, "1/72", float64(must(ParseScale(" 1/72 ", 174))), 72, 0)
	near(t, "1:56 to 1:72", Scale(72).ModelArea(1)/Scale(56).ModelArea(1), 0.6049, 1e-4)
	near(t, "1:56 to 1:35", Scale(35).ModelArea(1)/Scale(56).ModelArea(1), 2.56, 1e-9)
	near(t, "1:56 to 1:32", Scale(32).ModelArea(1)/Scale(56).ModelArea(1), 3.0625, 1e-9)
	for _, bad := range []string{"", "28", "1:0", "1:", "56", "0 mm", "28 cm", "1:56 to eye", "2:56", "-28 mm"} {
		if n, err := ParseScale(bad, 174); err == nil {
			t.Errorf("%q was read as 1:%g", bad, float64(n))
		}
	}
}

// Base tops and rims and a vehicle, computed.
func TestShapes(t *testing.T) {
	for mm, want := range map[float64][2]float64{
		25: {4.909, 2.356}, 28.5: {6.379, 2.686}, 32: {8.042, 3.016}, 40: {12.566, 3.770},
		60: {28.274, 5.655},
	} {
		near(t, "top", must(BaseTop(mm, mm)), want[0], 6e-4)
		near(t, "rim", must(BaseRim(mm, mm, RimHeight)), want[1], 6e-4)
	}
	near(t, "vehicle 6 x 3 x 2.5 m at 1:56", must(BoxArea(6, 3, 2.5, 56)), 258.29, 5e-3)
	near(t, "flat oval rim", must(BaseRim(40, 0, 10)), 2*40*10/100.0, 0.05)
	near(t, "no rim", must(BaseRim(0, 0, 3)), 0, 0)
}

func TestAreaGoesByScaleSquared(t *testing.T) {
	law := func(stature, weight, n, k uint8) bool {
		f := Figure{
			StatureCM: 120 + float64(stature)/3,
			WeightKG:  35 + float64(weight)/2,
			Scale:     Scale(10 + float64(n)),
			Clo:       float64(k) / 200,
		}
		a, _, err := f.Area()
		if err != nil {
			return false
		}
		f.Scale *= 2
		b, _, err := f.Area()
		return err == nil && math.Abs(a.Median/b.Median-4) < 1e-9 && a.LogSD == b.LogSD
	}
	if err := quick.Check(law, nil); err != nil {
		t.Error(err)
	}
}

func TestFigureFactorsMultiplyToArea(t *testing.T) {
	f := Figure{Scale: 56, Clo: 0.87, Form: Heroic}
	area, factors, err := f.Area()
	if err != nil {
		t.Fatal(err)
	}
	product := 1.0
	for _, x := range factors {
		product *= x.Median
		if x.Source == "" || x.Origin == "" {
			t.Errorf("factor %s without origin or source", x.Name)
		}
	}
	near(t, "product of the factors", product, area.Median, 1e-9)
	if _, _, err := (Figure{}).Area(); err == nil {
		t.Error("a figure without a scale was taken")
	}
}
