package exact

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// The bound for a given set of used shops lies close to what the best plan
// with these shops costs, and is much quicker to work out. shopSet looks for
// a good set by it, one shop in or out at a time, and then for plans there.

// shopSteps is how far the bound of a set is raised before it is judged.
const shopSteps = 48

func (k *worker) shopSet(ctx context.Context, s *search, from *domain, mu *multipliers) (best *solution, weight float64) {
	m := s.m
	t := k.diver
	if t == nil {
		t = newWorker(m, s.w)
		k.diver = t
	}
	t.volume.ctx, t.trialVolume.ctx, t.build.ctx = ctx, ctx, ctx
	weight = s.upper
	goal := weight
	if math.IsInf(goal, 1) {
		goal = k.goal
	}
	used := make([]bool, len(m.bands))
	free := 0
	for h := range used {
		used[h] = !from.unused(h) && (!from.closed[h] || k.volume.used[h] > 0.4)
		if !from.unused(h) && from.closed[h] {
			free++
		}
	}
	if free < 2 {
		return nil, weight
	}
	narrow := func() *domain {
		d := from.clone()
		for h := range used {
			switch {
			case d.unused(h) || !d.closed[h]:
			case used[h]:
				d.closed[h] = false
			default:
				d.shut(m, h)
			}
		}
		if !m.propagate(d, t.facts) {
			return nil
		}
		return d
	}
	value := func() float64 {
		d := narrow()
		if d == nil {
			return math.Inf(1)
		}
		t.relax.build(m, s.w, d, t.facts)
		t.volume.run(&t.relax, mu, shopSteps, goal, math.Inf(1))
		return t.volume.best.value
	}
	now := value()
	order := make([]int, 0, len(used))
	for h := range used {
		if !from.unused(h) && from.closed[h] {
			order = append(order, h)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { // least sure first
		return cmp.Compare(math.Abs(k.volume.used[a]-0.5), math.Abs(k.volume.used[b]-0.5))
	})
	for still := 0; still < len(order); {
		for _, h := range order {
			if ended(ctx) {
				return nil, weight
			}
			used[h] = !used[h]
			if v := value(); v < now-1e-4*math.Abs(now) {
				now, still = v, 0
			} else {
				used[h] = !used[h]
				still++
			}
			if still >= len(order) {
				break
			}
		}
	}
	d := narrow()
	if d == nil {
		return nil, weight
	}
	t.mu.copyFrom(mu)
	t.relax.build(m, s.w, d, t.facts)
	t.volume.run(&t.relax, t.mu, 200, goal, math.Inf(1))
	t.relax.store(t.volume.best, t.mu)
	keep := func(sol *solution, w float64) {
		if sol != nil && w < weight {
			best, weight = sol, w
		}
	}
	t.goal = goal
	keep(t.construct(s, d, t.volume, true))
	keep(t.around(ctx, s, d, t.mu, nil, 100))
	if best != nil {
		keep(t.around(ctx, s, d, t.mu, best, 60))
	}
	return best, weight
}
