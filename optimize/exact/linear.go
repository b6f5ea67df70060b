package exact

import (
	"slices"

	"halfpot/optimize/internal/whole"
	"halfpot/optimize/lp"
)

// linear is the form of a relaxation: it lays the plans of a domain out as columns. What is
// settled already has no column. Columns are known by what they stand for:
//
//	y[o]     option o is taken
//	x[j]     boxes of offer j
//	some[q]  1 where any box that holds paint q is bought
//	pots[c]  boxes of class c: those that hold the same volume of one paint
//	units[q] units of paint q in all boxes bought
//	shop[h]  1 where shop h is used
//	band[b]  1 where it is and its order is in the band (over all shops)
//	extra[h] money spent there on goods nobody needs, to reach a threshold
//
// Such an index over all kinds is a term; terms stand in linearRow.
type linear struct {
	m *model
	w weights

	// The first term of each kind.
	xAt, someAt, potAt, unitAt, shopAt, bandAt, extraAt, terms int32

	potStart []int32 // classes of each paint
	potUL    []int64
	paintOf  []int32 // of each class
	potOffs  [][]int32
	bandOff  []int32 // first band of each shop

	col       []int32 // column of each term, -1 where settled
	value     []int64 // value of each settled term
	term      []int32 // of each column
	cols      []lp.Column
	base      int64   // weight of what is settled
	moneyMost int64   // what plans may cost; noCap: anything
	sure      []int64 // value of the boxes each shop is sure to sell
	dearest   []int64 // price of the dearest box of each shop
	top       []int32 // most boxes of each offer
	short     []bool  // for each use: whoever takes it must buy a box of the paint
	core      []linearRow
}

// linearRow demands of terms: lower <= sum of coefs * terms <= upper.
type linearRow struct {
	terms        []int32
	coefs        []int64
	lower, upper int64
	kind         rowKind
	key          int32 // of a core row: what it is about, in every form of a model
}

type rowKind uint8

const (
	coreRow rowKind = iota
	linkRow         // part of the form, put in when it is broken
	cutRow          // rounded
	sumRow          // a side of a split on a sum
)

// What core rows are about.
const (
	needKey = iota
	volumeKey
	someKey
	unitsKey
	sumKey
	oneKey
	goodsKey
	countKey
	coreKinds
)

func coreKey[T int | int32](index T, kind int32) int32 { return int32(index)*coreKinds + kind }

func (r *linearRow) add(term int32, coef int64) {
	r.terms, r.coefs = append(r.terms, term), append(r.coefs, coef)
}

// newLinear lays out the plans of a domain.
func newLinear(m *model, w weights, d *domain, f *facts, moneyMost int64) *linear {
	l := &linear{m: m, w: w, moneyMost: moneyMost, potStart: []int32{0}}
	for q := range m.have {
		at := len(l.potUL)
		for _, s := range m.sources[q] {
			k := slices.Index(l.potUL[at:], s.ul)
			if k < 0 {
				k = len(l.potUL) - at
				l.potUL, l.potOffs, l.paintOf = append(l.potUL, s.ul), append(l.potOffs, nil), append(l.paintOf, int32(q))
			}
			l.potOffs[at+k] = append(l.potOffs[at+k], s.off)
		}
		l.potStart = append(l.potStart, int32(len(l.potUL)))
	}
	bands := int32(0)
	for h := range m.bands {
		dearest := int64(0)
		for _, f := range m.fillers[h] {
			dearest = max(dearest, f.price)
		}
		l.dearest = append(l.dearest, dearest)
		l.bandOff = append(l.bandOff, bands)
		bands += int32(len(m.bands[h]))
	}
	l.bandOff = append(l.bandOff, bands)
	l.xAt = int32(len(m.optNeed))
	l.someAt = l.xAt + int32(len(m.price))
	l.potAt = l.someAt + int32(len(m.have))
	l.unitAt = l.potAt + int32(len(l.potUL))
	l.shopAt = l.unitAt + int32(len(m.have))
	l.bandAt = l.shopAt + int32(len(m.bands))
	l.extraAt = l.bandAt + bands
	l.terms = l.extraAt + int32(len(m.bands))
	l.begin(d, f)
	return l
}

// pot is the term of class c: an offer alone in its class stands for it.
func (l *linear) pot(c int32) int32 {
	if len(l.potOffs[c]) == 1 {
		return l.xAt + l.potOffs[c][0]
	}
	return l.potAt + c
}

// unitTerm is the term that counts the units of paint q, and how many units one of it is.
func (l *linear) unitTerm(q int32) (term int32, units int64) {
	if c := l.potStart[q]; l.potStart[q+1] == c+1 {
		return l.pot(c), int64(l.unitsOf(c))
	}
	return l.unitAt + q, 1
}

