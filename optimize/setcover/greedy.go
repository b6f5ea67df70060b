package setcover

import (
	"slices"

	"halfpot/optimize/internal/flat"
)

// scratch is the memory of the search for good covers.
type scratch struct {
	count       []int32   // of a row: the columns picked that cover it
	gain        []float64 // of a column: its reduced cost once the rows covered are gone
	need        []int32   // of a column: the open rows it covers
	picked      []int32
	score       []int64 // of a column: the weight of the rows it would open or close
	weight      []int64 // of a row
	stamp       []int64 // of a column: the step it was moved in last
	only        []int32 // of a row: the columns picked that cover it, exclusive-ored
	open, place []int32 // the open rows, and where each stands among them
}

// greedy builds a cover of the node, led by the reduced costs: the next column
// is the one of the least reduced cost for each row it newly covers (Caprara,
// Fischetti & Toth 1999), and needless columns go at the end.
func (s *search) greedy(p *subproblem) {
	g := &s.plan
	g.count = flat.Resize(g.count, p.rows())
	clear(g.count)
	g.gain, g.need = flat.Resize(g.gain, p.cols()), flat.Resize(g.need, p.cols())
	copy(g.gain, p.rc)
	for j := range p.cols() {
		g.need[j] = p.colStart[j+1] - p.colStart[j]
	}
	g.picked = g.picked[:0]
	left := p.rows()
	for left > 0 {
		at, best := int32(-1), 0.0
		for j, n := range g.need {
			if n == 0 {
				continue
			}
			score := g.gain[j]
			if score > 0 {
				score /= float64(n)
			} else {
				score *= float64(n)
			}
			if at < 0 || score < best {
				at, best = int32(j), score
			}
		}
		if at < 0 {
			return
		}
		g.picked = append(g.picked, at)
		for _, i := range p.rowsOf(at) {
			g.count[i]++
			if g.count[i] > 1 {
				continue
			}
			left--
			for _, k := range p.colsOf(i) {
				g.need[k]--
				g.gain[k] += p.u[i]
			}
		}
	}
	s.finish(p, g.picked, g.count)
}

// finish leaves out needless columns, the dearest first, and offers the rest.
func (s *search) finish(p *subproblem, picked []int32, count []int32) {
	slices.SortStableFunc(picked, func(a, b int32) int {
		if p.cost[a] != p.cost[b] {
			if p.cost[a] > p.cost[b] {
				return -1
			}
			return 1
		}
		return 0
	})
	sum := p.base
	kept := picked[:0]
	for _, j := range picked {
		needed := false
		for _, i := range p.rowsOf(j) {
			if count[i] == 1 {
				needed = true
				break
			}
		}
		if needed {
			kept = append(kept, j)
			sum += p.cost[j]
			continue
		}
		for _, i := range p.rowsOf(j) {
			count[i]--
		}
	}
	if sum < s.upper {
		cols := slices.Clone(p.taken)
		for _, j := range kept {
			cols = append(cols, p.id[j])
		}
		s.offer(cols)
	}
}
