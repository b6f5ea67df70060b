package exact

import (
	"context"
	"math"
)

// The search for a small problem that has come to no end in smallLong nodes anneals
// plans for longer, at every smallAnneal-th node: the best plan, and in turn plans that
// buy all at one shop, since to leave a shop is too long a way for single rounds.
const (
	smallLong   = 64
	smallAnneal = 32
)

// mayAnneal says whether a node is one of those that do so.
func (s *search) mayAnneal(n *node) bool {
	return !s.inner && len(s.m.members) < fewNeeds && s.nodes >= smallLong && n.serial%smallAnneal == 17
}

// annealLong anneals for longer.
func (k *worker) annealLong(ctx context.Context, s *search, plan *solution, turn int64) (*solution, float64) {
	if turn%2 == 1 {
		return k.annealWhole(s, plan, turn/2)
	}
	return annealShop(ctx, s, turn/2)
}

// annealShop makes a plan that buys at one shop, and anneals it.
func annealShop(ctx context.Context, s *search, turn int64) (*solution, float64) {
	m := s.m
	only := int(turn % int64(len(m.bands)))
	k := newWorker(m, s.w)
	k.build.ctx, k.volume.ctx = ctx, ctx
	d := newDomain(m)
	for h := range m.bands {
		if h != only {
			d.shut(m, h)
		}
	}
	if !m.propagate(d, k.facts) {
		return nil, 0
	}
	k.rootStart(s, d)
	k.relax.build(m, s.w, d, k.facts)
	k.volume.run(&k.relax, k.mu, compactSteps, s.upper, math.Inf(1))
	k.relax.store(k.volume.best, k.mu)
	k.goal = s.upper
	plan, w := k.heuristics(s, d, true)
	if plan == nil {
		return nil, 0
	}
	warm := warmths[turn/int64(len(m.bands))%int64(len(warmths))]
	better, lighter := k.anneal(s, d, plan,
		cooling{rounds: annealEach * len(m.members), seed: uint64(turn), warm: warm, sets: true})
	if better != nil && lighter < w {
		return better, lighter
	}
	return plan, w
}
