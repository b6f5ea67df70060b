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

// searchLinear goes on from a search that left a problem to the linear relaxation, and
// proves all levels. It is not worth it where that search had come about as far as the
// relaxation does at its root, or where relaxations give out.
func (h *hunt) searchLinear(ctx context.Context, from *search, a *answer) (proven, worth bool) {
	ph := h.m.weighing(0, nil, 1)
	s := h.linearSearch(ph.w, ph.grain, from.incumbent)
	s.wanted = math.Inf(-1)
	if s.incumbent != nil && from.open.Len() > 0 { // else there is nothing to go back to
		open := float64(s.incumbent.cost.money - a.bound)
		s.wanted = ph.w.money * (float64(a.bound) + linearAhead*open)
	}
	ties := []tie{}
	if ph.levels < 4 {
		s.ties = &ties
	}
	before := h.troubles
	s.report = func(lower float64) {
		h.troubles = before + s.troubles.Load()
		if h.report != nil {
			h.report(s.incumbent, max(a.bound, ph.moneyBound(lower)), h.nodes+s.nodes)
		}
	}
	lower, done := s.run(ctx)
	h.nodes, h.troubles = h.nodes+s.nodes, before+s.troubles.Load()
	if s.turned {
		if s.incumbent != from.incumbent {
			from.incumbent, from.upper = s.incumbent, from.weight(s.incumbent.cost)
		}
		return false, false
	}
	if a.best = s.incumbent; h.m.rough() || s.m.rough() {
		a.done = false
		return false, true
	}
	a.bound = max(a.bound, ph.moneyBound(lower))
	if !done {
		if a.best != nil && a.bound >= a.best.cost.money {
			a.proven = 1
		}
		return false, true
	}
	a.done = true
	if a.best == nil {
		return false, true
	}
	a.proven, a.bound = 1, a.best.cost.money
	if ph.levels == 4 {
		a.proven = 4
		return true, true
	}
	return h.laterLevels(ctx, s, ties, a), true
}

// laterLevels proves the levels after the cost, in the ties that the search for the cost
// has left.
func (h *hunt) laterLevels(ctx context.Context, s *search, ties []tie, a *answer) bool {
	points, boxes, shops := h.m.largest()
	w := weights{shop: 1, box: shops + 1, quantum: 1}
	w.point = w.box*(boxes+1) + shops + 1
	if w.point*(points+1) > exactLimit {
		return true // level by level, as it would be without the linear relaxation
	}
	t := h.linearSearch(w, 1, a.best)
	t.m, t.moneyMost, t.ties = s.m, a.best.cost.money, nil
	t.parts = t.tied(ties, s.upper)
	before := h.troubles
	t.report = func(float64) {
		h.troubles = before + t.troubles.Load()
		if h.report != nil {
			h.report(t.incumbent, a.bound, h.nodes+t.nodes)
		}
	}
	_, done := t.run(ctx)
	h.nodes, h.troubles = h.nodes+t.nodes, before+t.troubles.Load()
	a.best = t.incumbent
	if t.turned {
		return true // level by level, too
	}
	if done && !h.m.rough() && !t.m.rough() {
		a.proven = 4
		return true
	}
	return false
}

// tie is an ended node in which plans may be left that cost what the best does.
type tie struct {
	d     *domain
	bound float64
	lin   *linearNode // what its relaxation started from
}

// keepTie keeps an open node that can hold nothing better than the best plan.
func (s *search) keepTie(n *node) {
	if n.bound > s.upper {
		return
	}
	d := n.parent.clone()
	n.decision.apply(s.m, d)
	*s.ties = append(*s.ties, tie{d: d, bound: n.bound, lin: n.lin})
}

// tied makes the nodes to search for the later levels of those that may hold plans
// of the weight that came out as the least.
func (s *search) tied(ties []tie, weight float64) (parts []*node) {
	d := newDomain(s.m)
	facts := newFacts(s.m)
	parts = []*node{}
	if !s.m.propagate(d, facts) {
		return parts
	}
	// For those that bring no rows of the model.
	form := newLinear(s.m, s.w, d, facts, s.moneyMost)
	mu := newMultipliers(s.m)
	for _, t := range ties {
		if t.bound <= weight {
			s.next++
			parts = append(parts, &node{
				parent: t.d,
				mu:     mu,
				bound:  math.Inf(-1),
				depth:  1,
				serial: s.next,
				lin:    t.lin.again(form),
			})
		}
	}
	return parts
}

// again is what the relaxation of a tie starts from: rows and basis stay, and the form
// is laid out anew for what is left, by what columns weigh now. A node without rows of
// the model gets the form given.
func (n *linearNode) again(form *linear) *linearNode {
	was := n.form
	if was == nil {
		was = n.was
	}
	if was == nil || was.m != form.m {
		return &linearNode{form: form}
	}
	return &linearNode{was: was, rows: n.rows, basis: n.basis}
}

// linearSearch is a search whose nodes are bounded by the linear relaxation.
func (h *hunt) linearSearch(w weights, grain float64, best *solution) *search {
	s := &search{m: h.m, w: w, grain: grain, upper: math.Inf(1), linear: true, moneyMost: noCap,
		small: len(h.m.members) < fewNeeds, workers: make([]*worker, h.threads)}
	if best != nil {
		s.incumbent, s.upper = best, s.weight(best.cost)
	}
	return s
}
