package exact

import (
	"math"
	"math/rand/v2"
	"slices"
)

// annealer improves a plan by taking a few boxes out and rebuilding what they
// served, many times over (ruin and recreate; Schrimpf et al., J. Comput.
// Phys. 159, 2000), accepting worse plans less and less. It counts what shops
// really charge, so it sees a delivery band come and go.
type annealer struct {
	b   *builder
	rng *rand.Rand

	cheapest []int64 // box of each shop
	open     []bool  // shops that are used
	kept     []bool  // and were in the plan last accepted

	sets  []int32 // offers of several paints that may be bought
	fresh int32   // the one bought in this round; -1: none

	gain   []float64 // what each saves on stranded needs; 0 but for those gained
	seen   []int32   // the last need counted there
	gained []int32

	mark   []int32 // needs met anew in this round
	stamp  int32
	needs  []int32
	paints []int32
	pMark  []int32
}

func newAnnealer(b *builder) *annealer {
	m := b.m
	cheapest := make([]int64, len(m.bands))
	for h, fs := range m.fillers {
		for i, f := range fs {
			if i == 0 || f.price < cheapest[h] {
				cheapest[h] = f.price
			}
		}
	}
	return &annealer{
		b:        b,
		cheapest: cheapest,
		open:     make([]bool, len(m.bands)),
		mark:     make([]int32, len(m.members)),
		pMark:    make([]int32, len(m.have)),
		gain:     make([]float64, len(m.price)),
		seen:     make([]int32, len(m.price)),
	}
}

// charge is what shop h charges for an order, without topping it up: below its
// first band the missing value counts as if bought.
func (a *annealer) charge(h int) float64 {
	m, w := a.b.m, a.b.w
	bands := m.bands[h]
	g := a.b.goods[h]
	best := math.Inf(1)
	for k := range bands {
		c := float64(bands[k].Fee) * w.money
		if gap := bands[k].From - g; gap > 0 {
			c += float64(max(gap, a.cheapest[h]))*w.money + w.box
		}
		best = min(best, c)
	}
	return best + w.shop
}

// exact is the plan's weight, up to what topping an order up overshoots.
func (a *annealer) exact() float64 {
	b, m := a.b, a.b.m
	sum, used := b.paid, 0
	for h := range m.bands {
		a.open[h] = b.boxes[h] > 0
		if a.open[h] {
			sum += a.charge(h)
			used++
		}
	}
	if used > m.maxShops {
		return math.Inf(1)
	}
	return sum
}

// cooling is how long a plan is annealed, and how warm it is at first: by how much
// money it may get worse in a round.
type cooling struct {
	rounds int
	seed   uint64
	warm   float64
	sets   bool // sets are tried in place of several boxes
}

const (
	usualWarm = 3
	coldest   = 0.2
)

// run improves the plan in the builder and leaves the best one found there.
func (a *annealer) run(s *search, c cooling) (best *solution, weight float64) {
	b, rounds := a.b, c.rounds
	a.rng = rand.New(rand.NewPCG(c.seed, 0x9e3779b97f4a7c15))
	if a.sets = a.sets[:0]; c.sets {
		a.listSets()
	}
	b.undo = b.undo[:0]
	now := a.exact()
	weight = math.Inf(1)
	if sol, w := s.worthOf(b.x, b.choice); sol != nil {
		best, weight = sol, w
	}
	least := now
	a.kept = append(a.kept[:0], a.open...)
	var held []int32 // offers with boxes
	hot, cold := c.warm*b.w.money, coldest*b.w.money
	for round := range rounds {
		t := hot * math.Pow(cold/hot, float64(round)/float64(rounds))
		if round%16 == 0 {
			held = held[:0]
			for j := range b.x {
				if b.x[j] > b.d.lo[j] {
					held = append(held, int32(j))
				}
			}
		}
		if len(held) == 0 || round%64 == 0 && ended(s.ctx) {
			break
		}
		mark, total := len(b.undo), b.total
		if !a.ruin(held) || !a.recreate() {
			b.rollback(mark, total)
			continue
		}
		a.tidy()
		next := a.exact()
		if next > now-t*math.Log(1-a.rng.Float64()) {
			b.rollback(mark, total)
			copy(a.open, a.kept)
			continue
		}
		copy(a.kept, a.open)
		now = next
		b.undo = b.undo[:0]
		if now < least-1e-9 {
			least = now
			if sol, w := s.worthOf(b.x, b.choice); sol != nil && w < weight {
				best, weight = sol, w
			}
		}
	}
	return best, weight
}

