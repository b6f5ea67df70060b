package setcover

import (
	"context"
	"math"
	"slices"

	"halfpot/optimize/internal/pseudocost"
)

// search looks for the cheapest set of columns that covers all rows, and
// proves it, depth first.
type search struct {
	cost             []float64
	colStart, colRow []int32

	incumbent []int32
	upper     float64 // its cost; +Inf without one
	grain     float64 // every set's cost is a multiple of it
	guess     float64

	quantum, perQuantum float64

	nodes, evals int64
	report       func(lower float64)
	ctx          context.Context
	stopped      bool
	budget       int64 // nodes after which the open ones are left for later
	left         []openNode
	observed     []observation
	threads      int   // at least 1 works
	limit        int64 // nodes to look at at most; 0: as many as it takes
	crew         []*search
	pool         []*subproblem
	root         *subproblem

	value             float64 // bound of the node looked at last
	u, slack, dir, rc []float64
	hits              []int32 // columns of negative reduced cost
	rowAt, fill       []int32
	colSets, rowSets  bitSets
	plan              scratch
	pseudocosts       []pseudocost.Cost
	cands             []candidate
	small             float64

	lp              *relaxation // of the nodes below the root; nil where it would be too large
	lpCol           []int32     // column of the linear relaxation, of each column
	before          int         // columns taken before the linear relaxation was set up
	bases           []basis     // at each depth, what the relaxations of its nodes start from
	lpCols, lpTaken []int32
	lpMost          int // columns or rows from which on there is none
}

const (
	walkSteps = 3000 // of local search at the root
	lpMost    = 1500
)

