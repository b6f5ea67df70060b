package testkit

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"halfpot/optimize"
)

// This file solves tiny problems by looking at every plan there is, and makes
// odd ones to look at. It is written from the page that defines the problem
// and shares nothing with the solver, the LP export or the checker.

// Levels are the objective's levels in their order.
type Levels struct{ Worth, Money, Points, Boxes, Shops int64 }

func (a Levels) Compare(b Levels) int {
	return cmp.Or(cmp.Compare(b.Worth, a.Worth), cmp.Compare(a.Money, b.Money), cmp.Compare(a.Points, b.Points),
		cmp.Compare(a.Boxes, b.Boxes), cmp.Compare(a.Shops, b.Shops))
}

func LevelsOf(r *optimize.Result) Levels {
	t := r.Totals
	return Levels{t.Worth, t.Objective, t.Points, t.Boxes, t.ShopsUsed}
}

// An order is one way to buy that the shops, limits and rules accept.
type order struct {
	boxes        []int64 // by offer
	volume       map[string]int64
	goods        map[string]int64
	fees         map[string]int64
	money, count int64
}

// mostOrders bounds what brute looks at.
const mostOrders = 10000

// Brute finds the best plan of a tiny problem: nil when there is none; ok is
// false when the problem is too large to look at every order.
func Brute(p *optimize.Problem) (best *optimize.Result, ok bool) {
	orders, ok := allOrders(p)
	if !ok {
		return nil, false
	}
	slices.SortFunc(orders, func(a, b order) int {
		return cmp.Or(cmp.Compare(a.money, b.money), cmp.Compare(a.count, b.count),
			cmp.Compare(len(a.goods), len(b.goods)))
	})
	var bestLevels Levels
	choices := make([]int, len(p.Needs))
	var choose func(n int)
	choose = func(n int) {
		if n < len(p.Needs) {
			for o := range p.Needs[n].Options {
				choices[n] = o
				choose(n + 1)
			}
			if p.Rules.Budget != nil {
				choices[n] = -1
				choose(n + 1)
			}
			return
		}
		worth, finished, ok := settle(p, choices)
		if !ok {
			return
		}
		uses, points := map[string]int64{}, int64(0)
		for n, o := range choices {
			if o >= 0 {
				points += p.Needs[n].Options[o].Compromise
				for _, u := range p.Needs[n].Options[o].Uses {
					uses[u.Paint] += u.UL
				}
			}
		}
		for _, order := range orders {
			l := Levels{
				Worth:  worth,
				Money:  order.money + p.Rules.CompromisePrice*points,
				Points: points,
				Boxes:  order.count,
				Shops:  int64(len(order.goods)),
			}
			if best != nil && l.Compare(bestLevels) >= 0 {
				if worth == bestLevels.Worth && l.Money > bestLevels.Money {
					return // later orders cost no less
				}
				continue
			}
			enough := true
			for _, paint := range p.Paints {
				enough = enough && uses[paint.ID] <= paint.HaveUL+order.volume[paint.ID]
			}
			if enough {
				best, bestLevels = bruteResult(p, choices, finished, uses, order, l), l
				return
			}
		}
	}
	choose(0)
	return best, true
}

// settle applies constraints 1 and 2 to the choices and says what they are worth.
func settle(p *optimize.Problem, choices []int) (worth int64, finished []string, ok bool) {
	label := map[string]string{}
	for n, need := range p.Needs {
		if need.Match == "" || choices[n] < 0 {
			continue
		}
		id := need.Options[choices[n]].ID
		if other, ok := label[need.Match]; ok && other != id {
			return 0, nil, false
		}
		label[need.Match] = id
	}
	for _, need := range p.Needs {
		if id, ok := label[need.Match]; ok &&
			!slices.ContainsFunc(need.Options, func(o optimize.Option) bool { return o.ID == id }) {
			return 0, nil, false
		}
	}
	if p.Rules.Budget == nil {
		return 0, nil, true
	}
	state := map[string]int{} // 1: taken, 2: not, 3: both
	for n, need := range p.Needs {
		if choices[n] >= 0 {
			state[need.Group] |= 1
		} else {
			state[need.Group] |= 2
		}
	}
	if state[""]&1 != 0 {
		return 0, nil, false
	}
	for _, g := range p.Groups {
		if state[g.ID] < 2 { // all taken, or nothing to take
			worth += g.Worth
			finished = append(finished, g.ID)
		}
		if state[g.ID] == 3 {
			return 0, nil, false
		}
		delete(state, g.ID)
	}
	for id, s := range state {
		if s == 3 {
			return 0, nil, false
		}
		if s == 1 {
			finished = append(finished, id)
		}
	}
	return worth, finished, true
}

