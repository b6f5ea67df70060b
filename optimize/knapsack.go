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

// sort puts the best ratios of gain to volume first.
func (k *knapsack) sort() {
	slices.SortFunc(k.items, func(a, b knapItem) int {
		return cmp.Or(cmp.Compare(b.gain*a.ul, a.gain*b.ul), cmp.Compare(a.at, b.at))
	})
}

// solve fills best (by position in items, which are sorted) and returns the gain.
func (k *knapsack) solve(room, quantum float64) float64 {
	n := len(k.items)
	k.in, k.best = resize(k.in, n), resize(k.best, n)
	clear(k.in)
	clear(k.best)
	k.value, k.steps = 0, 0
	if k.search(0, 0, room) {
		return k.value
	}
	// Too many steps: take the linear bound.
	clear(k.best)
	left := room
	for i, it := range k.items {
		if it.ul > left {
			break
		}
		left -= it.ul
		k.best[i] = true
	}
	sum, _ := k.linear(room, quantum)
	return sum
}

// linear is the gain when one item may be served in part, rounded up to the
// quantum, and what a microlitre more would gain.
func (k *knapsack) linear(room, quantum float64) (gain, dear float64) {
	left := room
	for _, it := range k.items {
		if it.ul > room {
			continue
		}
		if it.ul > left {
			return gain + math.Ceil(it.gain*left/it.ul/quantum)*quantum, it.gain / it.ul
		}
		left -= it.ul
		gain += it.gain
	}
	return gain, 0
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

// gather collects the options and links of paint q that gain from it.
func (r *relax) gather(p *point, q int) (total, volume float64) {
	k := &r.knap
	k.items = k.items[:0]
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
			p.worth[q] = 0
			sum += gain
			continue
		default:
			k.sort()
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

// stepGain is a bound on what paint q gains with n units beyond the sure ones,
// after paying for them.
type stepGain struct {
	gain  float64
	dear  float64
	exact bool
}

// stepGains bounds the gain for every number of units, by linear relaxation.
func (r *relax) stepGains(p *point, q int) []stepGain {
	r.gains = r.gains[:0]
	for n := range r.steps[q] + 1 {
		gain, dear := r.knap.linear(r.shelf[q]+float64(n)*r.unit[q], r.w.quantum)
		r.gains = append(r.gains, stepGain{gain - float64(n)*p.base[q], dear, false})
	}
	return r.gains
}

// evalSteps finds the number of units that gains paint q most. Whole items are
// looked at only where the linear bound could be the greatest.
func (r *relax) evalSteps(p *point, q int) float64 {
	k := &r.knap
	k.sort()
	gains := r.stepGains(p, q)
	all := k.items
	for {
		best := 0
		for n := range gains {
			if gains[n].gain > gains[best].gain {
				best = n
			}
		}
		g := &gains[best]
		room := r.shelf[q] + float64(best)*r.unit[q]
		if !g.exact {
			r.fit = r.fit[:0]
			for _, it := range all {
				if it.ul <= room {
					r.fit = append(r.fit, it)
				}
			}
			k.items = r.fit
			g.gain = min(g.gain, k.solve(room, r.w.quantum)-float64(best)*p.base[q])
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
		for _, t := range r.chosen {
			r.serve(p, t)
		}
		p.units[q], p.dear[q] = float64(best), g.dear
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
		k.sort()
		if _, dear := k.linear(r.shelf[q]+p.units[q]*r.unit[q], r.w.quantum); dear > 0 {
			out[orig] = dear
		}
	}
}
