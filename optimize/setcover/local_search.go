package setcover

import (
	"slices"

	"halfpot/optimize/internal/flat"
)

// scratch is the memory of the search for good covers.
type scratch struct {
	count       []int32
	gain        []float64
	need        []int32
	picked      []int32
	score       []int64
	weight      []int64
	in          []bool
	stamp       []int64
	only        []int32
	open, place []int32
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

// walk looks for cheaper covers of the node by local search: from the best one
// it takes columns out, covers a row left open by another column, and makes
// rows that stay open weigh more (after Gao, Weise & Li 2015).
func (s *search) walk(p *subproblem, steps int) {
	g := &s.plan
	rows, cols := p.rows(), p.cols()
	g.count, g.only, g.weight = flat.Resize(g.count, rows), flat.Resize(g.only, rows), flat.Resize(g.weight, rows)
	g.score, g.in, g.stamp = flat.Resize(g.score, cols), flat.Resize(g.in, cols), flat.Resize(g.stamp, cols)
	clear(g.count)
	clear(g.only)
	clear(g.in)
	clear(g.stamp)
	clear(g.score)
	for i := range g.weight {
		g.weight[i] = 1
	}
	for j := range cols {
		g.score[j] = int64(p.colStart[j+1] - p.colStart[j])
	}
	g.open, g.place = g.open[:0], flat.Resize(g.place, rows)
	for i := range rows {
		g.place[i] = int32(i)
		g.open = append(g.open, int32(i))
	}
	g.picked = g.picked[:0]
	sum := p.base
	add := func(j int32) {
		g.in[j] = true
		g.picked = append(g.picked, j)
		sum += p.cost[j]
		g.score[j] = -g.score[j]
		for _, i := range p.rowsOf(j) {
			g.count[i]++
			g.only[i] ^= j
			switch g.count[i] {
			case 1:
				last := g.open[len(g.open)-1]
				g.open[g.place[i]], g.place[last] = last, g.place[i]
				g.open = g.open[:len(g.open)-1]
				for _, k := range p.colsOf(i) {
					if k != j {
						g.score[k] -= g.weight[i]
					}
				}
			case 2:
				g.score[g.only[i]^j] += g.weight[i]
			}
		}
	}
	remove := func(at int) {
		j := g.picked[at]
		g.picked[at] = g.picked[len(g.picked)-1]
		g.picked = g.picked[:len(g.picked)-1]
		g.in[j] = false
		sum -= p.cost[j]
		g.score[j] = -g.score[j]
		for _, i := range p.rowsOf(j) {
			g.count[i]--
			g.only[i] ^= j
			switch g.count[i] {
			case 0:
				g.place[i] = int32(len(g.open))
				g.open = append(g.open, i)
				for _, k := range p.colsOf(i) {
					if k != j {
						g.score[k] += g.weight[i]
					}
				}
			case 1:
				g.score[g.only[i]] -= g.weight[i]
			}
		}
	}
	// better says whether a scores more for its cost than b, or as much and has
	// waited longer.
	better := func(a, b int32) bool {
		x, y := float64(g.score[a])*p.cost[b], float64(g.score[b])*p.cost[a]
		return x > y || x == y && g.stamp[a] < g.stamp[b]
	}
	for len(g.open) > 0 { // greedily
		best := int32(-1)
		for _, j := range p.colsOf(g.open[0]) {
			if best < 0 || better(j, best) {
				best = j
			}
		}
		add(best)
	}
	worst := func(barred int32) int {
		at := -1
		for k, j := range g.picked {
			if j != barred && (at < 0 || better(j, g.picked[at])) {
				at = k
			}
		}
		return at
	}
	seed := uint64(1)
	last := int32(-1) // added last: stays for now
	for step := int64(1); step <= int64(steps); step++ {
		if step%256 == 0 && s.done() {
			return
		}
		for len(g.open) == 0 {
			if sum < s.upper {
				cols := append([]int32(nil), p.taken...)
				for _, j := range g.picked {
					cols = append(cols, p.id[j])
				}
				s.offer(cols)
				if s.value > s.cutoff() {
					return
				}
			}
			at := worst(-1)
			if at < 0 {
				return
			}
			g.stamp[g.picked[at]] = step
			remove(at)
		}
		at := worst(last)
		out := int32(-1)
		if at >= 0 {
			out = g.picked[at]
			g.stamp[out] = step
			remove(at)
		}
		for len(g.open) > 0 {
			seed = seed*6364136223846793005 + 1442695040888963407
			i := g.open[(seed>>33)%uint64(len(g.open))]
			best := int32(-1)
			for _, j := range p.colsOf(i) {
				if j != out && (best < 0 || better(j, best)) {
					best = j
				}
			}
			if best < 0 || sum+p.cost[best] > s.upper-s.grain {
				break
			}
			last = best
			add(best)
			g.stamp[best] = step
			for _, i := range g.open {
				g.weight[i]++
				for _, k := range p.colsOf(i) {
					g.score[k]++
				}
			}
		}
	}
}
