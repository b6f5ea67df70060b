package exact

import (
	"context"
	"math"
)

// Where the linear relaxation bounds the nodes, the cost is proven alone: bounds are
// then rounded up to whole grains of money. The later levels follow among the
// plans of that cost, with a row that says so; what can't be part of one goes first.

// mayTurn says whether a phase's root may leave the search to the linear relaxation.
func (h *hunt) mayTurn(ph phase, a *answer) bool {
	return !linearOff && h.rival == nil && h.m.cap == noCap && a.proven == 0 && ph.exact && ph.tilt == 0
}

// searchLinear proves all levels, from the best plan known.
func (h *hunt) searchLinear(ctx context.Context, best *solution, a *answer) bool {
	ph := h.m.weighing(0, nil, 1)
	s := h.linearSearch(ph.w, ph.grain, best)
	ties := []tie{}
	if ph.levels < 4 {
		s.ties = &ties
	}
	s.report = func(lower float64) {
		h.troubles = s.troubles.Load()
		if h.report != nil {
			h.report(s.incumbent, max(a.bound, ph.moneyBound(lower)), h.nodes+s.nodes)
		}
	}
	lower, done := s.run(ctx)
	h.nodes += s.nodes
	if a.best = s.incumbent; h.m.rough() || s.m.rough() {
		a.done = false
		return false
	}
	a.bound = max(a.bound, ph.moneyBound(lower))
	if !done {
		if a.best != nil && a.bound >= a.best.cost.money {
			a.proven = 1
		}
		return false
	}
	a.done = true
	if a.best == nil {
		return false
	}
	a.proven, a.bound = 1, a.best.cost.money
	if ph.levels == 4 {
		a.proven = 4
		return true
	}
	return true // the later levels follow as they would without the linear relaxation
}

// tie is an ended node in which plans may be left that cost what the best does.
type tie struct {
	d     *domain
	bound float64
}

// keepTie keeps an open node that can hold nothing better than the best plan.
func (s *search) keepTie(n *node) {
	if n.bound > s.upper {
		return
	}
	d := n.parent.clone()
	n.decision.apply(s.m, d)
	*s.ties = append(*s.ties, tie{d, n.bound})
}

// linearSearch is a search whose nodes are bounded by the linear relaxation.
func (h *hunt) linearSearch(w weights, grain float64, best *solution) *search {
	s := &search{m: h.m, w: w, grain: grain, upper: math.Inf(1), linear: true, moneyMost: noCap}
	for range h.threads {
		s.workers = append(s.workers, newWorker(h.m, w))
	}
	if best != nil {
		s.incumbent, s.upper = best, s.weight(best.cost)
	}
	return s
}
