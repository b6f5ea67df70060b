package exact

import (
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// discount looks for the discounts that bound the components together best, by column
// generation (Dantzig & Wolfe 1960), and lists the columns at these; false where there are
// too many. Those of the relaxation miss what its rounded rows stand for.
func (e *endgame) discount(f *facts, past *tough) bool {
	var pool [][]column
	nu, best := e.nu, math.Inf(-1)
	e.room /= endCloser
	for range endDiscounts {
		for again := true; again; again = e.tighten() {
			if !e.list(f, past) { // anew: what was left out may be least now
				return false
			}
		}
		v := e.value(e.nu)
		if v > best {
			nu, best = e.nu, v
		}
		if v > e.cutoff {
			break
		}
		pool = e.addTo(pool)
		hope, ok := e.master()
		if !ok || hope-best <= endNear*(e.cutoff-best) {
			break
		}
	}
	e.nu, e.begun, e.room = nu, best, e.cutoff-best
	// With more room a component may be gone through another way, and its bound be lower.
	for range endDiscounts {
		if !e.list(f, past) {
			return false
		}
		v := e.value(e.nu)
		if e.cutoff-v <= e.room {
			return true
		}
		if !e.tighten() {
			e.begun, e.room = v, e.cutoff-v
		}
	}
	return false
}

// Discounts tried, the share of the room that others must promise to bring to be tried, and how
// much less room the columns have meanwhile.
const (
	endCloser    = 8
	endDiscounts = 30
	endNear      = 0.02
)

// master sets the discounts to the prices of the orders in the linear program that mixes
// the columns at hand, and gives its value.
func (e *endgame) master() (value float64, ok bool) {
	const cent = 64 // parts of a unit of money
	cols := make([]lp.Column, 0, len(e.columns)+len(e.held))
	for i := range e.columns {
		cols = append(cols, lp.Column{Cost: int64(e.columns[i].weight / e.w.money * cent), Upper: 1})
	}
	for h := range e.held {
		cols = append(cols, lp.Column{Cost: cent, Upper: int64(e.from[h]/e.w.money) + 1})
	}
	s, err := lp.New(cols)
	if err != nil {
		return 0, false
	}
	for h := range e.held {
		r := lp.Row{Lower: int64(e.from[h] / e.w.money), Upper: lp.Inf}
		for i := range e.columns {
			if g := int64(e.columns[i].goods[h] / e.w.money); g > 0 {
				r.Cols, r.Coefs = append(r.Cols, int32(i)), append(r.Coefs, g)
			}
		}
		r.Cols, r.Coefs = append(r.Cols, int32(len(e.columns)+h)), append(r.Coefs, 1)
		if s.AddRow(r) != nil {
			return 0, false
		}
	}
	for i := 0; i+1 < len(e.start); i++ {
		r := lp.Row{Lower: 1, Upper: 1}
		for k := e.start[i]; k < e.start[i+1]; k++ {
			r.Cols, r.Coefs = append(r.Cols, k), append(r.Coefs, 1)
		}
		if len(r.Cols) == 0 || s.AddRow(r) != nil {
			return 0, false
		}
	}
	if s.Solve(masterPivots) != lp.Optimal {
		return 0, false
	}
	for h := range e.held {
		e.nu[h] = min(max(math.Round(s.Price(h)/cent*nuSteps)/nuSteps, 0), 1)
	}
	return e.base + s.Objective()/cent*e.w.money, true
}

const masterPivots = 5000

// addTo adds the columns to those in a pool, by component, and makes these the columns.
func (e *endgame) addTo(pool [][]column) [][]column {
	n := len(e.start) - 1
	if pool == nil {
		pool = make([][]column, n)
	}
	for i := range n {
		for _, c := range e.columns[e.start[i]:e.start[i+1]] {
			if cost := e.planCost(c.plan); !math.IsInf(cost, 1) {
				c.weight -= cost // which may change
				if !slices.ContainsFunc(pool[i], func(p column) bool {
					return p.weight == c.weight && p.plan == c.plan && p.goods == c.goods
				}) {
					pool[i] = append(pool[i], c)
				}
			}
		}
	}
	e.columns = e.columns[:0]
	for i := range n {
		for _, c := range pool[i] {
			if c.weight += e.planCost(c.plan); !math.IsInf(c.weight, 1) {
				e.columns = append(e.columns, c)
			}
		}
		e.start[i+1] = int32(len(e.columns))
	}
	return pool
}

func (e *endgame) planCost(id int32) float64 {
	if id == noPlan {
		return 0
	}
	return e.plans[id].cost
}

// tighten works the options out that the bound rests on; false where these are known.
func (e *endgame) tighten() (any bool) {
	for i := 0; i+1 < len(e.start); i++ {
		best := e.start[i]
		for k := best + 1; k < e.start[i+1]; k++ {
			if e.columns[k].at(&e.nu) < e.columns[best].at(&e.nu) {
				best = k
			}
		}
		if best == e.start[i+1] {
			continue // nothing is left: narrow will see it
		}
		if id := e.columns[best].plan; id != noPlan && !e.plans[id].exact {
			any = e.settle(id) || any
		}
	}
	return any
}

// settleSome works out what the last table lacked; false where that was nothing, or nothing came of it.
func (e *endgame) settleSome() (any bool) {
	slices.Sort(e.unsettled)
	for _, id := range slices.Compact(e.unsettled) {
		any = e.settle(id) || any
	}
	return any
}
