package coverage

// Limits on films and areas, wide enough for every published table of the
// tests and narrow enough to catch a film given in the wrong unit.
const (
	MaxFilmUM  = 2000.0 // a film of 5 mm is a slip of the unit, not a coat of paint
	MaxThinner = 50.0   // parts of medium to one part of paint
	MaxLoss    = 0.99   // fraction
	MaxAreaCM2 = 1e6    // 100 m2
)

// MicrometresPerMil is one thousandth of an inch, exact by definition.
const MicrometresPerMil = 25.4

// SquareFeetPerGallon turns m2/L into ft2 per US gallon (231 cubic inches):
// 1604.1667 at 100 % solids and one mil.
func SquareFeetPerGallon(m2PerL float64) float64 {
	const squareFootM2, gallonL = 0.09290304, 3.785411784
	return m2PerL * gallonL / squareFootM2
}

// SpreadingRate is the theoretical spreading rate in m2/L of a paint of the
// given volume solids (fraction, above 0, at most 1) at a dry film of dryUM
// (um, above 0): 10 x VS% / DFT. It is not defined for absorbent surfaces.
// Source: industrial coating handbooks (scribd.com/document/457535557); the
// volume solids are those of ISO 3233-1.
func SpreadingRate(solids, dryUM float64) (float64, error) {
	if err := firstError(aboveZero("volume solids", solids, 1, ""),
		aboveZero("dry film", dryUM, MaxFilmUM, "um")); err != nil {
		return 0, err
	}
	return 1000 * solids / dryUM, nil
}

// PracticalRate is the spreading rate (m2/L, above 0) that remains after a
// loss (fraction, 0 to 0.99): TSR x (1 - L).
// Source: industrial coating handbook (scribd.com/document/290710110).
func PracticalRate(m2PerL, loss float64) (float64, error) {
	if err := firstError(aboveZero("spreading rate", m2PerL, 1e6, "m2/L"),
		within("loss", loss, 0, MaxLoss, "")); err != nil {
		return 0, err
	}
	return m2PerL * (1 - loss), nil
}

// ConsumptionFactor is 1 / (1 - loss) for a loss of 0 to 0.99.
// Source: industrial coating handbook (scribd.com/document/457535557), which
// warns that no single figure serves: roughness, left-overs and cleaning differ.
func ConsumptionFactor(loss float64) (float64, error) {
	if err := within("loss", loss, 0, MaxLoss, ""); err != nil {
		return 0, err
	}
	return 1 / (1 - loss), nil
}

// Consumption is the practical consumption in litres for areaM2 (m2, not
// negative) at a theoretical rate of m2PerL (above 0) and a consumption factor
// of at least 1. Source: as for [ConsumptionFactor].
func Consumption(areaM2, m2PerL, factor float64) (float64, error) {
	if err := firstError(within("area", areaM2, 0, 1e6, "m2"),
		aboveZero("spreading rate", m2PerL, 1e6, "m2/L"),
		within("consumption factor", factor, 1, 100, "")); err != nil {
		return 0, err
	}
	return areaM2 * factor / m2PerL, nil
}

// WetFilm is the wet film in um that dries to dryUM (um, above 0), for a paint
// of the given volume solids (fraction) with thinner parts of medium to one
// part of paint (0 to 50): DFT x (1 + t) / VS. The medium is taken to leave
// nothing behind. An error too when the wet film comes out above 2000 um.
// Source: industrial coating handbooks (scribd.com/document/476982351).
func WetFilm(dryUM, solids, thinner float64) (float64, error) {
	vs, err := ThinnedSolids(solids, thinner)
	if err != nil {
		return 0, err
	}
	wet := dryUM / vs
	if err := firstError(aboveZero("dry film", dryUM, MaxFilmUM, "um"),
		aboveZero("wet film", wet, MaxFilmUM, "um")); err != nil {
		return 0, err
	}
	return wet, nil
}

// DryFilm is what a wet film of wetUM (um, above 0) dries to: WFT x VS / (1 + t).
// Ranges and source as for [WetFilm].
func DryFilm(wetUM, solids, thinner float64) (float64, error) {
	vs, err := ThinnedSolids(solids, thinner)
	if err != nil {
		return 0, err
	}
	if err := aboveZero("wet film", wetUM, MaxFilmUM, "um"); err != nil {
		return 0, err
	}
	return wetUM * vs, nil
}

// ThinnedSolids is the volume solids of a paint (fraction, above 0, at most 1)
// after thinner parts of medium to one part of paint (0 to 50): VS / (1 + t).
// Source: industrial coating handbooks, from memory.
func ThinnedSolids(solids, thinner float64) (float64, error) {
	if err := firstError(aboveZero("volume solids", solids, 1, ""),
		within("thinning", thinner, 0, MaxThinner, "parts")); err != nil {
		return 0, err
	}
	return solids / (1 + thinner), nil
}

// WetFilmOfRate is the wet film in um of a coverage in m2/L as printed on a
// label: 1000 / coverage. The coverage must be above 0.
func WetFilmOfRate(m2PerL float64) (float64, error) {
	if err := aboveZero("coverage", m2PerL, 1e6, "m2/L"); err != nil {
		return 0, err
	}
	return 1000 / m2PerL, nil
}

// FilmVolume is the volume in ml of a film of filmUM (um, 0 to 2000) over
// areaCM2 (cm2, not negative): one cm2 under one um is 0.0001 ml.
func FilmVolume(areaCM2, filmUM float64) (float64, error) {
	if err := firstError(within("area", areaCM2, 0, MaxAreaCM2, "cm2"),
		within("film", filmUM, 0, MaxFilmUM, "um")); err != nil {
		return 0, err
	}
	return areaCM2 * filmUM * mlPerCM2UM, nil
}

const mlPerCM2UM = 1e-4
