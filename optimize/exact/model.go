package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize"
	"halfpot/optimize/internal/whole"
)

// model is a Problem in the form the search works on: whole-number indices,
// flat slices, needs of one match label merged into one, and everything left
// out that cannot matter. It never changes during a search.
//
// Merging is exact: needs that must take options of one id are met by one
// merged option that uses the sum of their volumes.
type model struct {
	prob *optimize.Problem

	// Needs and their options. Options of need n are optStart[n]:optStart[n+1].
	members  [][]int32 // indices into prob.Needs of each merged need
	optStart []int32
	optNeed  []int32
	optPts   []int64
	optPick  [][]int32 // for each option, the option index of each member
	// Uses of option o are useStart[o]:useStart[o+1].
	useStart []int32
	usePaint []int32
	useUL    []int64

	// Paints that can run short.
	paintOrig []int32
	have      []int64
	most      []int64 // the greatest volume any choice of options can take
	byPaint   [][]paintUse
	sources   [][]source // offers that hold the paint

	// Offers, those of one shop side by side: shopStart[h]:shopStart[h+1].
	offOrig   []int32
	offShop   []int32
	price     []int64
	limit     []int32 // most boxes that can be of any use
	conStart  []int32
	conPaint  []int32
	conUL     []int64
	conUnits  []int32 // the content in units; see setUnits
	shopStart []int32
	bands     [][]optimize.Band // with the minimum order worked in
	filler    []bool            // whether goods beyond the needs can lower the charge
	fillers   [][]filler
	reach     [][]int32 // see addReach
	topUps    *topUps

	maxShops int
	cp       int64 // compromise price
	cap      int64 // most that goods and delivery may cost; noCap if none
}

type paintUse struct {
	opt int32
	use int32
}

type source struct {
	off   int32
	ul    int64
	units int32
}

// filler is an offer that serves only to raise the value of an order.
type filler struct {
	orig  int32
	price int64
	limit int64
}

const (
	noCap = math.MaxInt64
)

// solution is an answer in the model's indices.
type solution struct {
	m      *model
	x      []int32 // boxes of each offer of the model
	fill   []fill  // boxes bought only to raise an order's value
	choice []int32 // option of each need
	cost   vector
}

type fill struct {
	orig  int32
	count int32
}

// vector holds what the objective's levels look at, in their order.
type vector struct {
	money  int64 // goods + delivery + compromise price x points
	points int64
	boxes  int64
	shops  int64

	spare int64 // what goods and delivery leave of the cap; no level of the objective
}

func (v vector) less(w vector) bool {
	return cmp.Or(cmp.Compare(v.money, w.money), cmp.Compare(v.points, w.points),
		cmp.Compare(v.boxes, w.boxes), cmp.Compare(v.shops, w.shops)) < 0
}

// impossible is returned by compile when a need has no option left at all.
type impossible struct{ need int }

func (impossible) Error() string { return "a need cannot be met" }

// compile builds the model of the needs for which keep is true (all, if keep
// is nil). It returns an impossible error where it finds out that no plan exists.
func compile(p *optimize.Problem, keep []bool) (*model, error) {
	m := &model{prob: p, topUps: &topUps{}, cp: p.Rules.CompromisePrice, cap: noCap, maxShops: len(p.Shops)}
	if p.Rules.MaxShops != nil {
		m.maxShops = int(min(*p.Rules.MaxShops, int64(len(p.Shops))))
	}
	if p.Rules.Budget != nil {
		m.cap = *p.Rules.Budget
	}
	paintOf := make(map[string]int32, len(p.Paints))
	for i, pt := range p.Paints {
		paintOf[pt.ID] = int32(i)
	}
	needs, err := mergeMatches(p, keep, paintOf)
	if err != nil {
		return nil, err
	}
	supply := totalSupply(p, paintOf)
	if err := reduceNeeds(p, needs, supply); err != nil {
		return nil, err
	}
	m.addNeeds(p, needs)
	m.addOffers(p, paintOf)
	m.addReach()
	return m, nil
}

// addNeeds lays the needs out flat and numbers the paints that matter.
func (m *model) addNeeds(p *optimize.Problem, needs []mergedNeed) {
	index := make([]int32, len(p.Paints))
	for i := range index {
		index[i] = -1
	}
	m.optStart = append(m.optStart, 0)
	m.useStart = append(m.useStart, 0)
	for n := range needs {
		m.members = append(m.members, needs[n].members)
		for _, o := range needs[n].options {
			for _, u := range o.uses {
				if index[u.paint] < 0 {
					index[u.paint] = int32(len(m.paintOrig))
					m.paintOrig = append(m.paintOrig, u.paint)
					m.have = append(m.have, p.Paints[u.paint].HaveUL)
				}
				m.usePaint = append(m.usePaint, index[u.paint])
				m.useUL = append(m.useUL, u.ul)
			}
			m.optNeed = append(m.optNeed, int32(n))
			m.optPts = append(m.optPts, o.points)
			m.optPick = append(m.optPick, o.pick)
			m.useStart = append(m.useStart, int32(len(m.usePaint)))
		}
		m.optStart = append(m.optStart, int32(len(m.optNeed)))
	}
	m.sumMost()
}