func allOrders(p *optimize.Problem) (orders []order, ok bool) {
	demand := map[string]int64{}
	for _, need := range p.Needs {
		for _, o := range need.Options {
			for _, u := range o.Uses {
				demand[u.Paint] += u.UL
			}
		}
	}
	most := make([]int64, len(p.Offers))
	for k, o := range p.Offers {
		// One box more than any reason to buy this offer asks for.
		most[k] = 2
		for _, c := range productOf(p, o.Product).Contents {
			most[k] = max(most[k], (demand[c.Paint]+c.UL-1)/c.UL+1)
		}
		s := shopOf(p, o.Shop)
		goal := max(s.MinOrder, s.Delivery[len(s.Delivery)-1].From)
		if o.Price > 0 {
			most[k] = max(most[k], (goal+o.Price-1)/o.Price+1)
		}
		if o.Limit != nil {
			most[k] = min(most[k], *o.Limit)
		}
	}
	boxes := make([]int64, len(p.Offers))
	looked := 0
	var buy func(k int) bool
	buy = func(k int) bool {
		if k < len(p.Offers) {
			for boxes[k] = 0; boxes[k] <= most[k]; boxes[k]++ {
				if !buy(k + 1) {
					return false
				}
			}
			return true
		}
		if looked++; looked > mostOrders {
			return false
		}
		if o, ok := accepted(p, boxes); ok {
			orders = append(orders, o)
		}
		return true
	}
	ok = buy(0)
	return orders, ok
}

func productOf(p *optimize.Problem, id string) *optimize.Product {
	return &p.Products[slices.IndexFunc(p.Products, func(v optimize.Product) bool { return v.ID == id })]
}

func shopOf(p *optimize.Problem, id string) *optimize.Shop {
	return &p.Shops[slices.IndexFunc(p.Shops, func(v optimize.Shop) bool { return v.ID == id })]
}

// accepted applies constraints 4 to 6 to an order.
func accepted(p *optimize.Problem, boxes []int64) (order, bool) {
	o := order{
		boxes:  slices.Clone(boxes),
		volume: map[string]int64{},
		goods:  map[string]int64{},
		fees:   map[string]int64{},
	}
	for k, n := range boxes {
		if n == 0 {
			continue
		}
		offer := p.Offers[k]
		o.count += n
		o.goods[offer.Shop] += n * offer.Price
		for _, c := range productOf(p, offer.Product).Contents {
			o.volume[c.Paint] += n * c.UL * max(c.Count, 1)
		}
	}
	for id, goods := range o.goods {
		s := shopOf(p, id)
		if goods < s.MinOrder {
			return o, false
		}
		for _, b := range s.Delivery {
			if goods >= b.From {
				o.fees[id] = b.Fee
			}
		}
		o.money += goods + o.fees[id]
	}
	if m := p.Rules.MaxShops; m != nil && int64(len(o.goods)) > *m {
		return o, false
	}
	return o, p.Rules.Budget == nil || o.money <= *p.Rules.Budget
}

func bruteResult(
	p *optimize.Problem, choices []int, finished []string, uses map[string]int64, o order, l Levels,
) *optimize.Result {
	r := &optimize.Result{Status: optimize.Optimal, Currency: p.Currency, ProvenLevels: 4, Finished: finished}
	t := &optimize.Totals{
		Points:     l.Points,
		Boxes:      l.Boxes,
		ShopsUsed:  l.Shops,
		Worth:      l.Worth,
		WorthBound: l.Worth,
		Objective:  l.Money,
		Bound:      l.Money,
	}
	if p.Rules.Budget != nil {
		r.ProvenLevels = 5
	}
	for n, c := range choices {
		if c >= 0 {
			r.Choices = append(r.Choices, optimize.Choice{Need: p.Needs[n].ID, Option: p.Needs[n].Options[c].ID})
		}
	}
	for k, n := range o.boxes {
		if n > 0 {
			r.Buy = append(r.Buy, optimize.Purchase{
				Product: p.Offers[k].Product,
				Shop:    p.Offers[k].Shop,
				Count:   n,
			})
		}
	}
	for _, s := range p.Shops {
		if goods, ok := o.goods[s.ID]; ok {
			r.Shops = append(r.Shops, optimize.ShopBill{Shop: s.ID, Goods: goods, Fee: o.fees[s.ID]})
			t.Goods += goods
			t.Delivery += o.fees[s.ID]
		}
	}
	for _, paint := range p.Paints {
		b := optimize.PaintBalance{
			Paint:  paint.ID,
			HaveUL: paint.HaveUL,
			NeedUL: uses[paint.ID],
			BuyUL:  o.volume[paint.ID],
		}
		b.LeftUL = b.HaveUL + b.BuyUL - b.NeedUL
		r.Paints = append(r.Paints, b)
	}
	r.Totals = t
	return r
}

