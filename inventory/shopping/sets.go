package shopping

import (
	"context"
	"slices"

	"halfpot/inventory"
	"halfpot/optimize"
)

// SetReason is why a set beat single pots, pot by pot.
type SetReason struct {
	Product string
	Shop    string
	Price   inventory.Money
	Pots    []SetPot
	// Singles is what the pots the plan uses would cost one by one, each at its
	// cheapest shop and without delivery. Pots sold in no other way count nothing.
	Singles inventory.Money
	// Without is how much dearer the best plan is that does not buy the set
	// anywhere; None where there is no such plan.
	Without inventory.Money
	None    bool
	Instead []Extra // what that plan buys more or less
	Sure    bool    // both plans are proven, so that Without is exact
}

// SetPot is one kind of pot in a set.
type SetPot struct {
	Paint  string
	Count  int
	Needed inventory.Volume // what the plan takes of the paint beyond the shelf
	Single *inventory.Money // cheapest pot or pots of at least that size sold singly; nil: none on offer
	Shop   string           // where
}

// Sets explains every set in the plan.
func (a *Answer) Sets(ctx context.Context, solve Solver) ([]SetReason, error) {
	if !a.Found() {
		return nil, nil
	}
	balance := map[string]optimize.PaintBalance{}
	for _, b := range a.Result.Paints {
		balance[b.Paint] = b
	}
	var out []SetReason
	for _, b := range a.Result.Buy {
		product := a.Index.Products[b.Product]
		if product == nil || !product.Set() {
			continue
		}
		s := SetReason{Product: b.Product, Shop: b.Shop}
		for _, o := range a.Problem.Offers {
			if o.Product == b.Product && o.Shop == b.Shop {
				s.Price = inventory.MoneyOfMinor(o.Price, a.Problem.Currency)
			}
		}
		total := int64(0)
		for _, c := range product.Contents {
			pb := balance[c.Paint]
			pot := SetPot{Paint: c.Paint, Count: c.Count, Needed: inventory.Volume(max(0, pb.NeedUL-pb.HaveUL))}
			if single, shop, ok := a.cheapestSingle(c.Paint, int64(pot.Needed)); ok {
				m := inventory.MoneyOfMinor(single, a.Problem.Currency)
				pot.Single, pot.Shop = &m, shop
				if pot.Needed > 0 {
					total += single
				}
			}
			s.Pots = append(s.Pots, pot)
		}
		s.Singles = inventory.MoneyOfMinor(total, a.Problem.Currency)
		if err := a.withoutSet(ctx, solve, &s); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// cheapestSingle is the least money for enough single pots of a paint (at
// least one) at one shop.
func (a *Answer) cheapestSingle(paint string, need int64) (int64, string, bool) {
	best, at, found := int64(0), "", false
	for _, p := range a.Problem.Products {
		if q := a.Index.Products[p.ID]; q == nil || q.Set() || q.Contents[0].Paint != paint {
			continue
		}
		i := slices.IndexFunc(p.Contents, func(c optimize.Content) bool { return c.Paint == paint })
		if i < 0 {
			continue
		}
		pots := max(1, (need+p.Contents[i].UL-1)/p.Contents[i].UL)
		for _, o := range a.Problem.Offers {
			if o.Product != p.ID || (o.Limit != nil && *o.Limit < pots) {
				continue
			}
			if sum := o.Price * pots; !found || sum < best {
				best, at, found = sum, o.Shop, true
			}
		}
	}
	return best, at, found
}

func (a *Answer) withoutSet(ctx context.Context, solve Solver, s *SetReason) error {
	p := varied(a.Problem)
	p.Offers = slices.DeleteFunc(p.Offers, func(o optimize.Offer) bool { return o.Product == s.Product })
	r, err := solve(ctx, p)
	if err != nil {
		return err
	}
	s.Sure = a.proven(r)
	if s.None = r.Totals == nil; s.None {
		return nil
	}
	s.Without = inventory.MoneyOfMinor(r.Totals.Objective-a.Result.Totals.Objective, a.Problem.Currency)
	s.Instead = difference(a.Result, r)
	return nil
}
