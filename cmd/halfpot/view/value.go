package view

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"halfpot/inventory"
)

// Cell is a value that knows how it reads in a table.
type Cell interface {
	Cell(Style) string
}

// rightAligned is a Cell that belongs flush right, as numbers do.
type rightAligned interface{ alignRight() }

// Amount is a volume of paint, or a number of items for pencils and pigments,
// which are counted.
type Amount struct {
	Mid       inventory.Volume
	Low, High inventory.Volume // the range it lies in; both equal to Mid: no range shown
	Counted   bool
	exact     bool // told, not reckoned: every digit counts
}

// Exactly is an amount that was told, such as the size of a pot.
func Exactly(v inventory.Volume, counted bool) Amount { return Amount{v, v, v, counted, true} }

// About is an amount that was reckoned, without a range.
func About(v inventory.Volume, counted bool) Amount { return Amount{v, v, v, counted, false} }

// Cell gives "13 ml (10 to 15)", or "13 ml" where there is no range or none that
// shows: to two figures, for nobody knows a pot better, and "<0.01 ml" for a trace, so that a
// trace never reads as nothing. What was told is shown to the hundredth, from
// 10 ml up to the tenth.
func (a Amount) Cell(Style) string { return a.String() }

// ranging is a Cell that may show a range, which a narrow page leaves out.
type ranging interface{ WithoutRange() string }

// WithoutRange is the amount alone, "12.5 ml".
func (a Amount) WithoutRange() string {
	return Amount{a.Mid, a.Mid, a.Mid, a.Counted, a.exact}.String()
}

func (a Amount) String() string {
	unit := " ml"
	digits := twoFigures
	if a.exact {
		digits = allDigits
	}
	mid := digits(a.Mid)
	if a.Counted {
		unit = " items"
		if mid == "1" {
			unit = " item"
		}
	}
	low, high := digits(a.Low), digits(a.High)
	if low == mid && high == mid {
		return mid + unit
	}
	return fmt.Sprintf("%s%s (%s to %s)", mid, unit, low, high)
}

func (Amount) alignRight() {}

// Shortage is an Amount that is blank in a table where it is nothing, and
// "<0.1 ml" where it is a drop or two. What is counted is short by whole items:
// none is sold in parts.
type Shortage Amount

// Cell is blank or the amount.
func (a Shortage) Cell(s Style) string {
	if a.Mid == 0 {
		return ""
	}
	return a.WithoutRange()
}

func (Shortage) alignRight() {}

// WithoutRange is blank or the amount alone.
func (a Shortage) WithoutRange() string {
	if a.Mid == 0 {
		return ""
	}
	if !a.Counted && a.Mid < 95*inventory.Microlitre {
		return "<0.1 ml"
	}
	if a.Counted {
		a.Mid = (a.Mid + inventory.Item - 1) / inventory.Item * inventory.Item
	}
	return Amount(a).WithoutRange()
}

// MarshalJSON is that of Amount.
func (a Shortage) MarshalJSON() ([]byte, error) { return Amount(a).MarshalJSON() }

// CSVHeads are those of Amount.
func (Shortage) CSVHeads(key string) []string { return Amount{}.CSVHeads(key) }

// CSVValues are those of Amount.
func (a Shortage) CSVValues() []string { return Amount(a).CSVValues() }

func twoFigures(v inventory.Volume) string {
	f := v.ML()
	switch {
	case v == 0:
		return "0"
	case math.Abs(f) < 0.005:
		return "<0.01"
	case math.Abs(f) < 0.0995:
		return trimZeros(strconv.FormatFloat(f, 'f', 2, 64))
	}
	return strconv.FormatFloat(mustParse(strconv.FormatFloat(f, 'g', 2, 64)), 'f', -1, 64)
}

func allDigits(v inventory.Volume) string {
	f := v.ML()
	switch {
	case v == 0:
		return "0"
	case math.Abs(f) < 0.005:
		return "<0.01"
	case math.Abs(f) < 9.995:
		return trimZeros(strconv.FormatFloat(f, 'f', 2, 64))
	}
	return trimZeros(strconv.FormatFloat(f, 'f', 1, 64))
}

func trimZeros(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(s, "0")
		s = strings.TrimSuffix(s, ".")
	}
	return s
}

// MarshalJSON writes {"ml": 12.5}, with low_ml and high_ml where there is a
// range; counted things have items in place of ml.
func (a Amount) MarshalJSON() ([]byte, error) {
	unit := "ml"
	if a.Counted {
		unit = "items"
	}
	s := fmt.Sprintf(`{"%s":%s`, unit, number(a.Mid))
	if a.Low != a.Mid || a.High != a.Mid {
		s += fmt.Sprintf(`,"low_%s":%s,"high_%s":%s`, unit, number(a.Low), unit, number(a.High))
	}
	return []byte(s + "}"), nil
}

func number(v inventory.Volume) string { return decimal.New(int64(v), -3).String() }

// CSVHeads and CSVValues give an amount in columns of plain numbers: those in
// ml are blank for counted things, and the other way round.
func (Amount) CSVHeads(key string) []string {
	return []string{key + "_ml", key + "_low_ml", key + "_high_ml", key + "_items"}
}

