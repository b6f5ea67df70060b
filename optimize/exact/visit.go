package exact

import (
	"context"
	"math"
)

// forcedMost is how often a node is bounded anew with what strong branching
// has forced.
const forcedMost = 2

// process bounds one node, rules out what it can, tries to find a plan near it, and
// branches on it. It reads the search but does not change it.
func (k *worker) process(ctx context.Context, s *search, n *node) (out outcome) {
	if n.lin != nil {
		return k.processLinear(ctx, s, n)
	}
	m := s.m
	out.bound, out.tough = math.Inf(-1), n.tough // bounds can be negative: money off
	k.volume.ctx, k.trialVolume.ctx, k.build.ctx = ctx, ctx, ctx
	begun := k.effort()
	defer func() { out.work = k.effort() - begun }()
	d := n.parent.clone()
	n.decision.apply(m, d)
	if !m.propagate(d, k.facts) {
		return out
	}
	k.mu.copyFrom(n.mu)
	aim := k.aimAt(s, n, d, &out)
	if !k.layOut(s, d) {
		return out
	}
	k.observed, k.volume.floor = nil, n.bound
	var children []child
	for again := 0; ; again++ {
		if !k.boundNode(ctx, s, n, d, aim, &out, again == 0) {
			return out
		}
		if passForced && k.passedOn(s, d, out.tough) {
			return k.passOn(ctx, s, n, d, out)
		}
		sol, w, done := k.solveEnd(ctx, s, d, aim.cutoff, &out.tough)
		if sol != nil {
			out.found, out.foundW = sol, w
			aim.target, aim.cutoff = w, w-s.grain
		}
		if done {
			return out
		}
		if k.passedOn(s, d, out.tough) {
			return k.passOn(ctx, s, n, d, out)
		}
		var forced []decision
		children, forced = k.branch(s, d, aim.cutoff)
		if len(forced) == 0 || again == forcedMost {
			break
		}
		for _, f := range forced {
			f.apply(m, d)
		}
		if !m.propagate(d, k.facts) {
			out.bound = math.Max(out.bound, aim.cutoff)
			return out
		}
		k.relax.build(m, s.w, d, k.facts)
		aim.steps = aim.later
	}
	out.observed, out.children = k.observed, children
	k.leave(s, d, &out)
	return out
}

// leave notes what the children of a node start from, or the plan of one that is decided.
func (k *worker) leave(s *search, d *domain, out *outcome) {
	if out.children == nil {
		if sol, w := k.leaf(s, d); sol != nil && w < s.upper && (out.found == nil || w < out.foundW) {
			out.found, out.foundW = sol, w
		}
		return
	}
	out.domain = d
	out.mu = newMultipliers(s.m)
	out.mu.copyFrom(k.mu)
}

// aimAt says what bounding the node aims at. At the root it makes the first
// multipliers and a first plan.
func (k *worker) aimAt(s *search, n *node, d *domain, out *outcome) *aim {
	care := s.thorough()
	a := &aim{target: s.upper, cutoff: s.cutoff(), steps: care.steps, later: care.steps / 2}
	if n.depth == 0 {
		a.steps, a.later = rootSteps, care.rootAgain
		if math.IsInf(n.bound, -1) {
			k.rootStart(s, d)
		} else {
			a.steps = compactSteps
		}
		if sol, w := k.construct(s, d, nil, false); sol != nil && w < a.target {
			out.found, out.foundW = sol, w
			a.target = w
			a.cutoff = min(a.cutoff, w-s.grain)
		}
	}
	if math.IsInf(a.target, 1) {
		a.target = 0
	}
	return a
}

// Steps of the volume algorithm at the root, and again where it goes on with a
// smaller model.
const (
	rootSteps    = 600
	compactSteps = 200
)

// layOut builds the relaxation of the domain and settles what needs no bound; false
// where nothing is left then.
func (k *worker) layOut(s *search, d *domain) bool {
	k.relax.build(s.m, s.w, d, k.facts)
	for k.relax.settle() {
		if !s.m.propagate(d, k.facts) {
			return false
		}
		k.relax.build(s.m, s.w, d, k.facts)
	}
	return true
}