// unitsOf is the units of its paint in a box of class c.
func (l *linear) unitsOf(c int32) int32 {
	j := l.potOffs[c][0]
	m := l.m
	for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
		if q := m.conPaint[k]; l.potStart[q] <= c && c < l.potStart[q+1] {
			return m.conUnits[k]
		}
	}
	return 1
}

// bounds are what the domain allows of a term.
func (l *linear) bounds(d *domain, f *facts, t int32) (lo, hi int64) {
	m := l.m
	switch {
	case t < l.xAt:
		if !d.alive[t] {
			return 0, 0
		}
		n := m.optNeed[t]
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if d.alive[o] && o != t {
				return 0, 1
			}
		}
		return 1, 1
	case t < l.someAt:
		return int64(d.lo[t-l.xAt]), int64(d.hi[t-l.xAt])
	case t < l.potAt:
		q := t - l.someAt
		return min(1, int64(f.boxes[q])), min(1, int64(f.boxes[q])+int64(f.room[q]))
	case t < l.unitAt:
		for _, j := range l.potOffs[t-l.potAt] {
			lo, hi = lo+int64(d.lo[j]), hi+int64(d.hi[j])
		}
		q := l.paintOf[t-l.potAt]
		if each := int64(l.unitsOf(t - l.potAt)); l.potStart[q+1] == l.potStart[q]+1 { // all boxes of the paint
			lo = max(lo, whole.CeilDiv(int64(f.boxes[q]), each))
			hi = min(hi, (int64(f.boxes[q])+int64(f.room[q]))/each)
		}
		return lo, hi
	case t < l.shopAt:
		q := t - l.unitAt
		return int64(f.boxes[q]), int64(f.boxes[q]) + int64(f.room[q])
	case t < l.bandAt:
		h := int(t - l.shopAt)
		if d.unused(h) {
			return 0, 0
		}
		if !d.closed[h] {
			return 1, 1
		}
		return 0, 1
	case t < l.extraAt:
		h := l.shopOfBand(t)
		b := int16(t - l.bandAt - l.bandOff[h])
		if d.unused(h) || b < d.bandLo[h] || b > d.bandHi[h] {
			return 0, 0
		}
		if !d.closed[h] && d.bandLo[h] == d.bandHi[h] {
			return 1, 1
		}
		return 0, 1
	}
	h := int(t - l.extraAt)
	if d.unused(h) || !m.filler[h] {
		return 0, 0
	}
	// As much in every form of a part, however much of the order is sure there: rows are handed down.
	return 0, m.bands[h][d.bandHi[h]].From + l.dearest[h]
}

// shopOfBand is the shop that the term of a band belongs to.
func (l *linear) shopOfBand(t int32) int {
	h, _ := slices.BinarySearch(l.bandOff, t-l.bandAt+1)
	return h - 1
}

// money is what one of the term costs.
func (l *linear) money(t int32) int64 {
	m := l.m
	switch {
	case t < l.xAt:
		return m.optPts[t] * m.cp
	case t < l.someAt:
		return m.price[t-l.xAt]
	case t < l.bandAt:
		return 0
	case t < l.extraAt:
		h := l.shopOfBand(t)
		return m.bands[h][t-l.bandAt-l.bandOff[h]].Fee
	}
	return 1
}

// weight is what one of the term weighs.
func (l *linear) weight(t int32) int64 {
	w := l.money(t) * int64(l.w.money)
	switch {
	case t < l.xAt:
		w += l.m.optPts[t] * int64(l.w.point)
	case t < l.someAt:
		w += int64(l.w.box)
	case t >= l.shopAt && t < l.bandAt:
		w += int64(l.w.shop)
	}
	return w
}

// begin makes columns of what is open in the domain, and the core rows.
func (l *linear) begin(d *domain, f *facts) {
	l.col, l.value, l.term = make([]int32, l.terms), make([]int64, l.terms), l.term[:0]
	l.base = 0
	l.sure, l.short = make([]int64, len(l.m.bands)), make([]bool, len(l.m.useUL))
	l.top = slices.Clone(d.hi)
	for j, n := range d.lo {
		l.sure[l.m.offShop[j]] += int64(n) * l.m.price[j]
	}
	for u, q := range l.m.usePaint {
		l.short[u] = f.boxes[q] == 0 && f.extra[u] > f.slack[q]
	}
	for t := range l.terms {
		lo, hi := l.bounds(d, f, t)
		l.col[t], l.value[t] = -1, lo
		if lo >= hi {
			l.base += lo * l.weight(t)
			continue
		}
		l.col[t] = int32(len(l.cols))
		l.term = append(l.term, t)
		l.cols = append(l.cols, lp.Column{Cost: l.weight(t), Lower: lo, Upper: hi})
	}
	l.core = l.core[:0]
	l.needRows()
	l.paintRows()
	l.shopRows()
	cols := func(c int32) lp.Column { return l.cols[c] }
	l.core = slices.DeleteFunc(l.core, func(r linearRow) bool { _, ok := l.row(&r, cols); return !ok })
}

