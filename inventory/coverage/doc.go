// Package coverage says how much paint a painting step takes: surface, film,
// loss and waste. It is arithmetic only. It keeps nothing, reads nothing and
// imports no other room of halfpot.
//
// # The sum
//
// One step on one unit of figures takes
//
//	area x share x wet film x coats / (1 - loss) x figures + waste x sittings
//
// with the area in cm2, the film in um and the result in ml. One cm2 under
// one um is 0.0001 ml. A sitting is one time of putting paint on the palette
// or in the cup; so ten figures at once cost less a figure than ten one by one.
//
// # Units and names
//
// Names carry their unit: AreaCM2, WetUM, ML. Shares, losses, efficiencies and
// volume solids are fractions between 0 and 1, never percent. A thinning of 0.5
// is one part of paint to half a part of medium. A scale is the N of 1:N.
//
// # Uncertainty
//
// [Estimate] is a median and the standard deviation of its natural logarithm.
// [Default] is a value of a table with its range, read as the central 90 %.
//
// # Where numbers come from
//
// Every default has an [Origin]: Published (a standard or a paper, named),
// Practice (common practice, no source) or Assumption (a founder's guess with
// a range, which the painter may change and which learns from logged work).
// Checked values stand in the tests, each with its source.
package coverage

import "fmt"

// UnknownError says that a word is not one of those a table knows.
type UnknownError struct {
	What  string // such as "body surface formula"
	Found string
	Want  string
}

// Error gives one line: quantity, word found, words expected.
func (e *UnknownError) Error() string {
	return fmt.Sprintf("unknown %s %q: expected %s", e.What, e.Found, e.Want)
}

// RangeError says that a number is outside what can be reckoned with.
type RangeError struct {
	What  string  // the quantity in the painter's words, such as "wet film"
	Value float64 // what was found
	Unit  string  // its unit, empty for a fraction or a count
	Want  string  // what was expected, such as "above 0 and at most 2000 um"
}

// Error gives one line: quantity, value found, value expected.
func (e *RangeError) Error() string {
	unit := e.Unit
	if unit != "" {
		unit = " " + unit
	}
	return fmt.Sprintf("%s %g%s: expected %s", e.What, e.Value, unit, e.Want)
}

// within refuses NaN too, because every comparison with NaN is false.
func within(what string, v, min, max float64, unit string) error {
	if v >= min && v <= max {
		return nil
	}
	return &RangeError{What: what, Value: v, Unit: unit, Want: fmt.Sprintf("%g to %g%s", min, max, space(unit))}
}

func aboveZero(what string, v, max float64, unit string) error {
	if v > 0 && v <= max {
		return nil
	}
	return &RangeError{
		What:  what,
		Value: v,
		Unit:  unit,
		Want:  fmt.Sprintf("above 0 and at most %g%s", max, space(unit)),
	}
}

func space(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
