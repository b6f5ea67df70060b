// Package colour turns the colour of a paint, as sRGB, into CIELAB and says how
// far two colours lie apart. It is arithmetic only and imports no other room.
//
// A colour on a screen is not a paint on a figure: gloss, translucency and
// undercoat are left out. Differences serve to propose near twins and to show
// swatches, not to promise a match; the painter's eye decides.
package colour

import (
	"encoding/hex"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// SRGB is a colour in sRGB (IEC 61966-2-1), 8 bits a channel.
type SRGB struct{ R, G, B uint8 }

// XYZ is a colour in CIE 1931 XYZ, Y from 0 (black) to 1 (white), D65.
type XYZ struct{ X, Y, Z float64 }

// Lab is a colour in CIELAB (CIE 15) under D65, L from 0 to 100.
type Lab struct{ L, A, B float64 }

// Parse reads "#c8b89a" or "c8b89a", or CIELAB under D65 as "lab 52.3 -4.1 20"; anything
// else is an error that names what was found. A colour in CIELAB that no screen shows
// is one: as sRGB it would be another colour.
func Parse(s string) (SRGB, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	if rest, lab := strings.CutPrefix(t, "lab"); lab {
		return parseLab(s, rest)
	}
	b, err := hex.DecodeString(strings.TrimPrefix(t, "#"))
	if err != nil || len(b) != 3 {
		return SRGB{}, fmt.Errorf("colour %q: expected six hexadecimal digits of sRGB, like #c8b89a, "+
			"or CIELAB, like lab 52.3 -4.1 20", s)
	}
	return SRGB{b[0], b[1], b[2]}, nil
}

// outOfReach is how far (CIEDE2000) the nearest sRGB colour may lie from one given in
// CIELAB: rounding to 8 bits stays well below it.
const outOfReach = 1.0

func parseLab(s, rest string) (SRGB, error) {
	f := strings.Fields(strings.NewReplacer("(", " ", ")", " ", ",", " ").Replace(rest))
	var v [3]float64
	for i := range f {
		n, err := strconv.ParseFloat(f[i], 64)
		if err != nil || len(f) != 3 {
			f = nil
			break
		}
		v[i] = n
	}
	l := Lab{v[0], v[1], v[2]}
	if len(f) != 3 || !(l.L >= 0 && l.L <= 100 && math.Abs(l.A) <= 200 && math.Abs(l.B) <= 200) {
		return SRGB{}, fmt.Errorf("colour %q: expected lab and the three numbers L (0 to 100), "+
			"a and b (-200 to 200), like lab 52.3 -4.1 20", s)
	}
	c := l.XYZ().SRGB()
	if off := DeltaE(c.Lab(), l); off > outOfReach {
		return SRGB{}, fmt.Errorf("colour %q: expected a colour that sRGB holds; "+
			"the nearest, %s, is %.1f away", s, c, off)
	}
	return c, nil
}

// String writes "#c8b89a".
func (c SRGB) String() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// linear is the sRGB decoding of IEC 61966-2-1 on 0 to 255.
func linear(v uint8) float64 {
	c := float64(v) / 255
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

// encode is its inverse; values outside 0 to 1 are cut off.
func encode(u float64) uint8 {
	u = math.Max(0, math.Min(1, u))
	c := 12.92 * u
	if u > 0.0031308 {
		c = 1.055*math.Pow(u, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * c))
}

// XYZ converts by the matrix of IEC 61966-2-1.
func (c SRGB) XYZ() XYZ {
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	return XYZ{
		X: 0.4124*r + 0.3576*g + 0.1805*b,
		Y: 0.2126*r + 0.7152*g + 0.0722*b,
		Z: 0.0193*r + 0.1192*g + 0.9505*b,
	}
}

// SRGB converts back by the inverse matrix of IEC 61966-2-1; colours a screen
// cannot show are cut off at its limits.
func (c XYZ) SRGB() SRGB {
	return SRGB{
		R: encode(3.2406*c.X - 1.5372*c.Y - 0.4986*c.Z),
		G: encode(-0.9689*c.X + 1.8758*c.Y + 0.0415*c.Z),
		B: encode(0.0557*c.X - 0.2040*c.Y + 1.0570*c.Z),
	}
}

// white is the XYZ of sRGB white, so that white and greys have no chroma.
var white = XYZ{0.9505, 1, 1.0890}

// Lab converts to CIELAB under D65 (CIE 15).
func (c XYZ) Lab() Lab {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x, y, z := f(c.X/white.X), f(c.Y/white.Y), f(c.Z/white.Z)
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// XYZ converts back from CIELAB under D65.
func (c Lab) XYZ() XYZ {
	inv := func(f float64) float64 {
		if t := f * f * f; t > 216.0/24389 {
			return t
		}
		return (116*f - 16) * 27 / 24389
	}
	y := (c.L + 16) / 116
	return XYZ{white.X * inv(y+c.A/500), white.Y * inv(y), white.Z * inv(y-c.B/200)}
}

// Lab converts to CIELAB under D65.
func (c SRGB) Lab() Lab { return c.XYZ().Lab() }
