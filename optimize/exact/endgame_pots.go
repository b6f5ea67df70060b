package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/internal/flat"
	"halfpot/optimize/internal/whole"
)

// Where dozens of needs hang together by a few paints, their options are far too many to
// go through, but what is bought of these paints is not. So the walk may go through
// volumes of boxes instead, paint by paint, each with the least that the needs' options
// cost within them.

// potWalk is the memory of a walk by volumes.
type potWalk struct {
	levels [][]potLevel // of each paint
	least  []float64    // least that the levels of the paints from each on come to
	room   []int64      // volume that the options may take of each paint

	// Needs alike stand side by side: one takes no option before that of the one before it.
	order []int
	alike []bool
	spare []int64 // least that the needs from each on take of each paint

	prices []float64 // several for each paint
	suffix []float64 // least that the needs from each on cost at each of these
	most   []int64   // that the needs from each on can take of each paint
	first  []int32   // the options of the need at each place of order are first[at]:first[at+1]
	option []int32   // place of each among its need's
	costs  []float64
	takes  []int64   // of each paint
	by     []int32   // options, the cheapest at the prices first
	now    []float64 // prices being tried
	// Of one need's options: what they cost without one paint, and take of it.
	without []float64
	taken   []int64
	lately  int // prices that bounded last
	known   map[string]potAnswer
	picks   []int
	picked  []int // the best
	fewest  float64
	left    int     // steps of one search
	grain   float64 // what options cost is whole multiples of it
}

// potLevel is a volume of boxes of one paint.
type potLevel struct {
	ul   int64
	cost float64 // least that such boxes weigh at the discounts
	net  float64 // less what the options pay for the volume
}

const (
	potLevels = 64      // of one paint
	potPlans  = 1 << 11 // of one component
	potTrial  = 16      // steps of the walk that looking for prices is worth
)

// potPlan is room for options within given volumes of boxes.
type potPlan struct {
	component int32
	room      []int64 // that the options may take of each paint
	cost      float64 // of the options: a bound, or where exact is set what they cost
	priced    bool    // the bound is as good as prices make it
	exact     bool
	spent     bool // it was searched
	options   []int32
}

// noPlan is a column whose options stand in the book.
const noPlan int32 = -1

// pots goes through the volumes of boxes of all paints.
func (w *endWalk) pots(weight float64, g goods) bool {
	a := &w.byPots
	if !a.layOutLevels(w) {
		return false
	}
	n := len(w.lacks)
	a.least = flat.Resize(a.least, n+1)
	a.least[n] = 0
	for i := n - 1; i >= 0; i-- {
		if len(a.levels[i]) == 0 {
			return true // what is missing is not to be had
		}
		a.least[i] = a.least[i+1] + a.levels[i][0].net
	}
	a.room = flat.Resize(a.room, n)
	bought := make([]int64, n)
	return w.levelsFrom(0, weight, weight-g.at(&w.e.nu)+w.rest[0], 0, g, bought)
}

// layOutLevels lists the levels, the most hopeful first; false where there are too many.
func (a *potWalk) layOutLevels(w *endWalk) bool {
	for len(a.levels) < len(w.lacks) {
		a.levels = append(a.levels, nil)
	}
	for i, lacks := range w.lacks {
		if a.levels[i] = w.volumes(a.levels[i][:0], i); len(a.levels[i]) > potLevels {
			return false
		}
		a.levels[i] = slices.DeleteFunc(a.levels[i], func(l potLevel) bool { return l.ul < lacks })
		for k := range a.levels[i] {
			l := &a.levels[i][k]
			l.net = l.cost - w.price[i]*float64(min(l.ul-lacks, w.future[i]))
		}
		slices.SortFunc(a.levels[i], func(x, y potLevel) int {
			return cmp.Or(cmp.Compare(x.net, y.net), cmp.Compare(x.ul, y.ul))
		})
	}
	return true
}

// volumes lists what boxes of paint i can hold together, up to the first volumes that are
// enough for all, each with the least weight at the discounts.
func (w *endWalk) volumes(out []potLevel, i int) []potLevel {
	out = append(out, potLevel{})
	least, most := w.unitsOpen(i)
	enough := max(w.lacks[i]+w.future[i], least)
	for k := 0; k < len(out) && len(out) <= potLevels; k++ {
		if out[k].ul >= enough {
			continue
		}
		for _, b := range w.boxes[i] {
			ul, cost := out[k].ul+b.ul, out[k].cost+b.weight-b.goods.at(&w.e.nu)
			at := slices.IndexFunc(out, func(l potLevel) bool { return l.ul == ul })
			switch {
			case at < 0:
				out = append(out, potLevel{ul: ul, cost: cost})
			case cost < out[at].cost:
				out[at].cost = cost
			}
		}
		slices.SortFunc(out[k+1:], func(x, y potLevel) int { return cmp.Compare(x.ul, y.ul) })
	}
	if len(out) > potLevels {
		return out
	}
	return slices.DeleteFunc(out, func(l potLevel) bool { return l.ul < least || l.ul > most })
}

