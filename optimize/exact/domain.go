package exact

import (
	"math"
	"slices"

	"halfpot/optimize"
	"halfpot/optimize/internal/whole"
)

// unitsMost stands for "no limit" where units of a paint are counted: all boxes
// of one offer come to less.
const unitsMost = 4 * optimize.MostBoxes

// domain is what a node of the search still allows.
type domain struct {
	alive   []bool  // options
	lo, hi  []int32 // boxes of each offer
	atLeast []int32 // units of each paint that are bought, by branching
	atMost  []int32
	closed  []bool  // whether a shop may stay unused
	bandLo  []int16 // bands a used shop may reach
	bandHi  []int16
}

func newDomain(m *model) *domain {
	d := &domain{
		alive: make([]bool, len(m.optNeed)), lo: make([]int32, len(m.price)), hi: slices.Clone(m.limit),
		atLeast: make([]int32, len(m.have)), closed: make([]bool, len(m.bands)),
		bandLo: make([]int16, len(m.bands)),
		bandHi: make([]int16, len(m.bands)),
		atMost: make([]int32, len(m.have)),
	}
	for q := range d.atMost {
		d.atMost[q] = unitsMost
	}
	for o := range d.alive {
		d.alive[o] = true
	}
	for h := range d.closed {
		d.closed[h] = true
		d.bandHi[h] = int16(len(m.bands[h]) - 1)
	}
	return d
}

// allows says whether a plan's boxes and options are in the domain.
func (d *domain) allows(m *model, plan *solution) bool {
	for _, o := range plan.choice {
		if !d.alive[o] {
			return false
		}
	}
	units := make([]int32, len(m.have))
	for j, n := range plan.x {
		if n < d.lo[j] || n > d.hi[j] {
			return false
		}
		for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
			units[m.conPaint[k]] += n * m.conUnits[k]
		}
	}
	for q, n := range units {
		if n < d.atLeast[q] || n > d.atMost[q] {
			return false
		}
	}
	return true
}

func (d *domain) clone() *domain {
	return &domain{
		alive:   slices.Clone(d.alive),
		lo:      slices.Clone(d.lo),
		hi:      slices.Clone(d.hi),
		atLeast: slices.Clone(d.atLeast),
		atMost:  slices.Clone(d.atMost),
		closed:  slices.Clone(d.closed),
		bandLo:  slices.Clone(d.bandLo),
		bandHi:  slices.Clone(d.bandHi),
	}
}

// unused says whether the shop is ruled out.
func (d *domain) unused(h int) bool { return d.bandLo[h] > d.bandHi[h] }

// settled says whether the shop is ruled out, or used and in one band.
func (d *domain) settled(h int) bool {
	return d.unused(h) || !d.closed[h] && d.bandLo[h] == d.bandHi[h]
}

func (d *domain) shut(m *model, h int) {
	d.closed[h] = true
	d.bandLo[h], d.bandHi[h] = 1, 0
	for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
		d.hi[j] = 0
	}
}

// facts are what a domain implies for each paint; propagate fills them.
type facts struct {
	extra  []int64 // for each use: volume beyond what every option of its need takes
	demand []int64 // volume taken whatever is chosen
	most   []int64 // the greatest volume a choice can take
	boxes  []int32 // units of the paint that must be bought
	room   []int32 // units that may be bought on top of those
	unitUL []int64 // the volume of a unit at most
	slack  []int64 // volume left over once the sure units are bought, at best
	supply []int64 // volume that can be had at most
	loose  []int64 // the most that options can take that what is at hand could serve one by one

	cnt []int32
	min []int64
	max []int64
}

func newFacts(m *model) *facts {
	p := len(m.have)
	return &facts{
		extra:  make([]int64, len(m.useUL)),
		demand: make([]int64, p),
		most:   make([]int64, p),
		boxes:  make([]int32, p),
		room:   make([]int32, p),
		unitUL: make([]int64, p),
		slack:  make([]int64, p),
		supply: make([]int64, p),
		loose:  make([]int64, p),
		cnt:    make([]int32, p), min: make([]int64, p), max: make([]int64, p),
	}
}

// propagate tightens the domain until nothing changes and works out the facts.
// It returns false when the domain holds no plan.
func (m *model) propagate(d *domain, f *facts) bool {
	for round := 0; ; round++ {
		changed, ok := m.propagateOnce(d, f)
		if !ok {
			return false
		}
		if !changed {
			m.sumLoose(d, f)
			return true
		}
	}
}

