package lp

import "math"

// Leaf is one part of a program's points, with prices of the rows that bound the cost
// there: what the program allows, but for the bounds of some columns and rows. A row
// without a price counts as having none.
type Leaf struct {
	Columns, Rows []LeafBound
	Prices        []float64 // of one unit of each row's sum
	Reduced       []float64 // reduced cost of each column
}

// LeafBound keeps a column or row between bounds of its own.
type LeafBound struct {
	Index        int32
	Lower, Upper int64
}

// Limits of rows from disjunctions.
const (
	leafBits  = 20 // digits that coefficients are rounded to
	leafExtra = 18 // more digits of the prices
)

// Disjunctive is a row >= that holds wherever a leaf does (Balas 1979): if leaves come from
// splitting the program again and again, for every whole-number point of it. The row lifts
// the bound to that of the least leaf, by prices alone that differ from leaf to leaf:
// those that are alike in all leaves cancel out, and what they price does not stand in it.
//
// With a leaf's prices less what all have in common as multipliers, rows add up to one
// that holds in the leaf. Coefficients are chosen above those of all leaves, where columns are
// at their lower bounds, and then, whatever was chosen, each leaf gives the exact side of
// the row: what its multipliers prove, less the most that other coefficients cost.
func (s *Solver) Disjunctive(leaves []Leaf) (Row, bool) {
	n := len(s.columns)
	split := s.splitOn(leaves)
	base := make([]float64, len(s.rows))
	for i := range base {
		if !split[n+i] {
			base[i] = common(leaves, func(l *Leaf) float64 { return l.price(i) })
		}
	}
	alpha := s.leafCoefs(leaves, base, split)
	top := 0.0
	for _, a := range alpha {
		top = max(top, math.Abs(a))
	}
	if !(top > 0) || math.IsInf(top, 0) {
		return Row{}, false
	}
	_, e := math.Frexp(top)
	shift := leafBits - e
	row := Row{Upper: Inf, Lower: Inf}
	coef := make([]int64, n)
	for j, a := range alpha {
		v := math.Ldexp(a, shift)
		coef[j] = int64(math.Ceil(v - 1e-3))
		if coef[j] != 0 {
			row.Cols, row.Coefs = append(row.Cols, int32(j)), append(row.Coefs, coef[j])
		}
	}
	for i := range leaves {
		side, ok := s.leafSide(&leaves[i], base, coef, shift)
		if !ok {
			return Row{}, false
		}
		row.Lower = min(row.Lower, side)
	}
	if len(row.Cols) == 0 || row.Lower > MaxBound || row.Lower < -MaxBound {
		return Row{}, false
	}
	g := int64(0)
	for _, a := range row.Coefs {
		g = gcd(g, max(a, -a))
	}
	for k := range row.Coefs {
		row.Coefs[k] /= g
	}
	row.Lower = -floorDiv(-row.Lower, g)
	return row, true
}

// price is the price of row i in the leaf.
func (l *Leaf) price(i int) float64 {
	if i < len(l.Prices) {
		return l.Prices[i]
	}
	return 0
}

// common is the part of a value that all leaves have.
func common(leaves []Leaf, value func(l *Leaf) float64) float64 {
	least := value(&leaves[0])
	for i := range leaves[1:] {
		switch d := value(&leaves[i+1]); {
		case least > 0:
			least = max(0, min(least, d))
		case least < 0:
			least = min(0, max(least, d))
		}
	}
	return least
}

// splitOn marks the columns, and after them the rows, that have other bounds in some leaf:
// there a price is worth more than elsewhere, and leaves have nothing in common.
func (s *Solver) splitOn(leaves []Leaf) []bool {
	n := len(s.columns)
	out := make([]bool, n+len(s.rows))
	see := func(own []LeafBound, from int) {
		for _, b := range own {
			j := from + int(b.Index)
			lo, hi := s.wholeBounds(int32(j))
			out[j] = out[j] || b.Lower != lo || b.Upper != hi
		}
	}
	for i := range leaves {
		see(leaves[i].Columns, 0)
		see(leaves[i].Rows, n)
	}
	return out
}

// leafCoefs chooses coefficients: what a column costs beside the prices that all leaves
// have in common, less what all leaves reduce it to at least.
func (s *Solver) leafCoefs(leaves []Leaf, base []float64, split []bool) []float64 {
	alpha := make([]float64, len(s.columns))
	for j := range alpha {
		least := 0.0
		if !split[j] {
			least = common(leaves, func(l *Leaf) float64 { return l.Reduced[j] })
		}
		red := float64(s.columns[j].Cost)
		for k, i := range s.colRow[j] {
			red -= base[i] * s.colVal[j][k] / s.rowScale[i]
		}
		alpha[j] = red - least
		if math.Abs(alpha[j]) < 1e-9*(math.Abs(red)+math.Abs(least)) {
			alpha[j] = 0
		}
	}
	return alpha
}

// leafSide is the least that the sum of coef * x, whole where x is, can be in a leaf.
func (s *Solver) leafSide(l *Leaf, base []float64, coef []int64, shift int) (int64, bool) {
	sums := make([]wide, len(s.columns))
	for j, c := range coef {
		sums[j] = product(c, 1<<leafExtra)
	}
	side := wide{}
	ok := true
	charge := func(p wide, lo, hi int64) {
		at := lo
		switch p.sign() {
		case 0:
			return
		case -1:
			at = hi
		}
		if at == Inf || at == -Inf {
			ok = false
			return
		}
		v, fits := p.times(at)
		side, ok = side.plus(v), ok && fits
	}
	for i := range s.rows {
		p := l.price(i) - base[i]
		v := math.Ldexp(p, shift+leafExtra)
		if !(math.Abs(v) < 1<<60) {
			return 0, false
		}
		m := int64(math.Round(v))
		if m == 0 {
			continue
		}
		r := &s.rows[i]
		lo, hi := leafBounds(l.Rows, int32(i), r.Lower, r.Upper)
		charge(wideOf(m), lo, hi)
		for k, j := range r.Cols {
			sums[j] = sums[j].minus(product(m, r.Coefs[k]))
		}
	}
	for j, p := range sums {
		if p.sign() != 0 {
			c := &s.columns[j]
			lo, hi := leafBounds(l.Columns, int32(j), c.Lower, c.Upper)
			charge(p, lo, hi)
		}
	}
	v, fits := side.fits()
	if !ok || !fits {
		return 0, false
	}
	return -floorDiv(-v, 1<<leafExtra), true
}

func leafBounds(own []LeafBound, i int32, lo, hi int64) (int64, int64) {
	for _, b := range own {
		if b.Index == i {
			return b.Lower, b.Upper
		}
	}
	return lo, hi
}

// Row is row i with its present bounds.
func (s *Solver) Row(i int) Row { return s.rows[i] }

// Reduced is the reduced cost of column j at the present basis.
func (s *Solver) Reduced(j int) float64 { return s.d[j] / s.costUnit }
