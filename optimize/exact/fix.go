package exact

import (
	"context"
	"math"

	"halfpot/optimize/internal/flat"
	"halfpot/optimize/internal/whole"
)

// aim is what bounding a node aims at.
type aim struct {
	target       float64 // weight of the incumbent; 0: none
	cutoff       float64 // the bound from which on nothing better is left
	steps, later int     // steps of the volume algorithm, at first and after each change
}

// goal is the target, or without one a guess from the bounds known: the node's own
// and the one it came with.
func (a *aim) goal(own, came float64) float64 {
	switch {
	case a.target != 0:
		return a.target
	case !math.IsInf(own, 0):
		return 1.3*math.Abs(own) + 1
	case !math.IsInf(came, 0):
		return 1.3*math.Abs(came) + 1
	}
	return 1
}

// boundNode bounds a node and rules out what its bound allows, for as long as
// that changes anything. It looks for plans where plans is set, and returns
// false when it is done with the node.
func (k *worker) boundNode(
	ctx context.Context, s *search, n *node, d *domain, a *aim, out *outcome, plans bool,
) bool {
	m := s.m
	for round := 0; ; round++ {
		k.goal = a.goal(out.bound, n.bound)
		k.volume.run(&k.relax, k.mu, a.steps, k.goal, a.cutoff)
		k.volume.floor = max(k.volume.floor, k.volume.best.value)
		p := k.volume.best
		out.bound = max(out.bound, p.value)
		if p.value > a.cutoff || ctx.Err() != nil {
			return false
		}
		k.relax.store(p, k.mu)
		if n.depth == 0 {
			out.potShare = k.relax.potShare()
		}
		if n.depth == 0 && round == 0 && s.promising(&k.relax, a.target, p.value) {
			out.turn = true
			return false
		}
		if plans && round == 0 {
			k.plans(ctx, s, n, d, out)
			if out.found != nil && (a.target == 0 || out.foundW < a.target) {
				a.target = out.foundW
				a.cutoff = min(a.cutoff, a.target-s.grain)
				if p.value > a.cutoff {
					return false
				}
			}
			if n.depth == 0 && k.wanting(ctx, s, d, a.target, p.value) {
				out.turn = true
				return false
			}
		}
		k.inc = flat.Resize(k.inc, len(m.have))
		if round >= 3 || !k.relax.fix(p, a.cutoff, k.inc) {
			return true
		}
		if !m.propagate(d, k.facts) {
			out.bound = math.Max(out.bound, a.cutoff)
			return false
		}
		k.relax.build(m, s.w, d, k.facts)
		a.steps = a.later
	}
}

// fix rules out, by reduced cost, every choice that would lift the bound at
// point p above cutoff: no better plan can make it. It reports whether the
// domain changed.
func (r *relax) fix(p *point, cutoff float64, paintInc []float64) (changed bool) {
	m, d := r.m, r.d
	if r.bandFix(p, cutoff) {
		changed = true
	}
	for q := range r.paints {
		paintInc[q] = 1e300
	}
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		if r.offerFix(p, h, cutoff, paintInc) {
			changed = true
		}
	}
	r.oneInc, r.linkInc = flat.Resize(r.oneInc, len(r.oneOpt)), flat.Resize(r.linkInc, len(r.linkAt))
	for q := range r.paints {
		if r.stepFix(p, q, cutoff) {
			changed = true
		}
	}
	for i, o := range r.oneOpt {
		inc := max(0, -p.oneGain[i])
		if q := r.onePaint[i]; r.steps[q] > 0 {
			inc = max(inc, r.oneInc[i])
		} else if !r.multi[q] && !r.oneStock[i] {
			inc += paintInc[q]
		}
		if p.value+inc > cutoff {
			d.alive[o] = false
			changed = true
		}
	}
	for i, o := range r.anyOpt {
		inc, steps := 0.0, 0.0
		for l := r.anyStart[i]; l < r.anyStart[i+1]; l++ {
			if q := r.linkAt[l]; r.steps[q] > 0 {
				steps += r.linkInc[l] // each paint decides for itself
			} else if !r.multi[q] && !r.linkStock[l] {
				inc = max(inc, paintInc[q])
			}
		}
		inc += steps
		inc += max(0, -p.anyGain[i])
		if p.value+inc > cutoff {
			d.alive[o] = false
			changed = true
		}
	}
	return changed
}

// bandValue is the value of a shop that reaches band k, with the discount nu
// its threshold gives.
type bandValue struct{ value, nu float64 }

