package coverage

import "math"

// SolidsFromMass is the volume solids (fraction) of a paint of density g/ml
// with the given non-volatile mass fraction, whose solids have density
// solidsDensity (g/ml): VS = density x NV / solids density. Densities 0.5 to 10;
// an error when more than all of the volume would be solid.
// Source: ASTM D5201 and ISO 3251 (scope); formula paintcenter.org/rj/aug10b.php.
func SolidsFromMass(density, nonVolatile, solidsDensity float64) (float64, error) {
	if err := firstError(within("density", density, 0.5, 10, "g/ml"), within("density of the solids", solidsDensity, 0.5, 10, "g/ml"), aboveZero("non-volatile mass", nonVolatile, 1, "")); err != nil {
		return 0, err
	}
	vs := density * nonVolatile / solidsDensity
	return vs, aboveZero("volume solids", vs, 1, "")
}

// SolidsAfterWaterLoss is the volume solids of what is left when lostML of
// water has gone from ml of paint: the solids stay. lostML must leave at least
// the solids behind.
func SolidsAfterWaterLoss(ml, solids, lostML float64) (float64, error) {
	if err := firstError(aboveZero("volume", ml, 1e6, "ml"), aboveZero("volume solids", solids, 1, ""), within("water lost", lostML, 0, ml*(1-solids), "ml")); err != nil {
		return 0, err
	}
	return ml * solids / (ml - lostML), nil
}

// PyknometerDensity is the density in g/ml from a vessel of ml weighing emptyG
// and, full, fullG: (full - empty) / volume. Source: ISO 2811-1, from memory.
func PyknometerDensity(ml, emptyG, fullG float64) (float64, error) {
	if err := firstError(aboveZero("volume of the vessel", ml, 1e5, "ml"), within("empty weight", emptyG, 0, 1e6, "g"), within("full weight", fullG, emptyG, 1e6, "g")); err != nil {
		return 0, err
	}
	return (fullG - emptyG) / ml, nil
}

// WeighedVolume is the paint in ml in a pot that weighs grossG, whose empty pot
// weighs tareG, at density g/ml (0.5 to 10). An error when gross is below tare.
func WeighedVolume(grossG, tareG, density float64) (float64, error) {
	if err := firstError(within("tare", tareG, 0, 1e6, "g"), within("gross weight", grossG, tareG, 1e6, "g"), within("density", density, 0.5, 10, "g/ml")); err != nil {
		return 0, err
	}
	return (grossG - tareG) / density, nil
}

// FrustumVolume is the fill in ml of a round pot that widens from radius
// bottomMM to topMM at a fill height of heightMM: pi h (r1^2 + r1 r2 + r2^2) / 3.
func FrustumVolume(bottomMM, topMM, heightMM float64) (float64, error) {
	if err := firstError(within("bottom radius", bottomMM, 0, 500, "mm"), within("top radius", topMM, 0, 500, "mm"), within("height", heightMM, 0, 1000, "mm")); err != nil {
		return 0, err
	}
	return math.Pi * heightMM * (bottomMM*bottomMM + bottomMM*topMM + topMM*topMM) / 3 / 1000, nil
}

// WallFilm is the paint in ml that clings to the wall and bottom of a round pot
// of diameterMM and heightMM as a film of filmMM.
func WallFilm(diameterMM, heightMM, filmMM float64) (float64, error) {
	if err := firstError(aboveZero("diameter", diameterMM, 1000, "mm"), within("height", heightMM, 0, 1000, "mm"), within("film", filmMM, 0, 5, "mm")); err != nil {
		return 0, err
	}
	r := diameterMM / 2
	return (2*math.Pi*r*heightMM + math.Pi*r*r) * filmMM / 1000, nil
}

// DeadVolume is what of a nominal volume never comes out of a pot: 3 % by
// default (3 to 5 %). Assumption, after the residue of a container that counts
// as empty (40 CFR 261.7: no more than 3 % of capacity).
var DeadVolume = Default{Value: 0.03, Low: 0.02, High: 0.05, Origin: Assumption,
	Source: "after 40 CFR 261.7: an empty container holds no more than 3 % of its capacity"}
