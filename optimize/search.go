package optimize

import (
	"container/heap"
	"context"
	"math"
)

// node is a part of the search that is still open: its parent's domain, one
// decision on top of it, and a bound.
type node struct {
	parent   *domain
	mu       *multipliers
	decision decision
	bound    float64
	depth    int
	serial   int64
}

// decision narrows a domain by one step.
type decision struct {
	kind  decisionKind
	index int32
	value int32
}

type decisionKind uint8

const (
	noDecision decisionKind = iota // no decision
	shopShut                       // the shop is not used
	shopUsed                       // it is
	bandAtMost                     // its band is at most value
	bandAtLeast
	paintNone   // no box that holds the paint
	paintSome   // at least one
	offerAtMost // at most value boxes of the offer
	offerAtLeast
	optionTaken
	optionLeft
)

func (k decision) apply(m *model, d *domain) {
	switch k.kind {
	case shopShut:
		d.shut(m, int(k.index))
	case shopUsed:
		d.closed[k.index] = false
	case bandAtMost:
		d.bandHi[k.index] = min(d.bandHi[k.index], int16(k.value))
	case bandAtLeast:
		d.bandLo[k.index] = max(d.bandLo[k.index], int16(k.value))
	case paintNone:
		for _, s := range m.sources[k.index] {
			d.hi[s.off] = 0
		}
	case paintSome:
		d.atLeast[k.index] = max(d.atLeast[k.index], k.value)
	case offerAtMost:
		d.hi[k.index] = min(d.hi[k.index], k.value)
	case offerAtLeast:
		d.lo[k.index] = max(d.lo[k.index], k.value)
	case optionTaken:
		n := m.optNeed[k.index]
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if o != k.index {
				d.alive[o] = false
			}
		}
	case optionLeft:
		d.alive[k.index] = false
	}
}

type queue []*node

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	if q[i].bound != q[j].bound {
		return q[i].bound < q[j].bound
	}
	return q[i].serial > q[j].serial
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*node)) }
func (q *queue) Pop() any {
	old := *q
	n := old[len(old)-1]
	old[len(old)-1] = nil
	*q = old[:len(old)-1]
	return n
}

// search looks for the plan of least weight and proves it.
type search struct {
	m    *model
	w    weights
	unit float64 // every plan's weight is a whole multiple of it

	best  *solution
	ub    float64 // weight of best; +Inf without one
	open  queue
	nodes int64
	next  int64

	paintPast, optionPast []experience

	workers []*worker
	report  func(lower float64)
}

// worker is the memory one goroutine searches with.
type worker struct {
	facts *facts
	relax relax
	asc   *ascent
	build *builder
	mu    *multipliers
	inc   []float64
	x     []int32
	order []int32
	cands []candidate

	est      estimator
	goal     float64 // weight of the best plan, or a guess at it
	learned  []lesson
	tryFacts *facts
	tryRelax relax
	tryAsc   *ascent
}

func newWorker(m *model, w weights) *worker {
	return &worker{facts: newFacts(m), asc: newAscent(), build: newBuilder(m, w), mu: newMultipliers(m),
		inc: make([]float64, len(m.have)), x: make([]int32, len(m.price)), order: make([]int32, 0, len(m.members)), tryFacts: newFacts(m), tryAsc: newAscent()}
}

// batch is how many open nodes are worked on side by side. It does not depend
// on the number of workers, so neither does the answer.
const batch = 4

// near is how far above the best open bound, as a share of the gap, a node may
// lie that is worked on beside it.
const near = 0.1

type outcome struct {
	found    *solution
	foundW   float64
	domain   *domain
	mu       *multipliers
	bound    float64
	children []decision
	learned  []lesson
}

func (s *search) weight(c vector) float64 {
	return float64(c.money)*s.w.money + float64(c.points)*s.w.point + float64(c.boxes)*s.w.box + float64(c.shops)*s.w.shop
}

// cutoff is the bound from which on a node holds nothing better than the best plan.
func (s *search) cutoff() float64 {
	if s.best == nil {
		return math.Inf(1)
	}
	return s.ub - s.unit
}