// bandValues evaluates each band a shop may still reach.
func (r *relax) bandValues(p *point, h int, out []bandValue) []bandValue {
	d := r.d
	lo, hi := d.bandLo[h], d.bandHi[h]
	keep := p.shop[h]
	for k := lo; k <= hi; k++ {
		if k == keep.band {
			out = append(out, bandValue{keep.value, keep.nu})
			continue
		}
		d.bandLo[h], d.bandHi[h] = k, k
		r.evalShop(p, h)
		out = append(out, bandValue{p.shop[h].value, p.shop[h].nu})
	}
	d.bandLo[h], d.bandHi[h] = lo, hi
	p.shop[h] = keep
	return out
}

func (r *relax) bandFix(p *point, cutoff float64) (changed bool) {
	m, d := r.m, r.d
	used := 0
	for h := range m.bands {
		if p.shop[h].used {
			used++
		}
	}
	var buf [8]bandValue
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		s := p.shop[h]
		now := 0.0
		if s.used {
			now = s.value
		}
		if d.closed[h] {
			if p.value+max(0, s.value) > cutoff {
				d.shut(m, h)
				changed = true
				continue
			}
			if s.used && used < m.maxShops && p.value-s.value > cutoff {
				d.closed[h] = false
				changed = true
			}
		}
		if d.bandLo[h] == d.bandHi[h] {
			continue
		}
		if d.closed[h] {
			now = min(now, 0)
		}
		values := r.bandValues(p, h, buf[:0])
		lo := d.bandLo[h]
		for d.bandLo[h] < d.bandHi[h] && p.value-now+values[d.bandLo[h]-lo].value > cutoff {
			d.bandLo[h]++
			changed = true
		}
		for d.bandLo[h] < d.bandHi[h] && p.value-now+values[d.bandHi[h]-lo].value > cutoff {
			d.bandHi[h]--
			changed = true
		}
	}
	return changed
}

// offerFix rules boxes of one shop out or in. A box that is forced counts
// towards the shop's delivery band, so the rest of the order is valued anew.
func (r *relax) offerFix(p *point, h int, cutoff float64, paintInc []float64) (changed bool) {
	d := r.d
	s := p.shop[h]
	now := 0.0
	if s.used {
		now = s.value
	}
	r.curve.build(r, p, h)
	for i := r.shopStart[h]; i < r.shopStart[h+1]; i++ {
		j := r.offs[i]
		lo, hi := r.offLo[i], r.offHi[i]
		first, more, price := p.first[i], p.more[i], r.offPrice[i]
		// The shop's value with no box, with at least one, with at least two.
		none, one, two := 1e300, 1e300, 1e300
		for k := d.bandLo[h]; k <= d.bandHi[h]; k++ {
			b := r.m.bands[h][k]
			fee, from := float64(b.Fee)*r.w.money+r.w.shop, r.from[h][k]
			if lo > 0 {
				c, _ := r.curve.cost(from)
				one = min(one, fee+c)
				if lo == 1 && hi > 1 {
					c, _ := r.curve.costWithout(from-price, more, price)
					two = min(two, fee+more+c)
				}
				continue
			}
			c, _ := r.curve.costWithout(from, first, price)
			none = min(none, fee+c)
			c, _ = r.curve.costWithout(from-price, first, price)
			one = min(one, fee+first+c)
			if hi > 1 {
				c, _ = r.curve.costWithout(from-2*price, first, price)
				two = min(two, fee+first+more+c)
			}
		}
		inc := max(0, one-now)
		for k := r.conStart[i]; k < r.conStart[i+1]; k++ {
			q := r.conPaint[k]
			paintInc[q] = min(paintInc[q], inc)
		}
		switch {
		case lo == 0 && p.value+one-now > cutoff:
			d.hi[j] = 0
			changed = true
		case lo == 0 && s.used && !d.closed[h] && p.value+none-now > cutoff:
			d.lo[j] = 1
			changed = true
		case lo <= 1 && hi > 1 && p.value+two-now > cutoff:
			d.hi[j] = 1
			changed = true
		}
	}
	return changed
}

// stepLosses is, for each run of numbers of units of paint q beyond the sure
// ones, how much the bound rises at least where that many are bought.
func (r *relax) stepLosses(p *point, q int) []stepGain {
	now, volume := r.gather(p, q)
	r.order(q)
	gains := r.stepGains(p, q)
	if volume > r.shelf[q] {
		now = r.evalSteps(p, q)
	}
	for n := range gains {
		gains[n].gain = max(0, now-gains[n].gain)
		gains[n].linear = now - gains[n].linear // at most that
	}
	return gains
}

