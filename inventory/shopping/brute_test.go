package shopping

import (
	"context"
	"math"

	"halfpot/optimize"
)

// bruteSolve answers tiny problems by trying every choice of options and every
// number of boxes that could be of use. It is the tests' own solver, so that
// what is said about plans does not hang on the real one.
func bruteSolve(_ context.Context, p *optimize.Problem) (*optimize.Result, error) {
	b := &brute{p: p, paint: map[string]int{}, shop: map[string]int{}, least: math.MaxInt64}
	for i, x := range p.Paints {
		b.paint[x.ID] = i
	}
	for i, x := range p.Shops {
		b.shop[x.ID] = i
	}
	contents := map[string][]optimize.Content{}
	for _, x := range p.Products {
		contents[x.ID] = x.Contents
	}
	for _, o := range p.Offers {
		gives := make([]int64, len(p.Paints))
		for _, c := range contents[o.Product] {
			gives[b.paint[c.Paint]] += c.UL * c.Containers()
		}
		b.gives = append(b.gives, gives)
	}
	b.need = make([]int64, len(p.Paints))
	b.chosen = make([]int, len(p.Needs))
	b.count = make([]int64, len(p.Offers))
	b.choose(0, map[string]string{})
	if b.best == nil {
		return &optimize.Result{Status: optimize.Infeasible, Currency: p.Currency}, nil
	}
	return b.best, nil
}

type brute struct {
	p      *optimize.Problem
	paint  map[string]int
	shop   map[string]int
	gives  [][]int64
	need   []int64
	points int64
	chosen []int
	count  []int64
	least  int64
	best   *optimize.Result
}

func (b *brute) choose(i int, match map[string]string) {
	if i == len(b.p.Needs) {
		b.buy(0, 0, 0)
		return
	}
	n := b.p.Needs[i]
	for j, o := range n.Options {
		if m, ok := match[n.Match]; n.Match != "" && ok && m != o.ID {
			continue
		}
		_, set := match[n.Match]
		if n.Match != "" && !set {
			match[n.Match] = o.ID
		}
		for _, u := range o.Uses {
			b.need[b.paint[u.Paint]] += u.UL
		}
		b.points += o.Compromise
		b.chosen[i] = j
		b.choose(i+1, match)
		b.points -= o.Compromise
		for _, u := range o.Uses {
			b.need[b.paint[u.Paint]] -= u.UL
		}
		if n.Match != "" && !set {
			delete(match, n.Match)
		}
	}
}

func (b *brute) short(i int) int64 {
	s := b.need[i] - b.p.Paints[i].HaveUL
	for k, c := range b.count {
		s -= c * b.gives[k][i]
	}
	return s
}

// buy tries 0, 1, 2, ... boxes of each offer: no more than serve the whole
// need of one of its paints, and one more for the delivery bands.
func (b *brute) buy(k int, goods, boxes int64) {
	if goods+b.leastFees() > b.least {
		return
	}
	if k == len(b.p.Offers) {
		b.done(boxes)
		return
	}
	o := b.p.Offers[k]
	most := int64(0)
	for i, g := range b.gives[k] {
		if s := b.short(i); g > 0 && s > 0 {
			most = max(most, (s+g-1)/g)
		}
	}
	if b.bands(o.Shop) {
		most++
	}
	if o.Limit != nil {
		most = min(most, *o.Limit)
	}
	for c := int64(0); c <= most; c++ {
		b.count[k] = c
		b.buy(k+1, goods+c*o.Price, boxes+c)
	}
	b.count[k] = 0
}

func (b *brute) bands(shop string) bool {
	s := b.p.Shops[b.shop[shop]]
	return len(s.Delivery) > 1 || s.MinOrder > 0
}

// leastFees is a lower bound on all delivery: money off can only help so much.
func (b *brute) leastFees() int64 {
	sum := int64(0)
	for _, s := range b.p.Shops {
		sum += min(0, s.Delivery[len(s.Delivery)-1].Fee)
	}
	return sum
}

func (b *brute) done(boxes int64) {
	for i := range b.p.Paints {
		if b.short(i) > 0 {
			return
		}
	}
	t := optimize.Totals{Points: b.points, Boxes: boxes}
	var bills []optimize.ShopBill
	for i, s := range b.p.Shops {
		bill, used := optimize.ShopBill{Shop: s.ID}, false
		for k, o := range b.p.Offers {
			if b.shop[o.Shop] == i && b.count[k] > 0 {
				bill.Goods, used = bill.Goods+b.count[k]*o.Price, true
			}
		}
		if !used {
			continue
		}
		if bill.Goods < s.MinOrder {
			return
		}
		for _, band := range s.Delivery {
			if band.From <= bill.Goods {
				bill.Fee = band.Fee
			}
		}
		t.Goods, t.Delivery, t.ShopsUsed = t.Goods+bill.Goods, t.Delivery+bill.Fee, t.ShopsUsed+1
		bills = append(bills, bill)
	}
	r := b.p.Rules
	if (r.MaxShops != nil && t.ShopsUsed > *r.MaxShops) || (r.Budget != nil && t.Goods+t.Delivery > *r.Budget) {
		return
	}
	t.Objective = t.Goods + t.Delivery + r.CompromisePrice*t.Points
	t.Bound = t.Objective
	res := &optimize.Result{
		Status:       optimize.Optimal,
		Currency:     b.p.Currency,
		Totals:       &t,
		Shops:        bills,
		ProvenLevels: 4,
	}
	if b.best != nil && !better(res, b.best) {
		return
	}
	b.least = t.Objective
	for k, o := range b.p.Offers {
		if b.count[k] > 0 {
			res.Buy = append(res.Buy, optimize.Purchase{Product: o.Product, Shop: o.Shop, Count: b.count[k]})
		}
	}
	for i, n := range b.p.Needs {
		res.Choices = append(res.Choices, optimize.Choice{Need: n.ID, Option: n.Options[b.chosen[i]].ID})
	}
	for i, x := range b.p.Paints {
		left := -b.short(i)
		res.Paints = append(res.Paints, optimize.PaintBalance{
			Paint:  x.ID,
			HaveUL: x.HaveUL,
			NeedUL: b.need[i],
			BuyUL:  left + b.need[i] - x.HaveUL,
			LeftUL: left,
		})
	}
	b.best = res
}
