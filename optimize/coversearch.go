package optimize

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// coverSearch looks for the cheapest set of columns that covers all rows, and
// proves it, depth first.
type coverSearch struct {
	cost             []float64
	colStart, colRow []int32

	best  []int32
	ub    float64 // cost of best; +Inf without one
	unit  float64 // every set's cost is a multiple of it
	guess float64

	quantum, perQuantum float64

	nodes, evals int64
	report       func(lower float64)
	ctx          context.Context
	stopped      bool
	open         []float64 // at each depth, the least bound of what is not yet done
	pool         []*coverPart
	root         *coverPart

	value             float64 // bound of the last climb
	u, slack, dir, rc []float64
	hits              []int32 // columns of negative reduced cost
	rowAt, fill       []int32
	colSets, rowSets  bitSets
	plan              coverPlan
	past              []coverPast
	cands             []coverCand
	small             float64
}

// newCoverSearch returns nil where sums would not stay exact. Costs are whole
// numbers. start, where set, is a cover known already.
func newCoverSearch(rows [][]int32, cost []float64, start []int32) *coverSearch {
	s := &coverSearch{cost: cost, ub: math.Inf(1), unit: 1}
	p := &coverPart{}
	p.rowStart = append(p.rowStart, 0)
	count := make([]int32, len(cost)+1)
	size := 0.0
	for _, cols := range rows {
		least := math.Inf(1)
		for _, j := range cols {
			least = min(least, cost[j])
			count[j+1]++
		}
		p.rowCol = append(p.rowCol, cols...)
		p.rowStart = append(p.rowStart, int32(len(p.rowCol)))
		p.most = append(p.most, least)
		size += least * float64(len(cols)+1)
	}
	for _, c := range cost {
		size += c
	}
	// Sums of multiples of the quantum that are at most size stay exact.
	s.quantum = math.Exp2(max(-20, math.Ceil(math.Log2(size+1))-51))
	if s.quantum > 1.0/256 {
		return nil
	}
	s.perQuantum = 1 / s.quantum
	p.cost, p.id, p.share = slices.Clone(cost), make([]int32, len(cost)), make([]float64, len(cost))
	for j := range p.id {
		p.id[j] = int32(j)
		count[j+1] += count[j]
	}
	p.colStart, p.colRow = count, make([]int32, len(p.rowCol))
	at := slices.Clone(count)
	for i, cols := range rows {
		for _, j := range cols {
			p.colRow[at[j]] = int32(i)
			at[j]++
		}
	}
	p.u = make([]float64, len(rows))
	for i, cols := range rows {
		u := math.Inf(1)
		for _, j := range cols {
			u = min(u, cost[j]/float64(p.colStart[j+1]-p.colStart[j]))
		}
		p.u[i] = math.Floor(u*s.perQuantum) * s.quantum
	}
	p.rc, p.state, p.drop = make([]float64, len(cost)), make([]int8, len(cost)), make([]bool, len(rows))
	s.colStart, s.colRow = slices.Clone(p.colStart), slices.Clone(p.colRow)
	s.root = p
	s.u, s.rc, s.slack = slices.Clone(p.u), p.rc, make([]float64, len(rows))
	s.evaluate(p)
	s.rc = nil // it is the part's own
	s.greedy(p)
	s.guess = s.ub
	if start != nil {
		s.offer(start)
	}
	return s
}

// offer takes a cover as the best one where it is.
func (s *coverSearch) offer(columns []int32) {
	sum := 0.0
	for _, j := range columns {
		sum += s.cost[j]
	}
	if sum < s.ub {
		s.best, s.ub = slices.Clone(columns), sum
	}
}

// cutoff is the cost from which on, exclusive, a part holds nothing better.
func (s *coverSearch) cutoff() float64 { return s.ub - s.unit }

func (s *coverSearch) get() *coverPart {
	if n := len(s.pool); n > 0 {
		p := s.pool[n-1]
		s.pool = s.pool[:n-1]
		return p
	}
	return &coverPart{}
}

func (s *coverSearch) put(p *coverPart) { s.pool = append(s.pool, p) }

// lower is the bound of all that is not yet done.
func (s *coverSearch) lower() float64 { return min(s.ub, slices.Min(s.open)) }

// run searches until all is proven or the context ends.
func (s *coverSearch) run(ctx context.Context) (lower float64, done bool) {
	s.ctx = ctx
	s.open = []float64{math.Inf(-1)}
	p := s.get()
	first := s.root
	if !p.build(first, s) {
		return s.ub, true
	}
	s.past = make([]coverPast, len(s.cost))
	s.small = s.unit / 1000
	s.explore(p, 0, true)
	if s.stopped {
		return s.lower(), false
	}
	return s.ub, true
}

// tighten bounds a part, fixes columns and shrinks it until little changes. It
// returns nil where nothing better is left, and else the part, maybe another.
func (s *coverSearch) tighten(p *coverPart, depth int) *coverPart {
	steps, patience, lambda := 100, 10, 0.5
	if depth == 0 {
		steps, patience, lambda = 400, 12, 1.5
	}
	for round := 0; ; round++ {
		if p.rows() == 0 {
			s.offer(p.taken)
			s.put(p)
			return nil
		}
		s.climb(p, steps, patience, lambda)
		if s.value > s.cutoff() {
			s.put(p)
			return nil
		}
		if round == 0 {
			s.greedy(p)
			if depth == 0 {
				if c, ok := s.core(p); ok {
					s.walk(c, walkSteps)
					s.put(c)
				}
			}
			if s.value > s.cutoff() {
				s.put(p)
				return nil
			}
		}
		before := p.cols()
		taken, out := s.fix(p)
		if s.done() {
			s.put(p)
			return nil
		}
		if taken+out == 0 && round > 0 {
			return p
		}
		// Shrink until neither rows nor columns dominate each other.
		for {
			q := s.get()
			ok := q.build(p, s)
			s.put(p)
			p = q
			if !ok {
				s.put(p)
				return nil
			}
			if p.rows() == 0 || !p.essential() && !p.dominated(s) {
				break
			}
		}
		if p.cols()*10 > before*9 && taken == 0 || round > 5 {
			if p.rows() == 0 {
				continue
			}
			s.value = math.Inf(-1)
			s.climb(p, 1, patience, lambda)
			if s.value > s.cutoff() {
				s.put(p)
				return nil
			}
			return p
		}
		steps = 15
		if depth == 0 {
			steps, lambda = 100, 0.5
		}
	}
}

