package exact

import (
	"context"
	"math"
)

// plans looks for plans near the node's relaxed answer: always a little, and
// with more effort at the root, where a node has just had its last shop
// decided, and now and then.
func (k *worker) plans(ctx context.Context, s *search, n *node, d *domain, out *outcome) {
	keep := func(sol *solution, w float64) {
		if sol != nil && w < s.upper && (out.found == nil || w < out.foundW) {
			out.found, out.foundW = sol, w
		}
	}
	if blind {
		return
	}
	settled := n.decision.kind.ofShop() && k.shopsSettled(d)
	if n.depth%s.thorough().planEvery == 0 || settled || s.inner {
		keep(k.heuristics(s, d, n.depth == 0 || settled))
	}
	if plan := bestOf(out.found, s.incumbent); plan != nil && s.mayAnneal(n) {
		keep(k.annealLong(ctx, s, plan, n.serial/smallAnneal))
	}
	if s.inner || n.depth > 0 && s.planWork*planWork > s.work || s.nodes < soon && len(s.m.members) < fewNeeds {
		return
	}
	before := k.effort()
	if n.depth == 0 && math.IsInf(n.bound, -1) {
		keep(k.shopSet(ctx, s, d, k.mu))
	}
	if n.depth == 0 || settled || n.serial%plansEvery == 1 {
		keep(k.dive(ctx, s, d, k.mu))
	}
	if n.depth == 0 || settled {
		keep(k.around(ctx, s, d, k.mu, nil, answerNodes))
	}
	if plan := bestOf(out.found, s.incumbent); plan != nil && (n.depth == 0 || settled || n.serial%plansEvery == plansEvery/2+1) {
		keep(k.around(ctx, s, d, k.mu, plan, planNodes))
	}
	if plan := bestOf(out.found, s.incumbent); plan != nil {
		count := 0
		switch large := len(s.m.members) > manyNeeds; {
		case n.depth == 0 && large:
			count = rootWindows
		case n.depth > 0 && large && n.serial%windowsSeldom == 1:
			count = 1
		case n.depth > 0 && !large && n.serial%windowsOften == 1 && s.nodes > windowsAfter:
			count = 2
		}
		threads := 1 // other nodes are worked on at the same time
		if n.depth == 0 {
			threads = len(s.workers)
		}
		if count > 0 {
			keep(k.windows(ctx, vicinity{s, d, k.mu}, plan, windowRounds{uint64(n.serial), count, threads}))
		}
	}
	out.planWork = k.effort() - before
}

const (
	planWork    = 3   // below the root, plans take no more than one part of so many of the work
	plansEvery  = 32  // nodes, of which one dives and another one searches near the best plan
	answerNodes = 100 // of a search near the relaxed answer
	planNodes   = 60  // and of one near a plan

	rootWindows   = 24  // rounds of windows at the root of a large problem
	windowsSeldom = 128 // nodes, of which one goes over a window there,
	windowsOften  = 8   // and over two in others, once they last
)

// soon is the number of nodes in which a small search should come to its end
// without much looking for plans.
const soon = 16

// fewNeeds is what a small problem has less than.
const fewNeeds = 150

// A problem is worked on window by window from the beginning where it has more
// needs than manyNeeds, and once so many nodes have not been enough otherwise.
const (
	manyNeeds    = 600
	windowsAfter = 500
)

// effort is how often this worker has evaluated a relaxation so far.
func (k *worker) effort() int64 {
	if k == nil {
		return 0
	}
	return k.relax.evals + k.trialRelax.evals + k.diver.effort() + k.sub.effort() + k.windowWork
}

// shopsSettled says whether every shop and its band is decided.
func (k *worker) shopsSettled(d *domain) bool {
	for h := range d.closed {
		if !d.settled(h) {
			return false
		}
	}
	return true
}

func bestOf(a, b *solution) *solution {
	if a != nil {
		return a
	}
	return b
}
