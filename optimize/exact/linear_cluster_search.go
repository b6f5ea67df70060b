package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/lp"
)

const (
	clusterLeaves = 100  // leaves of a cluster's search
	clusterSums   = 8    // sums looked at in a leaf
	clusterTries  = 4    // splits tried out in a leaf
	clusterPivots = 40   // in each side of these
	clusterSolve  = 2000 // in a leaf
	clusterLeast  = 1e-3 // share of the gap that a row must lift the cluster's bound by
)

// clusterLeaf is a part of a cluster's points, with its bound and answer.
type clusterLeaf struct {
	lp.Leaf
	bound float64
	value []float64
	basis *lp.Basis
	whole bool // there is nothing to split it on
}

// search splits the leaf with the least bound, until they are many or the least bound is
// above the gap, and makes a row of the leaves.
func (c *cluster) search(gap float64) *linearRow {
	first, ok := c.solve(lp.Leaf{}, nil)
	if !ok || first == nil {
		return nil
	}
	start := first.bound
	c.open = append(c.open, *first)
	for len(c.open) > 0 && len(c.open) < clusterLeaves {
		at := c.least()
		if leaf := &c.open[at]; leaf.whole || leaf.bound-start > gap {
			break
		}
		if !c.split(at) {
			return nil
		}
	}
	c.note()
	if len(c.open) == 0 || c.open[c.least()].bound-start < clusterLeast*gap {
		return nil
	}
	var leaves []lp.Leaf
	for i := range c.open {
		leaves = append(leaves, c.open[i].Leaf)
	}
	r, ok := c.lp.Disjunctive(leaves)
	if !ok {
		return nil
	}
	return c.row(r)
}

// least is the leaf with the least bound.
func (c *cluster) least() (at int) {
	for i := range c.open {
		if c.open[i].bound < c.open[at].bound {
			at = i
		}
	}
	return at
}

// within runs do while the leaf's bounds are those of the program.
func (c *cluster) within(leaf *lp.Leaf, do func()) {
	for _, b := range leaf.Columns {
		col := c.lp.Column(int(b.Index))
		c.lp.SetBounds(int(b.Index), b.Lower, b.Upper)
		defer c.lp.SetBounds(int(b.Index), col.Lower, col.Upper)
	}
	for _, b := range leaf.Rows {
		r := c.lp.Row(int(b.Index))
		c.lp.SetRowBounds(int(b.Index), b.Lower, b.Upper)
		defer c.lp.SetRowBounds(int(b.Index), r.Lower, r.Upper)
	}
	do()
}

// solve bounds a leaf. That is nil where it is proven to hold no point; ok is false where
// the arithmetic gave out.
func (c *cluster) solve(leaf lp.Leaf, from *lp.Basis) (out *clusterLeaf, ok bool) {
	c.within(&leaf, func() {
		if from != nil {
			c.lp.Load(from)
		}
		switch c.lp.Solve(clusterSolve) {
		case lp.Infeasible:
			ok = c.lp.CertifyInfeasible(&lp.Certificate{})
		case lp.Optimal:
			ok = true
			out = &clusterLeaf{bound: c.lp.Objective(), basis: c.lp.Basis(), Leaf: leaf}
			for i := range c.lp.Rows() {
				out.Prices = append(out.Prices, c.lp.Price(i))
			}
			for j := range c.lp.Columns() {
				out.Reduced = append(out.Reduced, c.lp.Reduced(j))
				out.value = append(out.value, c.lp.Value(j))
			}
		}
	})
	return out, ok
}

// split puts the two sides of leaf at in its place, or marks it whole; false where
// the arithmetic gave out.
func (c *cluster) split(at int) bool {
	leaf := c.open[at]
	by := c.choose(&leaf)
	if by == nil {
		c.open[at].whole = true
		return true
	}
	c.open = slices.Delete(c.open, at, at+1)
	for side := range 2 {
		part, ok := c.solve(by.side(&leaf, side), leaf.basis)
		if !ok {
			return false
		}
		if part != nil {
			c.open = append(c.open, *part)
		}
	}
	return true
}

// clusterSplit is a way to split a leaf: what a column or row may be now, and at most so
// much or more.
type clusterSplit struct {
	lp.LeafBound
	row  bool
	at   int64
	open float64
}

func (s *clusterSplit) between(side int) lp.LeafBound {
	b := s.LeafBound
	if side == 0 {
		b.Upper = s.at
	} else {
		b.Lower = s.at + 1
	}
	return b
}

