package exact

import (
	"math"

	"halfpot/optimize/internal/flat"
)

// knapsack finds which of a paint's needs are best served by what is at hand:
// greatest gain within the volume. It is exact up to a number of steps, and
// beyond that gives the bound of its linear relaxation, which is never less.
type knapsack struct {
	items []knapItem
	in    []bool
	best  []bool
	value float64 // of best
	steps int

	ratio      []float64
	sumG, sumU []float64 // gains and volumes of the items before each
}

type knapItem struct {
	gain, ul float64
	at       int32 // index into the relaxation's stock
}

// knapSteps is how many times items are left out for others before the search
// gives up.
const knapSteps = 2000

// sort puts the best ratios of gain to volume first. The items come nearly in
// order: they were sorted for multipliers that were not much different.
func (k *knapsack) sort() {
	k.ratio = flat.Resize(k.ratio, len(k.items))
	for i, it := range k.items {
		k.ratio[i] = it.gain / it.ul
	}
	for i := 1; i < len(k.items); i++ {
		it, r := k.items[i], k.ratio[i]
		j := i
		for ; j > 0 && k.ratio[j-1] < r; j-- {
			k.items[j], k.ratio[j] = k.items[j-1], k.ratio[j-1]
		}
		k.items[j], k.ratio[j] = it, r
	}
}

// solve fills best (by position in items, which are sorted) and returns the gain.
func (k *knapsack) solve(room, quantum float64) float64 {
	n := len(k.items)
	k.in, k.best = flat.Resize(k.in, n), flat.Resize(k.best, n)
	clear(k.in)
	clear(k.best)
	k.sumG, k.sumU = flat.Resize(k.sumG, n+1), flat.Resize(k.sumU, n+1)
	k.sumG[0], k.sumU[0] = 0, 0
	for i, it := range k.items {
		k.sumG[i+1], k.sumU[i+1] = k.sumG[i]+it.gain, k.sumU[i]+it.ul
	}
	k.value, k.steps = 0, 0
	if k.search(0, 0, room) {
		return k.value
	}
	sum, _ := k.linear(room, quantum)
	return sum
}

// linear is the gain when one item may be served in part, rounded up by one or
// two quanta so that no slip of the division makes it too little, and what a
// microlitre more would gain.
func (k *knapsack) linear(room, quantum float64) (gain, dear float64) {
	left := room
	for _, it := range k.items {
		if it.ul > room {
			continue
		}
		if it.ul > left {
			return gain + math.Ceil(it.gain*left/it.ul/quantum)*quantum + quantum, it.gain / it.ul
		}
		left -= it.ul
		gain += it.gain
	}
	return gain, 0
}

// search takes items from i on as long as they fit, and then leaves out the
// taken ones one by one, last first, where others could make more of the room
// (Horowitz & Sahni, J. ACM 21, 1974). It returns false when the steps are
// used up; best then holds what was found.
func (k *knapsack) search(i int, gain, room float64) bool {
	j := i
	for ; j < len(k.items) && k.items[j].ul <= room; j++ {
		k.in[j] = true
		gain += k.items[j].gain
		room -= k.items[j].ul
	}
	if gain > k.value {
		k.value = gain
		copy(k.best, k.in)
	}
	ok := true
	for {
		// Item j is left out.
		if ok && k.bound(j+1, gain, room) > k.value {
			if k.steps++; k.steps > knapSteps {
				ok = false
			} else {
				ok = k.search(j+1, gain, room)
			}
		}
		if j--; j < i {
			return ok
		}
		k.in[j] = false
		gain -= k.items[j].gain
		room += k.items[j].ul
	}
}

