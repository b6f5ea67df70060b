package coverage

import "math"

// BodyFormula is a published formula for the body surface of a person.
type BodyFormula string

const (
	DuBois      BodyFormula = "du-bois"      // D. and E. F. Du Bois 1916; the default
	Mosteller   BodyFormula = "mosteller"    // Mosteller 1987
	Haycock     BodyFormula = "haycock"      // Haycock et al. 1978
	Boyd        BodyFormula = "boyd"         // Boyd 1935
	GehanGeorge BodyFormula = "gehan-george" // Gehan and George 1970
)

// BodyFormulas lists them, the default first.
var BodyFormulas = []BodyFormula{DuBois, Mosteller, Haycock, Boyd, GehanGeorge}

// BodySurface is the bare surface in m2 of a person of statureCM (50 to 250 cm)
// and weightKG (3 to 300 kg). An empty formula is Du Bois; an unknown one is an
// error. The formulas differ by about 1 to 3 % for common builds, by up to
// 0.5 m2 among 25 of them (Redlarski et al. 2016).
// Source: globalrph.com/bsa2.htm; Boyd harderworld.com/2013/03/13/here-we-go-again-2.
func BodySurface(f BodyFormula, statureCM, weightKG float64) (float64, error) {
	if err := firstError(within("stature", statureCM, 50, 250, "cm"),
		within("weight", weightKG, 3, 300, "kg")); err != nil {
		return 0, err
	}
	h, w := statureCM, weightKG
	switch f {
	case DuBois, "":
		return 0.007184 * math.Pow(h, 0.725) * math.Pow(w, 0.425), nil
	case Mosteller:
		return math.Sqrt(h * w / 3600), nil
	case Haycock:
		return 0.024265 * math.Pow(h, 0.3964) * math.Pow(w, 0.5378), nil
	case Boyd:
		g := w * 1000
		return 0.0003207 * math.Pow(h, 0.3) * math.Pow(g, 0.7285-0.0188*math.Log10(g)), nil
	case GehanGeorge:
		return 0.0235 * math.Pow(h, 0.42246) * math.Pow(w, 0.51456), nil
	}
	return 0, &UnknownError{"body surface formula", string(f),
		"du-bois, mosteller, haycock, boyd or gehan-george"}
}

// UsualWeight is the weight in kg of a person of statureCM with a body mass
// index of 23 kg/m2. Assumption: models stand for fit adults.
func UsualWeight(statureCM float64) float64 { return 23 * statureCM * statureCM / 1e4 }

// UsualStature is the stature in cm of a man where nothing else is said: the
// 50th percentile of British men, 1740 mm (Pheasant's tables,
// personal.cityu.edu.hk/meachan).
const UsualStature = 174.0