// Odd makes a tiny problem out of tiny numbers, so that ties, boxes for
// nothing, money off from the first cent, unreachable orders and other corners
// are common.
func Odd(seed uint64) *optimize.Problem {
	rng := rand.New(rand.NewPCG(seed, 0x6f6464))
	upTo := func(n int64) int64 { return rng.Int64N(n + 1) }
	sometimes := func(percent int64) bool { return rng.Int64N(100) < percent }
	p := &optimize.Problem{Currency: "EUR"}
	for i := range 1 + upTo(3) {
		p.Paints = append(p.Paints, optimize.Paint{ID: fmt.Sprintf("p%d", i), HaveUL: max(0, upTo(6)-3)})
	}
	for g := range upTo(2) {
		p.Groups = append(p.Groups, optimize.Group{ID: fmt.Sprintf("g%d", g), Worth: upTo(3)})
	}
	for n := range 1 + upTo(3) {
		need := optimize.Need{ID: fmt.Sprintf("n%d", n)}
		if len(p.Groups) > 0 && sometimes(85) {
			need.Group = p.Groups[rng.IntN(len(p.Groups))].ID
		} else if len(p.Groups) == 0 && sometimes(50) {
			need.Group = "unlisted"
		}
		if sometimes(25) {
			need.Match = fmt.Sprintf("m%d", upTo(1))
		}
		for _, id := range rng.Perm(4)[:1+upTo(2)] {
			o := optimize.Option{ID: string(rune('a' + id)), Compromise: max(0, upTo(4)-2)}
			for _, i := range rng.Perm(len(p.Paints))[:min(int64(len(p.Paints)), upTo(2))] {
				o.Uses = append(o.Uses, optimize.Use{Paint: p.Paints[i].ID, UL: upTo(4)})
			}
			need.Options = append(need.Options, o)
		}
		p.Needs = append(p.Needs, need)
	}
	for k := range 1 + upTo(3) {
		product := optimize.Product{ID: fmt.Sprintf("k%d", k)}
		for range 1 + upTo(2)*upTo(1) {
			product.Contents = append(product.Contents, optimize.Content{
				Paint: p.Paints[rng.IntN(len(p.Paints))].ID,
				UL:    1 + upTo(5),
				Count: max(0, upTo(5)-3),
			})
		}
		p.Products = append(p.Products, product)
	}
	for h := range 1 + upTo(2) {
		s := optimize.Shop{ID: fmt.Sprintf("h%d", h), Delivery: []optimize.Band{{From: 0, Fee: upTo(6) - 2}}}
		if sometimes(40) {
			s.MinOrder = 1 + upTo(7)
		}
		for range upTo(2) {
			last := s.Delivery[len(s.Delivery)-1]
			s.Delivery = append(s.Delivery, optimize.Band{
				From: last.From + 1 + upTo(5),
				Fee:  last.Fee - upTo(3),
			})
		}
		p.Shops = append(p.Shops, s)
		for _, product := range p.Products {
			if sometimes(60) {
				o := optimize.Offer{Product: product.ID, Shop: s.ID, Price: max(0, upTo(6)-1)}
				if sometimes(30) {
					limit := upTo(2)
					o.Limit = &limit
				}
				p.Offers = append(p.Offers, o)
			}
		}
	}
	p.Rules.CompromisePrice = upTo(2)
	if sometimes(20) {
		most := 1 + upTo(1)
		p.Rules.MaxShops = &most
	}
	if sometimes(30) {
		budget := upTo(14)
		p.Rules.Budget = &budget
	}
	return p
}

// BruteCases gives tiny problems with their best plans (nil: none), n in all.
func BruteCases(t *testing.T, n int, each func(seed uint64, p *optimize.Problem, best *optimize.Result)) {
	t.Helper()
	for seed := uint64(0); n > 0; seed++ {
		p := Odd(seed)
		if err := p.Validate(); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if best, ok := Brute(p); ok {
			each(seed, p, best)
			n--
		}
	}
}

// Small is a problem that uses every key of the format.
const Small = `{
  "currency": "EUR",
  "paints": [{"id": "bone", "have_ul": 500}, {"id": "ochre"}],
  "groups": [{"id": "first", "worth": 8}],
  "needs": [
    {"id": "coats", "group": "first", "match": "m", "figures": 8, "options": [
      {"id": "bone", "uses": [{"paint": "bone", "ul": 900}]},
      {"id": "mixed", "compromise": 1, "uses": [{"paint": "bone", "ul": 300}, {"paint": "ochre", "ul": 600}]}]}],
  "products": [{"id": "pot", "contents": [{"paint": "bone", "ul": 17000}]}, {"id": "set", "contents": [{"paint": "bone", "ul": 17000, "count": 2}, {"paint": "ochre", "ul": 17000}]}],
  "shops": [{"id": "corner", "min_order": 500, "delivery": [{"from": 0, "fee": 395}, {"from": 3000, "fee": -100}]}],
  "offers": [{"product": "pot", "shop": "corner", "price": 295}, {"product": "set", "shop": "corner", "price": 700, "limit": 3}],
  "rules": {"compromise_price": 25, "max_shops": 1, "budget": 2000}
}
`
