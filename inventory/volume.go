package inventory

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// Volume is a volume of paint in whole microlitres. Paints sold by the piece
// (pencils, pigments) are kept in the same type: see [Item].
type Volume int64

// Units of volume.
const (
	Microlitre Volume = 1
	Millilitre Volume = 1000
	Litre      Volume = 1_000_000
)

// Item is the volume that stands for one pencil or one jar of pigment, in
// every place that holds a Volume: one item is 1000 ul, so that use is
// counted to a thousandth of an item and whole items stay whole.
const Item = Millilitre

// maxParse keeps parsed volumes far from overflow when they are added up.
const maxParse = 1_000_000 * Litre

// ParseVolume reads "12.5 ml", "17ml", "500 ul", "0.4 l" or "2 cl". The unit
// must be there, the number must be a plain decimal of at least 0, and the
// volume a whole number of microlitres.
func ParseVolume(s string) (Volume, error) {
	t := strings.TrimSpace(s)
	cut := strings.IndexFunc(t, func(r rune) bool {
		return (r < '0' || r > '9') && r != '.' && r != '-' && r != '+'
	})
	if cut < 0 {
		return 0, fmt.Errorf("volume %q has no unit: expected something like 17 ml", s)
	}
	num, unit := t[:cut], strings.TrimSpace(t[cut:])
	var per Volume
	switch strings.ToLower(unit) {
	case "ul", "µl", "μl":
		per = Microlitre
	case "ml", "cm3", "cc":
		per = Millilitre
	case "cl":
		per = 10 * Millilitre
	case "dl":
		per = 100 * Millilitre
	case "l":
		per = Litre
	default:
		if strings.HasPrefix(unit, ",") {
			return 0, fmt.Errorf("volume %q: write the decimals after a point, as in 12.5 ml", s)
		}
		return 0, fmt.Errorf("volume %q: unit %q is not one of ml, ul, cl, l", s, unit)
	}
	// Longer numbers are no volume, and decimal would work on them for a long time.
	if len(num) == 0 || len(num) > 24 {
		return 0, fmt.Errorf("volume %q: expected a number and a unit, like 17 ml", s)
	}
	d, err := decimal.NewFromString(num)
	if err != nil {
		return 0, fmt.Errorf("volume %q: %q is not a number", s, num)
	}
	d = d.Mul(decimal.NewFromInt(int64(per)))
	switch {
	case d.IsNegative():
		return 0, fmt.Errorf("volume %q is below zero", s)
	case d.GreaterThan(decimal.NewFromInt(int64(maxParse))):
		return 0, fmt.Errorf("volume %q is more than %s", s, maxParse)
	case !d.IsInteger():
		return 0, fmt.Errorf("volume %q is finer than a microlitre (0.001 ml)", s)
	}
	return Volume(d.IntPart()), nil
}

// VolumeOfML is the volume nearest to ml millilitres. Not a number and
// infinities give 0 and the largest volume.
func VolumeOfML(ml float64) Volume { return fromFloat(math.Round(ml * 1000)) }

// CeilUL and FloorUL round microlitres to a whole volume, away from and
// towards nothing: needs round up, stock rounds down.
func CeilUL(ul float64) Volume  { return fromFloat(math.Ceil(ul)) }
func FloorUL(ul float64) Volume { return fromFloat(math.Floor(ul)) }

func fromFloat(ul float64) Volume {
	switch {
	case math.IsNaN(ul):
		return 0
	case ul >= math.MaxInt64:
		return math.MaxInt64
	case ul <= math.MinInt64:
		return math.MinInt64
	}
	return Volume(ul)
}

// ML is the volume in millilitres.
func (v Volume) ML() float64 { return float64(v) / 1000 }

// String writes the volume in millilitres without loss: "12.5 ml".
func (v Volume) String() string {
	return decimal.New(int64(v), -3).String() + " ml"
}

// MarshalText and UnmarshalText are String and ParseVolume.
func (v Volume) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads what ParseVolume reads.
func (v *Volume) UnmarshalText(b []byte) error {
	w, err := ParseVolume(string(b))
	if err == nil {
		*v = w
	}
	return err
}

// FourDigits writes a number to four digits, without needless zeros.
func FourDigits(v float64) string {
	s := strconv.FormatFloat(v, 'g', 4, 64)
	if strings.ContainsRune(s, 'e') {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return s
}
