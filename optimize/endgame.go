package optimize

import (
	"context"
	"math"
)

// endgame solves what is left of a part in which every need has its option,
// every shop its delivery band, and every paint that is short takes a known
// number of boxes: which shop sells them. Where orders are held at thresholds,
// many such answers lie within a few cents of each other, and no bound tells
// them apart. With a discount nu for each threshold T no plan costs less than
//
//	sum over boxes of the least (1-nu)*price + sum over shops of nu*(T - sure goods)
//
// where a discount of 1 stands for topping the order up (Lagrangian relaxation
// of the thresholds). A box from another shop than the cheapest adds its loss, so
// all answers worth having are found among the sets of boxes whose losses sum to
// no more than the gap; where these are not too many they are gone through.
type endgame struct {
	ctx context.Context
	s   *search
	d   *domain
	w   weights

	items  []int32 // the choices of item i are at items[i]:items[i+1]
	choice []boxAt
	from   []float64 // value that an order must reach; 0 where no threshold is held
	sure   []float64 // value of its boxes that are certain
	base   float64   // weight of all that is certain, with the charges
	rest   float64   // and of the later levels, which are the same for all answers

	cut float64 // weight above which no plan is wanted

	open []bool // choices that are not ruled out
	nu   []float64
	took []int32   // cheapest choice of each item
	cost []float64 // and its cost

	others []other   // the choices that are not cheapest, least loss first
	held   []int32   // shops with a threshold
	over   []float64 // what each order passes its threshold by, with the boxes in x
	into   []float64 // see next
	outOf  []float64
	room   float64 // what a plan that is wanted may lose; see slack
	moved  []bool  // items that do not take the cheapest choice
	bound  float64
	left   int64 // sets that may still be gone through
	counts []float64

	need   []int32 // boxes that each paint of the model takes
	x      []int32
	breaks []breakAt
	pick   []int32 // option of each need
	best   *solution
	bestW  float64
}

// boxAt is a box of an item from one shop.
type boxAt struct {
	off, shop, item int32
	price           float64 // weighted
}

// other is a choice that is not its item's cheapest.
type other struct {
	choice int32
	loss   float64
}

type breakAt struct{ nu, price float64 }

const (
	endItems = 600     // choices of an endgame at most
	endMost  = 8 << 20 // sets of boxes worth considering at most, before those that mend nothing are left out
	endSeen  = 2 << 20 // and gone through at most
	endInner = 32      // a search near a plan goes through so many times fewer
)

// prepare sets the endgame up for a bounded part; false where it is not one.
func (e *endgame) prepare(s *search, d *domain, r *relax, f *facts, p *point, cut float64) bool {
	m := s.m
	if len(r.needs) > 0 || s.w.spare != 0 {
		return false
	}
	for h := range m.bands {
		if !d.unused(h) && (d.closed[h] || d.bandLo[h] < d.bandHi[h]) {
			return false
		}
	}
	e.s, e.d, e.w, e.cut, e.best = s, d, s.w, cut, nil
	e.items, e.choice = append(e.items[:0], 0), e.choice[:0]
	if !e.count(m, f) {
		return false
	}
	item := int32(0)
	for q, n := range e.need {
		for range n {
			for _, src := range m.sources[q] {
				if j := src.off; d.lo[j] < d.hi[j] {
					e.choice = append(e.choice, boxAt{j, m.offShop[j], item, float64(m.price[j]) * s.w.money})
				}
			}
			e.items = append(e.items, int32(len(e.choice)))
			item++
		}
	}
	if len(e.choice) > endItems {
		return false
	}
	e.charges(m, r, item)
	e.options(m)
	e.begin(p)
	return true
}

