package exact

import (
	"halfpot/optimize/internal/flat"
	"halfpot/optimize/internal/whole"
)

// relax is the relaxation over one domain, laid out for speed: only what is
// still open, with indices of its own.
type relax struct {
	m *model
	w weights
	d *domain
	f *facts

	constant float64
	evals    int64 // times it was evaluated, a measure of work

	needs []int32 // model need of each open need
	// Options that need a box of exactly one paint.
	oneOpt   []int32
	oneNeed  []int32
	onePaint []int32
	oneCost  []float64
	oneStock []bool    // it competes for what is at hand
	oneUL    []float64 // volume it takes
	// All other options; parts are their links.
	anyOpt    []int32
	anyNeed   []int32
	anyCost   []float64
	anyStart  []int32
	linkUse   []int32
	linkAt    []int32 // paint
	linkStock []bool
	linkUL    []float64

	paints  []int32 // model paint of each
	paintAt []int32 // relax index of each model paint, -1
	boxes   []float64
	multi   []bool    // boxes beyond the first count for the links too
	steps   []int32   // units beyond the sure ones that volume may call for; 0 where one more is always enough
	unitUL  []float64 // volume of a unit, ul
	shelf   []float64 // volume at hand beyond the sure demand, with the sure units bought
	// The options and links of each paint that compete for its volume: those
	// that what is at hand could serve, or all where volume may call for more
	// than one unit. Option i is i, link l is -1-l.
	stockStart []int32
	stockAt    []int32
	stockItem  []stockItem
	stock      []stockItem
	stockOrder []int32
	knap       knapsack
	gains      []stepGain  // of each number of units
	fit        []knapItem  // items that the units looked at could serve
	was        []stockItem // stock before order put it in order
	chosen     []int32     // stock that evalSteps serves, with chosenFor units
	chosenFor  int
	oneInc     []float64 // see stepFix
	linkInc    []float64
	curve      *curve // room to work in, emptied after use

	offs      []int32
	offCost   []float64
	offPrice  []float64 // weighted
	offLo     []int32
	offHi     []int32
	conStart  []int32
	conPaint  []int32
	conUnits  []float64 // the content in units
	shopStart []int32
	offShop   []int32
	from      [][]float64 // per shop and band: weighted value an order must reach

	// The offers that hold each paint, and the options of each need.
	sellStart, sellers    []int32
	sellUnits             []float64 // units of it in a box of each of sellers
	needOneStart, needOne []int32
	needAnyStart, needAny []int32
	conOff                []int32
	onesStart, onesOf     []int32 // one-paint options by paint
	linksStart, linksOf   []int32 // links by paint
	linkAny               []int32 // the option of each link
}

