package colour

// Hiding is how strongly one coat of a paint hides what is under it: scatter times
// thickness of the film, 0 (clear) and up; at 1.5 hardly any ground matters.
type Hiding float64

// Hiding powers of one coat by kind. Assumption; half and double of it show how unsure
// the colour over a ground is.
const (
	HidingOfWash    Hiding = 0.15
	HidingOfOneCoat Hiding = 0.5
	HidingOfOpaque  Hiding = 1.5
)

// Over is the spectrum of a film of paint over a ground, by the film formula of
// Kubelka and Munk with K/S from the paint's own opaque colour. Two coats are one
// of twice the hiding power. It is flat: a wash that pools in recesses is not in it.
func Over(paint *Spectrum, hiding Hiding, ground *Spectrum) (s Spectrum) {
	ks := absorption(paint)
	for i := range s {
		s[i] = FilmReflectance(ks[i], 1, float64(hiding), ground[i])
	}
	return s
}

// Unsure is how far apart (CIEDE2000) the colour over the ground lies at half and
// at double the hiding power. Above [TooUnsure] only "the ground shows through" is worth saying.
func Unsure(paint *Spectrum, hiding Hiding, ground *Spectrum) float64 {
	half, double := Over(paint, hiding/2, ground), Over(paint, hiding*2, ground)
	return DeltaE(half.Lab(), double.Lab())
}

// TooUnsure is the difference between half and double hiding power (see [Unsure]) from
// which on a colour over a ground is not told. Assumption.
const TooUnsure = 10.0