// done says whether to stop.
func (s *coverSearch) done() bool {
	if !s.stopped && s.ctx.Err() != nil {
		s.stopped = true
	}
	return s.stopped
}

// explore searches a part, which it may give away.
func (s *coverSearch) explore(p *coverPart, depth int, last bool) float64 {
	s.nodes++
	p = s.tighten(p, depth)
	if p == nil {
		return s.value
	}
	first := p.bound
	if last {
		s.open[depth] = math.Inf(1) // its bound now stands at the next depth
	}
	for len(s.open) <= depth+1 {
		s.open = append(s.open, math.Inf(1))
	}
	s.open[depth+1] = p.bound
	if s.report != nil && s.nodes%64 == 1 {
		s.report(s.lower())
	}
	j := int32(-1)
	for {
		if j = s.pick(p); j >= 0 {
			break
		}
		if p = s.rebuilt(p); p != nil {
			p = s.tighten(p, depth+1)
		}
		if p == nil {
			s.open[depth+1] = math.Inf(1)
			return first
		}
		s.open[depth+1] = p.bound
	}
	for side := range 2 {
		p.state[j] = colTaken
		if side == 1 {
			p.state[j] = colOut
		}
		s.open[depth+1] = p.bound
		q := s.get()
		id := p.id[j]
		if q.build(p, s) {
			before := p.bound
			if b := s.explore(q, depth+1, side == 1); !s.stopped {
				s.learn(id, side, min(b, s.cutoff()+s.unit)-before)
			}
		} else {
			s.put(q)
		}
		if s.stopped {
			return first
		}
		s.open[depth+1] = math.Inf(1)
		if p.bound > s.cutoff() {
			break
		}
	}
	s.put(p)
	return first
}

// rebuilt is the part with its marks carried out; nil where nothing covers a
// row then.
func (s *coverSearch) rebuilt(p *coverPart) *coverPart {
	q := s.get()
	ok := q.build(p, s)
	s.put(p)
	if !ok {
		s.put(q)
		return nil
	}
	return q
}

// coverPast is what branching on a column has done to the bound so far.
type coverPast struct {
	gain  [2]float64 // summed, of taking it and of leaving it out
	times [2]float64
}

func (s *coverSearch) learn(id int32, side int, gain float64) {
	e := &s.past[id]
	e.gain[side] += max(gain, 0)
	e.times[side]++
}

// pick chooses the column to branch on: of those that the relaxed answers take
// now and then, the one whose two sides raise the bound most, as seen before
// or, where it was seen too seldom, by trying. It returns -1 where a trial has
// settled a column.
func (s *coverSearch) pick(p *coverPart) int32 {
	s.cands = s.cands[:0]
	for j, x := range p.share {
		score := min(x, 1-x) + 0.001/(1+math.Abs(p.rc[j]))
		s.cands = append(s.cands, coverCand{int32(j), score})
	}
	slices.SortFunc(s.cands, func(a, b coverCand) int {
		return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.col, b.col))
	})
	best, at := -1.0, s.cands[0].col
	settled := false
	for k, c := range s.cands {
		if k >= candidates {
			break
		}
		e := &s.past[p.id[c.col]]
		var g [2]float64
		for side := range g {
			if e.times[side] < trials {
				bound := s.try(p, c.col, side)
				if bound > s.cutoff() {
					p.state[c.col] = colOut
					if side == 1 {
						p.state[c.col] = colTaken
					}
					settled = true
					break
				}
				s.learn(p.id[c.col], side, bound-p.bound)
			}
			if e.times[side] > 0 {
				g[side] = e.gain[side] / e.times[side]
			}
		}
		if score := max(g[0], s.small) * max(g[1], s.small); score > best {
			best, at = score, c.col
		}
	}
	if settled {
		return -1
	}
	return at
}

// core is the part without the columns that its reduced costs rule out.
func (s *coverSearch) core(p *coverPart) (*coverPart, bool) {
	s.fix(p)
	q := s.get()
	ok := q.build(p, s)
	clear(p.state)
	if !ok {
		s.put(q)
	}
	return q, ok
}

const (
	walkSteps  = 3000 // of local search at the root
	candidates = 40   // columns weighed up for branching
	trials     = 8    // after so many of each side, experience is trusted
	trySteps   = 30
)

type coverCand struct {
	col   int32
	score float64
}

// try is a quick bound of the part with the column taken (0) or left out (1).
func (s *coverSearch) try(p *coverPart, j int32, side int) float64 {
	p.state[j] = colTaken + int8(side)
	q := s.get()
	ok := q.build(p, s)
	p.state[j] = colOpen
	bound := math.Inf(1)
	if ok {
		s.climb(q, trySteps, 4, 0.5)
		bound = s.value
		if q.rows() == 0 {
			bound = p.bound // a cover: left to the search
		}
	}
	s.put(q)
	return bound
}
