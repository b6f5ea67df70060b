package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/internal/flat"
)

// endWalk finds the columns of a component. It goes through the numbers of its sets,
// the options of its needs and all boxes that fill its paints up then, but for
// what loses more than the room at the discounts the endgame begins with, and
// what another column does with no more weight and no less for the orders held.
type endWalk struct {
	e *endgame
	m *model
	f *facts
	p *component

	lacks   []int64 // what is missing of each paint at this point
	fills   []endFill
	boxes   [][]endBox // that each paint can be filled up with
	options []int32    // of the needs: need k's are options[start[k]:start[k+1]]
	start   []int32
	future  []int64     // most that the needs from each on can take of each paint
	seen    [][]endSeen // where the walk has been at each need
	price   []float64   // of a microlitre of each paint, see bound
	rest    []float64   // least that the options of the needs from each on cost
	ratios  []float64
	rigid   bool // no column adds to an order: the lightest will do

	taken []int32 // sets and options so far, as in the book
	best  float64 // least that a column weighs at the discounts
	first int     // of the component's columns
	steps int     // that may still be gone, those of filling paints included

	states, next []column
	filled       []int32

	large  bool // where needs are too many, volumes of boxes are gone through
	byPots potWalk
	plan   int32 // of the columns being added
}

// endBox is a box of an offer that serves one paint of the component.
type endBox struct {
	off    int32
	most   int32
	ul     int64
	weight float64
	goods  goods
}

// endFill sums up the boxes that a paint can be filled up with.
type endFill struct {
	ul    int64   // most that one holds; 0 where there is none
	alike bool    // all hold as much
	cost  float64 // least that one weighs at the discounts
}

// endSeen is a place where the walk has been.
type endSeen struct {
	weight float64
	goods  goods
	lacks  []int64
}

const (
	endPotSteps = 1 << 15 // of the walks of an endgame that goes by volumes,
	endPotFirst = 1 << 12 // and early in a search
	endSetSteps = 1 << 5  // that going through volumes for given numbers of sets counts for
	endMet      = 1 << 6  // places remembered for each need
	endFills    = 1 << 9  // ways to fill paints up for given options
	endBoxes    = 16      // of one paint
	endColumns  = 1 << 11 // columns of one component
	endBook     = 1 << 20 // entries in the book
)

// endQuick is the steps of a walk without prices; a variable for tests.
var endQuick = 1 << 8

func (w *endWalk) begin(e *endgame, f *facts) {
	w.e, w.m, w.f, w.steps = e, e.s.m, f, e.s.thorough().endSteps
	if e.byPots {
		if w.steps = endPotSteps; e.s.early() {
			w.steps = endPotFirst
		}
	}
}

// component adds the columns of a component; false where these are too many.
func (w *endWalk) component(p *component) bool {
	w.p, w.first, w.plan = p, len(w.e.columns), noPlan
	w.layOutPaints()
	w.layOutNeeds()
	// Most components are gone through before prices would pay.
	w.price = flat.Resize(w.price, len(w.lacks))
	clear(w.price)
	w.sumRest()
	rest := w.steps - min(w.steps, endQuick)
	w.steps -= rest
	w.large = false
	ok := w.goThrough()
	if w.steps = max(w.steps, 0) + rest; !ok {
		if w.large = w.e.byPots; w.large {
			w.byPots.layOutNeeds(w)
		}
		if w.setPrices(); w.steps == 0 || !w.goThrough() {
			return false
		}
	}
	w.thinOut()
	w.e.start = append(w.e.start, int32(len(w.e.columns)))
	return true
}

// goThrough lists the columns from the beginning.
func (w *endWalk) goThrough() bool {
	w.e.columns, w.taken, w.best = w.e.columns[:w.first], w.taken[:0], math.Inf(1)
	for k := range w.p.needs {
		w.seen[k] = w.seen[k][:0]
	}
	w.seen[len(w.p.needs)] = w.seen[len(w.p.needs)][:0]
	return w.sets(0, 0, goods{})
}

func (w *endWalk) layOutPaints() {
	e, p := w.e, w.p
	w.lacks, w.fills = w.lacks[:0], w.fills[:0]
	w.rigid = len(p.sets) == 0
	for len(w.boxes) < len(p.paints) {
		w.boxes = append(w.boxes, nil)
	}
	for i, q := range p.paints {
		w.lacks = append(w.lacks, e.components.lacks[q])
		w.boxes[i] = w.boxes[i][:0]
		fill := endFill{cost: math.Inf(1), alike: true}
		for _, src := range w.m.sources[q] {
			j := src.off
			if e.d.lo[j] == e.d.hi[j] || e.serves(j) > 1 {
				continue
			}
			b := endBox{off: j, most: e.d.hi[j] - e.d.lo[j], ul: src.ul}
			b.weight, b.goods = w.buy(j)
			w.boxes[i] = append(w.boxes[i], b)
			fill.alike = fill.alike && (fill.ul == 0 || fill.ul == b.ul)
			fill.cost, fill.ul = min(fill.cost, b.weight-b.goods.at(&e.nu)), max(fill.ul, b.ul)
			w.rigid = false
		}
		w.fills = append(w.fills, fill)
	}
}

// buy is what a box weighs and adds to the orders held.
func (w *endWalk) buy(j int32) (weight float64, g goods) {
	price := float64(w.m.price[j]) * w.e.w.money
	if h := w.e.dim[w.m.offShop[j]]; h >= 0 {
		g[h] = price
	}
	return price + w.e.w.box, g
}

