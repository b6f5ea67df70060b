package exact

import "math"

// value is the bound at discounts nu.
func (e *endgame) value(nu goods) float64 {
	sum := e.base + e.from.at(&nu)
	for i := 0; i+1 < len(e.start); i++ {
		sum += e.least(e.start[i], e.start[i+1], &nu)
	}
	return sum
}

// at is what a column weighs at discounts nu.
func (a *column) at(nu *goods) float64 { return a.weight - a.goods.at(nu) }

// least is the least that one of the columns from:to weighs at discounts nu.
func (e *endgame) least(from, to int32, nu *goods) float64 {
	least := math.Inf(1)
	for k := from; k < to; k++ {
		least = min(least, e.columns[k].at(nu))
	}
	return least
}

// narrow raises the bound and leaves out the columns that it rules out; false where
// no plan that is wanted is left.
func (e *endgame) narrow() bool {
	const rounds = 10
	for range rounds {
		bound := e.raise()
		if bound > e.cutoff {
			return false
		}
		e.spread(bound)
		if !e.rule() {
			break
		}
	}
	e.release()
	return true
}

// raise sets the discounts one after the other to what lifts the bound most,
// while that helps, and returns the bound.
func (e *endgame) raise() float64 {
	const rounds = 6
	now := e.value(e.nu)
	for range rounds {
		before := now
		for i := range e.held {
			at := e.nu
			value := func(step int) float64 {
				at[i] = float64(step) / nuSteps
				return e.value(at)
			}
			// The bound is concave in a discount: look for where it turns.
			lo, hi := 0, nuSteps
			for lo < hi {
				mid := (lo + hi) / 2
				if value(mid+1) > value(mid) {
					lo = mid + 1
				} else {
					hi = mid
				}
			}
			if v := value(lo); v > now {
				now, e.nu[i] = v, float64(lo)/nuSteps
			}
		}
		if now <= before {
			break
		}
	}
	return now
}

// spread lays out discounts around the best ones, with one, or two, of them
// moved so far that the bound loses about a third of the room: a plan, or part
// of one, may be ruled out there that is not at the best ones.
func (e *endgame) spread(bound float64) {
	const share = 3
	e.grid = append(e.grid[:0], e.nu)
	var by [endHeld][2]float64
	for i := range e.held {
		for k, sign := range [2]float64{-1, 1} {
			step := 1.0
			for ; step < nuSteps; step *= 2 {
				nu := e.nu.moved(i, sign*step/nuSteps)
				if nu[i] == 0 || nu[i] == 1 || e.value(nu) < bound-(e.cutoff-bound)/share {
					break
				}
			}
			by[i][k] = sign * step / nuSteps
			e.grid = append(e.grid, e.nu.moved(i, by[i][k]), e.nu.moved(i, 2*by[i][k]))
		}
	}
	if len(e.held) > endPairs {
		return
	}
	for i := range e.held {
		for k := range i {
			for c := range 4 {
				e.grid = append(e.grid, e.nu.moved(i, by[i][c/2]).moved(k, by[k][c%2]))
			}
		}
	}
}

// endPairs is the number of orders up to which discounts are moved two at a time.
const endPairs = 4

// moved is g with its i-th part moved by v, kept between 0 and 1.
func (g goods) moved(i int, v float64) goods {
	g[i] = min(max(g[i]+v, 0), 1)
	return g
}

// rule leaves out every column that would lift the bound too far, at any of the
// discounts laid out.
func (e *endgame) rule() (changed bool) {
	for g := range e.grid {
		nu := &e.grid[g]
		room := e.cutoff - e.value(*nu)
		out, from := int32(0), int32(0)
		for i := 0; i+1 < len(e.start); i++ {
			to := e.start[i+1]
			least := e.least(from, to, nu)
			for k := from; k < to; k++ {
				if e.columns[k].at(nu)-least <= room {
					e.columns[out] = e.columns[k]
					out++
				}
			}
			from, e.start[i+1] = to, out
		}
		if int(out) < len(e.columns) {
			e.columns = e.columns[:out]
			changed = true
		}
	}
	return changed
}

// release lets go of the thresholds that every plan that is wanted reaches: one
// that fell short of it would weigh too much, with a charge on the order's goods
// in place of a discount.
func (e *endgame) release() {
	for i := len(e.held) - 1; i >= 0; i-- {
		nu := e.nu
		for step := 1.0; step <= nuSteps; step *= 2 {
			if nu[i] = -step / nuSteps; e.value(nu) > e.cutoff {
				e.letGo(i)
				break
			}
		}
	}
}

// letGo takes the i-th order out of those held.
func (e *endgame) letGo(i int) {
	last := len(e.held) - 1
	e.held[i] = e.held[last]
	e.held = e.held[:last]
	out := func(g *goods) { g[i], g[last] = g[last], 0 }
	out(&e.from)
	out(&e.nu)
	for g := range e.grid {
		out(&e.grid[g])
	}
	for k := range e.columns {
		out(&e.columns[k].goods)
	}
}
