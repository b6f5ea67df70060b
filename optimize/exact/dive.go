package exact

import (
	"context"
	"math"

	"halfpot/optimize/internal/flat"
)

// dive follows the relaxed answer down to a plan: it makes the decisions the
// averaged answer is surest of, bounds what is left, and goes on. It stops
// where the bound shows that nothing better can be found that way.
func (k *worker) dive(
	ctx context.Context, s *search, from *domain, mu *multipliers,
) (best *solution, weight float64) {
	m := s.m
	d := from.clone()
	weight = s.upper
	t := k.diver
	if t == nil {
		t = newWorker(m, s.w)
		k.diver = t
	}
	t.mu.copyFrom(mu)
	t.volume.ctx, t.trialVolume.ctx, t.build.ctx = ctx, ctx, ctx
	keep := func(sol *solution, w float64) {
		if sol != nil && w < weight {
			best, weight = sol, w
		}
	}
	settled := false
	for round := 0; round < 60; round++ {
		if ctx.Err() != nil || !m.propagate(d, t.facts) {
			return best, weight
		}
		t.relax.build(m, s.w, d, t.facts)
		goal := weight
		if math.IsInf(goal, 1) {
			goal = k.goal
		}
		steps := 25
		first := !settled && t.shopsSettled(d)
		if first {
			steps = 150
		}
		t.volume.run(&t.relax, t.mu, steps, goal, weight-s.grain)
		p := t.volume.best
		if p.value > weight-s.grain {
			return best, weight
		}
		t.relax.store(p, t.mu)
		if round%3 == 0 || first {
			keep(t.construct(s, d, t.volume, first))
		}
		if first {
			// With the shops decided the answer is close to a plan.
			settled = true
			keep(t.around(ctx, s, d, t.mu, nil, 100))
		}
		t.inc = flat.Resize(t.inc, len(m.have))
		t.relax.fix(p, weight-s.grain, t.inc)
		if !t.commit(s, d) {
			keep(t.construct(s, d, t.volume, false))
			return best, weight
		}
	}
	return best, weight
}

// commit makes the surest decisions of the averaged answer; false where
// nothing is left to decide.
func (k *worker) commit(s *search, d *domain) bool {
	return k.commitShops(s.m, d) || k.commitOffers(s.m, d)
}

// commitShops decides bands and shops; false where all are decided.
func (k *worker) commitShops(m *model, d *domain) (open bool) {
	a := k.volume
	surest, sure := -1, -1.0
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		if !d.closed[h] {
			if d.bandLo[h] < d.bandHi[h] {
				open = true
				b := min(max(a.best.shop[h].band, d.bandLo[h]), d.bandHi[h])
				d.bandLo[h], d.bandHi[h] = b, b
			}
			continue
		}
		open = true
		switch u := a.used[h]; {
		case u < 0.15:
			d.shut(m, h)
		case u > 0.85:
			d.closed[h] = false
		case u > sure:
			surest, sure = h, u
		}
	}
	if surest >= 0 {
		d.closed[surest] = false
	}
	return open
}

// commitOffers decides on boxes, where few are sure on the one it is surest of too; false
// where all are decided.
func (k *worker) commitOffers(m *model, d *domain) bool {
	r, a := &k.relax, k.volume
	clear(a.count)
	for j := range r.offs {
		for c := r.conStart[j]; c < r.conStart[j+1]; c++ {
			a.count[r.conPaint[c]] += a.x[j]
		}
	}
	done, pick, most := 0, int32(-1), -1.0
	for j, orig := range r.offs {
		if d.lo[orig] >= d.hi[orig] {
			continue
		}
		x := a.x[j] - float64(d.lo[orig])
		switch {
		case x > 0.9:
			d.lo[orig]++
			done++
		case x < 0.01 && a.best.first[j]-a.best.shop[m.offShop[orig]].nu*r.offPrice[j] > 0.25*r.offPrice[j]:
			d.hi[orig] = d.lo[orig]
			done++
		case x > most:
			pick, most = orig, x
		}
	}
	if done < 3 && pick >= 0 {
		if most > 0.05 {
			d.lo[pick]++
		} else {
			d.hi[pick] = d.lo[pick]
		}
		done++
	}
	return done > 0
}

// around searches near a plan: what the plan and the relaxed answer agree on
// is fixed, and the rest searched for a limited number of nodes (relaxation
// induced neighbourhoods; Danna, Rothberg & Le Pape, Math. Programming 102, 2005).
// Without a plan, whatever the relaxed answer is nearly sure of is fixed.
func (k *worker) around(
	ctx context.Context, s *search, from *domain, mu *multipliers, plan *solution, nodes int64,
) (*solution, float64) {
	m, r, a := s.m, &k.relax, k.volume
	d := from.clone()
	if plan != nil {
		if plan = plan.in(m); plan == nil {
			return nil, 0
		}
	}
	for h := range m.bands {
		used := false
		for j := m.shopStart[h]; plan != nil && j < m.shopStart[h+1]; j++ {
			used = used || plan.x[j] > 0
		}
		if !used && a.used[h] < 0.5 && d.closed[h] {
			d.shut(m, h)
		}
	}
	for i, j := range r.offs {
		if d.lo[j] >= d.hi[j] || d.unused(int(m.offShop[j])) {
			continue
		}
		x := a.x[i]
		switch {
		case plan == nil && x > 0.85 || plan != nil && plan.x[j] > 0 && x > 0.5:
			d.lo[j] = max(d.lo[j], 1)
		case (plan == nil || plan.x[j] == 0) && x < 0.03:
			d.hi[j] = d.lo[j]
		}
	}
	sub := &search{
		m:         m,
		w:         s.w,
		grain:     s.grain,
		incumbent: s.incumbent,
		upper:     s.upper,
		limit:     nodes,
		inner:     true,
	}
	if k.sub == nil {
		k.sub = newWorker(m, s.w)
	}
	sub.workers = []*worker{k.sub}
	sub.runFrom(ctx, d, mu)
	if sub.incumbent == s.incumbent {
		return nil, 0
	}
	return sub.incumbent, sub.upper
}
