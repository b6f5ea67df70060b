package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize"
	"halfpot/optimize/internal/whole"
)

// offerReader lays the offers of a problem out in a model.
type offerReader struct {
	m       *model
	p       *optimize.Problem
	product map[string]int   // index by id
	paint   map[int32]int32  // the model's paints by the problem's; only those that matter
	paintOf map[string]int32 // the problem's paints by id
	full    []int64          // contents before they are cut to what can be used
}

// addOffers keeps the offers that hold a paint that matters, and those that
// can serve to reach a delivery band.
func (m *model) addOffers(p *optimize.Problem, paintOf map[string]int32) {
	r := offerReader{
		m:       m,
		p:       p,
		product: make(map[string]int, len(p.Products)),
		paint:   make(map[int32]int32, len(m.paintOrig)),
		paintOf: paintOf,
	}
	for i, pr := range p.Products {
		r.product[pr.ID] = i
	}
	for q, orig := range m.paintOrig {
		r.paint[orig] = int32(q)
	}
	shopOf := m.addShops(p)
	m.fillers = make([][]filler, len(p.Shops))
	m.sources = make([][]source, len(m.have))
	m.conStart = append(m.conStart, 0)
	m.shopStart = make([]int32, len(p.Shops)+1)
	for _, j := range byShop(p, shopOf) {
		r.add(j, shopOf[p.Offers[j].Shop])
	}
	for h := range p.Shops {
		m.shopStart[h+1] += m.shopStart[h]
	}
	m.setUnits(r.full)
}

// addShops lays out what the shops charge, and gives their indices by id.
func (m *model) addShops(p *optimize.Problem) map[string]int32 {
	shopOf := make(map[string]int32, len(p.Shops))
	for i, s := range p.Shops {
		shopOf[s.ID] = int32(i)
		bands := effectiveBands(s)
		m.bands = append(m.bands, bands)
		last := bands[len(bands)-1]
		m.filler = append(m.filler, last.From > 0 || last.Fee < 0)
	}
	return shopOf
}

// byShop gives the offers of which something can be bought, those of one shop side
// by side.
func byShop(p *optimize.Problem, shopOf map[string]int32) []int32 {
	order := make([]int32, 0, len(p.Offers))
	for j, o := range p.Offers {
		if o.Limit == nil || *o.Limit > 0 {
			order = append(order, int32(j))
		}
	}
	slices.SortStableFunc(order, func(a, b int32) int {
		return cmp.Compare(shopOf[p.Offers[a].Shop], shopOf[p.Offers[b].Shop])
	})
	return order
}

// add keeps offer j of shop h where boxes of it can be of use.
func (r *offerReader) add(j, h int32) {
	m, o := r.m, r.p.Offers[j]
	limit := int64(optimize.MostBoxes)
	if o.Limit != nil {
		limit = min(limit, *o.Limit)
	}
	at := len(m.conPaint)
	useful := r.addContents(r.p.Products[r.product[o.Product]].Contents)
	if m.filler[h] {
		m.fillers[h] = append(m.fillers[h], filler{j, o.Price, limit})
	}
	if useful == 0 {
		return
	}
	for k := at; k < len(m.conPaint); k++ {
		q := m.conPaint[k]
		// Volume beyond what can be used tightens nothing; cutting it does.
		r.full = append(r.full, min(m.conUL[k], math.MaxInt64/4))
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

// addContents lays out what a box holds of the paints that may run short, each
// paint once. It gives how many such boxes can be of use for what they hold.
func (r *offerReader) addContents(contents []optimize.Content) (useful int64) {
	m := r.m
	at := len(m.conPaint)
	for _, c := range contents {
		q, matters := r.paint[r.paintOf[c.Paint]]
		if !matters || m.most[q] <= m.have[q] {
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
	return useful
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
