package problemfile

import (
	"strconv"
	"strings"
)

// integer reads a whole number. 5, 5.0 and 0.5e1 are the same whole number;
// 5.5 is none.
func (d *scanner) integer(to *int64) bool {
	c := d.peek()
	if c != '-' && (c < '0' || c > '9') {
		d.misfit("a whole number")
		return false
	}
	at := d.i
	digits := d.number()
	if v, err := strconv.ParseInt(digits, 10, 64); err == nil {
		*to = v
		return true
	}
	v, expected := wholeNumber(digits)
	if expected != "" {
		if len(digits) > 40 {
			digits = digits[:40] + "..."
		}
		d.faultAt(at, "found "+digits+", expected "+expected)
		return false
	}
	*to = v
	return true
}

// number reads the number that starts here and gives its characters.
func (d *scanner) number() string {
	start := d.i
	run := func() int {
		from := d.i
		for d.i < len(d.s) && '0' <= d.s[d.i] && d.s[d.i] <= '9' {
			d.i++
		}
		return d.i - from
	}
	next := func(set string) bool {
		if d.i < len(d.s) && strings.IndexByte(set, d.s[d.i]) >= 0 {
			d.i++
			return true
		}
		return false
	}
	next("-")
	first := d.i
	if n := run(); n == 0 || n > 1 && d.s[first] == '0' {
		d.stop(start, "found a number that starts with %q, expected digits without leading zeros",
			d.s[start:min(first+2, len(d.s))])
	}
	if next(".") && run() == 0 {
		d.stop(start, "found a number that ends with a point, expected a digit after it")
	}
	if next("eE") {
		next("+-")
		if run() == 0 {
			d.stop(start, "found a number with an empty exponent, expected a digit in it")
		}
	}
	return d.s[start:d.i]
}

// wholeNumber is the value of a JSON number with a point, an exponent or many
// digits, or what should have been there instead.
func wholeNumber(s string) (int64, string) {
	mantissa, exponent := s, 0
	if k := strings.IndexAny(s, "eE"); k >= 0 {
		mantissa = s[:k]
		e, err := strconv.Atoi(s[k+1:])
		if err != nil { // out of any range, unless the digits are all zero
			e = len(s)
			if s[k+1] == '-' {
				e = -len(s)
			}
			e *= 1 << 20
		}
		exponent = e
	}
	mantissa, negative := strings.CutPrefix(mantissa, "-")
	before, after, _ := strings.Cut(mantissa, ".")
	digits := strings.TrimRight(before+after, "0")
	exponent += len(before) - len(digits)
	digits = strings.TrimLeft(digits, "0")
	if digits == "" {
		return 0, ""
	}
	if exponent < 0 {
		return 0, "a whole number without a fraction"
	}
	if len(digits)+exponent > 19 {
		return 0, "a whole number of at most 19 digits that fits 64 bits"
	}
	digits += strings.Repeat("0", exponent)
	if negative {
		digits = "-" + digits
	}
	v, err := strconv.ParseInt(digits, 10, 64)
	if err != nil {
		return 0, "a whole number of at most 19 digits that fits 64 bits"
	}
	return v, ""
}
