package textfile

import "strings"

// barcodeFits reports whether the last digit of a barcode of 12, 13 or 14
// digits (GTIN) is the check digit of the others: from the right with weights
// 3, 1, 3, ..., ten less the last digit of the sum. Codes of another form are
// a maker's own and always fit.
// Source: GS1 General Specifications, check digit calculation (gs1.org).
func barcodeFits(code string) bool {
	n := len(code)
	if n < 12 || n > 14 || strings.Trim(code, "0123456789") != "" {
		return true
	}
	return code[n-1] == checkDigit(code[:n-1])
}

// checkDigit is the digit that follows these.
func checkDigit(digits string) byte {
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

// code reads a product's number, and checks it where it is a barcode.
func (r *record) code(field string) string {
	s := r.text(field)
	if !barcodeFits(s) {
		r.slip(field, show(s), "a barcode that ends in "+string(checkDigit(s[:len(s)-1]))+", or another digit to be read again from the box")
	}
	return s
}