// bound is the linear bound on gain and what items from i on can add to it.
func (k *knapsack) bound(i int, gain, room float64) float64 {
	n := len(k.items)
	if i >= n {
		return gain
	}
	lo, hi := i, n // the first item that does not fit any more
	full := k.sumU[i] + room
	for lo < hi {
		mid := (lo + hi) / 2
		if k.sumU[mid+1] <= full {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	gain += k.sumG[lo] - k.sumG[i]
	if lo < n {
		gain += k.items[lo].gain * (full - k.sumU[lo]) / k.items[lo].ul
	}
	return gain
}

// gainOf is what an option or link gains from being served.
func (p *point) gainOf(it stockItem) float64 {
	if it.index >= 0 {
		return p.oneGain[it.index]
	}
	return p.link[-1-it.index]
}

// gather collects the options and links of paint q that gain from it.
func (r *relax) gather(p *point, q int) (total, volume float64) {
	k := &r.knap
	k.items = k.items[:0]
	for t := r.stockStart[q]; t < r.stockStart[q+1]; t++ {
		it := r.stock[t]
		g := p.gainOf(it)
		if g > 0 {
			k.items = append(k.items, knapItem{g, it.ul, t})
			total += g
			volume += it.ul
		}
	}
	return total, volume
}

// evalStock serves each paint's needs from what is at hand. It adds what one
// more box would bring to the paints' worth, and returns the gain of what is
// served without. Where one more may not be enough, the paint pays for as many
// units as gain it most, and the gain is what is left after paying.
func (r *relax) evalStock(p *point) float64 {
	sum := 0.0
	clear(p.oneServed)
	clear(p.linkServed)
	clear(p.dear)
	clear(p.units)
	k := &r.knap
	for q := range r.paints {
		if r.stockStart[q] == r.stockStart[q+1] {
			continue
		}
		total, volume := r.gather(p, q)
		gain := total
		switch {
		case volume <= r.shelf[q]:
			for _, it := range k.items {
				r.serve(p, it.at)
			}
		case r.steps[q] > 0:
			gain = r.evalSteps(p, q)
			for _, t := range r.chosen {
				r.serve(p, t)
			}
			p.worth[q] = 0
			sum += gain
			continue
		default:
			r.order(q)
			gain = k.solve(r.shelf[q], r.w.quantum)
			for i, it := range k.items {
				if k.best[i] {
					r.serve(p, it.at)
				}
			}
		}
		sum += gain
		p.worth[q] -= gain
	}
	return sum
}

// order sorts what gather collected of paint q, and keeps the order.
func (r *relax) order(q int) {
	k := &r.knap
	k.sort()
	a := r.stockStart[q]
	moved := false
	for i, it := range k.items {
		moved = moved || it.at != a+int32(i)
	}
	if !moved {
		return
	}
	seg := r.stock[a:r.stockStart[q+1]]
	r.was = append(r.was[:0], seg...)
	n := len(k.items)
	for i := range k.items {
		it := &k.items[i]
		seg[i] = r.was[it.at-a]
		r.was[it.at-a].ul = -1
		it.at = a + int32(i)
	}
	for _, it := range r.was {
		if it.ul >= 0 {
			seg[n] = it
			n++
		}
	}
}

// stepRuns is how many numbers of units are looked at one by one at most. Of a
// paint that may take more, runs of numbers are looked at: with the volume of
// the last and the price of the first, which no number of the run can beat.
const stepRuns = 1024

// stepTries is how often whole items are looked at for one paint.
const stepTries = 64

// stepRun gives the first and the last number of units of the i-th run of
// paint q; run 0 is no units, and where numbers are few each is a run.
func (r *relax) stepRun(q, i int) (first, last int32) {
	if i == 0 {
		return 0, 0
	}
	length := (r.steps[q] + stepRuns - 1) / stepRuns
	last = min(int32(i)*length, r.steps[q])
	return int32(i-1)*length + 1, last
}

// stepGain is a bound on what paint q gains with a run of numbers of units
// beyond the sure ones, after paying for them.
type stepGain struct {
	gain   float64
	linear float64 // the linear bound, which gain may be below
	dear   float64 // what a microlitre more would be worth
	exact  bool
}

// stepGains bounds the gain for every run of numbers, by linear relaxation.
func (r *relax) stepGains(p *point, q int) []stepGain {
	r.gains = r.gains[:0]
	for done := int32(-1); done < r.steps[q]; {
		first, last := r.stepRun(q, len(r.gains))
		gain, dear := r.knap.linear(r.shelf[q]+float64(last)*r.unitUL[q], r.w.quantum)
		gain -= float64(first) * p.base[q]
		r.gains = append(r.gains, stepGain{gain, gain, dear, false})
		done = last
	}
	return r.gains
}

// evalSteps finds the number of units that gains paint q most, and whom they
// serve (chosen). Whole items are looked at only where the linear bound could
// be the greatest, and not for ever: a bound is still one with parts of items.
func (r *relax) evalSteps(p *point, q int) float64 {
	k := &r.knap
	r.order(q)
	gains := r.stepGains(p, q)
	all := k.items
	for tries := 0; ; tries++ {
		best := 0
		for i := range gains {
			if gains[i].gain > gains[best].gain {
				best = i
			}
		}
		g := &gains[best]
		first, last := r.stepRun(q, best)
		room := r.shelf[q] + float64(last)*r.unitUL[q]
		if !g.exact {
			r.fit = r.fit[:0]
			for _, it := range all {
				if it.ul <= room {
					r.fit = append(r.fit, it)
				}
			}
			k.items = r.fit
			gain := k.solve(room, r.w.quantum) - float64(first)*p.base[q]
			if tries < stepTries {
				g.gain = min(g.gain, gain)
			}
			g.exact = true
			r.chosen = r.chosen[:0]
			for i, it := range k.items {
				if k.best[i] {
					r.chosen = append(r.chosen, it.at)
				}
			}
			r.chosenFor = best
			k.items = all
			continue
		}
		if r.chosenFor != best {
			g.exact = false // its items were overwritten: solve it again
			continue
		}
		p.units[q], p.dear[q] = float64(first), g.dear
		return g.gain
	}
}

func (r *relax) serve(p *point, t int32) {
	if i := r.stock[t].index; i >= 0 {
		p.oneServed[i] = 1
	} else {
		p.linkServed[-1-i] = 1
	}
}

// shade sets, for each paint of the model, what a microlitre on the shelf is
// worth at p: the gain per volume of the first need it does not serve.
func (r *relax) shade(p *point, out []float64) {
	k := &r.knap
	for q, orig := range r.paints {
		if _, volume := r.gather(p, q); volume <= r.shelf[q] {
			continue
		}
		r.order(q)
		if _, dear := k.linear(r.shelf[q]+p.units[q]*r.unitUL[q], r.w.quantum); dear > 0 {
			out[orig] = dear
		}
	}
}
