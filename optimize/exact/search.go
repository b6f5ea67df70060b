package exact

import (
	"container/heap"
	"context"
	"math"
	"sync"
	"sync/atomic"
)

// search looks for the plan of least weight and proves it.
type search struct {
	m     *model
	w     weights
	grain float64 // every plan's weight is a whole multiple of it

	incumbent *solution
	upper     float64 // its weight; +Inf without one
	open      queue
	nodes     int64
	next      int64

	costs [2]splitCosts // what splits brought: to the Lagrangian bound, to the linear relaxation

	workers []*worker
	report  func(lower float64)
	ctx     context.Context // set while the search runs

	ends [2]endCount // of endgames at nodes of the linear relaxation, early and late

	work, planWork       int64 // evaluations in all, and those spent on looking for plans
	linWork, linPlanWork int64 // the same of linear relaxations

	limit int64 // most nodes; 0: no limit
	most  int64 // effort of linear relaxations at most; 0: no limit
	many  int   // open nodes from which on the deepest come first; 0: see mostOpen
	inner bool  // a search near a plan, within another search

	floor     float64 // proven before the search began again at its root
	mayTurn   bool    // the root may leave the search to the linear relaxation
	mayPass   bool    // nodes may, see passOn
	turned    bool    // it did, or the search came to no end in lateNodes
	wanted    float64 // what the linear relaxation's bound must reach at the root, else it is left
	potShare  float64 // of the root; see relax.potShare
	linear    bool    // nodes are bounded by the linear relaxation
	small     bool    // of a small problem, then
	parts     []*node // where set, what to search instead of the whole domain
	root      *node   // to begin again with
	rootNodes int64
	rootUpper float64 // what a plan had to beat when it was bounded
	guess     *guess  // nil: none yet
	ties      *[]tie  // where set, ended nodes that may hold plans as good as the best
	moneyMost int64   // where later levels are searched alone: what plans cost

	troubles atomic.Int64 // linear relaxations whose arithmetic gave out
}

// worker is the memory one goroutine searches with.
type worker struct {
	facts  *facts
	relax  relax
	volume *volumeAlgorithm
	build  *builder
	mu     *multipliers
	inc    []float64
	x      []int32
	order  []int32
	cands  []candidate
	doubt  []doubt
	likes  []like

	ann    *annealer
	reshop *reshop // made when it is needed
	end    endgame
	diver  *worker
	sub    *worker
	est    estimator
	goal   float64 // weight of the incumbent, or a guess at it

	observed    []observation
	trialFacts  *facts
	trialRelax  relax
	trialVolume *volumeAlgorithm

	windowWork int64 // evaluations spent on windows
	program    *program
	pastEffort int64 // effort of programs done with
	planEffort int64 // effort of looking for plans in this node
	begun      int64 // effort before it
}

func newWorker(m *model, w weights) *worker {
	b, scratch := newBuilder(m, w), &curve{}
	return &worker{
		ann:         newAnnealer(b),
		facts:       newFacts(m),
		relax:       relax{curve: scratch},
		volume:      newVolumeAlgorithm(),
		build:       b,
		mu:          newMultipliers(m),
		inc:         make([]float64, len(m.have)),
		x:           make([]int32, len(m.price)),
		order:       make([]int32, 0, len(m.members)),
		trialFacts:  newFacts(m),
		trialRelax:  relax{curve: scratch},
		trialVolume: newVolumeAlgorithm(),
	}
}

// batch is how many open nodes are worked on side by side. It does not depend
// on the number of workers, so neither does the answer.
const batch = 4

// batchShare is how far above the best open bound, as a share of the gap, a node may
// lie that is worked on beside it.
const batchShare = 0.1

// care is how much work goes into each node of a search.
type care struct {
	steps      int // of the volume algorithm
	rootAgain  int // of the root's ascent, each time that something was ruled out
	trials     int // candidates tried out at most
	idle       int // the same without finding a better one
	trialSteps int // of the volume algorithm, for each trial
	planEvery  int // plans are built at nodes at multiples of this depth
	rounds     int // of annealing, for each need
	endSteps   int // of the walks of one endgame
}

// thorough tells how much: a search that does not end soon is worth bounding each
// node better, since that saves more nodes than it costs, unless the problem is
// so large that few nodes can be looked at: then the more of them the better. A
// small one is over before much care pays. The numbers were measured, on
// generated problems of all sizes.
func (s *search) thorough() care {
	c := care{steps: 40, rootAgain: 100, trials: 16, idle: 5, planEvery: 4, rounds: 15, endSteps: 1 << 14}
	small, large := len(s.m.members) < fewNeeds && !s.inner, len(s.m.optNeed) > 3000
	if small {
		c.rootAgain, c.planEvery, c.rounds = 30, 2, 5
	}
	switch {
	case small && s.nodes < 64:
		c.steps, c.endSteps = 24, 1<<11
	case large && !s.inner:
		c.steps = 24
	case s.nodes >= 64 && !large:
		c.steps, c.trials, c.idle, c.trialSteps = 80, 24, 6, 30
	}
	return c
}

