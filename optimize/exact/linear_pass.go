package exact

import "context"

// Where shops are open, the Lagrangian bound decides them whole and is soon done with a
// node. Once they are decided, that bound stands still where what is left hangs together,
// by sets of many paints, and is too much for the endgame. The linear relaxation with its
// rows is then higher from the start, so such a node is passed on to it; but not in large
// problems, where splits on shops by the Lagrangian bound bring more in the same time.

// passEnd is the size of components up to which an endgame takes less time than a few
// nodes of the relaxation below one passed on.
const passEnd = 24

// A node is passed on at once where a component is larger than passSize, and where one
// larger than passTough was too much for an endgame: smaller ones soon fall apart.
const (
	passSize  = 180
	passTough = 48
)

// passForced passes every node on whose shops are decided, before an endgame could be done
// with it; for tests.
var passForced bool

// passedOn says whether a node that has been bounded, of which past was too much for the
// endgame, is passed on: no shop is in doubt, whether or not all are settled.
func (k *worker) passedOn(s *search, d *domain, past tough) bool {
	if !s.mayPass {
		return false
	}
	if k.cands = k.shopCandidates(k.cands[:0], s.m, d); len(k.cands) > 0 {
		return false
	}
	return passForced || past.component > passTough || k.end.largest(s, d, &k.relax, k.facts) > passSize
}

// passOn goes on with the node by its linear relaxation; so far is what came of it.
func (k *worker) passOn(ctx context.Context, s *search, n *node, d *domain, soFar outcome) outcome {
	mu := newMultipliers(s.m)
	mu.copyFrom(k.mu)
	out := k.processLinear(ctx, s, &node{
		parent: d, mu: mu, decision: n.decision,
		bound: max(n.bound, soFar.bound),
		depth: n.depth, serial: n.serial, tough: soFar.tough,
		lin: &linearNode{},
	})
	if out.found == nil || soFar.found != nil && soFar.foundW < out.foundW {
		out.found, out.foundW = soFar.found, soFar.foundW
	}
	out.planWork, out.potShare = soFar.planWork, soFar.potShare
	return out
}