// unitsOpen are the least and the most that boxes of paint i may hold together, by the units
// that the node allows.
func (w *endWalk) unitsOpen(i int) (least, most int64) {
	if len(w.p.sets) > 0 || !w.fills[i].alike || w.fills[i].ul == 0 {
		return 0, math.MaxInt64
	}
	q := w.p.paints[i]
	sure, each := int32(0), int32(0)
	for _, src := range w.m.sources[q] {
		sure += w.e.d.lo[src.off] * src.units
		if w.e.d.lo[src.off] < w.e.d.hi[src.off] {
			if each > 0 && each != src.units {
				return 0, math.MaxInt64
			}
			each = src.units
		}
	}
	// What is open serves this paint alone: one of these boxes is so many units.
	units := int64(w.f.boxes[q] - sure)
	least = whole.CeilDiv(max(units, 0), int64(each)) * w.fills[i].ul
	return least, max(units+int64(w.f.room[q]), 0) / int64(each) * w.fills[i].ul
}

// layOutNeeds brings needs alike together and lists their options.
func (a *potWalk) layOutNeeds(w *endWalk) {
	needs, n := len(w.p.needs), len(w.lacks)
	points := int64(0)
	for _, o := range w.options {
		points = whole.GCD(points, w.m.optPts[o])
	}
	a.grain = float64(points) * (float64(w.m.cp)*w.e.w.money + w.e.w.point)
	a.order = a.order[:0]
	for k := range needs {
		a.order = append(a.order, k)
	}
	slices.SortStableFunc(a.order, w.compareNeeds)
	a.alike = flat.Resize(a.alike, needs)
	a.spare = flat.Resize(a.spare, (needs+1)*n)
	clear(a.spare)
	for at := needs - 1; at >= 0; at-- {
		k := a.order[at]
		a.alike[at] = at > 0 && w.compareNeeds(a.order[at-1], k) == 0
		least := a.spare[at*n : at*n+n]
		for c, o := range w.of(k) {
			uses := make([]int64, n)
			w.uses(o, func(i int32, ul int64) { uses[i] += ul })
			for i, ul := range uses {
				if c == 0 || ul < least[i] {
					least[i] = ul
				}
			}
		}
		for i := range least {
			least[i] += a.spare[(at+1)*n+i]
		}
	}
	a.picks, a.picked = flat.Resize(a.picks, needs), flat.Resize(a.picked, needs)
	a.layOutOptions(w)
}

// compareNeeds orders needs so that those whose options cost and take the same are equal.
func (w *endWalk) compareNeeds(x, y int) int {
	a, b := w.of(x), w.of(y)
	volumeX, volumeY := w.volume(w.p.needs[x]), w.volume(w.p.needs[y])
	if c := cmp.Or(cmp.Compare(volumeY, volumeX), cmp.Compare(len(a), len(b))); c != 0 {
		return c
	}
	list := func(o int32) (out []int64) {
		w.uses(o, func(i int32, ul int64) { out = append(out, int64(i), ul) })
		return out
	}
	for i := range a {
		c := cmp.Compare(w.e.r.optionCost(a[i]), w.e.r.optionCost(b[i]))
		if c = cmp.Or(c, slices.Compare(list(a[i]), list(b[i]))); c != 0 {
			return c
		}
	}
	return 0
}

// levelsFrom goes through the levels of the paints from i on. The boxes so far weigh boxes at the
// discounts; all else, net of what is paid for volume, comes to net.
func (w *endWalk) levelsFrom(i int, weight, net, boxes float64, g goods, bought []int64) bool {
	a := &w.byPots
	if i == len(w.lacks) {
		return w.potLeaf(weight, weight-g.at(&w.e.nu)+boxes, g, bought)
	}
	for _, l := range a.levels[i] {
		if w.steps--; w.steps < 0 {
			return false
		}
		if net+l.net+a.least[i+1] > w.best+w.e.room {
			break
		}
		bought[i], a.room[i] = l.ul, l.ul-w.lacks[i]
		if !w.levelsFrom(i+1, weight, net+l.net, boxes+l.cost, g, bought) {
			return false
		}
	}
	return true
}

// potLeaf adds the columns of given volumes, where sets and boxes weigh base at the discounts.
// Their options are worked out when a plan may hold them; until then a bound stands for
// what they cost.
func (w *endWalk) potLeaf(weight, base float64, g goods, bought []int64) bool {
	e := w.e
	most := w.best + e.room - base
	id := e.planOf(int32(len(e.start)) - 1)
	p := &e.plans[id]
	if len(e.plansOf[p.component]) > potPlans {
		return false
	}
	if !p.priced && p.cost <= most {
		p.cost = max(p.cost, w.byPots.whole(w.byPots.raisePrices(w, w.price, most)))
		p.priced = p.cost <= most
	}
	cost := p.cost
	if cost > most || math.IsInf(cost, 1) {
		return true
	}
	w.plan = id
	lacks := w.lacks
	w.lacks = bought
	ok := w.fill(weight+cost, g)
	w.lacks, w.plan = lacks, noPlan
	return ok
}

// planOf is the plan of the walk's room in a component, a new one where there is none yet.
func (e *endgame) planOf(component int32) int32 {
	room := e.walk.byPots.room
	for len(e.plansOf) <= int(component) {
		e.plansOf = append(e.plansOf, nil)
	}
	for _, id := range e.plansOf[component] {
		if slices.Equal(e.plans[id].room, room) {
			return id
		}
	}
	id := int32(len(e.plans))
	e.plans = append(e.plans, potPlan{component: component, room: slices.Clone(room), cost: math.Inf(-1)})
	e.plansOf[component] = append(e.plansOf[component], id)
	return id
}
