package colour

import (
	"fmt"
	"math"
	"sort"
)

// Bands is how many bands of 10 nm a [Spectrum] has; the first is centred on
// FirstBand, the last on 730 nm.
const (
	Bands     = 36
	FirstBand = 380 // nm
	BandWidth = 10  // nm
)

// Spectrum is the reflectance of an opaque surface in each band, 0 to 1.
type Spectrum [Bands]float64

// d65 is the relative power of CIE standard illuminant D65 at 380 to 730 nm.
// Source: CIE 15, from memory; checked by the white point that follows from it.
var d65 = Spectrum{
	49.9755, 54.6482, 82.7549, 91.4860, 93.4318, 86.6823, 104.865, 117.008, 117.812,
	114.861, 115.923, 108.811, 109.354, 107.802, 104.790, 107.689, 104.405, 104.046,
	100.000, 96.3342, 95.7880, 88.6856, 90.0062, 89.5991, 87.6987, 83.2886, 83.6992,
	80.0268, 80.2146, 82.2778, 78.2842, 69.7213, 71.6091, 74.3490, 61.6040, 69.8856,
}

// matching is the CIE 1931 2-degree observer at 380 to 730 nm. Source: CIE 15,
// from memory; checked against the published fit of Wyman, Sloan and Shirley.
var matching = [Bands][3]float64{
	{.0014, .0000, .0065}, {.0042, .0001, .0201}, {.0143, .0004, .0679}, {.0435, .0012, .2074},
	{.1344, .0040, .6456}, {.2839, .0116, 1.3856}, {.3483, .0230, 1.7471}, {.3362, .0380, 1.7721},
	{.2908, .0600, 1.6692}, {.1954, .0910, 1.2876}, {.0956, .1390, .8130}, {.0320, .2080, .4652},
	{.0049, .3230, .2720}, {.0093, .5030, .1582}, {.0633, .7100, .0782}, {.1655, .8620, .0422},
	{.2904, .9540, .0203}, {.4334, .9950, .0087}, {.5945, .9950, .0039}, {.7621, .9520, .0021},
	{.9163, .8700, .0017}, {1.0263, .7570, .0011}, {1.0622, .6310, .0008}, {1.0026, .5030, .0003},
	{.8544, .3810, .0002}, {.6424, .2650, 0}, {.4479, .1750, 0}, {.2835, .1070, 0},
	{.1649, .0610, 0}, {.0874, .0320, 0}, {.0468, .0170, 0}, {.0227, .0082, 0},
	{.0114, .0041, 0}, {.0058, .0021, 0}, {.0029, .0010, 0}, {.0014, .0005, 0},
}

// weights are what a reflectance in each band adds to X, Y and Z under D65,
// scaled so that reflectance 1 everywhere gives the white of sRGB exactly and
// greys stay without chroma.
var weights = func() (w [Bands][3]float64) {
	var sum [3]float64
	for i := range w {
		for c, m := range matching[i] {
			w[i][c] = m * d65[i]
			sum[c] += w[i][c]
		}
	}
	for i := range w {
		for c, full := range [3]float64{white.X, white.Y, white.Z} {
			w[i][c] *= full / sum[c]
		}
	}
	return w
}()

// XYZ is the colour of the spectrum under D65.
func (s *Spectrum) XYZ() XYZ {
	var x XYZ
	for i, r := range s {
		x.X += weights[i][0] * r
		x.Y += weights[i][1] * r
		x.Z += weights[i][2] * r
	}
	return x
}

// Lab is the colour of the spectrum in CIELAB under D65.
func (s *Spectrum) Lab() Lab { return s.XYZ().Lab() }

// Reading is one measured point of a spectrum: a wavelength in nm and the
// reflectance there, 0 to 1 (up to 1.2 is taken as fluorescence or error of the
// instrument and held at 1).
type Reading struct{ NM, Reflectance float64 }

// BadReading says what is wrong with measured points.
type BadReading struct {
	At              int // the reading, from 0
	Found, Expected string
}

func (b *BadReading) Error() string { return "found " + b.Found + ", expected " + b.Expected }

// The limits of a measured spectrum: how far it must reach and how close its
// readings must lie.
const (
	measuredFrom = 400.0 // nm
	measuredTo   = 700.0
	widestGap    = 20.0
	mostBright   = 1.2
)

// CheckReadings tells why measured points are no spectrum, nil where they are one:
// it refuses wavelengths that do not rise or lie outside 300 to 1100 nm, points that
// do not reach from 400 to 700 nm, gaps of more than 20 nm there, and reflectances
// below 0 or above 1.2.
func CheckReadings(r []Reading) *BadReading {
	for i, p := range r {
		bad := func(found, expected string) *BadReading { return &BadReading{i, found, expected} }
		switch {
		case !(p.NM >= 300 && p.NM <= 1100):
			return bad(fmt.Sprintf("the wavelength %g", p.NM), "nanometres, 300 to 1100")
		case !(p.Reflectance >= 0 && p.Reflectance <= mostBright):
			return bad(fmt.Sprintf("the reflectance %g at %g nm", p.Reflectance, p.NM),
				"0 to 1 (at most 1.2), or per cent with its sign")
		case i > 0 && p.NM == r[i-1].NM:
			return bad(fmt.Sprintf("%g nm a second time", p.NM), "each wavelength once")
		case i > 0 && p.NM < r[i-1].NM:
			return bad(fmt.Sprintf("%g nm after %g nm", p.NM, r[i-1].NM), "wavelengths that rise")
		case i == 0 && p.NM > measuredFrom && !(len(r) > 1 && r[1].NM <= p.NM):
			return bad(fmt.Sprintf("%g nm as the first", p.NM), "readings from 400 nm or below")
		case i > 0 && p.NM > measuredFrom && r[i-1].NM < measuredTo && p.NM-r[i-1].NM > widestGap:
			return bad(fmt.Sprintf("nothing between %g and %g nm", r[i-1].NM, p.NM),
				"a reading at least every 20 nm from 400 to 700 nm")
		}
	}
	switch n := len(r); {
	case n == 0:
		return &BadReading{0, "no readings", "readings from 400 to 700 nm"}
	case r[n-1].NM < measuredTo:
		return &BadReading{n - 1, fmt.Sprintf("%g nm as the last", r[n-1].NM), "readings up to 700 nm or beyond"}
	}
	return nil
}

// FromReadings lays measured points on the bands, linear between points and level
// beyond the outermost. What [CheckReadings] refuses is a *BadReading.
func FromReadings(r []Reading) (Spectrum, error) {
	var s Spectrum
	if bad := CheckReadings(r); bad != nil {
		return s, bad
	}
	for i := range s {
		nm := float64(FirstBand + BandWidth*i)
		j := sort.Search(len(r), func(j int) bool { return r[j].NM >= nm })
		switch {
		case j == 0:
			s[i] = r[0].Reflectance
		case j == len(r):
			s[i] = r[j-1].Reflectance
		default:
			a, b := r[j-1], r[j]
			s[i] = a.Reflectance + (b.Reflectance-a.Reflectance)*(nm-a.NM)/(b.NM-a.NM)
		}
		s[i] = math.Min(s[i], 1)
	}
	return s, nil
}
