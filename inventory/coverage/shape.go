package coverage

import "math"

// BoxDetail is by how much a vehicle or a piece of terrain has more surface
// than the box around it. Assumption.
var BoxDetail = bracket{1.5, 1.2, 1.8}.assumed("",
	"wheels, hatches and undersides add to the box around a vehicle or building")

// RimHeight is the usual height of a base in mm. Common practice, no source.
const RimHeight = 3.0

// BoxArea is the surface in cm2 at scale n of a box of the given sides in m in
// life: 2 (lw + lh + wh). Sides 0 to 1000 m. Detail comes on top, see [BoxDetail].
// Scale 1 and sides in m serve for terrain measured on the table.
func BoxArea(lengthM, widthM, heightM float64, n Scale) (float64, error) {
	if err := firstError(within("length", lengthM, 0, 1000, "m"), within("width", widthM, 0, 1000, "m"),
		within("height", heightM, 0, 1000, "m"), within("scale 1 to", float64(n), 1, 1000, "")); err != nil {
		return 0, err
	}
	return n.ModelArea(2 * (lengthM*widthM + lengthM*heightM + widthM*heightM)), nil
}

// BaseTop is the top in cm2 of a round or oval base of the given axes in mm
// (0 to 1000; both the same for a round one).
func BaseTop(aMM, bMM float64) (float64, error) {
	if err := firstError(within("base length", aMM, 0, 1000, "mm"),
		within("base width", bMM, 0, 1000, "mm")); err != nil {
		return 0, err
	}
	return math.Pi * aMM * bMM / 400, nil
}

// BaseRim is the rim in cm2 of a round or oval base of the given axes and
// height in mm. For ovals the perimeter is Ramanujan's second approximation
// (1914), whose error is far below that of any base.
func BaseRim(aMM, bMM, heightMM float64) (float64, error) {
	if err := firstError(within("base length", aMM, 0, 1000, "mm"),
		within("base width", bMM, 0, 1000, "mm"), within("base height", heightMM, 0, 100, "mm")); err != nil {
		return 0, err
	}
	a, b := aMM/2, bMM/2
	if a+b == 0 {
		return 0, nil
	}
	h := (a - b) * (a - b) / ((a + b) * (a + b))
	perimeter := math.Pi * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
	return perimeter * heightMM / 100, nil
}
