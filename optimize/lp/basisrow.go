package lp

import (
	"cmp"
	"math"
	"slices"
)

// Limits of rows from the basis.
const (
	basisBits    = 36      // digits that multipliers are rounded to, beside the largest
	basisEntries = 600     // most entries of a row
	basisRange   = 1 << 21 // most that coefficients may differ by, as a factor
	basisDivs    = 9       // divisors tried beside 1
	basisLeast   = 1e-3    // by how much of its size a row must be broken
)

// basisMaker holds the memory of BasisRows.
type basisMaker struct {
	mult  []int64 // of each row
	sum   []wide  // of each column
	seen  []bool
	list  []int32 // columns with a coefficient
	terms []basisTerm
	out   []int64 // coefficients of the finished row
}

// basisTerm is a column or logical of an aggregated row, seen from one of its bounds.
type basisTerm struct {
	j     int32
	coef  int64
	upper bool    // seen from its upper bound
	z     float64 // distance from that bound
	room  int64   // distance between the bounds
}

// BasisRows makes rows of the form >= that every whole-number point within all
// bounds satisfies and the present basic solution breaks, out of rows of the simplex
// tableau: multipliers are rounded to multiples of a power of two, the rows of the
// program are added up exactly, and the sum is rounded (Rounding) as seen from the
// nearer bound of each column. All columns must be whole by nature. It looks at most
// at so many basic columns, those farthest from whole first.
func (s *Solver) BasisRows(most int) []Row {
	if !s.refresh() {
		return nil
	}
	n := int32(len(s.columns))
	type part struct {
		p    int32
		away float64
	}
	var parts []part
	for p, j := range s.head {
		if j < n {
			if away := math.Abs(s.x[p] - math.Round(s.x[p])); away > 1e-3 {
				parts = append(parts, part{int32(p), away})
			}
		}
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(b.away, a.away) })
	if len(parts) > most {
		parts = parts[:most]
	}
	b := &s.maker
	b.mult, b.sum = refill(b.mult, len(s.rows), 0), resize(b.sum, int(n))
	b.seen, b.out = refill(b.seen, int(n), false), resize(b.out, int(n))
	var rows []Row
	for _, pt := range parts {
		s.rhs[pt.p] = 1
		s.factor.backward(s.rhs, s.rho)
		if r, ok := b.make(s); ok {
			rows = append(rows, r)
		}
	}
	return rows
}

// make aggregates the rows by rho and rounds; the best row of both signs and all divisors.
func (b *basisMaker) make(s *Solver) (Row, bool) {
	shift, ok := s.rhoShift()
	if !ok {
		return Row{}, false
	}
	one := int64(1) << shift
	entries := b.aggregate(s, shift)
	if !b.collect(int32(len(s.columns))) || entries > 4*basisEntries {
		return Row{}, false
	}
	sum, ok := b.fromBounds(s, one)
	if !ok {
		return Row{}, false
	}
	best := sum.round(one)
	if best.sign == 0 {
		return Row{}, false
	}
	return b.finish(s, sum.terms, best.rounding, best.sign)
}

// rhoShift is the power of two that multipliers, unscaled, are taken times before they
// are rounded.
func (s *Solver) rhoShift() (shift int, ok bool) {
	top := 0.0
	for i, v := range s.rho {
		top = max(top, math.Abs(v)*s.rowScale[i])
	}
	if top == 0 {
		return 0, false
	}
	_, e := math.Frexp(top)
	shift = basisBits - e
	return shift, shift >= 0 && shift <= 60
}

// aggregate rounds the multipliers and adds the rows up, and counts those that take part.
func (b *basisMaker) aggregate(s *Solver, shift int) (entries int) {
	b.list = b.list[:0]
	for i, v := range s.rho {
		b.mult[i] = 0
		if v < 1e-11 && v > -1e-11 {
			continue
		}
		m := int64(math.Round(math.Ldexp(v*s.rowScale[i], shift)))
		if m == 0 {
			continue
		}
		b.mult[i] = m
		entries++
		r := &s.rows[i]
		for k, j := range r.Cols {
			if !b.seen[j] {
				b.seen[j], b.sum[j] = true, wide{}
				b.list = append(b.list, j)
			}
			b.sum[j] = b.sum[j].plus(product(m, r.Coefs[k]))
		}
	}
	return entries
}

