package exact

import (
	"context"
	"math"
)

const aroundLittle = 1e-4 // the answer does without what is below

// Annealing takes half as long as a node and finds most of what a first plan lacks: the
// best plan is annealed at the root and at some nodes, less or more warm.
const (
	annealEach   = 220   // rounds for each need
	annealGap    = 0.004 // share of a plan's weight that must be open at the root
	annealEvery  = 4     // nodes, of the first annealOften of a large problem's search,
	annealOften  = 64
	annealSmall  = 16  // of a small one's,
	annealSeldom = 128 // and of the others
)

var warmths = [...]float64{10, 30, 3}

// anneals says whether a node of this number anneals the best plan.
func (s *search) anneals(serial int64) bool {
	switch {
	case serial >= annealOften:
		return serial%annealSeldom == 1
	case s.small:
		return serial%annealSmall == 1
	}
	return serial%annealEvery == 1
}

// linearPlans looks for plans near the relaxation's answer.
func (k *worker) linearPlans(
	ctx context.Context, s *search, n *node, d *domain, root bool, out *outcome, keep func(*solution, float64),
) {
	if blind {
		return
	}
	near := s.incumbent != nil && n.serial%2 == 1 && float64(s.linPlanWork) < s.linearCare().aroundShare*float64(s.linWork)
	if s.moneyMost != noCap {
		if near && !s.inner {
			keep(k.linearAround(ctx, s, d, s.incumbent))
		}
		return
	}
	if s.inner {
		if root {
			k.adopt(k.program.v)
			keep(k.heuristics(s, d, false))
		}
		return
	}
	settled := n.decision.kind.ofShop() && k.shopsSettled(d)
	again := root && n.lin.was != nil && s.small && s.incumbent != nil // it has been gone over before
	if root || settled || n.depth%4 == 0 {
		k.adopt(k.program.v)
		keep(k.heuristics(s, d, root && !again || settled))
	}
	best := s.incumbent
	if root && !again {
		keep(k.linearAround(ctx, s, d, nil))
		best = bestOf(out.found, best)
	}
	switch large := len(s.m.members) > manyNeeds; {
	case best == nil:
	case large:
		k.linearLarge(ctx, s, n, d, root, best, keep)
		return
	case root && again:
	case root:
		for turn := range int64(s.linearCare().anneals) {
			if w := s.weight(best.cost); w-out.bound < annealGap*math.Abs(w) {
				break
			}
			keep(k.annealWhole(s, best, turn))
			best = bestOf(out.found, best)
		}
	case s.anneals(n.serial):
		k.adopt(k.program.v)
		keep(k.annealWhole(s, best, int64(len(warmths))+n.serial/annealEvery))
	}
	if near || root && best != nil && !again && (!s.small || k.beyond(best)) {
		keep(k.linearAround(ctx, s, d, best))
	}
}

// linearLarge looks for plans of a large problem: dives find shops that go together, and
// windows what a plan lacks.
func (k *worker) linearLarge(
	ctx context.Context, s *search, n *node, d *domain, root bool, best *solution, keep func(*solution, float64),
) {
	switch {
	case root || n.serial%diveEvery == diveEvery/2+1:
		threads := 1 // other nodes are worked on at the same time
		if root {
			threads = len(s.workers)
		}
		rounds := windowRounds{uint64(n.serial), diveWindows, threads}
		keep(k.linearDive(ctx, s, n, d, rounds, s.weight(best.cost)))
	case s.anneals(n.serial):
		all := newDomain(s.m)
		if s.m.propagate(all, k.trialFacts) {
			keep(k.windows(ctx, vicinity{s, all, k.mu}, best, windowRounds{uint64(n.serial), 1, 1}))
		}
	}
}

