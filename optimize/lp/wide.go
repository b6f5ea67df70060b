package lp

import (
	"math"
	"math/bits"
)

// wide is a whole number of 128 bits in two's complement.
type wide struct {
	hi int64
	lo uint64
}

func wideOf(v int64) wide { return wide{v >> 63, uint64(v)} }

// product is a*b, exactly.
func product(a, b int64) wide {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	h := int64(hi)
	if a < 0 {
		h -= b
	}
	if b < 0 {
		h -= a
	}
	return wide{h, lo}
}

func (w wide) plus(v wide) wide {
	lo, carry := bits.Add64(w.lo, v.lo, 0)
	return wide{w.hi + v.hi + int64(carry), lo}
}

func (w wide) minus(v wide) wide {
	lo, borrow := bits.Sub64(w.lo, v.lo, 0)
	return wide{w.hi - v.hi - int64(borrow), lo}
}

func (w wide) sign() int {
	switch {
	case w.hi < 0:
		return -1
	case w.hi == 0 && w.lo == 0:
		return 0
	}
	return 1
}

// fits tells whether it is a whole number of 63 bits, and which.
func (w wide) fits() (int64, bool) {
	return int64(w.lo), w.hi == int64(w.lo)>>63
}

// times is w*b; ok tells whether that fits.
func (w wide) times(b int64) (r wide, ok bool) {
	if v, fits := w.fits(); fits {
		return product(v, b), true
	}
	neg := w.sign() < 0
	if neg {
		w = wide{}.minus(w)
	}
	u := uint64(b)
	if b < 0 {
		neg, u = !neg, -u
	}
	h1, l1 := bits.Mul64(w.lo, u)
	h2, l2 := bits.Mul64(uint64(w.hi), u)
	mid, carry := bits.Add64(h1, l2, 0)
	if h2 != 0 || carry != 0 || mid>>62 != 0 {
		return wide{}, false
	}
	r = wide{int64(mid), l1}
	if neg {
		r = wide{}.minus(r)
	}
	return r, true
}

// floor is the largest floating-point number not above w times 2^-shift.
func (w wide) floor(shift int) float64 {
	v := float64(w.hi)*(1<<64) + float64(w.lo)
	v = math.Ldexp(v, -shift)
	// Each of the three steps rounds by at most half a last digit.
	size := math.Abs(math.Ldexp(float64(w.hi), 64-shift)) + math.Ldexp(float64(w.lo), -shift)
	if w.hi == 0 && w.lo < 1<<53 || w.hi == -1 && -w.lo <= 1<<53 {
		if w.hi == 0 {
			return math.Ldexp(float64(w.lo), -shift)
		}
		return -math.Ldexp(float64(-w.lo), -shift)
	}
	if w.hi == -1 { // no cancellation of large parts
		u := -w.lo
		v = -math.Ldexp(float64(u), -shift)
		size = -v
	}
	return v - size*(1.0/(1<<50))
}