// run searches until the queue is empty or the context ends. It returns the
// proven lower bound on the weight (that of the best plan when it is proven).
func (s *search) run(ctx context.Context) (lower float64, done bool) {
	s.paintPast, s.optionPast = make([]experience, len(s.m.have)), make([]experience, len(s.m.optNeed))
	root := &node{parent: newDomain(s.m), mu: newMultipliers(s.m), bound: math.Inf(-1)}
	s.open = queue{root}
	lower = math.Inf(-1)
	var taken []*node
	outcomes := make([]outcome, batch)
	for len(s.open) > 0 {
		if ctx.Err() != nil {
			return min(s.open[0].bound, s.ub), false
		}
		taken = taken[:0]
		cut := s.cutoff()
		for len(taken) < batch && len(s.open) > 0 {
			n := heap.Pop(&s.open).(*node)
			if n.bound > cut {
				s.open = s.open[:0] // the rest is no better
				break
			}
			if len(taken) > 0 && n.bound > taken[0].bound+near*(min(cut, 2*math.Abs(taken[0].bound))-taken[0].bound) {
				heap.Push(&s.open, n) // too far from the best to be sure to be needed
				break
			}
			taken = append(taken, n)
		}
		if len(taken) > 0 {
			lower = taken[0].bound
		}
		s.process(ctx, taken, outcomes)
		for i, n := range taken {
			s.nodes++
			o := &outcomes[i]
			if o.found != nil && (s.best == nil || o.foundW < s.ub) {
				s.best, s.ub = o.found, o.foundW
			}
			for _, l := range o.learned {
				if e := s.past(l.split); e != nil {
					e.down, e.up, e.times = e.down+l.down, e.up+l.up, e.times+1
				}
			}
			for _, c := range o.children {
				s.next++
				heap.Push(&s.open, &node{o.domain, o.mu, c, max(o.bound, n.bound), n.depth + 1, s.next})
			}
		}
		if ctx.Err() != nil {
			// A node cut short may have been dropped unfinished: its bound stands.
			return min(lower, s.ub), false
		}
		if s.report != nil {
			s.report(lower)
		}
	}
	return s.ub, true
}

func (s *search) process(ctx context.Context, taken []*node, out []outcome) {
	if len(s.workers) == 1 || len(taken) == 1 {
		for i, n := range taken {
			out[i] = s.workers[0].process(ctx, s, n)
		}
		return
	}
	done := make(chan struct{})
	at := make(chan int, len(taken))
	for i := range taken {
		at <- i
	}
	close(at)
	running := min(len(s.workers), len(taken))
	for k := range running {
		go func(w *worker) {
			for i := range at {
				out[i] = w.process(ctx, s, taken[i])
			}
			done <- struct{}{}
		}(s.workers[k])
	}
	for range running {
		<-done
	}
}

// process bounds one node, tightens it, tries to find a plan near it, and
// splits it. It reads the search but does not change it.
func (k *worker) process(ctx context.Context, s *search, n *node) (out outcome) {
	m := s.m
	d := n.parent.clone()
	n.decision.apply(m, d)
	if !m.propagate(d, k.facts) {
		return out
	}
	k.mu.copyFrom(n.mu)
	cut := s.cutoff()
	target := s.ub
	steps := 40
	if n.depth == 0 {
		steps = 600
		k.rootStart(s, d)
		if sol, w := k.construct(s, d, nil); sol != nil && w < target {
			out.found, out.foundW = sol, w
			target = w
			cut = min(cut, w-s.unit)
		}
	}
	if math.IsInf(target, 1) {
		target = 0
	}
	k.relax.build(m, s.w, d, k.facts)
	for round := 0; ; round++ {
		goal := target
		if goal == 0 {
			goal = 1.3*math.Abs(k.asc.best.value) + 1
		}
		k.goal = goal
		k.asc.run(&k.relax, k.mu, steps, goal, cut)
		p := k.asc.best
		out.bound = max(out.bound, p.value)
		if p.value > cut {
			return out
		}
		if ctx.Err() != nil {
			return out
		}
		k.relax.store(p, k.mu)
		if n.depth == 0 || round == 0 && n.depth%4 == 0 {
			if sol, w := k.heuristics(s, d); sol != nil && w < s.ub && (out.found == nil || w < out.foundW) {
				out.found, out.foundW = sol, w
				target = w
				cut = min(cut, w-s.unit)
				if p.value > cut {
					return out
				}
			}
		}
		k.inc = resize(k.inc, len(m.have))
		if round >= 3 || !k.relax.fix(p, cut, k.inc) {
			break
		}
		if !m.propagate(d, k.facts) {
			out.bound = math.Max(out.bound, cut)
			return out
		}
		k.relax.build(m, s.w, d, k.facts)
		steps = 20
		if n.depth == 0 {
			steps = 100
		}
	}
	k.learned = nil
	out.children = k.branch(s, d)
	out.learned = k.learned
	if out.children == nil {
		if sol, w := k.leaf(s, d); sol != nil && w < s.ub && (out.found == nil || w < out.foundW) {
			out.found, out.foundW = sol, w
		}
		return out
	}
	out.domain = d
	out.mu = newMultipliers(m)
	out.mu.copyFrom(k.mu)
	return out
}
