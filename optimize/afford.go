package optimize

import (
	"context"
	"errors"
	"math"
)

// try finds out whether a decided set of units can be bought within the
// budget. Unless hard, it only looks briefly.
func (b *budgeter) try(ctx context.Context, st state, hard bool) *trial {
	t := b.tried[st.key()]
	if t == nil {
		t = &trial{}
		b.tried[st.key()] = t
		m, err := compile(b.p, b.keep(b.know.units, st))
		var none impossible
		if errors.As(err, &none) {
			t.verdict = tooDear
			return t
		}
		t.m = m
	}
	if t.verdict == unknown {
		t.plan, t.verdict = b.afford(ctx, t.m, hard)
		if t.verdict == tooDear {
			t.m = nil
		}
	}
	return t
}

// afford looks for a plan of m within its cap, on goods and delivery alone: at
// first the quick ways to find one or to see that there is none, then a search
// that ends with the first such plan.
func (b *budgeter) afford(ctx context.Context, m *model, hard bool) (*solution, verdict) {
	paid := *m // without compromise, and nothing is turned down for its cost
	paid.cp, paid.cap = 0, noCap
	ph := paid.weighing(0, nil, 1)
	unit, _ := paid.moneyUnit()
	most := float64(m.cap/unit*unit) * ph.w.money // what a plan may weigh
	s := &search{m: &paid, w: ph.w, unit: ph.unit, ub: math.Inf(1)}
	within := func(sol *solution) *solution {
		if sol == nil || s.weight(sol.cost) > most {
			return nil
		}
		in := sol.in(m)
		if in == nil {
			return nil
		}
		if in, ok := m.value(in.x, in.choice); ok && in.cost.shops <= int64(m.maxShops) {
			return in
		}
		return nil
	}
	k := newWorker(&paid, ph.w)
	s.workers = append(s.workers, k)
	d := newDomain(&paid)
	if !paid.propagate(d, k.facts) {
		return nil, tooDear
	}
	k.rootStart(s, d)
	plan, weight := k.construct(s, d, nil, false)
	if in := within(plan); in != nil {
		return in, affordable
	}
	k.relax.build(&paid, ph.w, d, k.facts)
	k.asc.run(&k.relax, k.mu, 600, most+ph.unit, most)
	if k.asc.best.value > most && ph.exact {
		return nil, tooDear
	}
	if better, w := k.heuristics(s, d, true); better != nil && (plan == nil || w < weight) {
		plan = better
	}
	if in := within(plan); in != nil || !hard {
		if in != nil {
			return in, affordable
		}
		return nil, unknown
	}
	return b.searchWithin(ctx, s, ph, plan, most, within)
}

func (b *budgeter) searchWithin(ctx context.Context, s *search, ph phase, plan *solution, most float64, within func(*solution) *solution) (*solution, verdict) {
	m := s.m
	for len(s.workers) < b.threads {
		s.workers = append(s.workers, newWorker(m, ph.w))
	}
	limit := most + ph.unit // only plans that weigh less are wanted
	if plan != nil {
		s.best, s.ub = plan, limit
	}
	inner, stop := context.WithCancel(ctx)
	defer stop()
	passed := false // the bound has passed the cap
	s.report = func(lower float64) {
		s.ub = min(s.ub, limit)
		if lower > most {
			passed = true
			stop()
		}
		if s.best != nil && s.weight(s.best.cost) <= most {
			stop()
		}
	}
	_, done := s.run(inner)
	b.nodes += s.nodes
	if in := within(s.best); in != nil {
		return in, affordable
	}
	if (done || passed) && ph.exact && !m.rough && !s.m.rough {
		return nil, tooDear
	}
	return nil, unknown
}
