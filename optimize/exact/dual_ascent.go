package exact

import (
	"math"

	"halfpot/optimize/internal/flat"
)

// lift raises covers one need at a time, as far as the boxes that could serve
// the need still cost more than they are worth (dual ascent, Erlenkotter,
// Oper. Res. 26, 1978). It makes good at once what a decision took away from
// the bound; the volume algorithm then goes on from there. p must have been
// evaluated; it is evaluated again at the end. The better point is kept.
func (a *volumeAlgorithm) lift(r *relax) {
	p, from := a.trial, a.best
	copy(p.need, from.need)
	copy(p.link, from.link)
	copy(p.base, from.base)
	copy(p.oneGain, from.oneGain)
	copy(p.anyGain, from.anyGain)
	copy(p.oneServed, from.oneServed)
	copy(p.linkServed, from.linkServed)
	copy(p.first, from.first)
	copy(p.dear, from.dear)
	a.spare = flat.Resize(a.spare, len(r.m.bands))
	for h := range a.spare {
		a.spare[h] = 0
		if s := from.shop[h]; !s.used && !r.d.unused(h) {
			a.spare[h] = max(0, s.value)
		}
		if nu := from.shop[h].nu; nu > 0 {
			for j := r.shopStart[h]; j < r.shopStart[h+1]; j++ {
				p.first[j] -= nu * r.offPrice[j]
			}
		}
	}
	raised := false
	for q := range r.paints {
		if !r.multi[q] {
			continue
		}
		if a.count[q] < from.units[q] { // fewer boxes than needed
			if s := a.slack(r, p, int32(q)); s > 0 {
				if r.steps[q] == 0 { // else consume does it
					p.base[q] += s
				}
				a.consume(r, p, int32(q), s)
				raised = true
			}
		}
	}
	for k := range r.needs {
		if a.liftNeed(r, p, int32(k)) {
			raised = true
		}
	}
	if !raised {
		return
	}
	r.eval(p)
	if p.value > from.value {
		a.best, a.trial = a.trial, a.best
	}
}

// toll is what a need must gain from paint q to be served by the units the
// paint pays for, before those it serves now.
func (r *relax) toll(p *point, q int32, ul float64) float64 {
	if r.steps[q] == 0 {
		return 0
	}
	round := r.w.quantum
	return math.Floor(p.dear[q]*ul/round) * round
}

// free is how much more option i can gain before that.
func (r *relax) free(p *point, i int32) float64 {
	return max(0, r.toll(p, r.onePaint[i], r.oneUL[i])-max(0, p.oneGain[i]))
}

func (r *relax) freeLink(p *point, l int32) float64 {
	return max(0, r.toll(p, r.linkAt[l], r.linkUL[l])-p.link[l])
}

// slack is how much more paint q can be worth before a box that holds it pays.
func (a *volumeAlgorithm) slack(r *relax, p *point, q int32) float64 {
	least := 1e300
	for c := r.sellStart[q]; c < r.sellStart[q+1]; c++ {
		j := r.sellers[c]
		s := max(0, p.first[j]) + a.spare[r.offShop[j]]
		if u := r.sellUnits[c]; u > 1 && r.multi[q] {
			s = math.Floor(s/u/r.w.quantum) * r.w.quantum
		}
		least = min(least, s)
	}
	return least
}

// consume makes a unit of paint q worth s more to every box that holds it.
func (a *volumeAlgorithm) consume(r *relax, p *point, q int32, s float64) {
	if r.steps[q] > 0 {
		p.base[q] += s
	}
	for c := r.sellStart[q]; c < r.sellStart[q+1]; c++ {
		j, by := r.sellers[c], s
		if r.multi[q] {
			by *= r.sellUnits[c]
		}
		if over := by - max(0, p.first[j]); over > 0 {
			h := r.offShop[j]
			a.spare[h] = max(0, a.spare[h]-over)
		}
		p.first[j] -= by
	}
}

// liftNeed raises the multiplier of need k until one of its options pays.
func (a *volumeAlgorithm) liftNeed(r *relax, p *point, k int32) bool {
	rise := a.needRise(r, p, k)
	if rise <= 0 || rise > 1e299 {
		return false
	}
	p.need[k] += rise
	for _, i := range r.needOne[r.needOneStart[k]:r.needOneStart[k+1]] {
		before := max(0, p.oneGain[i])
		p.oneGain[i] += rise
		if more := max(0, p.oneGain[i]) - max(before, r.toll(p, r.onePaint[i], r.oneUL[i])); more > 0 &&
			p.oneServed[i] < 0.5 {
			a.consume(r, p, r.onePaint[i], more)
		}
	}
	for _, i := range r.needAny[r.needAnyStart[k]:r.needAnyStart[k+1]] {
		p.anyGain[i] += rise
		if p.anyGain[i] > 0 {
			a.spend(r, p, i)
		}
	}
	return true
}

// needRise is how far the multiplier of need k can rise, 0 where it can't.
func (a *volumeAlgorithm) needRise(r *relax, p *point, k int32) float64 {
	rise := 1e300
	for _, i := range r.needOne[r.needOneStart[k]:r.needOneStart[k+1]] {
		room := 0.0
		if p.oneServed[i] < 0.5 {
			room = r.free(p, i) + a.slack(r, p, r.onePaint[i])
		}
		rise = min(rise, max(0, -p.oneGain[i])+room)
		if rise <= 0 {
			return 0
		}
	}
	for _, i := range r.needAny[r.needAnyStart[k]:r.needAnyStart[k+1]] {
		room := 0.0
		for l := r.anyStart[i]; l < r.anyStart[i+1]; l++ {
			if p.linkServed[l] < 0.5 {
				room = max(room, r.freeLink(p, l)+a.slack(r, p, r.linkAt[l]))
			}
		}
		rise = min(rise, max(0, -p.anyGain[i])+room)
		if rise <= 0 {
			return 0
		}
	}
	return rise
}

// spend puts what option i, of several paints, gains on the link with the most room.
func (a *volumeAlgorithm) spend(r *relax, p *point, i int32) {
	best, room := int32(-1), -1.0
	for l := r.anyStart[i]; l < r.anyStart[i+1]; l++ {
		if p.linkServed[l] >= 0.5 {
			continue
		}
		if s := r.freeLink(p, l) + a.slack(r, p, r.linkAt[l]); s > room {
			best, room = l, s
		}
	}
	if best < 0 {
		return
	}
	before := max(p.link[best], r.toll(p, r.linkAt[best], r.linkUL[best]))
	p.link[best] += p.anyGain[i]
	if more := p.link[best] - before; more > 0 {
		a.consume(r, p, r.linkAt[best], more)
	}
	p.anyGain[i] = 0
}
