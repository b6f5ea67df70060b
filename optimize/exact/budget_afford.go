package exact

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
)

// try finds out whether a decided set of groups can be bought within the
// budget. Unless hard, it only looks briefly.
func (b *budgeter) try(ctx context.Context, st state, hard bool) *trial {
	t := b.tried[st.key()]
	if t == nil {
		t = &trial{}
		b.tried[st.key()] = t
		m, err := compile(b.p, b.keep(b.know.groups, st))
		var none impossible
		if errors.As(err, &none) {
			t.verdict, t.atOnce = tooDear, true
			return t
		}
		t.m = m
	}
	if t.verdict == unknown {
		t.plan, t.verdict = b.afford(ctx, t, hard)
		if t.verdict == tooDear {
			t.m = nil
		}
	}
	return t
}

// afford looks for a plan of m within its cap, on goods and delivery alone: at
// first the quick ways to find one or to see that there is none, then a search
// that ends with the first such plan.
func (b *budgeter) afford(ctx context.Context, t *trial, hard bool) (*solution, verdict) {
	m := t.m
	paid, ph, most := payment(m)
	s := &search{m: paid, w: ph.w, grain: ph.grain, upper: math.Inf(1)}
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
	k := newWorker(paid, ph.w)
	s.workers = append(s.workers, k)
	d := newDomain(paid)
	if !paid.propagate(d, k.facts) {
		t.atOnce = true
		return nil, tooDear
	}
	k.rootStart(s, d)
	plan, weight := k.construct(s, d, nil, false)
	if in := within(plan); in != nil {
		return in, affordable
	}
	k.relax.build(paid, ph.w, d, k.facts)
	k.volume.run(&k.relax, k.mu, 600, most+ph.grain, most)
	if k.volume.best.value > most && ph.exact {
		t.atOnce = true
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

func (b *budgeter) searchWithin(
	ctx context.Context,
	s *search,
	ph phase,
	plan *solution,
	most float64,
	within func(*solution) *solution,
) (*solution, verdict) {
	m := s.m
	s.workers = append(s.workers, make([]*worker, max(0, b.threads-len(s.workers)))...)
	limit := most + ph.grain // only plans that weigh less are wanted
	if plan != nil {
		s.incumbent, s.upper = plan, limit
	}
	inner, stop := context.WithCancel(ctx)
	defer stop()
	passed := false // the bound has passed the cap
	s.report = func(lower float64) {
		s.upper = min(s.upper, limit)
		if lower > most {
			passed = true
			stop()
		}
		if s.incumbent != nil && s.weight(s.incumbent.cost) <= most {
			stop()
		}
	}
	_, done := s.run(inner)
	b.nodes += s.nodes
	if in := within(s.incumbent); in != nil {
		return in, affordable
	}
	if (done || passed) && ph.exact && !m.rough() && !s.m.rough() {
		return nil, tooDear
	}
	return nil, unknown
}

// learn notes what follows from a set that is not to be had: where its bound
// alone shows that, a smallest part of it for which it still does.
func (b *budgeter) learn(ctx context.Context, st state, t *trial) {
	part := slices.Clone(st)
	if t.atOnce {
		var order []int
		for g, s := range st {
			if s == finished {
				order = append(order, g)
			}
		}
		slices.SortStableFunc(order, func(x, y int) int {
			return cmp.Compare(b.know.groups[x].worth, b.know.groups[y].worth)
		})
		for _, g := range order {
			if ctx.Err() != nil {
				break
			}
			part[g] = leftOut
			if !b.clearlyDear(part) {
				part[g] = finished
			}
		}
	}
	b.know.addNoGood(part)
	b.addCut(part)
}

// clearlyDear says whether the bound shows that a set is not to be had.
func (b *budgeter) clearlyDear(st state) bool {
	if t := b.tried[st.key()]; t != nil && t.verdict != unknown {
		return t.verdict == tooDear
	}
	m, err := compile(b.p, b.keep(b.know.groups, st))
	if err != nil {
		return errors.As(err, new(impossible))
	}
	paid, ph, most := payment(m)
	k := newWorker(paid, ph.w)
	d := newDomain(paid)
	if !paid.propagate(d, k.facts) {
		return true
	}
	if !ph.exact {
		return false
	}
	k.rootStart(&search{m: paid, w: ph.w, grain: ph.grain, upper: math.Inf(1)}, d)
	k.relax.build(paid, ph.w, d, k.facts)
	k.volume.run(&k.relax, k.mu, 150, most+ph.grain, most)
	return k.volume.best.value > most
}

// payment is m with only goods and delivery counted and nothing turned down
// for its cost, the phase that searches it, and what a plan may weigh.
func payment(m *model) (paid *model, ph phase, most float64) {
	c := *m
	c.cp, c.cap = 0, noCap
	ph = c.weighing(0, nil, 1)
	unit, _ := c.moneyGrain()
	return &c, ph, float64(m.cap/unit*unit) * ph.w.money
}