type outcome struct {
	found                *solution
	foundW               float64
	domain               *domain
	mu                   *multipliers
	bound                float64
	children             []child
	observed             []observation
	tough                tough
	work                 int64
	planWork             int64
	linWork, linPlanWork int64
	lin                  *linearNode
	potShare             float64 // at the root
	turn                 bool    // the linear relaxation should take over
	tie                  *domain // where plans as good as the best may be left

	endTried, endDone bool      // as an endgame
	best              *solution // see node
}

func (s *search) weight(c vector) float64 {
	return float64(c.money)*s.w.money + float64(c.points)*s.w.point + float64(c.boxes)*s.w.box +
		float64(c.shops)*s.w.shop + float64(c.spare)*s.w.spare
}

// cutoff is the bound from which on a node holds nothing better than the incumbent, or
// than the guess.
func (s *search) cutoff() float64 {
	if s.guess != nil {
		return min(s.beat(), s.guess.most)
	}
	return s.beat()
}

// beat is what a plan must not weigh more than to be better than the incumbent.
func (s *search) beat() float64 {
	if s.incumbent == nil {
		return math.Inf(1)
	}
	return s.upper - s.grain
}

// run searches until the queue is empty or the context ends. It returns the
// proven lower bound on the weight (that of the incumbent when it is proven).
func (s *search) run(ctx context.Context) (lower float64, done bool) {
	return s.runFrom(ctx, newDomain(s.m), newMultipliers(s.m))
}

// runFrom is run within a domain, starting from the given multipliers.
func (s *search) runFrom(ctx context.Context, d *domain, mu *multipliers) (lower float64, done bool) {
	s.ctx, s.floor = ctx, math.Inf(-1)
	if s.costs[0].paint == nil {
		s.resetPseudocosts()
	}
	root := &node{parent: d, mu: mu, bound: math.Inf(-1)}
	if s.linear {
		root.lin = &linearNode{}
	}
	parts := []*node{root}
	if s.parts != nil {
		parts = s.parts
	}
	if s.inner {
		root.depth = 1
	}
	s.open = queue{nodes: parts, deep: s.inner}
	heap.Init(&s.open)
	return s.goOn(ctx)
}

// goOn searches what is open.
func (s *search) goOn(ctx context.Context) (lower float64, done bool) {
	s.ctx = ctx
	lower = math.Inf(-1)
	var taken []*node
	outcomes := make([]outcome, batch)
	for s.open.Len() > 0 || s.guessHigher() {
		if ctx.Err() != nil || s.limit > 0 && s.nodes >= s.limit || s.most > 0 && s.linWork >= s.most {
			return s.within(s.open.lower()), false
		}
		taken = s.takeBatch(taken[:0])
		if len(taken) > 0 && !s.open.deep {
			lower = max(taken[0].bound, s.floor) // while the deepest come first, the last one stands
		}
		s.process(ctx, taken, outcomes)
		s.merge(taken, outcomes)
		if s.worthRestart() {
			s.restart()
			s.floor = max(s.floor, lower)
		}
		if s.turned {
			return outcomes[0].bound, false
		}
		if s.troubled() {
			s.turned = true
			return s.within(lower), false
		}
		if s.late() {
			s.turned = true
			return lower, false
		}
		if ctx.Err() != nil {
			return s.stoppedBound(taken, outcomes), false
		}
		if s.report != nil {
			s.report(lower)
		}
	}
	return s.upper, true
}

// takeBatch takes the open nodes that are worked on next, side by side.
func (s *search) takeBatch(taken []*node) []*node {
	width := batch
	if s.inner {
		width = 1
	} else {
		many := s.many
		if many == 0 {
			many = s.m.mostOpen()
		}
		s.open.keepSmall(many)
	}
	cutoff := s.cutoff()
	for len(taken) < width && s.open.Len() > 0 {
		n := heap.Pop(&s.open).(*node)
		if n.bound > cutoff {
			if s.ties != nil {
				s.keepTie(n)
				continue
			}
			if s.open.deep {
				continue
			}
			s.open.nodes = s.open.nodes[:0] // the rest is no better
			break
		}
		if len(taken) > 0 && n.bound > nearest(taken[0].bound, cutoff) {
			heap.Push(&s.open, n) // too far from the best to be sure to be needed
			break
		}
		taken = append(taken, n)
	}
	return taken
}

// nearest is the bound up to which a node is worked on beside the best one.
func nearest(best, cutoff float64) float64 {
	return best + batchShare*(min(cutoff, 2*math.Abs(best))-best)
}

