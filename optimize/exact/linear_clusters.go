package exact

import (
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// Needs and paints that share nothing with the rest but shops are a cluster. In most
// clusters the relaxation's answer is whole; in some it shifts parts of pots about, and
// only a choice between several ways to buy them moves the bound. Where such clusters
// are many, a search that splits the whole problem goes through all combinations of
// these choices. So each is looked at by itself: what its columns have to do with the rest
// is priced by the relaxation, its own rows are a small linear program, and that is
// searched for some splits (linear_cluster_search.go). What holds in all leaves
// of that search is a row for the relaxation (lp.Solver.Disjunctive).

// clusterNeeds is how many needs a cluster may have. Where more hang together, what
// hangs on the paints bought in part is taken for one, up to partNeeds.
const (
	clusterNeeds = 150
	partNeeds    = 60
)

// cluster is a part of a program.
type cluster struct {
	p    *program
	cols []int32 // of the program, for each of its own
	own  []int32 // and back; -1
	lp   *lp.Solver
	v    []float64 // value of every term in a leaf
	sums []clusterSum
	open []clusterLeaf
}

// clusterSum is a row that stands for a sum of columns.
type clusterSum struct {
	cols []int32
	row  int
}

// clusterRows lists rows that clusters bought in part give, where gap is what the
// bound lacks.
func (p *program) clusterRows(gap float64) (out []*linearRow) {
	gap = min(gap, math.Abs(p.bound))
	p.leaves = append(p.leaves[:0], p.v...)
	for _, needs := range p.openClusters() {
		c := p.newCluster(needs)
		if c == nil {
			continue
		}
		if r := c.search(gap); r != nil {
			out = append(out, r)
		}
	}
	return out
}

// openClusters lists the needs of each cluster that has a paint bought in part.
func (p *program) openClusters() (out [][]int32) {
	l, m := p.l, p.l.m
	part := make([]bool, len(m.have))
	for q := range part {
		t, _ := l.unitTerm(int32(q))
		part[q] = l.col[t] >= 0 && math.Abs(p.v[t]-math.Round(p.v[t])) > 1e-3
	}
	seen := make([]bool, len(m.members))
	walk := func(q int32, all bool) (needs []int32) {
		paints := []int32{q}
		known := map[int32]bool{q: true}
		for i := 0; i < len(paints); i++ {
			for _, n := range l.openNeeds(paints[i]) {
				if seen[n] {
					continue
				}
				seen[n] = true
				needs = append(needs, n)
				if !all && len(needs) >= partNeeds {
					return needs
				}
				for _, z := range l.openPaints(n) {
					if !known[z] && (all || part[z]) {
						known[z] = true
						paints = append(paints, z)
					}
				}
			}
		}
		return needs
	}
	for q := range part {
		if !part[q] {
			continue
		}
		needs := walk(int32(q), true)
		if len(needs) <= clusterNeeds {
			if len(needs) > 0 {
				out = append(out, needs)
			}
			continue
		}
		for _, n := range needs {
			seen[n] = false
		}
		for z := range part {
			if !part[z] {
				continue
			}
			if some := walk(int32(z), false); len(some) > 1 {
				out = append(out, some)
			}
		}
		for _, n := range needs {
			seen[n] = true
		}
	}
	return out
}

// openNeeds are the needs that may take paint q.
func (l *linear) openNeeds(q int32) (out []int32) {
	for _, pu := range l.m.byPaint[q] {
		if l.may(pu.opt) {
			out = append(out, l.m.optNeed[pu.opt])
		}
	}
	return out
}

// openPaints are the paints that need n may take.
func (l *linear) openPaints(n int32) (out []int32) {
	m := l.m
	for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
		for u := m.useStart[o]; u < m.useStart[o+1] && l.may(o); u++ {
			out = append(out, m.usePaint[u])
		}
	}
	return out
}

// may says whether option o can still be taken.
func (l *linear) may(o int32) bool { return l.col[o] >= 0 || l.value[o] != 0 }

