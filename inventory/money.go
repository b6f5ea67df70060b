package inventory

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
	"golang.org/x/text/currency"
)

// Money is an amount in one currency. The zero Money is no amount at all.
type Money struct {
	Amount   decimal.Decimal
	Currency string // ISO 4217 alphabetic code
}

// minorDigits lists the currencies whose minor unit is not a hundredth, by
// ISO 4217 (facts from memory of the standard's table; all others have 2).
var minorDigits = map[string]int32{
	"BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0,
	"RWF": 0, "UGX": 0, "UYI": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
	"BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3,
	"CLF": 4, "UYW": 4,
}

// MinorDigits is the number of decimals of a currency's minor unit: 2 for
// EUR, 0 for JPY. It is an error where the code is not an ISO 4217 currency,
// or is one without a minor unit (gold, test codes).
func MinorDigits(code string) (int32, error) {
	if !validCurrency(code) {
		return 0, fmt.Errorf("%q is not a currency code: expected three capital letters of ISO 4217, "+
			"like EUR", code)
	}
	if d, ok := minorDigits[code]; ok {
		return d, nil
	}
	return 2, nil
}

func validCurrency(code string) bool {
	if len(code) != 3 || strings.ToUpper(code) != code {
		return false
	}
	switch code {
	case "XAU", "XAG", "XPT", "XPD", "XBA", "XBB", "XBC", "XBD", "XDR", "XSU", "XUA", "XXX", "XTS":
		return false // no minor unit in ISO 4217
	case "MRU", "STN", "VES", "VED", "SLE", "XCG", "ZWG", "UYW":
		return true // younger than the library's table
	}
	_, err := currency.ParseISO(code)
	return err == nil
}

// ParseMoney reads "12.50 EUR", "12.50EUR" or "EUR 12.50", the code in any
// case; € is EUR. Where fallback is not "", a bare number is in that currency.
// The amount may be negative and has no more decimals than the currency's minor
// unit.
func ParseMoney(s, fallback string) (Money, error) {
	t := strings.TrimSpace(s)
	from, to := strings.IndexAny(t, "0123456789.+-"), strings.LastIndexAny(t, "0123456789.")+1
	if from < 0 || to <= from {
		return Money{}, fmt.Errorf("price %q is not a number and a currency, like 12.50 EUR", s)
	}
	before, num, after := strings.TrimSpace(t[:from]), t[from:to], strings.TrimSpace(t[to:])
	code := strings.ToUpper(strings.ReplaceAll(before+after, "€", "EUR"))
	if code == "" {
		code = fallback
	}
	switch {
	case code == "" || before != "" && after != "":
		return Money{}, fmt.Errorf("price %q: expected an amount and a currency, like 12.50 EUR", s)
	case strings.Contains(num, ","):
		return Money{}, fmt.Errorf("price %q: write the decimals after a point, as in 12.50", s)
	case len(num) > 24 || strings.ContainsAny(num, "eE"):
		return Money{}, fmt.Errorf("price %q: %q is not a plain amount", s, num)
	}
	d, err := decimal.NewFromString(num)
	if err != nil {
		return Money{}, fmt.Errorf("price %q: %q is not a number", s, num)
	}
	m := Money{Amount: d, Currency: code}
	if _, err := m.Minor(); err != nil {
		return Money{}, fmt.Errorf("price %q: %w", s, err)
	}
	return m, nil
}

// Minor is the amount in whole minor units (cents for EUR). It is an error
// where the currency is not known, the amount is finer than its minor unit,
// or beyond what an int64 can safely add up (10^15).
func (m Money) Minor() (int64, error) {
	digits, err := MinorDigits(m.Currency)
	if err != nil {
		return 0, err
	}
	d := m.Amount.Shift(digits)
	if d.Abs().GreaterThan(decimal.New(1, 15)) {
		return 0, fmt.Errorf("%s %s is too large an amount", m.Amount, m.Currency)
	}
	if !d.IsInteger() {
		return 0, fmt.Errorf("%s %s is finer than the smallest unit of %s (%d decimals)",
			m.Amount, m.Currency, m.Currency, digits)
	}
	return d.IntPart(), nil
}

// MoneyOfMinor is n minor units of a currency; an unknown code is taken to
// have 2 decimals.
func MoneyOfMinor(n int64, code string) Money {
	digits, err := MinorDigits(code)
	if err != nil {
		digits = 2
	}
	return Money{Amount: decimal.New(n, -digits), Currency: code}
}

// IsZero reports whether m is no amount, or an amount of nothing.
func (m Money) IsZero() bool { return m.Amount.IsZero() }

// Equal reports whether two amounts are the same money, whatever their
// number of decimals.
func (m Money) Equal(o Money) bool { return m.Currency == o.Currency && m.Amount.Equal(o.Amount) }

// Decimal writes the bare amount with the currency's decimals: "12.50".
func (m Money) Decimal() string {
	digits, err := MinorDigits(m.Currency)
	if err != nil {
		digits = 2
	}
	return m.Amount.StringFixed(max(digits, -m.Amount.Exponent()))
}

// String writes "12.50 EUR".
func (m Money) String() string { return strings.TrimSpace(m.Decimal() + " " + m.Currency) }

// Check finds faults with money that is not in currency, is finer than its
// smallest unit, or is below zero where that makes no sense. No money at all
// is none.
func (m Money) Check(path, currency string, mayBeNegative bool) Faults {
	var out Faults
	if m.Currency == "" && m.Amount.IsZero() {
		return nil
	}
	if m.Currency != currency {
		return Faults{{
			Path:     path,
			Found:    m.String(),
			Expected: "money in " + currency + ", the shop's currency",
		}}
	}
	if _, err := m.Minor(); err != nil {
		out = append(out, Fault{Path: path, Found: m.String(), Expected: err.Error()})
	}
	if m.Amount.IsNegative() && !mayBeNegative {
		out = append(out, Fault{Path: path, Found: m.String(), Expected: "0 or more"})
	}
	return out
}
