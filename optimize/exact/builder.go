package exact

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"halfpot/optimize/internal/whole"
)

// builder makes plans by hand, so to speak: it gives every need its cheapest
// option, buys what is missing, and then takes boxes out one by one wherever
// the needs they serve can be met more cheaply some other way. Costs are
// estimates (a delivery band's discount, a set's other pots), so a plan is
// valued exactly at the end.
type builder struct {
	ctx context.Context // ends polishing early; nil: it is not asked
	m   *model
	w   weights
	d   *domain

	cost   []float64 // of one box of each offer as seen now; +Inf: not to be bought
	look   []float64 // what it looks like beside what its pots are worth to the needs
	shade  []float64 // what a microlitre on the shelf is worth to other needs, until a box is bought
	x      []int32
	vol    []int64 // shelf + bought
	taken  []int64
	choice []int32
	total  float64

	// What the boxes and choices really come to, without the shops' charges.
	goods []int64 // value of the order at each shop
	boxes []int64
	paid  float64 // weighted

	open  []bool  // where set, only these shops sell
	shun  []int32 // offers not to buy from, where equal to stamp
	stamp int32
	blur  *rand.Rand // where set, costs are blurred a little

	undo  []change
	order []int32
}

type change struct {
	need int32 // -1: offer
	at   int32
	old  int32
}

func newBuilder(m *model, w weights) *builder {
	return &builder{
		m:      m,
		w:      w,
		cost:   make([]float64, len(m.price)),
		look:   make([]float64, len(m.price)),
		shade:  make([]float64, len(m.have)),
		shun:   make([]int32, len(m.price)),
		stamp:  1,
		x:      make([]int32, len(m.price)),
		vol:    make([]int64, len(m.have)),
		taken:  make([]int64, len(m.have)),
		choice: make([]int32, len(m.members)),
		goods:  make([]int64, len(m.bands)),
		boxes:  make([]int64, len(m.bands)),
	}
}

// start forgets everything and begins from the boxes in x (nil: none).
func (b *builder) start(d *domain, x []int32) {
	b.d = d
	clear(b.x)
	copy(b.vol, b.m.have)
	clear(b.taken)
	for n := range b.choice {
		b.choice[n] = -1
	}
	b.total, b.paid = 0, 0
	clear(b.goods)
	clear(b.boxes)
	b.undo = b.undo[:0]
	for j := range b.x {
		k := d.lo[j]
		if x != nil {
			k = max(k, min(x[j], d.hi[j]))
		}
		if k > 0 && (b.cost[j] < math.Inf(1) || d.lo[j] > 0) {
			b.buy(int32(j), k)
		}
	}
	b.undo = b.undo[:0]
}

func (b *builder) buy(j, count int32) {
	b.undo = append(b.undo, change{-1, j, b.x[j]})
	b.x[j] += count
	for k := b.m.conStart[j]; k < b.m.conStart[j+1]; k++ {
		b.vol[b.m.conPaint[k]] += int64(count) * b.m.conUL[k]
	}
	h := b.m.offShop[j]
	b.goods[h] += int64(count) * b.m.price[j]
	b.boxes[h] += int64(count)
	b.paid += float64(count) * (float64(b.m.price[j])*b.w.money + b.w.box)
	if b.cost[j] < math.Inf(1) {
		b.total += float64(count) * b.cost[j]
	}
}

func (b *builder) choose(n, o int32) {
	old := b.choice[n]
	b.undo = append(b.undo, change{n, 0, old})
	if old >= 0 {
		b.take(old, -1)
	}
	b.choice[n] = o
	if o >= 0 {
		b.take(o, 1)
	}
}

func (b *builder) take(o int32, sign int64) {
	for u := b.m.useStart[o]; u < b.m.useStart[o+1]; u++ {
		b.taken[b.m.usePaint[u]] += sign * b.m.useUL[u]
	}
	c := float64(sign) * b.optionCost(o)
	b.total += c
	b.paid += c
}

func (b *builder) optionCost(o int32) float64 {
	return float64(b.m.optPts[o]) * (float64(b.m.cp)*b.w.money + b.w.point)
}

// rollback takes changes back until mark of them are left, and restores total.
func (b *builder) rollback(mark int, total float64) {
	for len(b.undo) > mark {
		c := b.undo[len(b.undo)-1]
		b.undo = b.undo[:len(b.undo)-1]
		keep := len(b.undo)
		if c.need >= 0 {
			b.choose(c.need, c.old)
		} else {
			b.buy(c.at, c.old-b.x[c.at])
		}
		b.undo = b.undo[:keep]
	}
	b.total = total
}

// seller is the offer from which what is short of paint q looks cheapest, how
// many boxes that takes (no more than are left), and what it looks like.
func (b *builder) seller(q int32, short int64) (best, count int32, least float64) {
	best, least = -1, math.Inf(1)
	for _, s := range b.m.sources[q] {
		j := s.off
		if b.look[j] >= least || b.x[j] >= b.d.hi[j] || b.open != nil && !b.open[b.m.offShop[j]] ||
			b.shun[j] == b.stamp {
			continue
		}
		boxes, cost := int64(1), b.look[j]
		if short > s.ul {
			boxes = whole.CeilDiv(short, s.ul)
			cost *= float64(boxes)
		}
		if cost < least {
			best, least = j, cost
			count = int32(min(boxes, int64(b.d.hi[j]-b.x[j])))
		}
	}
	return best, count, least
}

