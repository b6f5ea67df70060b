package exact

import (
	"context"

	"halfpot/optimize/setcover"
)

// cover is a problem that is nothing but weighted set covering: needs are rows
// and offers are columns, every box holds more than enough of what it holds,
// and all that the plan decides is which offers to buy one box of.
type cover struct {
	m      *model
	needs  []int32   // the need of each row
	offers []int32   // the offer of each column
	price  []int64   // of each column
	rows   [][]int32 // columns that cover each row
	fee    int64     // charged as soon as anything is bought
}

// covers solves a cover. The number of shops and the points are the same for all
// plans, so that cost and boxes are all there is to prove. ok is false where the
// sums would not stay exact.
func (h *hunt) covers(ctx context.Context, c *cover) (a answer, ok bool) {
	before := h.nodes
	opt := setcover.Options{Threads: h.threads}
	if h.report != nil {
		opt.Progress = func(now setcover.Answer) {
			h.nodes = before + now.Nodes
			h.report(c.solution(now.Columns), c.fee+now.Bound, h.nodes)
		}
	}
	found, ok := setcover.Solve(ctx, setcover.Problem{Rows: c.rows, Cost: c.price}, opt)
	if !ok {
		return answer{}, false
	}
	h.nodes = before + found.Nodes
	a = answer{
		best:  c.solution(found.Columns),
		bound: c.fee + found.Bound,
		done:  found.Proven > setcover.NothingProven,
	}
	if a.done {
		a.bound = a.best.cost.money // with the compromises, which all plans share
	}
	switch found.Proven {
	case setcover.CostProven:
		a.proven = 1
	case setcover.BothProven:
		a.proven = 4
	}
	return a, true
}

// covering returns the model as a cover, or nil where it is not one.
func (m *model) covering() *cover {
	if len(m.bands) != 1 || m.filler[0] || m.bands[0][0].Fee < 0 || m.maxShops < 1 || m.cap != noCap ||
		m.rough() {
		return nil
	}
	for q := range m.sources {
		for _, s := range m.sources[q] {
			if s.ul < m.most[q]-m.have[q] || m.limit[s.off] < 1 {
				return nil
			}
		}
	}
	c := &cover{m: m, fee: m.bands[0][0].Fee}
	column := make([]int32, len(m.price))
	seen := make([]int32, len(m.price)) // the last row that looked at the offer
	for n := range m.members {
		free := false
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			u := m.useStart[o]
			if m.optPts[o] != m.optPts[m.optStart[n]] || m.useStart[o+1]-u > 1 {
				return nil
			}
			if m.useStart[o+1] == u {
				free = true
			} else if m.useUL[u] <= m.have[m.usePaint[u]] {
				return nil
			}
		}
		if free {
			continue
		}
		row := make([]int32, 0, m.optStart[n+1]-m.optStart[n])
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			for _, s := range m.sources[m.usePaint[m.useStart[o]]] {
				if seen[s.off] == int32(n)+1 {
					continue
				}
				seen[s.off] = int32(n) + 1
				if column[s.off] == 0 {
					c.offers, c.price = append(c.offers, s.off), append(c.price, m.price[s.off])
					column[s.off] = int32(len(c.offers))
				}
				row = append(row, column[s.off]-1)
			}
		}
		if len(row) == 0 {
			return nil
		}
		c.needs, c.rows = append(c.needs, int32(n)), append(c.rows, row)
	}
	return c
}

// solution is the plan that buys one box of each of the columns.
func (c *cover) solution(columns []int32) *solution {
	x := make([]int32, len(c.m.price))
	for _, j := range columns {
		x[c.offers[j]] = 1
	}
	choice := make([]int32, len(c.m.members))
	for n := range choice {
		choice[n] = c.m.optStart[n]
		for o := c.m.optStart[n]; o < c.m.optStart[n+1]; o++ {
			if c.m.served(o, x) {
				choice[n] = o
				break
			}
		}
	}
	sol, _ := c.m.value(x, choice)
	return sol
}

// served says whether boxes hold what the option's paints need.
func (m *model) served(o int32, x []int32) bool {
	for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
		held := false
		for _, s := range m.sources[m.usePaint[u]] {
			held = held || x[s.off] > 0
		}
		if !held {
			return false
		}
	}
	return true
}