// sumMost works out which options use each paint, and how much of it they can
// take together at most.
func (m *model) sumMost() {
	m.most = make([]int64, len(m.have))
	m.byPaint = make([][]paintUse, len(m.have))
	need := make([]int64, len(m.have))
	for n := range m.members {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				q := m.usePaint[u]
				m.byPaint[q] = append(m.byPaint[q], paintUse{o, u})
				need[q] = max(need[q], m.useUL[u])
			}
		}
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				q := m.usePaint[u]
				m.most[q] += need[q]
				need[q] = 0
			}
		}
	}
}

// addOffers keeps the offers that hold a paint that matters, and those that
// can serve to reach a delivery band.
func (m *model) addOffers(p *optimize.Problem, paintOf map[string]int32) {
	index := make(map[int32]int32, len(m.paintOrig))
	for q, orig := range m.paintOrig {
		index[orig] = int32(q)
	}
	productOf := make(map[string]int, len(p.Products))
	for i, pr := range p.Products {
		productOf[pr.ID] = i
	}
	shopOf := make(map[string]int32, len(p.Shops))
	for i, s := range p.Shops {
		shopOf[s.ID] = int32(i)
		bands := effectiveBands(s)
		m.bands = append(m.bands, bands)
		last := bands[len(bands)-1]
		m.filler = append(m.filler, last.From > 0 || last.Fee < 0)
	}
	var full []int64 // contents before they are cut
	order := make([]int32, 0, len(p.Offers))
	for j, o := range p.Offers {
		if o.Limit == nil || *o.Limit > 0 {
			order = append(order, int32(j))
		}
	}
	slices.SortStableFunc(order, func(a, b int32) int {
		return cmp.Compare(shopOf[p.Offers[a].Shop], shopOf[p.Offers[b].Shop])
	})
	m.fillers = make([][]filler, len(p.Shops))
	m.sources = make([][]source, len(m.have))
	m.conStart = append(m.conStart, 0)
	m.shopStart = make([]int32, len(p.Shops)+1)
	for _, j := range order {
		o := p.Offers[j]
		h := shopOf[o.Shop]
		limit := int64(optimize.MostBoxes)
		if o.Limit != nil {
			limit = min(limit, *o.Limit)
		}
		at := len(m.conPaint)
		useful := int64(0)
		for _, c := range p.Products[productOf[o.Product]].Contents {
			q, ok := index[paintOf[c.Paint]]
			if !ok || m.most[q] <= m.have[q] {
				continue
			}
			ul := whole.SatMul(c.UL, c.Containers())
			if k := slices.Index(m.conPaint[at:], q); k >= 0 {
				m.conUL[at+k] = whole.SatAdd(m.conUL[at+k], ul)
			} else {
				m.conPaint = append(m.conPaint, q)
				m.conUL = append(m.conUL, ul)
			}
		}
		for k := at; k < len(m.conPaint); k++ {
			q := m.conPaint[k]
			useful = max(useful, whole.CeilDiv(m.most[q]-m.have[q], m.conUL[k]))
		}
		if useful == 0 && !m.filler[h] {
			continue
		}
		if m.filler[h] {
			m.fillers[h] = append(m.fillers[h], filler{j, o.Price, limit})
		}
		if useful == 0 {
			continue
		}
		for k := at; k < len(m.conPaint); k++ {
			q := m.conPaint[k]
			// Volume beyond what can be used tightens nothing; cutting it does.
			full = append(full, min(m.conUL[k], math.MaxInt64/4))
			m.conUL[k] = min(m.conUL[k], m.most[q]-m.have[q])
			m.sources[q] = append(m.sources[q], source{int32(len(m.offOrig)), m.conUL[k], 0})
		}
		m.offOrig = append(m.offOrig, j)
		m.offShop = append(m.offShop, h)
		m.price = append(m.price, o.Price)
		m.limit = append(m.limit, int32(min(limit, useful, optimize.MostBoxes)))
		m.conStart = append(m.conStart, int32(len(m.conPaint)))
		m.shopStart[h+1]++
	}
	for h := range p.Shops {
		m.shopStart[h+1] += m.shopStart[h]
	}
	m.setUnits(full)
}

// effectiveBands works the minimum order into the bands: the first band then
// starts at it. Bands that charge what the one before does are dropped.
func effectiveBands(s optimize.Shop) []optimize.Band {
	var out []optimize.Band
	for i, b := range s.Delivery {
		if i+1 < len(s.Delivery) && s.Delivery[i+1].From <= s.MinOrder {
			continue
		}
		b.From = max(b.From, s.MinOrder)
		if len(out) > 0 && out[len(out)-1].Fee == b.Fee {
			continue
		}
		out = append(out, b)
	}
	return out
}