// newSearch returns nil where sums would not stay exact. Costs are whole
// numbers. start, where set, is a cover known already.
func newSearch(rows [][]int32, cost []float64, start []int32) *search {
	s := &search{cost: cost, upper: math.Inf(1), grain: 1, lpMost: lpMost}
	p := &subproblem{}
	p.rowStart = append(p.rowStart, 0)
	count := make([]int32, len(cost)+1)
	size := 0.0
	for _, cols := range rows {
		least, most := math.Inf(1), 0.0
		for _, j := range cols {
			least, most = min(least, cost[j]), max(most, cost[j])
			count[j+1]++
		}
		p.rowCol = append(p.rowCol, cols...)
		p.rowStart = append(p.rowStart, int32(len(p.rowCol)))
		p.most = append(p.most, least)
		size += most * float64(len(cols)+1)
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
	p.cost, p.id, p.fraction = slices.Clone(cost), make([]int32, len(cost)), make([]float64, len(cost))
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
	s.rc = nil // it is the node's own
	s.greedy(p)
	s.guess = s.upper
	if start != nil {
		s.offer(start)
	}
	return s
}

// offer takes a cover as the incumbent where it is cheaper.
func (s *search) offer(columns []int32) {
	sum := 0.0
	for _, j := range columns {
		sum += s.cost[j]
	}
	if sum < s.upper {
		s.incumbent, s.upper = slices.Clone(columns), sum
	}
}

// cutoff is the cost from which on, exclusive, a node holds nothing better.
func (s *search) cutoff() float64 { return s.upper - s.grain }

func (s *search) get() *subproblem {
	if n := len(s.pool); n > 0 {
		p := s.pool[n-1]
		s.pool = s.pool[:n-1]
		return p
	}
	return &subproblem{}
}

func (s *search) put(p *subproblem) { s.pool = append(s.pool, p) }

// boundNode bounds a node, fixes columns and shrinks it until little changes. It
// returns nil where nothing better is left, and else the node, maybe another;
// stopped, it may have done less.
func (s *search) boundNode(p *subproblem, depth int, again bool) *subproblem {
	steps, patience, lambda := 100, 10, 0.5
	if depth == 0 {
		steps, patience, lambda = 150, 8, 1.5
	}
	for round := 0; ; round++ {
		if p.rows() == 0 {
			s.offer(p.taken)
			s.put(p)
			return nil
		}
		if s.lp != nil {
			s.relaxed(p, depth, again || round > 0)
		} else {
			s.subgradient(p, steps, patience, lambda)
		}
		if s.value > s.cutoff() {
			s.put(p)
			return nil
		}
		if round == 0 && s.plans(p, depth) {
			s.put(p)
			return nil
		}
		before := p.cols()
		taken, out := s.fix(p)
		if s.done() {
			return p
		}
		if taken+out == 0 && (round > 0 || s.lp != nil && !p.essential() && !p.dominated(s)) {
			return p
		}
		if p = s.shrunk(p); p == nil {
			return nil
		}
		if depth == 0 && s.lp == nil && p.rows() > 0 && min(p.rows(), p.cols()) < s.lpMost {
			return p // the linear relaxation does the rest
		}
		if s.lp == nil && p.cols()*10 > before*9 && taken == 0 || round > 5 {
			if p.rows() == 0 {
				continue
			}
			if s.lp != nil {
				s.relaxed(p, depth, true)
			} else {
				s.value = math.Inf(-1)
				s.subgradient(p, 1, patience, lambda)
			}
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

// plans seeks covers of a node just bounded, at the root by local search too,
// and says whether its bound now reaches the cutoff.
func (s *search) plans(p *subproblem, depth int) bool {
	s.greedy(p)
	if depth == 0 {
		if c, ok := s.core(p); ok {
			s.walk(c, walkSteps)
			s.put(c)
		}
	}
	return s.value > s.cutoff()
}

// shrunk is the node without what its marks take and drop, until neither rows
// nor columns dominate each other; nil where a row has no column left.
func (s *search) shrunk(p *subproblem) *subproblem {
	for {
		p = s.rebuilt(p)
		if p == nil || p.rows() == 0 || !p.essential() && !p.dominated(s) {
			return p
		}
	}
}

// done says whether to stop.
func (s *search) done() bool {
	if !s.stopped && s.ctx.Err() != nil {
		s.stopped = true
	}
	return s.stopped
}

// explore searches a node, which it may give away, and returns its bound. Where
// it is not allowed more nodes it leaves the node for later and returns -Inf.
func (s *search) explore(p *subproblem, depth int) float64 {
	if s.nodes >= s.budget || s.done() {
		s.leave(p, depth)
		return math.Inf(-1)
	}
	s.nodes++
	p = s.boundNode(p, depth, false)
	if p != nil && depth == 0 && !s.stopped && min(p.rows(), p.cols()) < s.lpMost {
		s.relax(p)
		p = s.boundNode(p, 0, false)
	}
	if p == nil {
		return s.value
	}
	first := p.bound
	j := s.pick(p)
	for j < 0 && !s.stopped {
		if p = s.rebuilt(p); p != nil {
			p = s.boundNode(p, depth, true)
		}
		if p == nil {
			return first
		}
		j = s.pick(p)
	}
	if s.stopped {
		s.leave(p, depth)
		return math.Inf(-1)
	}
	for side := range 2 {
		p.state[j] = colTaken + int8(side)
		q := s.get()
		if !q.build(p, s) {
			s.put(q)
			continue
		}
		before := p.bound
		if b := s.explore(q, depth+1); b > math.Inf(-1) {
			s.observe(p.id[j], side, min(b, s.cutoff()+s.grain)-before)
		}
		if p.bound > s.cutoff() {
			break
		}
	}
	s.put(p)
	return first
}

// rebuilt is the node with its marks carried out; nil where nothing covers a
// row then.
func (s *search) rebuilt(p *subproblem) *subproblem {
	q := s.get()
	ok := q.build(p, s)
	s.put(p)
	if !ok {
		s.put(q)
		return nil
	}
	return q
}

// core is the node without the columns that its reduced costs rule out.
func (s *search) core(p *subproblem) (*subproblem, bool) {
	s.fix(p)
	q := s.get()
	ok := q.build(p, s)
	clear(p.state)
	if !ok {
		s.put(q)
	}
	return q, ok
}
