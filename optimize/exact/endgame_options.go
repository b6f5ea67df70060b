package exact

import (
	"cmp"
	"encoding/binary"
	"math"
	"slices"

	"halfpot/optimize/internal/flat"
)

// potSteps is the steps of one search for options, before the linear relaxation is asked; a
// variable for tests.
var potSteps = 1 << 12

// raisePrices looks for prices that bound best what the options cost within the room, from
// those given, and gives that bound; it gives up beyond enough.
func (a *potWalk) raisePrices(w *endWalk, prices []float64, enough float64) float64 {
	a.now = append(a.now[:0], prices...)
	bound := a.optionBound(w.future)
	for range 2 {
		if bound > enough {
			break
		}
		before := bound
		for i := range a.now {
			keep := a.now[i]
			for _, price := range a.worths(w, i) {
				a.now[i] = price
				if v := a.optionBound(w.future); v > bound {
					bound, keep = v, price
				}
			}
			a.now[i] = keep
		}
		w.steps -= potTrial
		if bound <= before {
			break
		}
	}
	return bound
}

// optionBound is what the options cost at least at the prices now (Lagrangian relaxation of the room).
func (a *potWalk) optionBound(future []int64) float64 {
	n := len(a.now)
	sum := 0.0
	for at := range a.order {
		least := math.Inf(1)
		for c := a.first[at]; c < a.first[at+1]; c++ {
			least = min(least, a.pays(c, -1))
		}
		sum += least
	}
	for i, room := range a.room[:n] {
		sum -= a.now[i] * float64(min(room, future[i]))
	}
	return sum
}

// pays is what option c costs at the prices now, with the paints but one.
func (a *potWalk) pays(c int32, but int) float64 {
	n := len(a.now)
	cost := a.costs[c]
	for i, ul := range a.takes[int(c)*n : int(c)*n+n] {
		if ul > 0 && i != but {
			cost += a.now[i] * float64(ul)
		}
	}
	return cost
}

// worths is endWalk.worths from options laid out flat: here prices are asked for with every
// choice of volumes.
func (a *potWalk) worths(w *endWalk, i int) []float64 {
	n := len(a.now)
	w.beginRatios(i)
	for at := range a.order {
		a.without, a.taken = a.without[:0], a.taken[:0]
		for c := a.first[at]; c < a.first[at+1]; c++ {
			a.without, a.taken = append(a.without, a.pays(c, i)), append(a.taken, a.takes[int(c)*n+i])
		}
		w.addRatios(a.without, a.taken)
	}
	return w.thinRatios(i)
}

// whole rounds what options cost up to what they can cost.
func (a *potWalk) whole(cost float64) float64 {
	if a.grain == 0 {
		return cost
	}
	return math.Ceil(cost/a.grain-1e-9) * a.grain
}

// settle works the options of a plan out, or a better bound on what they cost, and brings its
// columns up to date; false where nothing came of it.
func (e *endgame) settle(id int32) bool {
	p := &e.plans[id]
	if p.spent {
		return false
	}
	p.spent = true
	was := p.cost
	e.walk.search(p)
	for i := range e.columns {
		if c := &e.columns[i]; c.plan == id {
			c.weight += p.cost - was
		}
	}
	return p.exact || p.cost > was
}

// potAnswer is what a search for options came to: nothing but the needs, their options, the room
// and the boxes decide it.
type potAnswer struct {
	cost    float64
	exact   bool
	options []int32
}

const potAnswers = 1 << 14 // kept