// build lays out the relaxation of a propagated domain.
func (r *relax) build(m *model, w weights, d *domain, f *facts) {
	r.m, r.w, r.d, r.f = m, w, d, f
	r.constant = 0
	r.needs, r.oneOpt = r.needs[:0], r.oneOpt[:0]
	r.oneNeed, r.onePaint = r.oneNeed[:0], r.onePaint[:0]
	r.oneCost = r.oneCost[:0]
	r.anyOpt, r.anyNeed, r.anyCost = r.anyOpt[:0], r.anyNeed[:0], r.anyCost[:0]
	r.anyStart = append(r.anyStart[:0], 0)
	r.linkUse, r.linkAt = r.linkUse[:0], r.linkAt[:0]
	r.oneUL, r.linkUL = r.oneUL[:0], r.linkUL[:0]
	r.oneStock, r.linkStock = r.oneStock[:0], r.linkStock[:0]
	r.stockAt, r.stockItem = r.stockAt[:0], r.stockItem[:0]
	r.paintRows()
	r.optionRows()
	r.offerRows()
	r.sellers, r.conOff = flat.Resize(r.sellers, len(r.conPaint)), flat.Resize(r.conOff, len(r.conPaint))
	r.sellStart = bucket(r.sellStart, r.sellers, len(r.paints), r.conPaint)
	for j := range r.offs {
		for k := r.conStart[j]; k < r.conStart[j+1]; k++ {
			r.conOff[k] = int32(j)
		}
	}
	r.sellUnits = r.sellUnits[:0]
	for i, k := range r.sellers {
		r.sellers[i] = r.conOff[k]
		r.sellUnits = append(r.sellUnits, r.conUnits[k])
	}
	r.needOne = flat.Resize(r.needOne, len(r.oneNeed))
	r.needOneStart = bucket(r.needOneStart, r.needOne, len(r.needs), r.oneNeed)
	r.stockOrder = flat.Resize(r.stockOrder, len(r.stockAt))
	r.stockStart = bucket(r.stockStart, r.stockOrder, len(r.paints), r.stockAt)
	r.stock = r.stock[:0]
	for _, i := range r.stockOrder {
		r.stock = append(r.stock, r.stockItem[i])
	}
	r.onesOf = flat.Resize(r.onesOf, len(r.onePaint))
	r.onesStart = bucket(r.onesStart, r.onesOf, len(r.paints), r.onePaint)
	r.linksOf, r.linkAny = flat.Resize(r.linksOf, len(r.linkAt)), flat.Resize(r.linkAny, len(r.linkAt))
	r.linksStart = bucket(r.linksStart, r.linksOf, len(r.paints), r.linkAt)
	for i := range r.anyOpt {
		for l := r.anyStart[i]; l < r.anyStart[i+1]; l++ {
			r.linkAny[l] = int32(i)
		}
	}
	r.needAny = flat.Resize(r.needAny, len(r.anyNeed))
	r.needAnyStart = bucket(r.needAnyStart, r.needAny, len(r.needs), r.anyNeed)
}

// bucket lists the indices of key by their key: those of k are
// out[start[k]:start[k+1]].
func bucket(start, out []int32, n int, key []int32) []int32 {
	start = flat.Resize(start, n+1)
	clear(start)
	for _, k := range key {
		start[k+1]++
	}
	for k := range n {
		start[k+1] += start[k]
	}
	for i, k := range key {
		out[start[k]] = int32(i)
		start[k]++
	}
	copy(start[1:], start[:n])
	start[0] = 0
	return start
}

func (r *relax) paintRows() {
	m, f := r.m, r.f
	r.paints = r.paints[:0]
	r.boxes, r.multi = r.boxes[:0], r.multi[:0]
	r.steps, r.unitUL = r.steps[:0], r.unitUL[:0]
	r.shelf = r.shelf[:0]
	r.paintAt = flat.Resize(r.paintAt, len(m.have))
	for q := range m.have {
		r.paintAt[q] = -1
		if f.most[q] <= m.have[q] && f.boxes[q] == 0 {
			continue
		}
		r.paintAt[q] = int32(len(r.paints))
		r.paints = append(r.paints, int32(q))
		r.boxes = append(r.boxes, float64(f.boxes[q]))
		steps := m.steps(f, q)
		r.steps = append(r.steps, steps)
		r.multi = append(r.multi, f.boxes[q] > 0 || steps > 0)
		r.unitUL = append(r.unitUL, float64(f.unitUL[q]))
		r.shelf = append(r.shelf, float64(f.slack[q]))
	}
}

// steps is how many units beyond the sure ones the volume of paint q may call
// for, 0 where one more is always enough.
func (m *model) steps(f *facts, q int) int32 {
	over := f.most[q] - f.demand[q] - f.slack[q]
	if f.room[q] == 0 || over <= f.unitUL[q] {
		return 0
	}
	return int32(min(whole.CeilDiv(over, f.unitUL[q]), int64(f.room[q])))
}

// tied says whether use u of an open option can be short, and whether it
// competes for the volume at hand.
func (r *relax) tied(u int32) (tied, stock bool) {
	f, q := r.f, r.m.usePaint[u]
	switch {
	case f.extra[u] <= 0 || r.paintAt[q] < 0:
		return false, false
	case r.steps[r.paintAt[q]] > 0:
		return true, true
	case f.extra[u] > f.slack[q]:
		return true, false
	}
	return f.loose[q] > f.slack[q], true
}

func (r *relax) optionRows() {
	m := r.m
	for n := range m.members {
		alive, only := 0, int32(-1)
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if r.d.alive[o] {
				alive++
				only = o
			}
		}
		if alive == 1 {
			r.constant += r.optionCost(only)
			continue
		}
		k := int32(len(r.needs))
		r.needs = append(r.needs, int32(n))
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if r.d.alive[o] {
				r.addOption(k, o)
			}
		}
	}
}