// count works out how many boxes each paint takes beyond the certain ones;
// false where that depends on which boxes, or where a box serves two of them.
func (e *endgame) count(m *model, f *facts) bool {
	e.need = resize(e.need, len(m.have))
	clear(e.need)
	for q := range m.have {
		left := f.demand[q] - m.have[q]
		sure, least, most, room := int32(0), int64(math.MaxInt64), int64(0), int32(math.MaxInt32)
		for _, src := range m.sources[q] {
			j := src.off
			left -= satMul(int64(e.d.lo[j]), src.ul)
			sure += e.d.lo[j] * src.units
			if e.d.lo[j] < e.d.hi[j] {
				least, most = min(least, src.ul), max(most, src.ul)
				room = min(room, e.d.hi[j]-e.d.lo[j])
			}
		}
		if left <= 0 {
			if e.d.atLeast[q] > sure {
				return false
			}
			continue
		}
		if most == 0 {
			e.need[q] = 1 // and nothing to choose from: there is no plan
			continue
		}
		n := ceilDiv(left, most)
		if n != ceilDiv(left, least) || n > int64(room) || int64(e.d.atLeast[q]) > int64(sure)+n {
			return false
		}
		e.need[q] = int32(n)
	}
	for j := range m.price {
		if e.d.lo[j] == e.d.hi[j] {
			continue
		}
		served := 0
		for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
			if e.need[m.conPaint[k]] > 0 {
				served++
			}
		}
		if served > 1 {
			return false
		}
	}
	return true
}

// charges adds up what is certain.
func (e *endgame) charges(m *model, r *relax, boxes int32) {
	e.from, e.sure = resize(e.from, len(m.bands)), resize(e.sure, len(m.bands))
	e.base, e.rest = r.constant, 0
	for h := range m.bands {
		e.from[h], e.sure[h] = 0, 0
		if e.d.unused(h) {
			continue
		}
		k := e.d.bandLo[h]
		e.from[h] = r.from[h][k]
		e.base += float64(m.bands[h][k].Fee)*e.w.money + e.w.shop
		e.rest += e.w.shop
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			n := float64(e.d.lo[j])
			e.sure[h] += n * float64(m.price[j]) * e.w.money
			e.rest += n * e.w.box
			e.base += n * e.w.box
		}
		e.base += e.sure[h]
	}
	e.rest += float64(boxes) * e.w.box
	e.base += float64(boxes) * e.w.box
}

// options notes the option of each need.
func (e *endgame) options(m *model) {
	e.pick = resize(e.pick, len(m.members))
	for n := range e.pick {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if e.d.alive[o] {
				e.pick[n] = o
				e.rest += float64(m.optPts[o]) * e.w.point
			}
		}
	}
}

// begin opens all choices, at the discounts that the bounded part ends with.
func (e *endgame) begin(p *point) {
	n := len(e.items) - 1
	e.open, e.nu = resize(e.open, len(e.choice)), resize(e.nu, len(e.from))
	e.took, e.cost, e.moved = resize(e.took, n), resize(e.cost, n), resize(e.moved, n)
	clear(e.moved)
	for i := range e.open {
		e.open[i] = true
	}
	e.held = e.held[:0]
	for h := range e.nu {
		e.nu[h] = 0
		if e.from[h] > 0 {
			e.nu[h] = p.shop[h].nu
			e.held = append(e.held, int32(h))
		}
	}
}

// run solves the endgame. done is false where it would take too long.
func (e *endgame) run(ctx context.Context) (best *solution, weight float64, done bool) {
	for {
		e.bound = e.raise()
		if math.IsInf(e.bound, 1) || e.slack() < 0 {
			return nil, 0, true
		}
		if !e.rule() {
			break
		}
	}
	e.list()
	few := int64(1)
	if e.s.inner {
		few = endInner
	}
	e.room = e.slack()
	if e.sets(e.room) > float64(endMost/few) {
		return nil, 0, false
	}
	e.next()
	e.ctx, e.left = ctx, endSeen/few
	e.x = append(e.x[:0], e.d.lo...)
	e.over = append(e.over[:0], e.sure...)
	for h, from := range e.from {
		e.over[h] -= from
	}
	for _, c := range e.took {
		b := &e.choice[c]
		e.x[b.off]++
		e.over[b.shop] += b.price
	}
	done = e.through(0, 0)
	return e.best, e.bestW, done
}