// search looks for the least cost of a plan's options, or remembers it.
func (w *endWalk) search(p *potPlan) {
	a := &w.byPots
	w.p = &w.e.components.list[p.component]
	w.layOutPaints()
	w.layOutNeeds()
	a.layOutNeeds(w)
	a.room = append(a.room[:0], p.room...)
	// Nothing but the key may have a say in what is remembered: nodes come to threads in any order.
	clear(w.lacks)
	for i := range w.fills {
		w.fills[i].cost = math.Inf(1)
		for _, b := range w.boxes[i] {
			w.fills[i].cost = min(w.fills[i].cost, b.weight)
		}
	}
	key := a.key(w)
	answer, known := a.known[key]
	if !known {
		answer = w.searchNew()
		if a.known == nil || len(a.known) >= potAnswers {
			a.known = map[string]potAnswer{}
		}
		a.known[key] = answer
	}
	p.cost, p.exact, p.options = max(p.cost, answer.cost), answer.exact, answer.options
}

// searchNew raises the cost by one grain after the other until options are found.
func (w *endWalk) searchNew() potAnswer {
	a := &w.byPots
	w.price = flat.Resize(w.price, len(w.lacks))
	clear(w.price)
	cost := a.whole(a.raisePrices(w, w.price, math.Inf(1)))
	a.layOutBounds(w)
	dearest := 0.0
	for at := range a.order {
		most := 0.0
		for c := a.first[at]; c < a.first[at+1]; c++ {
			most = max(most, a.costs[c])
		}
		dearest += most
	}
	for a.left = potSteps; cost <= dearest; cost += a.grain {
		a.fewest = cost + a.grain/2 + w.e.w.quantum
		goal := a.fewest
		a.pick(0, 0)
		switch {
		case a.left < 0:
			cost, picks, exact := a.choose(cost)
			return w.answer(cost, picks, exact)
		case a.fewest < goal:
			return w.answer(cost, a.picked, true)
		}
		if a.grain == 0 {
			break
		}
	}
	return potAnswer{cost: math.Inf(1), exact: true} // there is no room for the needs
}

// answer is a choice in terms of the problem's options.
func (w *endWalk) answer(cost float64, picks []int, exact bool) potAnswer {
	out := potAnswer{cost: cost, exact: exact}
	for at, pick := range picks {
		out.options = append(out.options, w.of(w.byPots.order[at])[pick])
	}
	return out
}

// key tells the needs, their options and the room from all others.
func (a *potWalk) key(w *endWalk) string {
	var b []byte
	for _, v := range a.room {
		b = binary.AppendVarint(b, v)
	}
	for i := range a.room {
		b = binary.AppendUvarint(binary.AppendVarint(b, w.fills[i].ul), math.Float64bits(w.fills[i].cost))
	}
	n := len(a.room)
	for at, k := range a.order {
		b = binary.AppendVarint(b, -1)
		for c := a.first[at]; c < a.first[at+1]; c++ {
			b = binary.AppendVarint(b, int64(w.of(k)[a.option[c]]))
			for _, ul := range a.takes[int(c)*n : int(c)*n+n] {
				b = binary.AppendVarint(b, ul)
			}
		}
	}
	return string(b)
}

// layOutOptions lists the options of the needs, in the order of these, the cheapest first.
func (a *potWalk) layOutOptions(w *endWalk) {
	n := len(w.lacks)
	a.first = append(a.first[:0], 0)
	a.option, a.costs, a.takes = a.option[:0], a.costs[:0], a.takes[:0]
	for _, k := range a.order {
		for c, o := range w.of(k) {
			a.option, a.costs = append(a.option, int32(c)), append(a.costs, w.e.r.optionCost(o))
			at := len(a.takes)
			a.takes = append(a.takes, make([]int64, n)...)
			w.uses(o, func(i int32, ul int64) { a.takes[at+int(i)] += ul })
		}
		a.first = append(a.first, int32(len(a.option)))
	}
}