// side is one side of the leaf.
func (s *clusterSplit) side(leaf *clusterLeaf, side int) lp.Leaf {
	out := lp.Leaf{Columns: leaf.Columns, Rows: leaf.Rows}
	if s.row {
		out.Rows = setBound(out.Rows, s.between(side))
	} else {
		out.Columns = setBound(out.Columns, s.between(side))
	}
	return out
}

// setBound is the list with b in the place of what it has of the same index.
func setBound(own []lp.LeafBound, b lp.LeafBound) []lp.LeafBound {
	own = slices.DeleteFunc(slices.Clone(own), func(o lp.LeafBound) bool { return o.Index == b.Index })
	return append(own, b)
}

// choose finds the split of a leaf that lifts its sides most, nil where it is whole: on boxes of
// paints and sums of them first, else on options and offers.
func (c *cluster) choose(leaf *clusterLeaf) *clusterSplit {
	l := c.p.l
	clear(c.v)
	var pots, rest []clusterSplit
	for a, j := range c.cols {
		t, v := l.term[j], leaf.value[a]
		c.v[t] = v
		f := math.Floor(v + wholeTol)
		open := min(v-f, f+1-v)
		if open <= wholeTol || t >= l.shopAt {
			continue
		}
		col := c.lp.Column(a)
		b := now(leaf.Columns, lp.LeafBound{Index: int32(a), Lower: col.Lower, Upper: col.Upper})
		s := clusterSplit{LeafBound: b, at: int64(f), open: open}
		if t >= l.someAt || l.alone(t-l.xAt) {
			pots = append(pots, s)
		} else {
			rest = append(rest, s)
		}
	}
	view := program{l: l, lp: c.p.lp, v: c.v}
	for _, sum := range view.sumSplits(clusterSums) {
		if i := c.sumRow(&sum); i >= 0 {
			r := c.lp.Row(i)
			b := now(leaf.Rows, lp.LeafBound{Index: int32(i), Lower: r.Lower, Upper: r.Upper})
			if b.Lower <= sum.at && sum.at < b.Upper {
				pots = append(pots, clusterSplit{LeafBound: b, row: true, at: sum.at, open: sum.open})
			}
		}
	}
	if len(pots) == 0 {
		pots = rest
	}
	if len(pots) == 0 {
		return nil
	}
	slices.SortStableFunc(pots, func(a, b clusterSplit) int { return cmp.Compare(b.open, a.open) })
	return c.try(leaf, pots[:min(len(pots), clusterTries)])
}

// alone says whether offer j stands for a class of boxes by itself.
func (l *linear) alone(j int32) bool {
	if j < 0 {
		return false
	}
	m := l.m
	for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
		q := m.conPaint[k]
		for c := l.potStart[q]; c < l.potStart[q+1]; c++ {
			if len(l.potOffs[c]) == 1 && l.potOffs[c][0] == j {
				return true
			}
		}
	}
	return false
}

// now is the bound that the list has of b's index, or b.
func now(own []lp.LeafBound, b lp.LeafBound) lp.LeafBound {
	for _, o := range own {
		if o.Index == b.Index {
			return o
		}
	}
	return b
}

// try tries splits of a leaf out.
func (c *cluster) try(leaf *clusterLeaf, splits []clusterSplit) *clusterSplit {
	best, top := 0, [2]float64{-1, -1}
	c.within(&leaf.Leaf, func() {
		c.lp.Load(leaf.basis)
		if !c.lp.Mark() {
			return
		}
		for i := range splits {
			s := &splits[i]
			rise := [2]float64{}
			for side := range 2 {
				b := s.between(side)
				try := c.lp.Try
				if s.row {
					try = c.lp.TryRow
				}
				rise[side] = try(int(b.Index), b.Lower, b.Upper, clusterPivots, nil) - leaf.bound
			}
			if less := min(rise[0], rise[1]); less > top[0] || less == top[0] && max(rise[0], rise[1]) > top[1] {
				best, top = i, [2]float64{less, max(rise[0], rise[1])}
			}
		}
	})
	return &splits[best]
}

// note leaves the best leaf's values of what is not a shop's with the program.
func (c *cluster) note() {
	if len(c.open) == 0 {
		return
	}
	leaf, l := &c.open[c.least()], c.p.l
	for a, j := range c.cols {
		if t := l.term[j]; t < l.shopAt {
			c.p.leaves[t] = leaf.value[a]
		}
	}
}