// optionNow is what option o would cost now: its points, and the boxes that
// are short for it.
func (b *builder) optionNow(o int32, limit float64) float64 {
	c := b.optionCost(o)
	for u := b.m.useStart[o]; u < b.m.useStart[o+1] && c < limit; u++ {
		q := b.m.usePaint[u]
		if short := b.taken[q] + b.m.useUL[u] - b.vol[q]; short > 0 {
			_, _, least := b.seller(q, short)
			c += least
		} else if b.vol[q] == b.m.have[q] {
			c += b.shade[q] * float64(b.m.useUL[u])
		}
	}
	return c
}

// meet gives need n the option that costs least now and buys what is short.
// It returns false where nothing on offer can do it.
func (b *builder) meet(n int32) bool {
	best, least := int32(-1), math.Inf(1)
	for o := b.m.optStart[n]; o < b.m.optStart[n+1]; o++ {
		if !b.d.alive[o] {
			continue
		}
		c := b.optionNow(o, least)
		if b.blur != nil && c < math.Inf(1) {
			c *= 0.9 + 0.2*b.blur.Float64()
			if b.blur.IntN(16) == 0 && best >= 0 {
				continue
			}
		}
		if c < least {
			best, least = o, c
		}
	}
	if best < 0 {
		return false
	}
	b.choose(n, best)
	return b.supply(best)
}

func (b *builder) supply(o int32) bool {
	for u := b.m.useStart[o]; u < b.m.useStart[o+1]; u++ {
		q := b.m.usePaint[u]
		for b.taken[q] > b.vol[q] {
			j, count, _ := b.seller(q, b.taken[q]-b.vol[q])
			if j < 0 {
				return false
			}
			b.buy(j, count)
		}
	}
	return true
}

// fillNeeds meets all needs that have no option yet, in the given order.
func (b *builder) fillNeeds(order []int32) bool {
	for i, n := range order {
		if i%64 == 63 && ended(b.ctx) || b.choice[n] < 0 && !b.meet(n) {
			return false
		}
	}
	return true
}

// fits says whether the volume at hand is enough for option o.
func (b *builder) fits(o int32) bool {
	for u := b.m.useStart[o]; u < b.m.useStart[o+1]; u++ {
		if q := b.m.usePaint[u]; b.taken[q]+b.m.useUL[u] > b.vol[q] {
			return false
		}
	}
	return true
}

// superfluous is how many boxes of offer j could go without a need running short.
func (b *builder) superfluous(j int32) int32 {
	boxes := int64(b.x[j] - b.d.lo[j])
	for c := b.m.conStart[j]; c < b.m.conStart[j+1] && boxes > 0; c++ {
		q := b.m.conPaint[c]
		boxes = min(boxes, (b.vol[q]-b.taken[q])/b.m.conUL[c])
	}
	return int32(max(boxes, 0))
}

// withdraw takes the superfluous boxes of offer j out, or else one box, and
// meets the needs that then run short some other way. It keeps the change only
// where that makes the plan cheaper.
func (b *builder) withdraw(j int32) bool {
	mark, total := len(b.undo), b.total
	if k := b.superfluous(j); k > 0 && b.cost[j] > 1e-9 {
		b.buy(j, -k)
		return true
	}
	b.buy(j, -1)
	hi := b.d.hi[j]
	b.d.hi[j] = b.x[j] // do not buy it straight back
	ok := true
	for k := b.m.conStart[j]; k < b.m.conStart[j+1] && ok; k++ {
		q := b.m.conPaint[k]
		if b.taken[q] <= b.vol[q] {
			continue
		}
		ok = b.moveOff(q, total)
	}
	b.d.hi[j] = hi
	if !ok || b.total >= total-1e-9 {
		b.rollback(mark, total)
		return false
	}
	return true
}

// moveOff frees needs from paint q until what is left of it suffices.
func (b *builder) moveOff(q int32, total float64) bool {
	for _, pu := range b.m.byPaint[q] {
		n := b.m.optNeed[pu.opt]
		if b.choice[n] != pu.opt {
			continue
		}
		b.choose(n, -1)
		if !b.meet(n) || b.total >= total {
			return false
		}
		if b.taken[q] <= b.vol[q] {
			return true
		}
	}
	return b.taken[q] <= b.vol[q]
}

// polish withdraws boxes, dearest first, until that helps no more.
func (b *builder) polish(rounds int) {
	for range rounds {
		b.order = b.order[:0]
		for j := range b.x {
			if b.x[j] > b.d.lo[j] {
				b.order = append(b.order, int32(j))
			}
		}
		slices.SortStableFunc(b.order, func(i, j int32) int { return cmp.Compare(b.cost[j], b.cost[i]) })
		better := false
		for i, j := range b.order {
			if i%16 == 0 && ended(b.ctx) {
				return
			}
			for b.x[j] > b.d.lo[j] && b.withdraw(j) {
				better = true
				b.undo = b.undo[:0]
			}
		}
		b.undo = b.undo[:0]
		if b.ease() {
			better = true
		}
		if !better {
			return
		}
	}
}

// ease lets each need take a cheaper option that the boxes at hand allow.
func (b *builder) ease() (better bool) {
	for n := range b.choice {
		o := b.choice[n]
		now := b.optionCost(o)
		if now == 0 {
			continue
		}
		mark, total := len(b.undo), b.total
		b.choose(int32(n), -1)
		if !b.meet(int32(n)) || b.total >= total-1e-9 {
			b.rollback(mark, total)
			continue
		}
		better = true
	}
	b.undo = b.undo[:0]
	return better
}