// CSVValues are the numbers under CSVHeads.
func (a Amount) CSVValues() []string {
	if a.Counted {
		return []string{"", "", "", number(a.Mid)}
	}
	return []string{number(a.Mid), number(a.Low), number(a.High), ""}
}

// Percent is a share shown in whole percent; 0.9 reads "90 %".
type Percent float64

// Cell rounds to whole percent but never to a false 0 or 100.
func (v Percent) Cell(Style) string {
	f := float64(v)
	switch {
	case f > 0 && f < 0.005:
		return "<1 %"
	case f < 1 && f >= 0.995:
		return ">99 %"
	}
	return fmt.Sprintf("%.0f %%", f*100)
}

func (Percent) alignRight() {}

// Share is a Percent that is blank in a table where it is 0.
type Share float64

// Cell is blank or the share.
func (v Share) Cell(s Style) string {
	if v == 0 {
		return ""
	}
	return Percent(v).Cell(s)
}

func (Share) alignRight() {}

// Count is a whole number of things.
type Count int64

// Cell gives the digits.
func (v Count) Cell(Style) string { return strconv.FormatInt(int64(v), 10) }
func (Count) alignRight()         {}

// Some is a Count that a table leaves blank where there is nothing to count.
type Some int64

// Cell gives the digits, none for 0.
func (v Some) Cell(s Style) string {
	if v == 0 {
		return ""
	}
	return Count(v).Cell(s)
}
func (Some) alignRight() {}

// Num is a bare number with its unit in the heading, three significant digits.
type Num float64

// Cell gives three significant digits without an exponent.
func (v Num) Cell(Style) string { return v.String() }

// String is the number as a table shows it, for sentences.
func (v Num) String() string {
	f := float64(v)
	if math.Abs(f) >= 100 {
		return strconv.FormatFloat(f, 'f', 0, 64)
	}
	return strconv.FormatFloat(mustParse(strconv.FormatFloat(f, 'g', 3, 64)), 'f', -1, 64)
}

func (Num) alignRight() {}

// Fine is a Num to five significant digits, for sums that can be redone by hand.
type Fine float64

// Cell gives five significant digits without an exponent.
func (v Fine) Cell(Style) string { return v.String() }

// String is the number as a table shows it, for sentences.
func (v Fine) String() string {
	return strconv.FormatFloat(mustParse(strconv.FormatFloat(float64(v), 'g', 5, 64)), 'f', -1, 64)
}

func (Fine) alignRight() {}

// Difference is how far two colours lie apart (CIEDE2000), NaN where that is not
// known: blank in a table, null in JSON.
type Difference float64

// Cell is blank or one decimal.
func (v Difference) Cell(Style) string { return v.CSVValue() }

func (Difference) alignRight() {}

// CSVValue is blank or one decimal.
func (v Difference) CSVValue() string {
	if math.IsNaN(float64(v)) {
		return ""
	}
	return strconv.FormatFloat(float64(v), 'f', 1, 64)
}

// MarshalJSON writes null or one decimal.
func (v Difference) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(v)) {
		return []byte("null"), nil
	}
	return []byte(v.CSVValue()), nil
}

// Known is a Num that is not known where it is 0: blank in a table, null in JSON.
type Known float64

// Cell is blank or the number.
func (v Known) Cell(s Style) string {
	if v == 0 {
		return ""
	}
	return Num(v).Cell(s)
}

func (Known) alignRight() {}

// CSVValue is blank or the number.
func (v Known) CSVValue() string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(float64(v), 'g', -1, 64)
}

// MarshalJSON writes null or the number.
func (v Known) MarshalJSON() ([]byte, error) {
	if v == 0 {
		return []byte("null"), nil
	}
	return json.Marshal(float64(v))
}

func mustParse(s string) float64 {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err) // s was made by FormatFloat
	}
	return f
}

// Money is an amount of money, or none at all where it has no currency.
type Money inventory.Money

// Cell gives "12.50 EUR".
func (m Money) Cell(Style) string { return m.String() }

func (m Money) String() string {
	if m.Currency == "" {
		return ""
	}
	return inventory.Money(m).String()
}

func (Money) alignRight() {}

// MarshalJSON writes {"amount":"12.50","currency":"EUR"}, or null where there
// is no amount.
func (m Money) MarshalJSON() ([]byte, error) {
	if m.Currency == "" {
		return []byte("null"), nil
	}
	return json.Marshal(struct {
		Amount   string `json:"amount"`
		Currency string `json:"currency"`
	}{inventory.Money(m).Decimal(), m.Currency})
}

// CSVValue is the same text as the CSV files halfpot reads.
func (m Money) CSVValue() string { return m.String() }

// Date is a day; the zero value reads as a blank.
type Date struct{ time.Time }

// Cell gives the ISO 8601 day.
func (d Date) Cell(Style) string { return d.CSVValue() }

// CSVValue is the ISO 8601 day or nothing.
func (d Date) CSVValue() string {
	if d.IsZero() {
		return ""
	}
	return d.Format(time.DateOnly)
}

// MarshalJSON writes the day as a string, or null.
func (d Date) MarshalJSON() ([]byte, error) {
	if d.IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(d.CSVValue())
}
