package lp

import "math"

// Certificate is what prices prove, in whole numbers: a bound on the cost of
// every point within all bounds, and what moving a column adds to it.
type Certificate struct {
	bound wide
	red   []wide
	shift int
	none  bool // it is proven that there is no point
}

// Bound is not above the cost of any point within all bounds, whatever the
// floating point did; -Inf where a needed bound is missing.
func (c *Certificate) Bound() float64 {
	if c.none {
		return math.Inf(1)
	}
	if c.red == nil {
		return math.Inf(-1)
	}
	return c.bound.floor(c.shift)
}

// Rise is by how much the bound rises at least for each unit that column j lies
// above its lower bound (positive) or below its upper bound (negative: minus the
// rise).
func (c *Certificate) Rise(j int) float64 {
	r := c.red[j]
	if r.sign() < 0 {
		return -wide{}.minus(r).floor(c.shift)
	}
	return r.floor(c.shift)
}

// priceBits is how many binary digits prices are rounded to, below the largest.
const priceBits = 58

// Certify proves what the prices at the present basis are worth. It may be called
// after any solve, also one cut short. The certificate is reused by the next call.
func (s *Solver) Certify(c *Certificate) {
	prices, shift := s.wholePrices(func(i int) float64 { return s.Price(i) })
	s.certify(c, prices, shift, true)
}

// CertifyInfeasible proves that no point is within all bounds, after a solve that
// ended with Infeasible: the certificate's bound is then +Inf. It tells whether
// the proof came off.
func (s *Solver) CertifyInfeasible(c *Certificate) bool {
	c.none, c.red = false, nil
	if len(s.ray) != len(s.rows) {
		return false
	}
	for _, sign := range []float64{1, -1} {
		prices, shift := s.wholePrices(func(i int) float64 { return sign * s.ray[i] * s.rowScale[i] })
		s.certify(c, prices, shift, false)
		if c.red != nil && c.bound.sign() > 0 {
			c.none = true
			return true
		}
	}
	c.red = nil
	return false
}

// wholePrices rounds prices to whole multiples of 2^-shift.
func (s *Solver) wholePrices(price func(i int) float64) (prices []int64, shift int) {
	prices = make([]int64, len(s.rows))
	most := 1.0
	for i := range prices {
		if v := math.Abs(price(i)); v > most && !math.IsInf(v, 0) {
			most = v
		}
	}
	for _, col := range s.columns {
		most = max(most, math.Abs(float64(col.Cost)))
	}
	_, e := math.Frexp(most)
	shift = min(40, max(priceBits-e, 0))
	for i := range prices {
		v := math.Ldexp(price(i), shift)
		if math.IsNaN(v) || math.Abs(v) > math.Exp2(priceBits+1) {
			v = 0
		}
		p := int64(math.Round(v))
		// A price of the wrong sign for a bound that is missing proves nothing.
		if r := &s.rows[i]; p > 0 && r.Lower == -Inf || p < 0 && r.Upper == Inf {
			p = 0
		}
		prices[i] = p
	}
	return prices, shift
}

func (s *Solver) certify(c *Certificate, prices []int64, shift int, costs bool) {
	n := len(s.columns)
	c.shift, c.none = shift, false
	c.bound = wide{}
	c.red = resize(c.red, n)
	for j := range c.red {
		c.red[j] = wide{}
		if costs {
			c.red[j] = product(s.columns[j].Cost, 1<<shift)
		}
	}
	charge := func(p wide, lo, hi int64) bool {
		side := lo
		switch p.sign() {
		case 0:
			return true
		case -1:
			side = hi
		}
		if side == Inf || side == -Inf {
			return false
		}
		v, ok := p.times(side)
		c.bound = c.bound.plus(v)
		return ok
	}
	for i, p := range prices {
		if p == 0 {
			continue
		}
		r := &s.rows[i]
		for k, j := range r.Cols {
			c.red[j] = c.red[j].minus(product(p, r.Coefs[k]))
		}
		if !charge(wideOf(p), r.Lower, r.Upper) {
			c.red = nil
			return
		}
	}
	for j := range s.columns {
		col := &s.columns[j]
		if !charge(c.red[j], col.Lower, col.Upper) {
			// Without a bound on this side, the cost must not fall there.
			c.red = nil
			return
		}
	}
}
