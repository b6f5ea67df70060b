package inventory

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Amount is how much there is of something, as a painter says it: a part of
// the whole or a quantity. Exactly one of Part and Volume is set.
type Amount struct {
	Part   *float64 // of the whole, 0 to 1
	Volume *Volume
	Pieces bool // the volume was said in pieces, each an [Item]
}

// Bare is what a number without a unit means where an amount is asked for.
type Bare int

// What a number without a unit may mean.
const (
	BareNothing Bare = iota // it is refused: 0.5 may be half the pot or half a millilitre
	BarePart                // 0.6 is 60 %
	BarePieces              // 2 is two pieces
)

// parts are the words for a part of a whole.
var parts = map[string]float64{
	"full": 1, "three quarters": 0.75, "two thirds": 2.0 / 3, "half": 0.5, "third": 1.0 / 3,
	"quarter": 0.25, "empty": 0, "¾": 0.75, "⅔": 2.0 / 3, "½": 0.5, "⅓": 1.0 / 3, "¼": 0.25,
}

// ParseAmount reads "half", "3/4", "60%", "12 ml" or "2 items", in any case and
// with or without a blank before the unit. It is the one reader of amounts, for
// commands and files. An error says what was expected.
func ParseAmount(s string, bare Bare) (Amount, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	if f, ok := parts[t]; ok {
		return Amount{Part: &f}, nil
	}
	if f, ok := parseFraction(t); ok {
		return Amount{Part: &f}, nil
	}
	if strings.HasSuffix(t, "%") || bare == BarePart && isNumber(t) {
		f, err := ParseShare(t)
		if err != nil {
			return Amount{}, err
		}
		return Amount{Part: &f}, nil
	}
	number, pieces := strings.CutSuffix(strings.TrimSuffix(t, "s"), "item")
	if pieces || bare == BarePieces && isNumber(t) {
		v, err := ParseVolume(strings.TrimSpace(number) + " ml")
		if err != nil {
			return Amount{}, errors.New("expected a number of items of 0 or more, to the thousandth, " +
				"like 0.5 items")
		}
		return Amount{Volume: &v, Pieces: true}, nil
	}
	if isNumber(t) || !strings.ContainsAny(t, "0123456789") || strings.ContainsAny(t, "/") {
		return Amount{}, errors.New("expected full, half, third, quarter or empty, " +
			"a part like 2/3 or 40%, or a volume like 12ml")
	}
	v, err := ParseVolume(t)
	if err != nil {
		return Amount{}, err
	}
	return Amount{Volume: &v}, nil
}

// Quantity is the amount as a volume where the whole is one; a part of it is
// rounded to the nearest microlitre.
func (a Amount) Quantity(whole Volume) Volume {
	if a.Part != nil {
		return Volume(math.Round(*a.Part * float64(whole)))
	}
	return *a.Volume
}

// parseFraction reads a part of a whole as it is said, "2/3": two whole numbers,
// the first from 0 to the second. It is false for everything else.
func parseFraction(s string) (part float64, ok bool) {
	over, under, _ := strings.Cut(s, "/")
	n, err1 := strconv.Atoi(strings.TrimSpace(over))
	d, err2 := strconv.Atoi(strings.TrimSpace(under))
	if err1 != nil || err2 != nil || n < 0 || d <= 0 || n > d {
		return 0, false
	}
	return float64(n) / float64(d), true
}

// ParseShare reads "35 %" or "0.35" as a fraction of 0 to 1.
func ParseShare(s string) (float64, error) {
	number, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	v, err := ParseNumber(strings.TrimSpace(number))
	if percent {
		v /= 100
	}
	if err != nil || !(v >= 0 && v <= 1) {
		return 0, errors.New("expected a share of 0 to 100 %, like 35 % or 0.35")
	}
	return v, nil
}

// ParseNumber reads a plain decimal: no exponent, no infinity, no hexadecimal.
func ParseNumber(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || len(s) > 400 || !isNumber(s) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("expected a number, like 1.5")
	}
	return v, nil
}

// isNumber reports whether a text is made of what numbers are made of.
func isNumber(s string) bool {
	return s != "" && strings.Trim(s, "0123456789.+-") == ""
}