// collect lists the terms of the sum, those of the n columns before the logicals, and
// forgets what was seen; false where a coefficient is too large.
func (b *basisMaker) collect(n int32) (ok bool) {
	terms := b.terms[:0]
	ok = true
	for _, j := range b.list {
		b.seen[j] = false
		v, fits := b.sum[j].fits()
		if !fits || v > 1<<55 || v < -1<<55 {
			ok = false
			continue
		}
		if v != 0 {
			terms = append(terms, basisTerm{j: j, coef: v})
		}
	}
	for i, m := range b.mult {
		if m != 0 {
			terms = append(terms, basisTerm{j: n + int32(i), coef: -m})
		}
	}
	b.terms = terms
	return ok
}

// basisSum says that the terms, each as seen from its bound, come to side, give or take
// slack, which is what tiny coefficients left out can come to.
type basisSum struct {
	terms       []basisTerm
	side, slack int64
}

// fromBounds turns "the terms come to 0" round, so that each is seen from its nearer
// bound. What can't move drops out, and so do tiny coefficients; false where a term has
// no bounds or the numbers grow too large.
func (b *basisMaker) fromBounds(s *Solver, one int64) (sum basisSum, ok bool) {
	n := int32(len(s.columns))
	side := wide{}
	tiny := one >> 16
	sum.terms = b.terms[:0]
	for _, t := range b.terms {
		bound, ok := t.look(s)
		if !ok {
			return sum, false
		}
		side = side.minus(product(t.coef, bound))
		if t.upper {
			t.coef = -t.coef
		}
		if c := max(t.coef, -t.coef); c < tiny && t.j < n && t.room < 1<<20 && s.status[t.j] == isBasic {
			sum.slack += c * t.room // what is left of a column that should have none
			continue
		}
		if t.room > 0 {
			sum.terms = append(sum.terms, t)
		}
	}
	whole, fits := side.fits()
	sum.side = whole
	return sum, fits && whole <= 1<<58 && whole >= -1<<58 && sum.slack <= one>>4
}

// look sets from which bound the term is seen, how far it is from there, and what room
// it has; false where it has no bounds.
func (t *basisTerm) look(s *Solver) (bound int64, ok bool) {
	lo, hi := s.wholeBounds(t.j)
	if lo == -Inf && hi == Inf {
		return 0, false
	}
	x := s.unscaled(t.j)
	t.upper = lo == -Inf || hi != Inf && float64(hi)-x < x-float64(lo)
	t.room = Inf
	if lo != -Inf && hi != Inf {
		t.room = hi - lo
	}
	bound = lo
	if t.upper {
		bound = hi
		t.z = float64(hi) - x
	} else {
		t.z = x - float64(lo)
	}
	t.z = max(t.z, 0)
	return bound, true
}

// round tries both signs, and as divisors one and the coefficients of the first terms
// that lie between their bounds.
func (a *basisSum) round(one int64) basisBest {
	best := basisBest{score: basisLeast}
	for _, sign := range [...]int64{1, -1} {
		best.try(a, sign, one)
		tried := 0
		for _, t := range a.terms {
			if d := max(t.coef, -t.coef); t.z > 1e-6 && t.z < float64(t.room)-1e-6 && d > one>>10 && d != one {
				best.try(a, sign, d)
				if tried++; tried == basisDivs {
					break
				}
			}
		}
	}
	return best
}

// wholeBounds are the bounds of a column or logical.
func (s *Solver) wholeBounds(j int32) (lo, hi int64) {
	if n := int32(len(s.columns)); j >= n {
		r := &s.rows[j-n]
		return r.Lower, r.Upper
	}
	c := &s.columns[j]
	return c.Lower, c.Upper
}

// unscaled is the value of a column or logical, as store noted it.
func (s *Solver) unscaled(j int32) float64 {
	v := s.at[j]
	if n := int32(len(s.columns)); j >= n {
		v /= s.rowScale[j-n]
	}
	return v
}

