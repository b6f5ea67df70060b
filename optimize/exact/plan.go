package exact

import (
	"halfpot/optimize"
)

// result turns a solution back into the problem's own ids.
func (m *model) result(s *solution) *optimize.Result {
	m = s.m
	p := m.prob
	res := &optimize.Result{Currency: p.Currency}
	option := make([]int, len(p.Needs))
	for i := range option {
		option[i] = -1
	}
	for n, o := range s.choice {
		for k, i := range m.members[n] {
			option[i] = int(m.optPick[o][k])
		}
	}
	paint := make(map[string]int, len(p.Paints))
	for i, pt := range p.Paints {
		paint[pt.ID] = i
		res.Paints = append(res.Paints, optimize.PaintBalance{Paint: pt.ID, HaveUL: pt.HaveUL})
	}
	t := &optimize.Totals{}
	for i, n := range p.Needs {
		if option[i] < 0 {
			continue
		}
		o := n.Options[option[i]]
		res.Choices = append(res.Choices, optimize.Choice{Need: n.ID, Option: o.ID})
		t.Points += o.Compromise
		for _, u := range o.Uses {
			res.Paints[paint[u.Paint]].NeedUL += u.UL
		}
	}
	count := make([]int64, len(p.Offers))
	for j, x := range s.x {
		count[m.offOrig[j]] += int64(x)
	}
	for _, f := range s.fill {
		count[f.orig] += int64(f.count)
	}
	m.addPurchases(res, t, count, paint)
	for i := range res.Paints {
		b := &res.Paints[i]
		b.LeftUL = b.HaveUL + b.BuyUL - b.NeedUL
	}
	t.Objective = t.Goods + t.Delivery + p.Rules.CompromisePrice*t.Points
	res.Totals = t
	return res
}

func (m *model) addPurchases(res *optimize.Result, t *optimize.Totals, count []int64, paint map[string]int) {
	p := m.prob
	product := make(map[string]*optimize.Product, len(p.Products))
	for i := range p.Products {
		product[p.Products[i].ID] = &p.Products[i]
	}
	goods, used := map[string]int64{}, map[string]bool{}
	for j, c := range count {
		if c == 0 {
			continue
		}
		o := p.Offers[j]
		res.Buy = append(res.Buy, optimize.Purchase{Product: o.Product, Shop: o.Shop, Count: c})
		goods[o.Shop] += c * o.Price
		used[o.Shop] = true
		t.Boxes += c
		for _, k := range product[o.Product].Contents {
			res.Paints[paint[k.Paint]].BuyUL += c * k.Containers() * k.UL
		}
	}
	for _, s := range p.Shops {
		if !used[s.ID] {
			continue
		}
		bill := optimize.ShopBill{Shop: s.ID, Goods: goods[s.ID]}
		for _, b := range s.Delivery {
			if b.From <= bill.Goods {
				bill.Fee = b.Fee
			}
		}
		res.Shops = append(res.Shops, bill)
		t.Goods += bill.Goods
		t.Delivery += bill.Fee
		t.ShopsUsed++
	}
}