// stepFix rules out numbers of units of paint q, where one more than the sure
// ones may not be enough, and works out what taking each of its options costs.
func (r *relax) stepFix(p *point, q int, cutoff float64) (changed bool) {
	if r.steps[q] == 0 {
		return false
	}
	loss := r.stepLosses(p, q)
	total := 0.0
	for _, it := range r.knap.items {
		total += it.gain
	}
	orig, sure := r.paints[q], int32(r.boxes[q])
	lo, hi := 0, len(loss)-1
	for lo < hi && p.value+loss[lo].gain > cutoff {
		lo++
	}
	if lo > 0 {
		first, _ := r.stepRun(q, lo)
		r.d.atLeast[orig] = max(r.d.atLeast[orig], sure+first)
		changed = true
	}
	for hi > lo && p.value+loss[hi].gain > cutoff {
		hi--
	}
	if hi < len(loss)-1 {
		_, last := r.stepRun(q, hi)
		r.d.atMost[orig] = min(r.d.atMost[orig], sure+last)
		changed = true
	}
	for t := r.stockStart[q]; t < r.stockStart[q+1]; t++ {
		it := r.stock[t]
		g := p.gainOf(it)
		// At the price of the volume, which the linear bound goes by, taking the
		// option loses what its volume is worth beyond its own gain; the last
		// term is more than the price may be rounded by.
		inc := 1e300
		for i := lo; i <= hi; i++ {
			if _, last := r.stepRun(q, i); it.ul <= r.shelf[q]+float64(last)*r.unitUL[q] {
				inc = min(inc, max(loss[i].gain, loss[i].linear+max(0, loss[i].dear*it.ul-g-total/(1<<40))))
			}
		}
		inc = math.Floor(inc/r.w.quantum) * r.w.quantum
		if it.index >= 0 {
			r.oneInc[it.index] = inc
		} else {
			r.linkInc[-1-it.index] = inc
		}
	}
	return changed
}

// settle decides every need that has an option which takes nothing that can
// run short: of its options none that costs as much or more can do better. It
// reports whether the domain changed.
func (r *relax) settle() (changed bool) {
	for k := range r.needs {
		free, least := int32(-1), 0.0
		for _, i := range r.needAny[r.needAnyStart[k]:r.needAnyStart[k+1]] {
			if r.anyStart[i] == r.anyStart[i+1] && (free < 0 || r.anyCost[i] < least) &&
				r.neverShort(r.anyOpt[i]) {
				free, least = r.anyOpt[i], r.anyCost[i]
			}
		}
		if free < 0 {
			continue
		}
		for _, i := range r.needAny[r.needAnyStart[k]:r.needAnyStart[k+1]] {
			if r.anyOpt[i] != free && r.anyCost[i] >= least {
				r.d.alive[r.anyOpt[i]] = false
				changed = true
			}
		}
		for _, i := range r.needOne[r.needOneStart[k]:r.needOneStart[k+1]] {
			if r.oneCost[i] >= least {
				r.d.alive[r.oneOpt[i]] = false
				changed = true
			}
		}
	}
	return changed
}

// neverShort says whether an option that is tied to nothing is served whatever else
// is chosen and bought. Slack and units are reckoned at their best, which suits a
// bound: where boxes hold different volumes a unit, the smaller ones may not do.
func (r *relax) neverShort(o int32) bool {
	m, f := r.m, r.f
	for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
		if q := m.usePaint[u]; f.extra[u] > 0 && !m.sureSupply(r.d, f, q) {
			return false
		}
	}
	return true
}

// sureSupply says whether what is sure to be bought of paint q serves all that can be
// taken, or every box holds as much a unit as the facts reckon.
func (m *model) sureSupply(d *domain, f *facts, q int32) bool {
	most := f.most[q] - m.have[q]
	if most <= 0 {
		return true
	}
	alike, certain, least := true, int64(0), int64(math.MaxInt64)
	for _, s := range m.sources[q] {
		if d.hi[s.off] == 0 {
			continue
		}
		alike = alike && (s.ul >= most || s.ul == int64(s.units)*f.unitUL[q])
		certain = whole.SatAdd(certain, whole.SatMul(int64(d.lo[s.off]), s.ul))
		least = min(least, whole.SatMul(int64(f.boxes[q]), s.ul)/int64(s.units))
	}
	return alike || most <= certain || f.boxes[q] > 0 && most <= least
}