// ruin takes out one box and a few of those that serve the same needs.
func (a *annealer) ruin(held []int32) bool {
	b, m := a.b, a.b.m
	a.stamp++
	a.needs, a.paints, a.fresh = a.needs[:0], a.paints[:0], -1
	switch {
	case a.rng.IntN(3) == 0:
		return a.reshelve()
	case len(a.sets) > 0 && a.rng.IntN(insertEvery) == 0:
		return a.insert()
	}
	j := held[a.rng.IntN(len(held))]
	if b.x[j] <= b.d.lo[j] {
		return false
	}
	count := 1 + a.rng.IntN(4)
	b.stamp++
	for range count {
		b.buy(j, -1)
		if a.rng.IntN(4) > 0 {
			b.shun[j] = b.stamp
		}
		a.strand(j)
		if len(a.needs) == 0 {
			break
		}
		// Next: a box whose paint one of the stranded needs could use.
		n := a.needs[a.rng.IntN(len(a.needs))]
		o := m.optStart[n] + int32(a.rng.IntN(int(m.optStart[n+1]-m.optStart[n])))
		next := int32(-1)
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			for _, s := range m.sources[m.usePaint[u]] {
				if b.x[s.off] > b.d.lo[s.off] {
					next = s.off
				}
			}
		}
		if next < 0 {
			break
		}
		j = next
	}
	return true
}

const (
	insertEvery = 8  // rounds but those of the shelf, of which one buys a set
	insertNeeds = 24 // that it is tried on at most
)

// listSets collects the sets on offer: taking boxes out never shows what one would
// do in place of several others.
func (a *annealer) listSets() {
	b, m := a.b, a.b.m
	for j := range m.price {
		if m.conStart[j+1]-m.conStart[j] > 1 && b.d.lo[j] < b.d.hi[j] && b.cost[j] < math.Inf(1) {
			a.sets = append(a.sets, int32(j))
		}
	}
}

// insert buys a set and meets needs that could use it anew.
func (a *annealer) insert() bool {
	b, m := a.b, a.b.m
	j := a.sets[a.rng.IntN(len(a.sets))]
	if b.x[j] >= b.d.hi[j] || !a.open[m.offShop[j]] && a.rng.IntN(8) > 0 {
		return false
	}
	b.stamp++
	b.buy(j, 1)
	a.fresh = j
	for _, q := range m.conPaint[m.conStart[j]:m.conStart[j+1]] {
		a.touch(q)
		for _, pu := range m.byPaint[q] {
			if len(a.needs) < insertNeeds {
				a.release(m.optNeed[pu.opt])
			}
		}
	}
	return true
}

// reshelve takes the option from all needs that a paint's shelf stock serves,
// so that it can go to others.
func (a *annealer) reshelve() bool {
	b, m := a.b, a.b.m
	b.stamp++
	n := int32(a.rng.IntN(len(b.choice)))
	o := b.choice[n]
	if a.rng.IntN(2) == 0 {
		o = m.optStart[n] + int32(a.rng.IntN(int(m.optStart[n+1]-m.optStart[n])))
	}
	if m.useStart[o] == m.useStart[o+1] {
		return false
	}
	q := m.usePaint[m.useStart[o]+int32(a.rng.IntN(int(m.useStart[o+1]-m.useStart[o])))]
	a.release(n)
	for _, pu := range m.byPaint[q] {
		if k := m.optNeed[pu.opt]; b.choice[k] == pu.opt && len(a.needs) < 12 {
			a.release(k)
		}
	}
	return true
}

// release takes a need's option away.
func (a *annealer) release(n int32) {
	b, m := a.b, a.b.m
	o := b.choice[n]
	if o < 0 {
		return
	}
	for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
		a.touch(m.usePaint[u])
	}
	b.choose(n, -1)
	if a.mark[n] != a.stamp {
		a.mark[n] = a.stamp
		a.needs = append(a.needs, n)
	}
}

// strand takes the option from the needs that run short without the box.
func (a *annealer) strand(j int32) {
	b, m := a.b, a.b.m
	for c := m.conStart[j]; c < m.conStart[j+1]; c++ {
		q := m.conPaint[c]
		a.touch(q)
		if b.taken[q] <= b.vol[q] {
			continue
		}
		for _, pu := range m.byPaint[q] {
			n := m.optNeed[pu.opt]
			if b.choice[n] != pu.opt {
				continue
			}
			a.release(n)
		}
	}
}

func (a *annealer) touch(q int32) {
	if a.pMark[q] != a.stamp {
		a.pMark[q] = a.stamp
		a.paints = append(a.paints, q)
	}
}

// recreate meets the stranded needs again, in random order.
func (a *annealer) recreate() bool {
	b := a.b
	a.rng.Shuffle(len(a.needs), func(i, j int) { a.needs[i], a.needs[j] = a.needs[j], a.needs[i] })
	b.blur = a.rng
	if a.rng.IntN(50) > 0 {
		b.open = a.open
	}
	defer func() { b.blur, b.open = nil, nil }()
	a.buySets()
	for _, n := range a.needs {
		if b.choice[n] < 0 && !b.meet(n) {
			return false
		}
	}
	return true
}

// tidy takes out boxes that the rebuilding has made superfluous.
func (a *annealer) tidy() {
	b, m := a.b, a.b.m
	for _, n := range a.needs {
		o := b.choice[n]
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			a.touch(m.usePaint[u])
		}
	}
	slices.Sort(a.paints)
	drop := func(j int32) {
		if k := b.superfluous(j); k > 0 {
			b.buy(j, -k)
		}
	}
	for _, q := range a.paints {
		for _, s := range m.sources[q] {
			if s.off != a.fresh { // that which it was bought for goes first
				drop(s.off)
			}
		}
	}
	if a.fresh >= 0 {
		drop(a.fresh)
	}
}
