package lp

// Rounding is mixed integer rounding with one divisor (Nemhauser & Wolsey 1990,
// Marchand & Wolsey 2001). Of a row
//
//	sum of a_j z_j >= b,   z_j whole and >= 0,
//
// it makes
//
//	sum of Whole(a_j) z_j >= Side,
//
// which every whole-number point of the row satisfies. A z_j that need not be
// whole takes Part(a_j) instead. For a >= 0, Whole(a) <= a: nothing grows.
type Rounding struct {
	d, r int64
	Side int64
}

// NewRounding is the rounding of side b by divisor d > 0. ok is false where d
// divides b: then nothing is gained.
func NewRounding(b, d int64) (r Rounding, ok bool) {
	q := floorDiv(b, d)
	r = Rounding{d: d, r: b - q*d}
	r.Side = r.r * (q + 1)
	return r, r.r > 0
}

// Whole is the coefficient of a whole column.
func (r Rounding) Whole(a int64) int64 {
	q := floorDiv(a, r.d)
	return r.r*q + min(r.r, a-q*r.d)
}

// Part is the coefficient of a column that may take any value.
func (r Rounding) Part(a int64) int64 { return max(a, 0) }

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