// basisBest is the best rounding so far; its sign is 0 while there is none.
type basisBest struct {
	rounding Rounding
	sign     int64
	score    float64
}

// try measures one rounding.
func (b *basisBest) try(a *basisSum, sign, d int64) {
	r, ok := NewRounding(sign*a.side-a.slack, d)
	if !ok || r.r < d>>10 || r.r > d-d>>10 {
		return
	}
	if q := r.Side / r.r; q > 1<<20 || q < -(1<<20) {
		return
	}
	left, norm := float64(r.Side), 0.0
	for i := range a.terms {
		t := &a.terms[i]
		c := float64(r.Whole(sign * t.coef))
		left -= c * t.z
		norm += c * c
	}
	if left <= 0 || norm == 0 {
		return
	}
	if score := left / math.Sqrt(norm); score > b.score {
		b.rounding, b.sign, b.score = r, sign, score
	}
}

// finish writes the rounded row out in the program's columns.
func (b *basisMaker) finish(s *Solver, terms []basisTerm, r Rounding, sign int64) (Row, bool) {
	n := int32(len(s.columns))
	top := int64(1)
	for _, t := range terms {
		c := r.Whole(sign * t.coef)
		top = max(top, c, -c)
	}
	by := max(1, top>>22) // scaled down: coefficients up, side down
	b.list = b.list[:0]
	defer func() {
		for _, j := range b.list {
			b.seen[j] = false
		}
	}()
	lower := floorDiv(r.Side, by)
	for _, t := range terms {
		c := -floorDiv(-r.Whole(sign*t.coef), by)
		if c == 0 {
			continue
		}
		lo, hi := s.wholeBounds(t.j)
		bound := lo
		if t.upper { // c*(hi - x) = -c*x + c*hi
			c, bound = -c, hi
		}
		// c*(x - bound) stands on the left.
		shift, fits := product(c, bound).fits()
		if !fits || shift > 1<<58 || shift < -1<<58 {
			return Row{}, false
		}
		lower += shift
		if t.j < n {
			b.count(t.j, c)
			continue
		}
		row := &s.rows[t.j-n]
		for k, j := range row.Cols {
			v, fits := product(c, row.Coefs[k]).fits()
			if !fits || v > 1<<58 || v < -1<<58 {
				return Row{}, false
			}
			b.count(j, v)
		}
	}
	return b.tidy(s, lower)
}

// count adds to a column's coefficient.
func (b *basisMaker) count(j int32, c int64) {
	if !b.seen[j] {
		b.seen[j], b.out[j] = true, 0
		b.list = append(b.list, j)
	}
	b.out[j] += c
}

// tidy makes a row of coefficients, leaving small ones out and refusing what is
// too long or too uneven.
func (b *basisMaker) tidy(s *Solver, lower int64) (Row, bool) {
	top := int64(0)
	for _, j := range b.list {
		c := b.out[j]
		top = max(top, c, -c)
	}
	if top == 0 {
		return Row{}, false
	}
	row := Row{Cols: make([]int32, 0, len(b.list)), Coefs: make([]int64, 0, len(b.list)), Upper: Inf}
	g := int64(0)
	for _, j := range b.list {
		c := b.out[j]
		if c == 0 {
			continue
		}
		if max(c, -c) < top/basisRange {
			// c*x is at most its largest value within the bounds.
			bound := s.columns[j].Lower
			if c > 0 {
				bound = s.columns[j].Upper
			}
			if bound == Inf || bound == -Inf {
				return Row{}, false
			}
			lower -= c * bound
			continue
		}
		row.Cols, row.Coefs = append(row.Cols, j), append(row.Coefs, c)
		if g != 1 {
			g = gcd(g, max(c, -c))
		}
	}
	if len(row.Cols) > basisEntries {
		return Row{}, false
	}
	if g > 1 {
		for k := range row.Coefs {
			row.Coefs[k] /= g
		}
	}
	row.Lower = -floorDiv(-lower, g)
	if top/g > MaxCoef || row.Lower > MaxBound || row.Lower < -MaxBound {
		return Row{}, false
	}
	return row, true
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
