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

// BodyRegion is a part of the body with its share of the bare surface.
type BodyRegion struct {
	ID    string
	Name  string
	Share float64 // of the bare body, 0 to 1; both sides where there are two
}

// LundBrowder gives the adult shares of Lund and Browder, "The estimation of
// areas of burns", Surgery, Gynecology & Obstetrics 79, 1944: they sum to 1.
// Head, thigh and leg rows checked at scribd.com/document/136687984, the
// others from memory.
func LundBrowder() []BodyRegion {
	return []BodyRegion{
		{"head", "head", 0.07},
		{"neck", "neck", 0.02},
		{"trunk-front", "front of the trunk", 0.13},
		{"trunk-back", "back of the trunk", 0.13},
		{"buttocks", "both buttocks", 0.05},
		{"groin", "groin", 0.01},
		{"upper-arms", "both upper arms", 0.08},
		{"forearms", "both forearms", 0.06},
		{"hands", "both hands", 0.05},
		{"thighs", "both thighs", 0.19},
		{"lower-legs", "both lower legs", 0.14},
		{"feet", "both feet", 0.07},
	}
}

// RuleOfNines gives the coarse shares of Wallace 1951 as a cross-check of
// [LundBrowder]; they sum to 1. Source: chemsftg.com/burn-and-burn-fluid-charts.
func RuleOfNines() []BodyRegion {
	return []BodyRegion{
		{"head-and-neck", "head and neck", 0.09},
		{"trunk-front", "front of the trunk", 0.18},
		{"trunk-back", "back of the trunk", 0.18},
		{"arms", "both arms with hands", 0.18},
		{"legs", "both legs with feet", 0.36},
		{"groin", "groin", 0.01},
	}
}

// Segments17 gives the segment areas of a public model of human heat balance
// (17 segments, 1.72 m, 74.43 kg, 1.868 m2) as shares, both sides together; a
// second cross-check.
func Segments17() []BodyRegion {
	const total = 1.868
	return []BodyRegion{
		{"head", "head", 0.110 / total},
		{"neck", "neck", 0.029 / total},
		{"chest", "chest", 0.175 / total},
		{"back", "back", 0.161 / total},
		{"pelvis", "pelvis", 0.221 / total},
		{"upper-arms", "both upper arms", 2 * 0.096 / total},
		{"forearms", "both forearms", 2 * 0.063 / total},
		{"hands", "both hands", 2 * 0.050 / total},
		{"thighs", "both thighs", 2 * 0.209 / total},
		{"lower-legs", "both lower legs", 2 * 0.112 / total},
		{"feet", "both feet", 2 * 0.056 / total},
	}
}

// ShareOf adds the shares of the named regions of a table. An unknown id is an
// error; naming a region twice counts it once.
func ShareOf(table []BodyRegion, ids ...string) (float64, error) {
	var sum float64
	seen := map[string]bool{}
	for _, id := range ids {
		if seen[id] {
			continue
		}
		seen[id] = true
		found := false
		for _, r := range table {
			if r.ID == id {
				sum += r.Share
				found = true
			}
		}
		if !found {
			return 0, &UnknownError{"body region", id, "a region of the table"}
		}
	}
	return sum, nil
}
