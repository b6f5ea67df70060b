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
type shopSet struct {
	s      *search
	k      *worker // its averaged answer says which shops are in at first
	t      *worker // its memory values sets
	from   *domain
	mu     *multipliers
	goal   float64
	used   []bool // the set, among the shops that are free
	free   []int  // shops that may be in or out, the least sure first
	best   *solution
	weight float64 // of the best plan known
}

// Steps of the volume algorithm: for judging a set, and for the one that was chosen.
const (
	shopSteps      = 48
	shopFinalSteps = 200
)

// Nodes of the searches for plans with the chosen set: without a plan, and near one.
const (
	shopNodes     = 100
	shopNearNodes = 60
)

// shopSure is the share of a shop in the averaged answer above which it is in at first,
// shopGain the share of its bound that a set must be better by.
const (
	shopSure = 0.4
	shopGain = 1e-4
)

// shopSet looks for plans that weigh less than the incumbent; best is nil without one.
func (k *worker) shopSet(
	ctx context.Context, s *search, from *domain, mu *multipliers,
) (best *solution, weight float64) {
	if k.diver == nil {
		k.diver = newWorker(s.m, s.w)
	}
	t := k.diver
	t.volume.ctx, t.trialVolume.ctx, t.build.ctx = ctx, ctx, ctx
	g := &shopSet{s: s, k: k, t: t, from: from, mu: mu, goal: s.upper, weight: s.upper}
	if math.IsInf(g.goal, 1) {
		g.goal = k.goal
	}
	if g.begin(); len(g.free) < 2 || !g.improve(ctx) {
		return nil, g.weight
	}
	g.plans(ctx)
	return g.best, g.weight
}

// begin puts those in that the averaged answer uses.
func (g *shopSet) begin() {
	share := g.k.volume.used
	g.used = make([]bool, len(g.s.m.bands))
	for h := range g.used {
		if g.from.unused(h) {
			continue
		}
		g.used[h] = !g.from.closed[h] || share[h] > shopSure
		if g.from.closed[h] {
			g.free = append(g.free, h)
		}
	}
	slices.SortStableFunc(g.free, func(a, b int) int {
		return cmp.Compare(math.Abs(share[a]-0.5), math.Abs(share[b]-0.5))
	})
}

// narrow is the domain with the set's shops; nil where it has nothing left.
func (g *shopSet) narrow() *domain {
	m, d := g.s.m, g.from.clone()
	for h := range g.used {
		switch {
		case d.unused(h) || !d.closed[h]:
		case g.used[h]:
			d.closed[h] = false
		default:
			d.shut(m, h)
		}
	}
	if !m.propagate(d, g.t.facts) {
		return nil
	}
	return d
}

// bound is that of the set, as far as a few steps raise it.
func (g *shopSet) bound() float64 {
	d := g.narrow()
	if d == nil {
		return math.Inf(1)
	}
	t := g.t
	t.relax.build(g.s.m, g.s.w, d, t.facts)
	t.volume.run(&t.relax, g.mu, shopSteps, g.goal, math.Inf(1))
	return t.volume.best.value
}

// improve takes one shop in or out for as long as that lowers the bound; false when
// the context ends.
func (g *shopSet) improve(ctx context.Context) bool {
	now := g.bound()
	for still := 0; still < len(g.free); {
		for _, h := range g.free {
			if ended(ctx) {
				return false
			}
			g.used[h] = !g.used[h]
			if v := g.bound(); v < now-shopGain*math.Abs(now) {
				now, still = v, 0
			} else {
				g.used[h] = !g.used[h]
				still++
			}
			if still >= len(g.free) {
				break
			}
		}
	}
	return true
}

// plans looks for plans with the set.
func (g *shopSet) plans(ctx context.Context) {
	d := g.narrow()
	if d == nil {
		return
	}
	t := g.t
	t.mu.copyFrom(g.mu)
	t.relax.build(g.s.m, g.s.w, d, t.facts)
	t.volume.run(&t.relax, t.mu, shopFinalSteps, g.goal, math.Inf(1))
	t.relax.store(t.volume.best, t.mu)
	t.goal = g.goal
	g.keep(t.construct(g.s, d, t.volume, true))
	g.keep(t.around(ctx, g.s, d, t.mu, nil, shopNodes))
	if g.best != nil {
		g.keep(t.around(ctx, g.s, d, t.mu, g.best, shopNearNodes))
	}
}

func (g *shopSet) keep(sol *solution, w float64) {
	if sol != nil && w < g.weight {
		g.best, g.weight = sol, w
	}
}
