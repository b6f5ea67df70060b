package exact

import (
	"math"
	"slices"

	"halfpot/optimize/internal/flat"
	"halfpot/optimize/internal/whole"
)

// bound is what the options of the component's needs from k on, and the boxes that
// fill its paints up, weigh at least at the discounts. Each paint has a price
// by the microlitre: the options pay it, and the paint decides for itself how
// much to sell (Lagrangian relaxation of what ties needs to paints).
func (w *endWalk) bound(k int) float64 {
	sum := w.rest[k]
	for i, more := range w.future[k*len(w.lacks) : (k+1)*len(w.lacks)] {
		sum += w.sell(i, w.lacks[i], more)
	}
	return sum
}

// sell is what the boxes for paint i weigh at least, where lacks is missing and
// up to more may be sold, less what the sale brings in.
func (w *endWalk) sell(i int, lacks, more int64) float64 {
	s, price := &w.fills[i], w.price[i]
	if s.ul == 0 {
		if lacks > 0 {
			return math.Inf(1)
		}
		return -price * float64(min(more, -lacks))
	}
	// It falls or rises with each box alike until the last: look at both ends.
	least := math.Inf(1)
	first, last := whole.CeilDiv(max(lacks, 0), s.ul), whole.CeilDiv(max(lacks+more, 0), s.ul)
	for _, n := range [3]int64{first, max(first, last-1), last} {
		least = min(least, float64(n)*s.cost-price*float64(min(n*s.ul-lacks, more)))
	}
	return least
}

const (
	endPriced = 64 // needs of a component up to which prices are looked for
	endPrices = 16 // tried for each paint
)

// setPrices looks for prices that make the bound high at the beginning, for one
// paint after the other among those at which an option would go without it.
func (w *endWalk) setPrices() {
	if len(w.p.needs) > endPriced {
		return
	}
	best := w.bound(0)
	for range 2 {
		for i := range w.price {
			keep := w.price[i]
			for _, price := range w.worths(i) {
				w.price[i] = price
				w.sumRest()
				if v := w.bound(0); v > best {
					best, keep = v, price
				}
			}
			w.price[i] = keep
		}
	}
	w.sumRest()
}

// worths lists prices of paint i worth trying: what options that take it save by
// the microlitre, and what a box costs by it.
func (w *endWalk) worths(i int) []float64 {
	w.beginRatios(i)
	var costs []float64
	var takes []int64
	for k := range w.p.needs {
		costs, takes = costs[:0], takes[:0]
		for _, o := range w.of(k) {
			c, ul := w.pays(o, int32(i))
			costs, takes = append(costs, c), append(takes, ul)
		}
		w.addRatios(costs, takes)
	}
	return w.thinRatios(i)
}

// beginRatios lists the prices of paint i that no option has a say in: none, and a box's.
func (w *endWalk) beginRatios(i int) {
	quantum := w.e.w.quantum
	w.ratios = append(w.ratios[:0], 0)
	if s := &w.fills[i]; s.ul > 0 {
		w.ratios = append(w.ratios, math.Floor(s.cost/float64(s.ul)/quantum)*quantum)
	}
}

// addRatios lists the prices of a paint up to which options of one need are taken, where
// these cost so much without it and take so much of it, rather than one that takes none.
func (w *endWalk) addRatios(costs []float64, takes []int64) {
	quantum, without := w.e.w.quantum, math.Inf(1)
	for c, ul := range takes {
		if ul == 0 {
			without = min(without, costs[c])
		}
	}
	if math.IsInf(without, 1) {
		return
	}
	for c, ul := range takes {
		if ul > 0 && costs[c] < without {
			w.ratios = append(w.ratios, math.Floor((without-costs[c])/float64(ul)/quantum)*quantum)
		}
	}
}

// thinRatios sorts the prices of paint i that were found and keeps some of them.
func (w *endWalk) thinRatios(i int) []float64 {
	quantum := w.e.w.quantum
	slices.Sort(w.ratios)
	out := slices.Compact(w.ratios)
	// Sums must stay exact: no price at which all of the paint comes to more
	// than a sixty-fourth of the 2^53 quanta they are counted in.
	volume := float64(w.future[i]) + math.Abs(float64(w.lacks[i])) + float64(w.fills[i].ul)
	for len(out) > 1 && out[len(out)-1]*volume > quantum*(1<<47) {
		out = out[:len(out)-1]
	}
	if n := len(out); n > endPrices {
		for k := range endPrices {
			out[k] = out[k*n/endPrices]
		}
		out = out[:endPrices]
	}
	return out
}

// pays is what an option costs with the paints but one, and how much it takes of
// that one.
func (w *endWalk) pays(o, but int32) (cost float64, ul int64) {
	cost = w.e.r.optionCost(o)
	w.uses(o, func(i int32, n int64) {
		if i == but {
			ul += n
		} else {
			cost += w.price[i] * float64(n)
		}
	})
	return cost, ul
}

// sumRest sums up what the options of the needs from each on cost at least.
func (w *endWalk) sumRest() {
	n := len(w.p.needs)
	w.rest = flat.Resize(w.rest, n+1)
	w.rest[n] = 0
	for k := n - 1; k >= 0; k-- {
		least := math.Inf(1)
		for _, o := range w.of(k) {
			c, _ := w.pays(o, -1)
			least = min(least, c)
		}
		w.rest[k] = w.rest[k+1] + least
	}
}