// annealWhole looks for a better plan anywhere, not in the node alone.
func (k *worker) annealWhole(s *search, plan *solution, turn int64) (*solution, float64) {
	d := newDomain(s.m)
	if !s.m.propagate(d, k.trialFacts) {
		return nil, 0
	}
	warm := warmths[turn%int64(len(warmths))]
	return k.anneal(s, d, plan, cooling{rounds: annealEach * len(s.m.members), seed: uint64(turn), warm: warm, sets: true})
}

// adopt takes an answer of the relaxation for the averaged one that the plan makers
// look at, beside the multipliers at hand.
func (k *worker) adopt(v []float64) {
	r, a := &k.relax, k.volume
	l := k.program.l
	a.resize(r)
	r.load(a.best, k.mu)
	a.trial.resize(r)
	r.eval(a.best)
	for i, j := range r.offs {
		a.x[i] = v[l.xAt+j]
	}
	for i, o := range r.oneOpt {
		a.yOne[i] = v[o]
	}
	for i, o := range r.anyOpt {
		a.y[i] = v[o]
	}
	for h := range a.used {
		a.used[h] = v[l.shopAt+int32(h)]
	}
	k.goal = a.best.value
}

// linearAround searches near a plan: what the plan and the relaxation's answer both do
// without is left out, and the rest searched for a limited number of nodes (relaxation
// induced neighbourhoods; Danna, Rothberg & Le Pape, Math. Programming 102, 2005). Without
// a plan, what the answer does without is left out.
func (k *worker) linearAround(ctx context.Context, s *search, from *domain, plan *solution) (*solution, float64) {
	p, m := k.program, s.m
	l := p.l
	if plan != nil {
		if plan = plan.in(m); plan == nil {
			return nil, 0
		}
	}
	d := from.clone()
	for j := range m.price {
		if d.lo[j] < d.hi[j] && p.v[l.xAt+int32(j)] < aroundLittle && (plan == nil || plan.x[j] == 0) {
			d.hi[j] = d.lo[j]
		}
	}
	for n := range m.members {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if d.alive[o] && p.v[o] < aroundLittle && (plan == nil || plan.choice[n] != o) {
				d.alive[o] = false
			}
		}
	}
	sub := &search{
		m:         m,
		w:         s.w,
		grain:     s.grain,
		incumbent: s.incumbent,
		upper:     s.cutoff() + s.grain,
		limit:     s.linearCare().aroundNodes,
		inner:     true,
		linear:    true,
		small:     s.small,
		moneyMost: s.moneyMost,
	}
	if k.sub == nil {
		k.sub = newWorker(m, s.w)
	}
	sub.workers = []*worker{k.sub}
	sub.most = int64(s.linearCare().aroundMost * float64(s.linWork+k.linearEffort()-k.begun))
	mu := newMultipliers(m)
	mu.copyFrom(k.mu)
	start := linearNode{was: l, rows: append([]*linearRow(nil), p.rows...), basis: p.lp.Basis()}
	sub.parts = []*node{{parent: d, mu: mu, bound: math.Inf(-1), depth: 1, lin: &start}}
	before := k.sub.linearEffort()
	sub.run(ctx)
	k.planEffort += k.sub.linearEffort() - before
	if sub.incumbent == s.incumbent {
		return nil, 0
	}
	return sub.incumbent, sub.upper
}

// beyond says whether a plan buys or takes what the relaxation's answer does without.
func (k *worker) beyond(plan *solution) bool {
	m, p := k.program.l.m, k.program
	if plan = plan.in(m); plan == nil {
		return false
	}
	for j, n := range plan.x {
		if n > 0 && p.v[p.l.xAt+int32(j)] < aroundLittle {
			return true
		}
	}
	for _, o := range plan.choice {
		if p.v[o] < aroundLittle {
			return true
		}
	}
	return false
}

// linearEffort measures work by the rows gone over in iterations of the simplex method.
func (k *worker) linearEffort() int64 {
	e := k.pastEffort
	if k.program != nil {
		e += k.program.effort()
	}
	return e
}
