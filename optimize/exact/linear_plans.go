package exact

import (
	"cmp"
	"context"
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// Rounds of a dive, and the share of what is taken in part that one round decides.
const (
	linearDives   = 60
	linearRounded = 0.15
	linearPivots  = 2000 // iterations of one solve in a dive
	aroundNodes   = 40
	aroundEvery   = 16 // nodes between searches near the best plan
	diveEvery     = 4
)

// linearPlans looks for plans near the relaxation's answer.
func (k *worker) linearPlans(ctx context.Context, s *search, n *node, d *domain, root bool, keep func(*solution, float64)) {
	if s.moneyMost != noCap {
		return
	}
	if s.inner {
		if root {
			k.adopt()
			keep(k.heuristics(s, d, false))
		}
		return
	}
	settled := n.decision.kind >= shopShut && n.decision.kind <= bandAtLeast && k.shopsSettled(d)
	if root || settled || n.depth%4 == 0 {
		k.adopt()
		keep(k.heuristics(s, d, root || settled))
	}
	if root || n.serial%diveEvery == 1 {
		keep(k.linearDive(ctx, s, d))
	}
	if root {
		keep(k.linearAround(ctx, s, d, nil))
	}
	if root || n.serial%aroundEvery == 9 {
		keep(k.linearAround(ctx, s, d, s.incumbent))
	}
}

// adopt takes the relaxation's answer for the averaged one that the plan makers
// look at, beside the multipliers at hand.
func (k *worker) adopt() {
	r, a, p := &k.relax, k.volume, k.program
	l := p.l
	a.resize(r)
	r.load(a.best, k.mu)
	a.trial.resize(r)
	r.eval(a.best)
	for i, j := range r.offs {
		a.x[i] = p.v[l.xAt+j]
	}
	for i, o := range r.oneOpt {
		a.yOne[i] = p.v[o]
	}
	for i, o := range r.anyOpt {
		a.y[i] = p.v[o]
	}
	for h := range a.used {
		a.used[h] = p.v[l.shopAt+int32(h)]
	}
	k.goal = a.best.value
}

// linearDive rounds the relaxation's answer step by step: it decides what is
// nearest to whole, shops and bands first, and solves what is left again.
func (k *worker) linearDive(ctx context.Context, s *search, from *domain) (best *solution, weight float64) {
	p := k.program
	basis, rows, bound, v := p.lp.Basis(), p.lp.Rows(), p.bound, slices.Clone(p.v)
	defer func() {
		p.lp.KeepRows(func(i int) bool { return i < rows })
		p.rows, p.idle = p.rows[:rows-p.core], p.idle[:rows-p.core]
		k.settleDomain(s, from)
		p.setBounds(from, k.facts)
		p.lp.Load(basis)
		p.bound = bound
		copy(p.v, v)
	}()
	d := from.clone()
	weight = math.Inf(1)
	for range linearDives {
		if ctx.Err() != nil {
			return best, weight
		}
		splits := k.linearSplits(s, d)
		if len(splits) == 0 {
			return k.wholePlan(s, d)
		}
		slices.SortStableFunc(splits, func(a, b linearSplit) int {
			return cmp.Or(cmp.Compare(b.rank/2, a.rank/2), cmp.Compare(a.open, b.open))
		})
		many := max(1, int(linearRounded*float64(len(splits))))
		if splits[0].rank == 2 {
			many = 1
		}
		for _, c := range splits[:many] {
			if c.value-float64(c.at) > 0.5 {
				c.up.apply(s.m, d)
			} else {
				c.down.apply(s.m, d)
			}
		}
		if !k.settleDomain(s, d) || !p.setBounds(d, k.facts) {
			return best, weight
		}
		for range 3 {
			p.bound = math.Inf(-1)
			if st := p.solve(linearPivots); st != lp.Optimal {
				return best, weight
			}
			if p.separate(false) == 0 {
				break
			}
		}
	}
	return best, weight
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
	const none = 1e-4
	for j := range m.price {
		if d.lo[j] < d.hi[j] && p.v[l.xAt+int32(j)] < none && (plan == nil || plan.x[j] == 0) {
			d.hi[j] = d.lo[j]
		}
	}
	for n := range m.members {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if d.alive[o] && p.v[o] < none && (plan == nil || plan.choice[n] != o) {
				d.alive[o] = false
			}
		}
	}
	sub := &search{m: m, w: s.w, grain: s.grain, incumbent: s.incumbent, upper: s.upper, limit: aroundNodes, inner: true, linear: true, moneyMost: noCap}
	if k.sub == nil {
		k.sub = newWorker(m, s.w)
	}
	sub.workers = []*worker{k.sub}
	sub.runFrom(ctx, d, k.mu)
	if sub.incumbent == s.incumbent {
		return nil, 0
	}
	return sub.incumbent, sub.upper
}
