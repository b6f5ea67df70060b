package shopping

import (
	"context"
	"slices"

	"halfpot/inventory"
	"halfpot/optimize"
)

// NearMiss is an offer the plan leaves out, and how much cheaper it would have
// to be to get in.
type NearMiss struct {
	Product string
	Shop    string
	Price   inventory.Money
	Cheaper inventory.Money // take this much off and the best plan buys it
}

// NearMisses looks at the most promising offers that a plan leaves out, at
// most tries of them, and returns those that some price would bring in,
// nearest first. Each takes a few solves; where a limit of the solver's stops
// one, the offer is left out, because nothing is known of it. Under a budget
// there is nothing to say: plans are then compared by worth before money.
func (a *Answer) NearMisses(ctx context.Context, solve Solver, tries int) ([]NearMiss, error) {
	if a.Result.Status != optimize.Optimal || a.Problem.Rules.Budget != nil {
		return nil, nil
	}
	var out []NearMiss
	for _, o := range a.promising(tries) {
		m, err := a.nearMiss(ctx, solve, o)
		if err != nil {
			return nil, err
		}
		if m != nil {
			out = append(out, *m)
		}
	}
	slices.SortStableFunc(out, func(x, y NearMiss) int { return x.Cheaper.Amount.Cmp(y.Cheaper.Amount) })
	return out, nil
}

// promising ranks the offers left out by price less what the plan pays for
// the same paints, leaving out those with no paint that anything needs.
func (a *Answer) promising(n int) []optimize.Offer {
	value := a.paidPerPot()
	contents := map[string][]optimize.Content{}
	for _, p := range a.Problem.Products {
		contents[p.ID] = p.Contents
	}
	usable := map[string]bool{}
	for _, need := range a.Problem.Needs {
		for _, o := range need.Options {
			for _, u := range o.Uses {
				usable[u.Paint] = true
			}
		}
	}
	type ranked struct {
		offer optimize.Offer
		gap   float64
	}
	var all []ranked
	for _, o := range a.Problem.Offers {
		if bought(a.Result, o.Product, o.Shop) > 0 || (o.Limit != nil && *o.Limit == 0) {
			continue
		}
		gap, any := float64(o.Price), false
		for _, c := range contents[o.Product] {
			if isMust(c.Paint) {
				continue
			}
			any = any || usable[c.Paint]
			gap -= value[c.Paint] * float64(c.Containers())
		}
		if any {
			all = append(all, ranked{o, gap})
		}
	}
	slices.SortStableFunc(all, func(x, y ranked) int {
		switch {
		case x.gap < y.gap:
			return -1
		case x.gap > y.gap:
			return 1
		}
		return 0
	})
	out := make([]optimize.Offer, 0, n)
	for _, r := range all[:min(n, len(all))] {
		out = append(out, r.offer)
	}
	return out
}

// paidPerPot is what the plan pays for a pot of each paint, a set's price
// spread evenly over its pots. It only ranks what to look at.
func (a *Answer) paidPerPot() map[string]float64 {
	price := map[offerKey]int64{}
	for _, o := range a.Problem.Offers {
		price[offerKey{o.Product, o.Shop}] = o.Price
	}
	out := map[string]float64{}
	for _, b := range a.Result.Buy {
		p := a.Index.Products[b.Product]
		if p == nil {
			continue
		}
		pots := 0
		for _, c := range p.Contents {
			pots += c.Count
		}
		for _, c := range p.Contents {
			out[c.Paint] = float64(price[offerKey{b.Product, b.Shop}]) / float64(max(1, pots))
		}
	}
	return out
}

// nearMiss finds the highest whole price at which the best plan buys one more
// offer. A plan forced to take one box at today's price costs some gap more;
// with that much off, it is as good as the best. Free-delivery thresholds and
// plans of several boxes can spoil the sum, so the price found is asked for
// again, and where it is not the one, halving finds a price at which the offer
// is in while one unit more keeps it out.
func (a *Answer) nearMiss(ctx context.Context, solve Solver, o optimize.Offer) (*NearMiss, error) {
	currency := a.Problem.Currency
	m := &NearMiss{Product: o.Product, Shop: o.Shop, Price: inventory.MoneyOfMinor(o.Price, currency)}
	forced, err := solve(ctx, forcing(a.Problem, o))
	if err != nil {
		return nil, err
	}
	if forced.Totals == nil || forced.Status != optimize.Optimal {
		return nil, nil
	}
	proven := true
	getsIn := func(price int64) (bool, error) {
		p := varied(a.Problem)
		i := slices.IndexFunc(p.Offers, func(x optimize.Offer) bool {
			return x.Product == o.Product && x.Shop == o.Shop
		})
		p.Offers[i].Price = price
		r, err := solve(ctx, p)
		if err != nil {
			return false, err
		}
		proven = proven && r.Status == optimize.Optimal
		return r.Totals != nil && bought(r, o.Product, o.Shop) > 0, nil
	}
	gap := forced.Totals.Objective - a.Result.Totals.Objective
	low, high := int64(-1), o.Price // gets in at low (-1: perhaps not even at 0), not at high
	for _, price := range []int64{o.Price - gap, o.Price - gap - 1, 0} {
		if price < 0 || price >= high {
			continue
		}
		in, err := getsIn(price)
		if err != nil {
			return nil, err
		}
		if in {
			low = price
			break
		}
		high = price
	}
	if low < 0 || !proven {
		return nil, nil // not even as a gift, or a limit stopped the proof
	}
	// One step up first: mostly that is already too dear.
	for mid := low + 1; high-low > 1; mid = (low + high) / 2 {
		in, err := getsIn(mid)
		if err != nil {
			return nil, err
		}
		if in {
			low = mid
		} else {
			high = mid
		}
	}
	if !proven {
		return nil, nil
	}
	m.Cheaper = inventory.MoneyOfMinor(o.Price-low, currency)
	return m, nil
}

// forcing is the problem with one box of an offer in the order: a copy of the
// product, sold only there, holds a paint that a new need asks for.
func forcing(p *optimize.Problem, o optimize.Offer) *optimize.Problem {
	const id = mustPrefix + "try"
	c := varied(p)
	i := slices.IndexFunc(c.Products, func(x optimize.Product) bool { return x.ID == o.Product })
	copied := optimize.Product{
		ID:       id,
		Contents: append(slices.Clone(c.Products[i].Contents), optimize.Content{Paint: id, UL: 1, Count: 1}),
	}
	one := int64(1)
	c.Products = append(c.Products, copied)
	c.Offers = append(c.Offers, optimize.Offer{Product: id, Shop: o.Shop, Price: o.Price, Limit: &one})
	if j := slices.IndexFunc(c.Offers, func(x optimize.Offer) bool {
		return x.Product == o.Product && x.Shop == o.Shop
	}); o.Limit != nil {
		rest := *o.Limit - 1
		c.Offers[j].Limit = &rest
	}
	c.Paints = append(c.Paints, optimize.Paint{ID: id})
	c.Needs = append(c.Needs, optimize.Need{
		ID:      id,
		Group:   id,
		Options: []optimize.Option{{ID: "bought", Uses: []optimize.Use{{Paint: id, UL: 1}}}},
	})
	return c
}
