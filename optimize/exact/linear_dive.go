package exact

import (
	"context"
	"math"
)

const (
	diveSure  = 0.9 // shares of a shop above which a dive uses it, and below one less which it shuts it
	diveSteps = 40  // decisions at most

	diveWindows = 10    // rounds of windows on what a dive finds,
	diveNear    = 0.006 // where it weighs no more than this share above the best
	diveEvery   = 16    // nodes of a large problem, of which one dives
)

// linearDive decides shops and bands one after the other as the relaxation's answer has
// them. What is left then falls into clusters, and the best answers of these by themselves,
// at the relaxation's prices, are a plan but for what orders lack to their thresholds.
func (k *worker) linearDive(
	ctx context.Context, s *search, from *node, d *domain, windows windowRounds, known float64,
) (*solution, float64) {
	p := k.program
	if k.sub == nil {
		k.sub = newWorker(s.m, s.w)
	}
	sub := &search{
		m: s.m, w: s.w, grain: s.grain,
		incumbent: s.incumbent, upper: s.upper,
		inner: true, linear: true, moneyMost: s.moneyMost,
		ctx: ctx,
	}
	sub.resetPseudocosts()
	start := &linearNode{was: p.l, rows: append([]*linearRow(nil), p.rows...), basis: p.lp.Basis()}
	n := &node{parent: d, mu: k.mu, bound: math.Inf(-1), depth: 1, serial: from.serial, lin: start}
	v := &linearVisit{k: k.sub, s: sub, n: n, d: d.clone(), cutoff: sub.cutoff(), beat: sub.cutoff()}
	v.out.bound = math.Inf(-1)
	before := k.sub.linearEffort()
	defer func() { k.planEffort += k.sub.linearEffort() - before }()
	k.sub.volume.ctx, k.sub.trialVolume.ctx, k.sub.build.ctx = ctx, ctx, ctx
	k.sub.mu.copyFrom(k.mu)
	if !k.sub.settleDomain(sub, v.d) || !v.begin(ctx) {
		return nil, 0
	}
	v.p.lp.Limit(v.cutoff-float64(v.p.l.base)+s.grain/2, v.p.stop)
	if !v.decideShops(ctx) {
		return nil, 0
	}
	care := sub.linearCare()
	r := rowRounds{
		root: true, gain: care.againGain, patience: care.againPatience,
		most: innerRounds, clustersMost: care.clusterRounds,
	}
	if v.bound(r) != linearOpen {
		return nil, 0
	}
	var plan *solution
	w := math.Inf(1)
	better := func(sol *solution, weight float64) {
		if sol != nil && weight < w {
			plan, w = sol, weight
		}
	}
	better(v.k.plansOf(sub, v.d, v.p.leaves))
	better(v.k.plansOf(sub, v.d, v.p.v))
	if plan == nil {
		return nil, 0
	}
	rounds := annealEach * len(s.m.members)
	better(v.k.anneal(sub, v.d, plan, cooling{rounds: rounds, seed: uint64(n.serial), warm: usualWarm, sets: true}))
	if w > known+diveNear*math.Abs(known) {
		return plan, w
	}
	better(k.windows(ctx, vicinity{s, v.d, v.k.mu}, plan, windows))
	return plan, w
}

// plansOf builds plans near an answer of the relaxation.
func (k *worker) plansOf(s *search, d *domain, v []float64) (*solution, float64) {
	k.adopt(v)
	return k.heuristics(s, d, false)
}

// decideShops makes the decisions of a dive; false where nothing better is left.
func (v *linearVisit) decideShops(ctx context.Context) bool {
	for range diveSteps {
		if v.bound(rowRounds{}) != linearOpen || ctx.Err() != nil {
			return false
		}
		if v.k.shopsSettled(v.d) {
			return true
		}
		v.followShops()
		if !v.k.settleDomain(v.s, v.d) || !v.p.setBounds(v.d, v.k.facts) {
			return false
		}
	}
	return false
}

// followShops decides the shops and bands that the answer is sure of, or the one it is
// surest of.
func (v *linearVisit) followShops() {
	p, m, d := v.p, v.s.m, v.d
	surest, away := -1, math.Inf(1)
	for h := range m.bands {
		if d.settled(h) {
			continue
		}
		share := p.v[p.l.shopAt+int32(h)]
		if share > diveSure || share < 1-diveSure {
			v.followShop(h, share)
			surest, away = -1, -1
		} else if off := min(share, 1-share); off < away {
			surest, away = h, off
		}
	}
	if surest >= 0 {
		v.followShop(surest, p.v[p.l.shopAt+int32(surest)])
	}
}

// followShop shuts a shop, or opens it with the band that is taken most.
func (v *linearVisit) followShop(h int, share float64) {
	p, d := v.p, v.d
	if share < 0.5 && d.closed[h] {
		decision{shopShut, int32(h), 0}.apply(v.s.m, d)
		return
	}
	d.closed[h] = false
	most := d.bandLo[h]
	for b := d.bandLo[h]; b <= d.bandHi[h]; b++ {
		t := p.l.bandAt + p.l.bandOff[h]
		if p.v[t+int32(b)] > p.v[t+int32(most)] {
			most = b
		}
	}
	d.bandLo[h], d.bandHi[h] = most, most
}
