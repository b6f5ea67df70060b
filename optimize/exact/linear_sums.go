package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// Where paints stand in for one another, the relaxation shifts parts of a pot from one to
// the next, and to rule one paint's pot out hardly lifts the bound. So a node may also be
// split on how many units are bought of two, three or more such paints together.

// sumSplit is such a split.
type sumSplit struct {
	terms []int32
	coefs []int64
	row   lp.Row // the sum, between what its columns allow
	at    int64  // in the row: at most so many,
	next  int64  // or at least so many
	open  float64
}

const sumOpen = 0.1 // by which a sum must miss a whole number at least

// sides are the rows of the two parts.
func (c *sumSplit) sides() (down, up *linearRow) {
	down = &linearRow{terms: c.terms, coefs: c.coefs, lower: -lp.Inf, upper: c.at, kind: sumRow}
	up = &linearRow{terms: c.terms, coefs: c.coefs, lower: c.next, upper: lp.Inf, kind: sumRow}
	return down, up
}

// children are the two sides, with what is known of their bounds.
func (c *sumSplit) children(bounds [2]float64) []child {
	down, up := c.sides()
	return []child{{bound: bounds[0], row: down}, {bound: bounds[1], row: up}}
}

// trySums tries sums out, whose rows are in the program from row first on, and gives the
// sides of the best and its score, none and -1 without any.
func (k *worker) trySums(s *search, sums []sumSplit, first int, cut float64) (best []child, top float64) {
	p := k.program
	base := float64(p.l.base)
	top = -1
	for i := range sums {
		c := &sums[i]
		known := [2]float64{math.Inf(-1), math.Inf(-1)}
		rise := [2]float64{}
		for side := range 2 {
			lo, hi := c.row.Lower, c.at
			if side == 1 {
				lo, hi = c.next, c.row.Upper
			}
			var proof lp.Certificate
			v := p.lp.TryRow(first+i, lo, hi, s.linearCare().tryPivots, &proof) + base
			rise[side] = max(0, min(v, cut+s.grain)-p.bound)
			if v > cut {
				if b := proof.Bound() + base; b > cut {
					known[side] = b
				}
			}
		}
		if score := linearScore(rise[0], rise[1], cut-p.bound); score > top {
			best, top = c.children(known), score
		}
	}
	return best, top
}

// sumSplits lists the sums that miss a whole number most, so many at most.
func (p *program) sumSplits(most int) (out []sumSplit) {
	paints, beside := p.boughtInPart()
	add := func(paints ...int32) {
		if c, ok := p.sumSplit(paints); ok {
			out = append(out, c)
		}
	}
	seen := make([]bool, len(beside))
	for _, q := range paints {
		for _, z := range beside[q] {
			if z > q {
				add(q, z)
			}
			for _, y := range beside[z] {
				if y > z && z > q {
					add(q, z, y)
				}
			}
		}
		if seen[q] {
			continue
		}
		all := []int32{q} // and whatever hangs together with it
		seen[q] = true
		for i := 0; i < len(all); i++ {
			for _, z := range beside[all[i]] {
				if !seen[z] {
					seen[z] = true
					all = append(all, z)
				}
			}
		}
		if len(all) > 3 {
			add(all...)
		}
	}
	slices.SortStableFunc(out, func(a, b sumSplit) int { return cmp.Compare(b.open, a.open) })
	return out[:min(len(out), most)]
}

// boughtInPart lists the paints that the answer buys in part, and for each those of them
// that it shares a need with.
func (p *program) boughtInPart() (paints []int32, beside [][]int32) {
	l := p.l
	m := l.m
	part := make([]bool, len(m.have))
	for q := range int32(len(m.have)) {
		t, units := l.unitTerm(q)
		v := p.v[t] * float64(units)
		if l.col[t] >= 0 && math.Abs(v-math.Round(v)) > 1e-4 {
			part[q] = true
			paints = append(paints, q)
		}
	}
	beside = make([][]int32, len(m.have))
	for _, q := range paints {
		for _, pu := range m.byPaint[q] {
			if l.col[pu.opt] < 0 {
				continue
			}
			n := m.optNeed[pu.opt]
			for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
				for u := m.useStart[o]; u < m.useStart[o+1] && l.col[o] >= 0; u++ {
					if z := m.usePaint[u]; z != q && part[z] && !slices.Contains(beside[q], z) {
						beside[q] = append(beside[q], z)
					}
				}
			}
		}
	}
	return paints, beside
}

// sumSplit is the split on the units of some paints that are bought in part.
func (p *program) sumSplit(paints []int32) (c sumSplit, ok bool) {
	l := p.l
	v := 0.0
	for _, q := range paints {
		t, units := l.unitTerm(q)
		if slices.Contains(c.terms, t) {
			continue // of two paints that only come together
		}
		c.terms, c.coefs = append(c.terms, t), append(c.coefs, units)
		col := l.col[t]
		b := p.lp.Column(int(col))
		c.row.Cols, c.row.Coefs = append(c.row.Cols, col), append(c.row.Coefs, units)
		c.row.Lower, c.row.Upper = c.row.Lower+units*b.Lower, c.row.Upper+units*b.Upper
		v += float64(units) * p.v[t]
	}
	f := math.Floor(v)
	c.at, c.next, c.open = int64(f), int64(f)+1, min(v-f, f+1-v)
	return c, c.open > sumOpen && c.at >= c.row.Lower && c.at < c.row.Upper
}