// reach is what an order of shop h must be worth to be in band b.
func (l *linear) reach(h, b int) int64 { return l.m.mustReach(h, l.m.bands[h][b].From, l.sure[h]) }

func (l *linear) needRows() {
	m := l.m
	for n := range m.members {
		r := linearRow{lower: 1, upper: 1, key: coreKey(n, needKey)}
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if l.col[o] >= 0 {
				r.add(o, 1)
			}
		}
		if len(r.terms) > 0 {
			l.core = append(l.core, r)
		}
	}
}

// paintRows: what options take is at hand or in boxes bought.
func (l *linear) paintRows() {
	m := l.m
	for q := range int32(len(m.have)) {
		volume := linearRow{lower: -m.have[q], upper: lp.Inf, key: coreKey(q, volumeKey)}
		for _, pu := range m.byPaint[q] {
			volume.add(pu.opt, -m.useUL[pu.use])
		}
		some := linearRow{lower: 0, upper: lp.Inf, key: coreKey(q, someKey)}
		units := linearRow{key: coreKey(q, unitsKey)}
		for c := l.potStart[q]; c < l.potStart[q+1]; c++ {
			pot := l.pot(c)
			volume.add(pot, l.potUL[c])
			some.add(pot, 1)
			units.add(pot, int64(l.unitsOf(c)))
			if pot >= l.potAt && pot < l.unitAt {
				sum := linearRow{key: coreKey(c, sumKey)}
				sum.add(pot, -1)
				for _, j := range l.potOffs[c] {
					sum.add(l.xAt+j, 1)
				}
				l.core = append(l.core, sum)
			}
		}
		l.core = append(l.core, volume)
		if l.col[l.someAt+q] >= 0 {
			some.add(l.someAt+q, -1)
			l.core = append(l.core, some)
		}
		if t, _ := l.unitTerm(q); t == l.unitAt+q {
			units.add(t, -1)
			l.core = append(l.core, units)
		}
	}
}

// shopRows: a used shop is in one band, and its order reaches that.
func (l *linear) shopRows() {
	m := l.m
	count := linearRow{lower: -lp.Inf, upper: int64(m.maxShops), key: coreKey(0, countKey)}
	for h := range m.bands {
		one := linearRow{key: coreKey(h, oneKey)}
		one.add(l.shopAt+int32(h), -1)
		goods := linearRow{lower: 0, upper: lp.Inf, key: coreKey(h, goodsKey)}
		for b := range m.bands[h] {
			t := l.bandAt + l.bandOff[h] + int32(b)
			one.add(t, 1)
			if from := l.reach(h, b); from > 0 {
				goods.add(t, -from)
			}
		}
		l.core = append(l.core, one)
		if len(goods.terms) > 0 {
			for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
				goods.add(l.xAt+j, m.price[j])
			}
			goods.add(l.extraAt+int32(h), 1)
			l.core = append(l.core, goods)
		}
		count.add(l.shopAt+int32(h), 1)
	}
	if m.maxShops < len(m.bands) {
		l.core = append(l.core, count)
	}
	if l.moneyMost == noCap {
		return
	}
	cost := linearRow{lower: -lp.Inf, upper: l.moneyMost, key: coreKey(1, countKey)}
	for t := range l.terms {
		if c := l.money(t); c != 0 {
			cost.add(t, c)
		}
	}
	l.core = append(l.core, cost)
}

// row is the program's row of r, what is settled put in. ok is false where
// nothing is left of it, or where the bounds make it sure.
func (l *linear) row(r *linearRow, cols func(c int32) lp.Column) (out lp.Row, ok bool) {
	out.Lower, out.Upper = r.lower, r.upper
	out.Cols, out.Coefs = make([]int32, 0, len(r.terms)), make([]int64, 0, len(r.terms))
	least, most := int64(0), int64(0)
	shift := int64(0)
	for k, t := range r.terms {
		c, a := l.col[t], r.coefs[k]
		if c < 0 {
			shift += a * l.value[t]
			continue
		}
		out.Cols, out.Coefs = append(out.Cols, c), append(out.Coefs, a)
		col := cols(c)
		if a > 0 {
			least, most = least+a*col.Lower, most+a*col.Upper
		} else {
			least, most = least+a*col.Upper, most+a*col.Lower
		}
	}
	if out.Lower > -lp.Inf {
		out.Lower -= shift
	}
	if out.Upper < lp.Inf {
		out.Upper -= shift
	}
	if len(out.Cols) == 0 || least >= out.Lower && most <= out.Upper {
		return out, false
	}
	// Both bounds, so that its logical is boxed too.
	out.Lower = max(out.Lower, least)
	out.Upper = max(min(out.Upper, most), out.Lower)
	return out, true
}