// sumLoose adds up what options take that what is at hand could serve.
func (m *model) sumLoose(d *domain, f *facts) {
	clear(f.loose)
	for n := range m.members {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if !d.alive[o] {
				continue
			}
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				if q := m.usePaint[u]; f.extra[u] <= f.slack[q] {
					f.max[q] = max(f.max[q], f.extra[u])
				}
			}
		}
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				q := m.usePaint[u]
				f.loose[q] += f.max[q]
				f.max[q] = 0
			}
		}
	}
}

// propagateOnce goes once through shops, paints, needs and offers.
func (m *model) propagateOnce(d *domain, f *facts) (changed, ok bool) {
	c, ok := m.propagateShops(d)
	if !ok {
		return false, false
	}
	changed = c
	if c, ok = m.countUnits(d, f); !ok {
		return false, false
	}
	changed = changed || c
	if !m.sumNeeds(d, f) {
		return false, false
	}
	if c, ok = m.dropOptions(d, f); !ok {
		return false, false
	}
	changed = changed || c
	if c, ok = m.sureUnits(d, f); !ok {
		return false, false
	}
	changed = changed || c
	if c, ok = m.limitOffers(d, f); !ok {
		return false, false
	}
	return changed || c, true
}

// sureUnits works out how many units of each paint the sure demand calls for and
// what is left over of them; boxes that only one offer holds are bought there.
func (m *model) sureUnits(d *domain, f *facts) (changed, ok bool) {
	for q := range m.have {
		short := f.demand[q] - m.have[q]
		if short > 0 {
			if f.supply[q] < f.demand[q] {
				return false, false
			}
			units := int32(whole.CeilDiv(short, f.unitUL[q]))
			f.room[q] -= max(0, units-f.boxes[q])
			f.boxes[q] = max(f.boxes[q], units)
		}
		f.slack[q] = m.have[q] - f.demand[q]
		if f.boxes[q] == 0 {
			continue
		}
		if f.room[q] < 0 {
			return false, false
		}
		f.slack[q] += int64(f.boxes[q]) * f.unitUL[q]
		only, n := source{}, 0
		for _, s := range m.sources[q] {
			if d.hi[s.off] > 0 {
				only = s
				n++
			}
		}
		if n == 1 {
			if sure := (f.boxes[q] + only.units - 1) / only.units; d.lo[only.off] < sure {
				d.lo[only.off] = sure
				changed = true
			}
		}
	}
	return changed, true
}

// limitOffers keeps every offer to the boxes that volume or branching can call for.
func (m *model) limitOffers(d *domain, f *facts) (changed, ok bool) {
	for j := range m.price {
		if d.lo[j] > d.hi[j] {
			return false, false
		}
		if d.lo[j] == d.hi[j] {
			continue
		}
		useful := int64(d.lo[j])
		for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
			q := m.conPaint[k]
			useful = max(useful, whole.CeilDiv(max(0, f.most[q]-m.have[q]), m.conUL[k]))
			if d.atLeast[q] > 0 {
				useful = max(useful, whole.CeilDiv(int64(d.atLeast[q]), int64(m.conUnits[k])))
			}
		}
		if useful < int64(d.hi[j]) {
			d.hi[j] = int32(useful)
			changed = true
		}
	}
	return changed, true
}

// countUnits works out what can be had of each paint and how many units are
// bought for certain, and keeps every offer within the units still allowed.
func (m *model) countUnits(d *domain, f *facts) (changed, ok bool) {
	for q := range m.have {
		f.demand[q], f.most[q] = 0, 0
		f.unitUL[q] = m.largestUnit(d, q)
		sure, all, supply := int64(0), int64(0), m.have[q]
		for _, s := range m.sources[q] {
			sure += int64(d.lo[s.off]) * int64(s.units)
			all += int64(d.hi[s.off]) * int64(s.units)
			supply = whole.SatAdd(supply, whole.SatMul(int64(d.hi[s.off]), s.ul))
		}
		if most := int64(d.atMost[q]); most < all {
			if sure > most {
				return false, false
			}
			for _, s := range m.sources[q] {
				if hi := d.lo[s.off] + int32((most-sure)/int64(s.units)); d.hi[s.off] > hi {
					d.hi[s.off] = hi
					changed = true
				}
			}
			all = most
			supply = min(supply, whole.SatAdd(m.have[q], whole.SatMul(most, f.unitUL[q])))
		}
		sure = max(sure, int64(d.atLeast[q]))
		if all < sure {
			return false, false
		}
		f.boxes[q], f.room[q] = int32(min(sure, unitsMost)), int32(min(all-sure, unitsMost))
		f.supply[q] = supply
	}
	return changed, true
}

// sumNeeds adds up what every choice takes, and what a choice takes at most; false
// where a need has no option left.
func (m *model) sumNeeds(d *domain, f *facts) bool {
	for n := range m.members {
		count := m.gatherUses(d, f, n)
		if count == 0 {
			return false
		}
		m.addUses(d, f, n, count)
	}
	return true
}

