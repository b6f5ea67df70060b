package optimize

import (
	"cmp"
	"math"
	"slices"
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
}

type knapItem struct {
	gain, ul float64
	at       int32 // index into the relaxation's stock
}

const knapSteps = 400

// solve fills share (by position in items, after sorting) and returns the gain.
func (k *knapsack) solve(room, quantum float64) float64 {
	slices.SortFunc(k.items, func(a, b knapItem) int {
		return cmp.Or(cmp.Compare(b.gain*a.ul, a.gain*b.ul), cmp.Compare(a.at, b.at))
	})
	n := len(k.items)
	k.in, k.best = resize(k.in, n), resize(k.best, n)
	clear(k.in)
	clear(k.best)
	k.value, k.steps = 0, 0
	if k.search(0, 0, room) {
		return k.value
	}
	// Too many steps: take the linear bound, rounded up to the quantum.
	sum, left := 0.0, room
	clear(k.best)
	for i, it := range k.items {
		if it.ul <= left {
			left -= it.ul
			sum += it.gain
			k.best[i] = true
			continue
		}
		sum += math.Ceil(it.gain*left/it.ul/quantum) * quantum
		break
	}
	return sum
}

// search tries item i in and out, best ratios first. It returns false when the
// steps are used up.
func (k *knapsack) search(i int, gain, room float64) bool {
	k.steps++
	if k.steps > knapSteps {
		return false
	}
	if gain > k.value {
		k.value = gain
		copy(k.best, k.in)
	}
	// Linear bound on what is still to come.
	bound, left := gain, room
	for j := i; j < len(k.items); j++ {
		it := &k.items[j]
		if it.ul > left {
			bound += it.gain * left / it.ul
			break
		}
		bound += it.gain
		left -= it.ul
	}
	if i == len(k.items) || bound <= k.value {
		return true
	}
	it := k.items[i]
	if it.ul <= room {
		k.in[i] = true
		ok := k.search(i+1, gain+it.gain, room-it.ul)
		k.in[i] = false
		if !ok {
			return false
		}
	}
	return k.search(i+1, gain, room)
}

// evalStock serves each paint's needs from what is at hand. It adds what one
// more box would bring to the paints' worth, and returns the gain of what is
// served without.
func (r *relax) evalStock(p *point) float64 {
	sum := 0.0
	for i := range p.oneServed {
		p.oneServed[i] = 0
	}
	for l := range p.linkServed {
		p.linkServed[l] = 0
	}
	k := &r.knap
	for q := range r.paints {
		a, b := r.stockStart[q], r.stockStart[q+1]
		if a == b {
			continue
		}
		k.items = k.items[:0]
		total, volume := 0.0, 0.0
		for t := a; t < b; t++ {
			it := r.stock[t]
			g := 0.0
			if it.index >= 0 {
				g = p.oneGain[it.index]
			} else {
				g = p.link[-1-it.index]
			}
			if g > 0 {
				k.items = append(k.items, knapItem{g, it.ul, t})
				total += g
				volume += it.ul
			}
		}
		gain := total
		if volume > r.shelf[q] {
			gain = k.solve(r.shelf[q], r.w.quantum)
			for i, it := range k.items {
				if k.best[i] {
					r.serve(p, it.at)
				}
			}
		} else {
			for _, it := range k.items {
				r.serve(p, it.at)
			}
		}
		sum += gain
		p.worth[q] -= gain
	}
	return sum
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
		k.items = k.items[:0]
		volume := 0.0
		for t := r.stockStart[q]; t < r.stockStart[q+1]; t++ {
			it := r.stock[t]
			g := 0.0
			if it.index >= 0 {
				g = p.oneGain[it.index]
			} else {
				g = p.link[-1-it.index]
			}
			if g > 0 {
				k.items = append(k.items, knapItem{g, it.ul, t})
				volume += it.ul
			}
		}
		if volume <= r.shelf[q] {
			continue
		}
		slices.SortFunc(k.items, func(a, b knapItem) int { return cmp.Compare(b.gain*a.ul, a.gain*b.ul) })
		left := r.shelf[q]
		for _, it := range k.items {
			if it.ul > left {
				out[orig] = it.gain / it.ul
				break
			}
			left -= it.ul
		}
	}
}
