package exact

import (
	"halfpot/optimize/internal/flat"
)

// estimator guesses how far the bound would rise if a paint were ruled out, or
// bought for sure: it plays the dual ascent through on the needs around that
// paint only. The guess decides nothing but the order in which candidates are
// looked at, so it may be wrong without harm.
type estimator struct {
	a     volumeAlgorithm // borrows slack, consume and liftNeed
	p     point
	from  *point
	r     *relax
	spare []float64

	needMark, paintMark []int32
	mark                int32
	needs               []int32
}

// reset takes the relaxation and an evaluated point of it.
func (e *estimator) reset(r *relax, from *point) {
	e.r, e.from = r, from
	e.p.resize(r)
	e.spare = flat.Resize(e.spare, len(r.m.bands))
	e.a.spare = flat.Resize(e.a.spare, len(r.m.bands))
	for h := range e.spare {
		e.spare[h] = 0
		if s := from.shop[h]; !s.used && !r.d.unused(h) {
			e.spare[h] = max(0, s.value)
		}
	}
	if len(e.needMark) < len(r.needs) {
		e.needMark = make([]int32, len(r.needs)+16)
	}
	if len(e.paintMark) < len(r.paints) {
		e.paintMark = make([]int32, len(r.paints)+16)
	}
}

// begin copies the point, with the bands' discounts worked in.
func (e *estimator) begin() {
	r, p := e.r, &e.p
	copy(p.need, e.from.need)
	copy(p.link, e.from.link)
	copy(p.oneGain, e.from.oneGain)
	copy(p.anyGain, e.from.anyGain)
	copy(p.oneServed, e.from.oneServed)
	copy(p.linkServed, e.from.linkServed)
	copy(p.first, e.from.first)
	copy(p.base, e.from.base)
	copy(p.dear, e.from.dear)
	copy(e.a.spare, e.spare)
	for h := range e.spare {
		if nu := e.from.shop[h].nu; nu > 0 {
			for j := r.shopStart[h]; j < r.shopStart[h+1]; j++ {
				p.first[j] -= nu * r.offPrice[j]
			}
		}
	}
	e.mark++
	e.needs = e.needs[:0]
}

func (e *estimator) touch(k int32) {
	if e.needMark[k] != e.mark {
		e.needMark[k] = e.mark
		e.needs = append(e.needs, k)
	}
}

// liftTouched lifts the touched needs and returns how much the bound gains.
func (e *estimator) liftTouched() float64 {
	gain := 0.0
	for _, k := range e.needs {
		before := e.p.need[k]
		if e.a.liftNeed(e.r, &e.p, k) {
			gain += e.p.need[k] - before
		}
	}
	return gain
}

const never = 1e200

// none guesses the rise if no box with paint q may be bought.
func (e *estimator) none(q int32) float64 {
	e.begin()
	r, p := e.r, &e.p
	gain := 0.0
	for _, j := range r.sellers[r.sellStart[q]:r.sellStart[q+1]] {
		if p.first[j] < 0 && e.from.shop[r.offShop[j]].used {
			gain -= p.first[j]
		}
		p.first[j] = never
		for c := r.conStart[j]; c < r.conStart[j+1]; c++ {
			if t := r.conPaint[c]; e.paintMark[t] != e.mark {
				e.paintMark[t] = e.mark
				e.touchUsers(t)
			}
		}
	}
	return gain + e.liftTouched()
}

func (e *estimator) touchUsers(q int32) {
	r := e.r
	for _, i := range r.onesOf[r.onesStart[q]:r.onesStart[q+1]] {
		e.touch(r.oneNeed[i])
	}
	for _, l := range r.linksOf[r.linksStart[q]:r.linksStart[q+1]] {
		e.touch(r.anyNeed[r.linkAny[l]])
	}
}

// some guesses the rise if a box with paint q is bought: its price beyond what
// it is worth, and what the needs around can pay instead for other paints once
// this one is there.
func (e *estimator) some(q int32) float64 {
	e.begin()
	r, p := e.r, &e.p
	least, best := never, int32(-1)
	for _, j := range r.sellers[r.sellStart[q]:r.sellStart[q+1]] {
		if c := max(0, p.first[j]) + e.a.spare[r.offShop[j]]; c < least {
			least, best = c, j
		}
	}
	if best < 0 {
		return never
	}
	p.first[best] = -never // whatever it serves is served
	e.a.spare[r.offShop[best]] = 0
	e.paintMark[q] = e.mark
	for _, i := range r.onesOf[r.onesStart[q]:r.onesStart[q+1]] {
		if p.oneGain[i] <= 0 {
			continue
		}
		e.drop(r.oneNeed[i], p.oneGain[i])
	}
	return least + e.liftTouched()
}

// drop lowers the multiplier of need k, which paint q now serves, and gives what it
// paid for other paints back to them.
func (e *estimator) drop(k int32, by float64) {
	r, p := e.r, &e.p
	p.need[k] -= by
	for _, i := range r.needOne[r.needOneStart[k]:r.needOneStart[k+1]] {
		before := max(0, p.oneGain[i])
		p.oneGain[i] -= by
		less := before - max(0, p.oneGain[i])
		if less <= 0 {
			continue
		}
		t := r.onePaint[i]
		for _, j := range r.sellers[r.sellStart[t]:r.sellStart[t+1]] {
			p.first[j] += less
		}
		if e.paintMark[t] != e.mark {
			e.paintMark[t] = e.mark
			e.touchUsers(t)
		}
	}
	e.needMark[k] = e.mark // it is served: do not lift it
	for _, i := range r.needAny[r.needAnyStart[k]:r.needAnyStart[k+1]] {
		p.anyGain[i] -= by
	}
}

// left guesses the rise if stock option i may not be taken.
func (e *estimator) left(i int32) float64 {
	e.begin()
	r, p := e.r, &e.p
	p.oneGain[i] = -never
	p.oneServed[i] = 0
	e.touch(r.oneNeed[i])
	return e.liftTouched()
}

// taken guesses the rise if stock option i is taken for sure: what is at hand
// then serves fewer of the other needs.
func (e *estimator) taken(i int32) float64 {
	e.begin()
	r, p := e.r, &e.p
	q := r.onePaint[i]
	room := r.shelf[q]
	for _, it := range r.stock[r.stockStart[q]:r.stockStart[q+1]] {
		if it.index == i {
			room -= it.ul
		}
	}
	for _, it := range r.stock[r.stockStart[q]:r.stockStart[q+1]] {
		switch k := it.index; {
		case k == i:
		case it.ul <= room && k >= 0 && p.oneServed[k] > 0:
			room -= it.ul
		case k >= 0 && p.oneServed[k] > 0:
			p.oneServed[k] = 0
			e.touch(r.oneNeed[k])
		case k < 0 && p.linkServed[-1-k] > 0:
			if it.ul <= room {
				room -= it.ul
				continue
			}
			p.linkServed[-1-k] = 0
			e.touch(r.anyNeed[r.linkAny[-1-k]])
		}
	}
	e.needMark[r.oneNeed[i]] = e.mark
	e.drop(r.oneNeed[i], max(0, p.oneGain[i]))
	return max(0, -p.oneGain[i]) + e.liftTouched()
}