// gatherUses counts the options of a need and, of each paint, in how many it is and
// the least and the most that they take of it: f.cnt, f.min and f.max.
func (m *model) gatherUses(d *domain, f *facts, n int) (count int32) {
	for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
		if !d.alive[o] {
			continue
		}
		count++
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			q, ul := m.usePaint[u], m.useUL[u]
			if f.cnt[q] == 0 || ul < f.min[q] {
				f.min[q] = ul
			}
			f.max[q] = max(f.max[q], ul)
			f.cnt[q]++
		}
	}
	return count
}

// addUses adds a need of count options to the paints' sums, with what gatherUses
// found, and clears that: what all options take of a paint is taken for sure.
func (m *model) addUses(d *domain, f *facts, n int, count int32) {
	first, last := m.optStart[n], m.optStart[n+1]
	for o := first; o < last; o++ {
		if !d.alive[o] {
			continue
		}
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			q := m.usePaint[u]
			base := int64(0)
			if f.cnt[q] >= count {
				base = f.min[q]
			}
			f.extra[u] = m.useUL[u] - base
		}
	}
	for o := first; o < last; o++ {
		if !d.alive[o] {
			continue
		}
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			q := m.usePaint[u]
			if f.cnt[q] == 0 {
				continue
			}
			if f.cnt[q] >= count {
				f.demand[q] += f.min[q]
			}
			f.most[q] += f.max[q]
			f.cnt[q], f.max[q] = 0, 0
		}
	}
}

// dropOptions removes options for which too little of a paint can be had.
func (m *model) dropOptions(d *domain, f *facts) (changed, ok bool) {
	for n := range m.members {
		left := 0
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if !d.alive[o] {
				continue
			}
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				q := m.usePaint[u]
				if f.extra[u] > f.supply[q]-f.demand[q] {
					d.alive[o] = false
					changed = true
					break
				}
			}
			if d.alive[o] {
				left++
			}
		}
		if left == 0 {
			return false, false
		}
	}
	return changed, true
}

// pays says whether an order of the shop can bring in more than its goods
// cost, so that ordering goods nobody needs could make sense.
func (m *model) pays(h int) bool {
	return slices.ContainsFunc(m.bands[h], func(b optimize.Band) bool { return b.From+b.Fee < 0 })
}

// leastBill is what shop h charges at least when boxes worth goods are certain.
func (m *model) leastBill(d *domain, h int, goods int64) int64 {
	least := int64(math.MaxInt64)
	for k := d.bandLo[h]; k <= d.bandHi[h]; k++ {
		least = min(least, max(goods, m.bands[h][k].From)+m.bands[h][k].Fee)
	}
	if d.closed[h] {
		return min(least, 0)
	}
	return least
}

// propagateShops applies the number of shops, the cap, and what an order can be worth.
func (m *model) propagateShops(d *domain) (changed, ok bool) {
	used, paid := 0, int64(0) // paid: what goods and delivery cost at least
	for h := range m.bands {
		if d.unused(h) {
			if !d.closed[h] {
				return false, false
			}
			continue
		}
		least, c := m.reachBands(d, h)
		changed = changed || c
		if d.unused(h) {
			if !d.closed[h] {
				return false, false
			}
			d.shut(m, h)
			continue
		}
		if !d.closed[h] {
			used++
		}
		paid += m.leastBill(d, h, least)
	}
	if used > m.maxShops || paid > m.cap {
		return false, false
	}
	if used == m.maxShops {
		for h := range m.bands {
			if d.closed[h] && !d.unused(h) {
				d.shut(m, h)
				changed = true
			}
		}
	}
	return changed, true
}

// reachBands keeps a shop to the bands that its order can reach and those that it
// is not sure to pass, and returns what the order is worth at least.
func (m *model) reachBands(d *domain, h int) (least int64, changed bool) {
	most, any := int64(0), m.pays(h)
	for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
		if d.lo[j] > 0 && d.closed[h] {
			d.closed[h] = false
			changed = true
		}
		any = any || d.hi[j] > 0
		least += int64(d.lo[j]) * m.price[j]
		most = whole.SatAdd(most, whole.SatMul(int64(d.hi[j]), m.price[j]))
	}
	for _, f := range m.fillers[h] {
		most = whole.SatAdd(most, whole.SatMul(f.limit, f.price))
	}
	for d.bandHi[h] >= d.bandLo[h] && (!any || m.bands[h][d.bandHi[h]].From > most) {
		d.bandHi[h]--
		changed = true
	}
	for d.bandLo[h] < d.bandHi[h] && m.bands[h][d.bandLo[h]+1].From <= least {
		d.bandLo[h]++
		changed = true
	}
	return least, changed
}