// layOutNeeds puts the needs that can take most first, and their options in
// order of cost.
func (w *endWalk) layOutNeeds() {
	p, n := w.p, len(w.p.paints)
	slices.SortStableFunc(p.needs, func(a, b int32) int { return cmp.Compare(w.volume(b), w.volume(a)) })
	w.options, w.start = w.options[:0], append(w.start[:0], 0)
	for _, need := range p.needs {
		from := len(w.options)
		for o := w.m.optStart[need]; o < w.m.optStart[need+1]; o++ {
			if w.e.d.alive[o] {
				w.options = append(w.options, o)
			}
		}
		slices.SortStableFunc(w.options[from:], func(a, b int32) int {
			return cmp.Compare(w.e.r.optionCost(a), w.e.r.optionCost(b))
		})
		w.start = append(w.start, int32(len(w.options)))
	}
	for len(w.seen) <= len(p.needs) {
		w.seen = append(w.seen, nil)
	}
	w.future = flat.Resize(w.future, (len(p.needs)+1)*n)
	clear(w.future)
	for k := len(p.needs) - 1; k >= 0; k-- {
		most := w.future[k*n : k*n+n]
		for _, o := range w.of(k) {
			w.uses(o, func(i int32, ul int64) { most[i] = max(most[i], ul) })
		}
		for i := range most {
			most[i] += w.future[(k+1)*n+i]
		}
	}
}

// of is the options of the component's need k.
func (w *endWalk) of(k int) []int32 { return w.options[w.start[k]:w.start[k+1]] }

// uses yields what an option takes of the component's paints, by their places.
func (w *endWalk) uses(o int32, yield func(i int32, ul int64)) {
	u := &w.e.components
	for c := w.m.useStart[o]; c < w.m.useStart[o+1]; c++ {
		if q := w.m.usePaint[c]; u.short[q] && !u.alone[q] && w.f.extra[c] > 0 {
			yield(u.place[q], w.f.extra[c])
		}
	}
}

// volume is the most that an option of a need takes of the component's paints.
func (w *endWalk) volume(need int32) (most int64) {
	for o := w.m.optStart[need]; o < w.m.optStart[need+1]; o++ {
		sum := int64(0)
		if w.e.d.alive[o] {
			w.uses(o, func(_ int32, ul int64) { sum += ul })
		}
		most = max(most, sum)
	}
	return most
}

// sets goes through the numbers of the sets from k on.
func (w *endWalk) sets(k int, weight float64, g goods) bool {
	if k == len(w.p.sets) {
		if w.large {
			if w.steps -= endSetSteps; w.steps < 0 {
				return false
			}
			return w.pots(weight, g)
		}
		return w.needs(0, weight, g)
	}
	j := w.p.sets[k]
	price, adds := w.buy(j)
	open := func(sign int64) {
		for c := w.m.conStart[j]; c < w.m.conStart[j+1]; c++ {
			if q := w.m.conPaint[c]; w.e.components.short[q] {
				w.lacks[w.e.components.place[q]] -= sign * w.m.conUL[c]
			}
		}
	}
	n, taken := w.e.d.hi[j]-w.e.d.lo[j], len(w.taken)
	ok := w.sets(k+1, weight, g)
	for c := int32(1); ok && c <= n; c++ {
		open(1)
		weight, g = weight+price, g.plus(&adds)
		w.taken = append(w.taken, j)
		ok = w.sets(k+1, weight, g)
	}
	open(-int64(len(w.taken) - taken))
	w.taken = w.taken[:taken]
	return ok
}

// needs goes through the options of the needs from k on.
func (w *endWalk) needs(k int, weight float64, g goods) bool {
	if w.steps--; w.steps < 0 {
		return false
	}
	least := weight - g.at(&w.e.nu) + w.bound(k)
	if math.IsInf(least, 1) || least > w.best+w.e.room || w.rigid && least >= w.best || w.met(k, weight, &g) {
		return true
	}
	if k == len(w.p.needs) {
		return w.fill(weight, g)
	}
	for _, o := range w.of(k) {
		w.uses(o, func(i int32, ul int64) { w.lacks[i] += ul })
		w.taken = append(w.taken, -1-o)
		ok := w.needs(k+1, weight+w.e.r.optionCost(o), g)
		w.taken = w.taken[:len(w.taken)-1]
		w.uses(o, func(i int32, ul int64) { w.lacks[i] -= ul })
		if !ok {
			return false
		}
	}
	return true
}

// met says whether the walk has been at need k with no more weight, no less
// goods and nothing more missing: what follows has been gone through then. It
// remembers the place otherwise.
func (w *endWalk) met(k int, weight float64, g *goods) bool {
	n := len(w.lacks)
	future := w.future[k*n : k*n+n]
	for i := range w.seen[k] {
		s := &w.seen[k][i]
		if s.weight <= weight && s.goods.noLess(g) && lackNoMore(s.lacks, w.lacks, future) {
			return true
		}
	}
	if k == 0 || len(w.seen[k]) == endMet {
		return false
	}
	lacks := slices.Clone(w.lacks)
	if k == len(w.p.needs) {
		for i := range lacks {
			if s := &w.fills[i]; s.alike && lacks[i] > 0 {
				lacks[i] = (lacks[i]-1)/s.ul*s.ul + 1 // the least that takes as many boxes
			}
		}
	}
	w.seen[k] = append(w.seen[k], endSeen{weight, *g, lacks})
	return false
}

// lackNoMore says that a lacks no more than b of any paint, as far as it can
// come to be missing.
func lackNoMore(a, b, future []int64) bool {
	for i := range a {
		if a[i] > b[i] && a[i] > -future[i] {
			return false
		}
	}
	return true
}