func (r *relax) addOption(k, o int32) {
	m := r.m
	ties, use, inStock := 0, int32(0), false
	for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
		if tied, stock := r.tied(u); tied {
			ties++
			use, inStock = u, stock
		}
	}
	if ties == 1 {
		at := r.paintAt[m.usePaint[use]]
		if inStock {
			r.stockAt = append(r.stockAt, at)
			r.stockItem = append(r.stockItem, stockItem{int32(len(r.oneOpt)), float64(r.f.extra[use])})
		}
		r.oneOpt = append(r.oneOpt, o)
		r.oneNeed = append(r.oneNeed, k)
		r.onePaint = append(r.onePaint, at)
		r.oneCost = append(r.oneCost, r.optionCost(o))
		r.oneStock = append(r.oneStock, inStock)
		r.oneUL = append(r.oneUL, float64(r.f.extra[use]))
		return
	}
	r.anyOpt = append(r.anyOpt, o)
	r.anyNeed = append(r.anyNeed, k)
	r.anyCost = append(r.anyCost, r.optionCost(o))
	for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
		tied, stock := r.tied(u)
		if !tied {
			continue
		}
		at := r.paintAt[m.usePaint[u]]
		if stock {
			r.stockAt = append(r.stockAt, at)
			r.stockItem = append(r.stockItem, stockItem{-1 - int32(len(r.linkUse)), float64(r.f.extra[u])})
		}
		r.linkUse = append(r.linkUse, u)
		r.linkAt = append(r.linkAt, at)
		r.linkStock = append(r.linkStock, stock)
		r.linkUL = append(r.linkUL, float64(r.f.extra[u]))
	}
	r.anyStart = append(r.anyStart, int32(len(r.linkUse)))
}

// stockItem is an option (index >= 0) or a link (-1 - index) that what is at
// hand of a paint could serve, with the volume it takes.
type stockItem struct {
	index int32
	ul    float64
}

func (r *relax) optionCost(o int32) float64 {
	return float64(r.m.optPts[o]) * (float64(r.m.cp)*r.w.money + r.w.point)
}

func (r *relax) offerRows() {
	m := r.m
	r.offShop = r.offShop[:0]
	r.offs, r.offCost = r.offs[:0], r.offCost[:0]
	r.offPrice, r.offLo = r.offPrice[:0], r.offLo[:0]
	r.offHi = r.offHi[:0]
	r.conStart, r.conPaint, r.conUnits = append(r.conStart[:0], 0), r.conPaint[:0], r.conUnits[:0]
	r.shopStart = append(r.shopStart[:0], 0)
	if len(r.from) != len(m.bands) {
		r.from = make([][]float64, len(m.bands))
	}
	for h := range m.bands {
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			if r.d.hi[j] == 0 {
				continue
			}
			at := len(r.conPaint)
			for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
				if q := r.paintAt[m.conPaint[k]]; q >= 0 {
					r.conPaint = append(r.conPaint, q)
					r.conUnits = append(r.conUnits, float64(m.conUnits[k]))
				}
			}
			if len(r.conPaint) == at && r.d.lo[j] == 0 {
				continue
			}
			r.offs = append(r.offs, j)
			r.offShop = append(r.offShop, int32(h))
			price := float64(m.price[j]) * r.w.money
			r.offPrice = append(r.offPrice, price)
			r.offCost = append(r.offCost, price+r.w.box)
			r.offLo = append(r.offLo, r.d.lo[j])
			r.offHi = append(r.offHi, r.d.hi[j])
			r.conStart = append(r.conStart, int32(len(r.conPaint)))
		}
		r.shopStart = append(r.shopStart, int32(len(r.offs)))
		sure := int64(0)
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			sure += int64(r.d.lo[j]) * m.price[j]
		}
		r.from[h] = r.from[h][:0]
		for _, b := range m.bands[h] {
			r.from[h] = append(r.from[h], float64(m.mustReach(h, b.From, sure))*r.w.money)
		}
	}
}