// merge takes over what came of the nodes, in their order.
func (s *search) merge(taken []*node, outcomes []outcome) {
	for i, n := range taken {
		s.nodes++
		o := &outcomes[i]
		s.work, s.planWork = s.work+o.work, s.planWork+o.planWork
		s.linWork, s.linPlanWork = s.linWork+o.linWork, s.linPlanWork+o.linPlanWork
		if o.found != nil && (s.incumbent == nil || o.foundW < s.upper) {
			s.incumbent, s.upper = o.found, o.foundW
		}
		for _, l := range o.observed {
			if e := s.pseudocost(l.split, o.lin != nil); e != nil {
				e.Observe(0, l.down)
				e.Observe(1, l.up)
			}
		}
		if o.tie != nil {
			*s.ties = append(*s.ties, tie{d: o.tie, bound: o.bound, lin: n.lin})
		}
		if e := s.endCount(); o.endTried {
			e.tried++
			if o.endDone {
				e.done++
			}
		}
		s.turned = s.turned || o.turn
		s.potShare = max(s.potShare, o.potShare)
		if n.depth == 0 && len(o.children) > 0 && s.compact(o) {
			break
		}
		if s.linear && n.depth == 0 && o.lin != nil && s.noteRoot(o) {
			break
		}
		for _, c := range o.children {
			s.next++
			heap.Push(&s.open, &node{
				parent:   o.domain,
				mu:       o.mu,
				decision: c.decision,
				bound:    s.wholeBound(max(o.bound, n.bound, c.bound)),
				depth:    n.depth + 1, serial: s.next, tough: o.tough, best: o.best, lin: o.lin, row: c.row,
			})
		}
	}
}

// wholeBound rounds a bound of the linear relaxation up to what a plan can weigh: nodes
// between two grains count as equals, and the latest of them comes first.
func (s *search) wholeBound(b float64) float64 {
	if !s.linear || math.IsInf(b, 0) {
		return b
	}
	return math.Ceil(b/s.grain-1e-9) * s.grain
}

// stoppedBound is the least bound of what is open when the context ends: a node
// cut short may have been dropped unfinished, so the bound it had or came to stands.
func (s *search) stoppedBound(taken []*node, outcomes []outcome) float64 {
	least := math.Inf(1)
	for i, n := range taken {
		least = min(least, max(n.bound, outcomes[i].bound))
	}
	if s.open.Len() > 0 {
		least = min(least, s.open.lower())
	}
	return s.within(least)
}

// compactShare is the share of options and offers that must be left for a smaller model
// not to pay.
const compactShare = 0.8

// compact goes on with a smaller model where the root has ruled out a good
// part of this one. It bounds the root anew there, which is not worth it in a
// small linear relaxation: the nodes below lay out smaller forms anyway.
func (s *search) compact(o *outcome) bool {
	if s.inner || s.linear && s.small || float64(o.domain.size()) >= compactShare*float64(len(s.m.optNeed)+len(s.m.price)) {
		return false
	}
	m, d, mu := s.m.shrink(o.domain, o.mu)
	s.take(m)
	root := &node{parent: d, mu: mu, bound: o.bound}
	if o.lin != nil {
		root.lin = &linearNode{rows: o.lin.rows, was: o.lin.form}
	}
	heap.Push(&s.open, root)
	return true
}

// take makes m the model searched.
func (s *search) take(m *model) {
	s.m = m
	s.resetPseudocosts()
	clear(s.workers)
}

// worker is worker k, made when it first has work: small problems are done before all have.
func (s *search) worker(k int) *worker {
	if s.workers[k] == nil {
		s.workers[k] = newWorker(s.m, s.w)
	}
	return s.workers[k]
}

// The first nodes of a problem with few needs are looked at by one worker alone: they are
// less work than it takes to start another.
const (
	handful  = 16
	deskSize = 40
)

func (s *search) process(ctx context.Context, taken []*node, out []outcome) {
	threads := len(s.workers)
	if len(s.m.members) < deskSize && s.nodes < handful {
		threads = 1
	}
	parallel(threads, len(taken), func(k, i int) { out[i] = s.worker(k).process(ctx, s, taken[i]) })
}

// parallel does work on 0 to count-1, with up to so many goroutines, of which it
// is told the number.
func parallel(threads, count int, work func(thread, i int)) {
	if threads = min(threads, count); threads <= 1 {
		for i := range count {
			work(0, i)
		}
		return
	}
	at := make(chan int, count)
	for i := range count {
		at <- i
	}
	close(at)
	var all sync.WaitGroup
	for k := range threads {
		all.Go(func() {
			for i := range at {
				work(k, i)
			}
		})
	}
	all.Wait()
}
