package optimize

import (
	"cmp"
	"math"
	"slices"
)

// value is the bound at the discounts, and notes each item's cheapest choice.
func (e *endgame) value() float64 {
	sum := e.base
	for h, nu := range e.nu {
		if nu > 0 {
			sum += nu * (e.from[h] - e.sure[h])
		}
	}
	for i := range e.took {
		best, least := int32(-1), math.Inf(1)
		for c := e.items[i]; c < e.items[i+1]; c++ {
			if e.open[c] {
				if v := (1 - e.nu[e.choice[c].shop]) * e.choice[c].price; v < least {
					best, least = c, v
				}
			}
		}
		e.took[i], e.cost[i] = best, least
		sum += least
	}
	return sum
}

// raise sets the discounts one after the other to what lifts the bound most,
// while that helps.
func (e *endgame) raise() float64 {
	now := e.value()
	for range 6 {
		before := now
		for h := range e.nu {
			if e.from[h] <= 0 {
				continue
			}
			was := e.nu[h]
			exact := e.discount(int32(h)) * nuSteps
			for _, nu := range [2]float64{math.Floor(exact) / nuSteps, math.Ceil(exact) / nuSteps} {
				if nu == was {
					continue
				}
				keep := e.nu[h]
				e.nu[h] = nu
				if v := e.value(); v > now {
					now = v
				} else {
					e.nu[h] = keep
				}
			}
		}
		if now <= before {
			break
		}
	}
	return e.value()
}

// discount is the least discount at which shop h's order reaches its threshold,
// when all boxes it makes cheapest there are bought there.
func (e *endgame) discount(h int32) float64 {
	gap := e.from[h] - e.sure[h]
	e.breaks = e.breaks[:0]
	for i := range e.took {
		here, other := 0.0, math.Inf(1)
		for c := e.items[i]; c < e.items[i+1]; c++ {
			switch b := &e.choice[c]; {
			case !e.open[c]:
			case b.shop == h:
				if here == 0 || b.price < here {
					here = b.price
				}
			default:
				other = min(other, (1-e.nu[b.shop])*b.price)
			}
		}
		if here == 0 {
			continue
		}
		if other >= here {
			gap -= here
			continue
		}
		e.breaks = append(e.breaks, breakAt{1 - other/here, here})
	}
	if gap <= 0 {
		return 0
	}
	slices.SortFunc(e.breaks, func(a, b breakAt) int { return cmp.Compare(a.nu, b.nu) })
	for _, b := range e.breaks {
		if gap -= b.price; gap <= 0 {
			return min(b.nu, 1)
		}
	}
	return 1
}

// slack is how much a plan that is wanted may weigh beyond the bound. Money
// comes in whole units, and the later levels weigh the same in all answers or more.
func (e *endgame) slack() float64 {
	return math.Floor((e.cut-e.rest)/e.w.money)*e.w.money + e.rest - e.bound
}

// loss is what choice c of item i costs beyond the cheapest.
func (e *endgame) loss(c int32, i int) float64 {
	return (1-e.nu[e.choice[c].shop])*e.choice[c].price - e.cost[i]
}

// rule closes every choice that would lift the bound too far.
func (e *endgame) rule() (changed bool) {
	slack := e.slack()
	for i, took := range e.took {
		for c := e.items[i]; c < e.items[i+1]; c++ {
			if e.open[c] && c != took && e.loss(c, i) > slack {
				e.open[c] = false
				changed = true
			}
		}
	}
	return changed
}

// list collects the choices that are still open, least loss first.
func (e *endgame) list() {
	e.others = e.others[:0]
	for i, took := range e.took {
		for c := e.items[i]; c < e.items[i+1]; c++ {
			if e.open[c] && c != took {
				e.others = append(e.others, other{c, e.loss(c, i)})
			}
		}
	}
	slices.SortStableFunc(e.others, func(a, b other) int { return cmp.Compare(a.loss, b.loss) })
}

// sets is about how many sets of choices lose no more than the slack.
func (e *endgame) sets(slack float64) float64 {
	const cells = 128
	e.counts = resize(e.counts, cells+1)
	clear(e.counts)
	e.counts[0] = 1
	for _, o := range e.others {
		by := 0
		if slack > 0 {
			by = int(o.loss / slack * cells)
		}
		for k := cells; k >= by; k-- {
			e.counts[k] += e.counts[k-by]
		}
	}
	sum := 0.0
	for _, n := range e.counts {
		sum += n
	}
	return sum
}

// next notes, for each place in the list and each shop, the least loss from
// there on of a choice that brings a box to the shop, and that takes one away.
func (e *endgame) next() {
	n, shops := len(e.others), len(e.from)
	e.into, e.outOf = resize(e.into, (n+1)*shops), resize(e.outOf, (n+1)*shops)
	for h := range shops {
		e.into[n*shops+h], e.outOf[n*shops+h] = math.Inf(1), math.Inf(1)
	}
	for k := n - 1; k >= 0; k-- {
		copy(e.into[k*shops:(k+1)*shops], e.into[(k+1)*shops:])
		copy(e.outOf[k*shops:(k+1)*shops], e.outOf[(k+1)*shops:])
		to := &e.choice[e.others[k].choice]
		e.into[k*shops+int(to.shop)] = e.others[k].loss
		e.outOf[k*shops+int(e.choice[e.took[to.item]].shop)] = e.others[k].loss
	}
}

// mend is what it costs at least to bring the orders near their thresholds with
// choices from at on: an order that falls short takes one more box, or is topped
// up; one that passes it gives one away, or pays for what it passes it by.
func (e *endgame) mend(at int) float64 {
	first := at * len(e.from)
	short, long := 0.0, 0.0
	for _, h := range e.held {
		if over := e.over[h]; over < 0 {
			short += min(e.into[first+int(h)], (e.nu[h]-1)*over)
		} else {
			long += min(e.outOf[first+int(h)], e.nu[h]*over)
		}
	}
	return max(short, long)
}

// through goes through the sets that take others from index at on; false when
// it was stopped.
func (e *endgame) through(at int, lost float64) bool {
	if e.left--; e.left < 0 || e.left%(1<<14) == 0 && ended(e.ctx) {
		return false
	}
	e.try(lost)
	if lost+e.mend(at) > e.room {
		return true
	}
	for k := at; k < len(e.others); k++ {
		o := &e.others[k]
		if lost+o.loss > e.room {
			break
		}
		to := &e.choice[o.choice]
		if e.moved[to.item] {
			continue
		}
		from := &e.choice[e.took[to.item]]
		e.moved[to.item] = true
		e.over[from.shop] -= from.price
		e.over[to.shop] += to.price
		e.x[from.off]--
		e.x[to.off]++
		ok := e.through(k+1, lost+o.loss)
		e.moved[to.item] = false
		e.over[from.shop] += from.price
		e.over[to.shop] -= to.price
		e.x[from.off]++
		e.x[to.off]--
		if !ok {
			return false
		}
	}
	return true
}

// try values the boxes in x, whose losses sum to lost.
func (e *endgame) try(lost float64) {
	for _, h := range e.held {
		if over := e.over[h]; over >= 0 {
			lost += e.nu[h] * over
		} else {
			lost -= (1 - e.nu[h]) * over
		}
	}
	if lost > e.room {
		return
	}
	if sol, w := e.s.worthOf(e.x, e.pick); sol != nil && w <= e.cut {
		e.best, e.bestW, e.cut = sol, w, w-e.s.unit
		e.room = e.slack()
	}
}
