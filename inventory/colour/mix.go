package colour

import (
	"fmt"
	"math"
)

// AbsorptionOverScatter is Kubelka and Munk's K/S of an opaque film with
// reflectance r (above 0, at most 1): (1-r)^2 / 2r.
// Source: P. Kubelka and F. Munk 1931; handwiki.org Kubelka-Munk theory.
func AbsorptionOverScatter(r float64) float64 { return (1 - r) * (1 - r) / (2 * r) }

// OpaqueReflectance is its inverse for K/S of 0 or more: 1 + q - sqrt(q^2 + 2q).
func OpaqueReflectance(ks float64) float64 { return 1 + ks - math.Sqrt(ks*ks+2*ks) }

// FilmReflectance is the reflectance of a film with absorption k and scatter s
// (both per um, s above 0) of thickness um over a ground of reflectance ground:
// (1 - Rg (a - b coth bSX)) / (a - Rg + b coth bSX), a = 1 + K/S, b = sqrt(a^2 - 1).
func FilmReflectance(k, s, um, ground float64) float64 {
	if um <= 0 {
		return ground
	}
	a := 1 + k/s
	b := math.Sqrt(a*a - 1)
	if b == 0 { // scatter only: the limit of b coth(bx) is 1/x
		x := 1 / (s * um)
		return (1 - ground*(a-x)) / (a - ground + x)
	}
	x := b / math.Tanh(b*s*um)
	return (1 - ground*(a-x)) / (a - ground + x)
}

// MixReflectance is the reflectance of an opaque mix by Kubelka and Munk's
// two-constant theory: K/S = sum(c k) / sum(c s), for shares c of pigments with
// absorption k and scatter s.
func MixReflectance(shares, k, s []float64) float64 {
	var ks, ss float64
	for i, c := range shares {
		ks += c * k[i]
		ss += c * s[i]
	}
	return OpaqueReflectance(ks / ss)
}

// MixSwatch is a colour to show for a mix of colours by parts: Kubelka and
// Munk's single-constant rule on the three linear channels of sRGB. It is an
// illustration, since true mixing needs spectra and scatter of each paint. At
// least one colour, as many parts as colours, parts not negative and not all 0.
func MixSwatch(colours []SRGB, parts []float64) (SRGB, error) {
	if len(colours) == 0 || len(colours) != len(parts) {
		return SRGB{}, fmt.Errorf("mix of %d colours with %d parts: expected as many parts as colours, at least one", len(colours), len(parts))
	}
	var total float64
	var q [3]float64
	for i, c := range colours {
		if !(parts[i] >= 0) || math.IsInf(parts[i], 0) {
			return SRGB{}, fmt.Errorf("mix: part %g: expected 0 or more", parts[i])
		}
		total += parts[i]
		for j, v := range [3]uint8{c.R, c.G, c.B} {
			// Black would absorb without end; real paint reflects some light.
			q[j] += parts[i] * AbsorptionOverScatter(math.Max(linear(v), 0.003))
		}
	}
	if total == 0 {
		return SRGB{}, fmt.Errorf("mix: all parts are 0")
	}
	ch := func(j int) uint8 { return encode(OpaqueReflectance(q[j] / total)) }
	return SRGB{ch(0), ch(1), ch(2)}, nil
}
