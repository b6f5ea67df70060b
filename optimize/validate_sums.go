package optimize

import (
	"fmt"
	"math"

	"halfpot/optimize/internal/words"
)

// sums refuses a problem in which some total could pass mostAmount. It adds
// in float64, which can't wrap round; the bound leaves far more room than
// its rounding needs.
func (v *validator) sums() {
	p := v.p
	demand := make([]float64, len(p.Paints)) // at most: all options at once
	points, worth := 0.0, 0.0
	for _, need := range p.Needs {
		most := int64(0)
		for _, option := range need.Options {
			most = max(most, option.Compromise)
			for _, u := range option.Uses {
				demand[v.paint[u.Paint]] += float64(u.UL)
			}
		}
		points += float64(most)
	}
	for _, g := range p.Groups {
		worth += float64(g.Worth)
	}
	v.sum("needs", "the compromise points of all needs", points)
	v.sum("groups", "the worth of all groups", worth)
	for i, paint := range p.Paints {
		if total := float64(paint.HaveUL) + demand[i]; total > mostAmount { // in the loop, words only when they are needed
			v.sum(fmt.Sprintf("paints[%d]", i),
				"what is left of paint "+words.Quote(paint.ID)+" and what all options use of it", total)
		}
	}
	money := points * float64(p.Rules.CompromisePrice)
	v.sum("rules.compromise_price", "the compromise price times the points of all needs", money)
	for h, shop := range p.Shops {
		most := 0.0
		for _, band := range shop.Delivery {
			most = max(most, math.Abs(float64(band.Fee)))
		}
		money += most
		last := shop.Delivery[len(shop.Delivery)-1].From
		v.sum(fmt.Sprintf("shops[%d]", h),
			"the charges, thresholds and minimum order of shop "+words.Quote(shop.ID),
			most+float64(max(last, shop.MinOrder)))
	}
	if p.Rules.Budget != nil {
		v.sum("rules.budget", "the budget", float64(*p.Rules.Budget))
	}
	v.orders(demand, money)
}

// orders adds what the largest sensible order of every offer costs and holds,
// and refuses one of more boxes than can be counted.
func (v *validator) orders(demand []float64, money float64) {
	p := v.p
	hold := make([]float64, len(p.Paints))
	boxes := 0.0
	for k, offer := range p.Offers {
		shop := &p.Shops[v.shop[offer.Shop]]
		product := v.product[offer.Product]
		most := 1.0
		for _, c := range p.Products[product].Contents {
			most = max(most, math.Ceil(demand[v.paint[c.Paint]]/float64(c.UL)))
		}
		if goal := max(shop.MinOrder, shop.Delivery[len(shop.Delivery)-1].From); offer.Price > 0 {
			most = max(most, math.Ceil(float64(goal)/float64(offer.Price)))
		}
		if offer.Limit != nil {
			most = min(most, float64(*offer.Limit))
		}
		if most > MostBoxes {
			v.fault(fmt.Sprintf("offers[%d]", k), "product %s at shop %s could be bought about %.3g "+
				"times, and no box may be needed more than 2^28 times (about 2.7e8)", words.Quote(offer.Product), words.Quote(offer.Shop), most)
			return
		}
		boxes += most
		money += most * float64(offer.Price)
		if money > mostAmount {
			v.sum(fmt.Sprintf("offers[%d]", k),
				"the cost of all that could be worth ordering, up to product "+
					words.Quote(offer.Product)+" at shop "+words.Quote(offer.Shop)+",",
				money)
			return
		}
		for c, content := range p.Products[product].Contents {
			i := v.paint[content.Paint]
			hold[i] += most * float64(content.UL) * float64(content.Containers())
			if hold[i] > mostAmount {
				v.sum(fmt.Sprintf("products[%d].contents[%d]", product, c),
					"the volume of paint "+words.Quote(content.Paint)+" in all that could be worth ordering",
					hold[i])
				return
			}
		}
	}
	v.sum("offers", "the boxes of all that could be worth ordering", boxes)
}

func (v *validator) sum(path, what string, total float64) {
	if total > mostAmount {
		v.fault(path, "%s could come to about %.3g, and sums may not pass 2^52 (about 4.5e15)", what, total)
	}
}
