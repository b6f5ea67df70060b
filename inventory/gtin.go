package inventory

import (
	"fmt"
	"strings"
)

// GTIN is a Global Trade Item Number, the number under a bar code, as 14 digits:
// the shorter ones (GTIN-8, GTIN-12, GTIN-13) have zeros before them, so that
// two are the same article exactly where they are equal.
// Source: GS1 General Specifications, "GTIN" and "Check digit calculation".
type GTIN string

// ParseGTIN reads a number of 8, 12, 13 or 14 digits as typed or scanned. What
// some scanners send before it is passed over: the symbology identifier ("]E0",
// ISO/IEC 15424) and the application identifier 01 of a 14-digit number, as
// in "(01)" and "]C101" (GS1 General Specifications). It is an error where it
// has another form or its last digit is not the check digit of the others.
func ParseGTIN(s string) (GTIN, error) {
	d := strings.TrimSpace(s)
	if len(d) > 3 && d[0] == ']' {
		d = d[3:]
	}
	d = strings.TrimPrefix(d, "(01)")
	if len(d) == 16 {
		d = strings.TrimPrefix(d, "01")
	}
	if !gtinForm(d) {
		return "", fmt.Errorf("%q: expected a barcode of 8, 12, 13 or 14 digits", s)
	}
	if n := len(d) - 1; d[n] != CheckDigit(d[:n]) {
		return "", fmt.Errorf("%q: expected a barcode that ends in %c, "+
			"or another digit to be read again from the box", s, CheckDigit(d[:n]))
	}
	return GTIN(strings.Repeat("0", 14-len(d)) + d), nil
}

// gtinForm reports whether a number is as long as a GTIN and nothing but digits.
func gtinForm(s string) bool {
	switch len(s) {
	case 8, 12, 13, 14:
		return strings.Trim(s, "0123456789") == ""
	}
	return false
}

// CheckDigit is the digit that follows these: from the right with weights 3,
// 1, 3, ..., what is lacking to the next ten.
func CheckDigit(digits string) byte {
	sum := 0
	for i := range len(digits) {
		d := int(digits[len(digits)-1-i] - '0')
		if i%2 == 0 {
			d *= 3
		}
		sum += d
	}
	return '0' + byte((10-sum%10)%10)
}

// CheckCode reports a product's number that has the form of a GTIN but is
// none. Numbers of any other form are a maker's own.
func CheckCode(code string) error {
	if !gtinForm(code) {
		return nil
	}
	_, err := ParseGTIN(code)
	if err != nil && len(code) == 8 {
		return fmt.Errorf("%w (a maker's own number of 8 digits takes a letter or hyphen)", err)
	}
	return err
}

// SameGTIN reports whether both texts are the same GTIN, however long each is.
func SameGTIN(a, b string) bool {
	x, err1 := ParseGTIN(a)
	y, err2 := ParseGTIN(b)
	return err1 == nil && err2 == nil && x == y
}