// layOutBounds works out what the needs from each on cost at least at some prices around
// those of the walk: with other room left, others bound best.
func (a *potWalk) layOutBounds(w *endWalk) {
	n, needs := len(w.lacks), len(a.order)
	a.prices = append(a.prices[:0], a.now...)
	with := func(i int, price float64) {
		a.prices = append(a.prices, a.now...)
		a.prices[len(a.prices)-n+i] = math.Floor(price/w.e.w.quantum) * w.e.w.quantum
	}
	for i, price := range a.now {
		if s := &w.fills[i]; price == 0 && s.ul > 0 {
			price = s.cost / float64(s.ul)
		}
		for _, by := range potFactors {
			with(i, by*price)
		}
	}
	kinds := max(1, len(a.prices)/max(n, 1))
	a.suffix = flat.Resize(a.suffix, kinds*(needs+1))
	a.most = flat.Resize(a.most, (needs+1)*n)
	clear(a.most[needs*n:])
	for j := range kinds {
		a.suffix[j*(needs+1)+needs] = 0
	}
	for at := needs - 1; at >= 0; at-- {
		most := a.most[at*n : at*n+n]
		clear(most)
		for c := a.first[at]; c < a.first[at+1]; c++ {
			for i, ul := range a.takes[int(c)*n : int(c)*n+n] {
				most[i] = max(most[i], ul)
			}
		}
		for i := range most {
			most[i] += a.most[(at+1)*n+i]
		}
		for j := range kinds {
			prices, least := a.prices[j*n:j*n+n], math.Inf(1)
			for c := a.first[at]; c < a.first[at+1]; c++ {
				cost := a.costs[c]
				for i, ul := range a.takes[int(c)*n : int(c)*n+n] {
					cost += prices[i] * float64(ul)
				}
				least = min(least, cost)
			}
			a.suffix[j*(needs+1)+at] = a.suffix[j*(needs+1)+at+1] + least
		}
	}
	a.lately = 0
	a.sortOptions()
}

// sortOptions puts the options of each need in order of what they cost at the prices now.
func (a *potWalk) sortOptions() {
	a.by = a.by[:0]
	for at := range a.order {
		from := len(a.by)
		for c := a.first[at]; c < a.first[at+1]; c++ {
			a.by = append(a.by, c)
		}
		slices.SortStableFunc(a.by[from:], func(x, y int32) int {
			return cmp.Compare(a.pays(x, -1), a.pays(y, -1))
		})
	}
}

// potFactors are how far such prices lie from the walk's.
var potFactors = [...]float64{0, 0.5, 0.8, 1.25, 2, 4}

// restCosts says whether the needs from at on cost at least so much within the room left.
// The prices that said so last are asked first.
func (a *potWalk) restCosts(at int, much float64) bool {
	if len(a.prices) == 0 {
		return a.suffix[at] >= much
	}
	n, stride := len(a.room), len(a.order)+1
	most := a.most[at*n : at*n+n]
	kinds := len(a.prices) / n
	for k := range kinds {
		j := a.lately + k
		if j >= kinds {
			j -= kinds
		}
		v := a.suffix[j*stride+at]
		for i, price := range a.prices[j*n : j*n+n] {
			v -= price * float64(min(a.room[i], most[i]))
		}
		if v >= much {
			a.lately = j
			return true
		}
	}
	return false
}

// pick chooses options for the needs from at on (branch and bound), in the room that those
// before left; these cost so much.
func (a *potWalk) pick(at int, cost float64) {
	if a.left--; a.left < 0 {
		return
	}
	n := len(a.room)
	for i, least := range a.spare[at*n : at*n+n] {
		if a.room[i] < least {
			return
		}
	}
	if at == len(a.order) {
		if cost < a.fewest {
			a.fewest = cost
			copy(a.picked, a.picks)
		}
		return
	}
	if a.restCosts(at, a.fewest-cost) {
		return
	}
	for _, c := range a.by[a.first[at]:a.first[at+1]] {
		o := int(a.option[c])
		if a.alike[at] && o < a.picks[at-1] {
			continue
		}
		takes := a.takes[int(c)*n : int(c)*n+n]
		for i, ul := range takes {
			a.room[i] -= ul
		}
		a.picks[at] = o
		a.pick(at+1, cost+a.costs[c])
		for i, ul := range takes {
			a.room[i] += ul
		}
		if a.left < 0 {
			return
		}
	}
}