// newCluster lays out the program of some needs: its rows are those that have to do
// with these needs, their paints and shops alone. It is nil where its numbers are too large.
func (p *program) newCluster(needs []int32) *cluster {
	own := p.l.clusterTerms(needs)
	c := &cluster{p: p, own: make([]int32, len(p.l.cols)), v: make([]float64, p.l.terms)}
	for j := range c.own {
		c.own[j] = -1
	}
	var rows []int
	for i := range p.lp.Rows() {
		if r := p.lp.Row(i); p.l.rowOf(r, own) {
			rows = append(rows, i)
			for _, j := range r.Cols {
				if c.own[j] < 0 {
					c.own[j] = int32(len(c.cols))
					c.cols = append(c.cols, j)
				}
			}
		}
	}
	if !c.layOut(rows) {
		return nil
	}
	return c
}

// clusterTerms marks the terms of the needs and their paints.
func (l *linear) clusterTerms(needs []int32) []bool {
	m := l.m
	own := make([]bool, l.terms)
	for _, n := range needs {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			own[o] = true
		}
		for _, q := range l.openPaints(n) {
			own[l.someAt+q], own[l.unitAt+q] = true, true
			for c := l.potStart[q]; c < l.potStart[q+1]; c++ {
				own[l.potAt+c] = true
				for _, j := range l.potOffs[c] {
					own[l.xAt+j] = true
				}
			}
		}
	}
	return own
}

// rowOf says whether a row is of the terms that are own, and shops, alone.
func (l *linear) rowOf(r lp.Row, own []bool) (any bool) {
	for _, j := range r.Cols {
		if t := l.term[j]; own[t] {
			any = true
		} else if t < l.shopAt {
			return false
		}
	}
	return any
}

// layOut makes the cluster's program of rows; what a column costs there includes what it
// does to all other rows, at their prices.
func (c *cluster) layOut(rows []int) bool {
	p := c.p
	cost := make([]float64, len(c.cols))
	for a, j := range c.cols {
		cost[a] = p.lp.Reduced(int(j))
	}
	for _, i := range rows {
		price, r := p.lp.Price(i), p.lp.Row(i)
		for k, j := range r.Cols {
			cost[c.own[j]] += price * float64(r.Coefs[k])
		}
	}
	cols := make([]lp.Column, len(c.cols))
	for a, j := range c.cols {
		if math.Abs(cost[a]) > float64(lp.MaxCost) {
			return false
		}
		col := p.column(j)
		cols[a] = lp.Column{Cost: int64(math.Round(cost[a])), Lower: col.Lower, Upper: col.Upper}
	}
	s, err := lp.New(cols)
	if err != nil {
		return false
	}
	c.lp = s
	for _, i := range rows {
		r := p.lp.Row(i)
		to := lp.Row{Coefs: r.Coefs, Lower: r.Lower, Upper: r.Upper}
		for _, j := range r.Cols {
			to.Cols = append(to.Cols, c.own[j])
		}
		if s.AddRow(to) != nil {
			return false
		}
	}
	return true
}

// row is a row of the cluster's program in terms.
func (c *cluster) row(r lp.Row) *linearRow {
	out := &linearRow{coefs: r.Coefs, lower: r.Lower, upper: r.Upper, kind: cutRow}
	for _, a := range r.Cols {
		out.terms = append(out.terms, c.p.l.term[c.cols[a]])
	}
	return out
}

// sumRow is the row that stands for a sum, put in where it is new; -1: the sum is of
// columns that the cluster has not.
func (c *cluster) sumRow(s *sumSplit) int {
	r := lp.Row{Coefs: s.row.Coefs, Lower: s.row.Lower, Upper: s.row.Upper}
	for _, j := range s.row.Cols {
		if c.own[j] < 0 {
			return -1
		}
		r.Cols = append(r.Cols, c.own[j])
	}
	for _, k := range c.sums {
		if slices.Equal(k.cols, r.Cols) {
			return k.row
		}
	}
	if c.lp.AddRow(r) != nil {
		return -1
	}
	row := c.lp.Rows() - 1
	c.sums = append(c.sums, clusterSum{r.Cols, row})
	return row
}
