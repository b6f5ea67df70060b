package shopping

import (
	"context"
	"slices"

	"halfpot/optimize"
)

// Solver answers a purchase problem; exact.Solve with its options bound is
// one. The functions that explain a plan ask it changed questions.
type Solver func(context.Context, *optimize.Problem) (*optimize.Result, error)

// Answer is a question with its answer.
type Answer struct {
	*Question
	Result *optimize.Result
}

// Solve asks a solver.
func (q *Question) Solve(ctx context.Context, solve Solver) (*Answer, error) {
	r, err := solve(ctx, q.Problem)
	if err != nil {
		return nil, err
	}
	return &Answer{q, r}, nil
}

// Found reports whether there is a plan at all.
func (a *Answer) Found() bool { return a.Result.Totals != nil }

// List tells the answer as a shopping list.
func (a *Answer) List() (*ShoppingList, error) { return NewShoppingList(a.Question, a.Result) }

// proven reports whether the answer and another result both are.
func (a *Answer) proven(r *optimize.Result) bool {
	settled := func(s optimize.Status) bool { return s == optimize.Optimal || s == optimize.Infeasible }
	return settled(a.Result.Status) && settled(r.Status)
}

// cost is goods and delivery in minor units.
func cost(r *optimize.Result) int64 { return r.Totals.Goods + r.Totals.Delivery }

// bought is the number of boxes of a product at a shop in a result.
func bought(r *optimize.Result, product, shop string) int64 {
	for _, b := range r.Buy {
		if b.Product == product && b.Shop == shop {
			return b.Count
		}
	}
	return 0
}

// varied copies a problem as deep as the explaining functions change it:
// offers, products and their contents, shops and their bands, needs and
// paints as lists.
func varied(p *optimize.Problem) *optimize.Problem {
	c := *p
	c.Paints = slices.Clone(p.Paints)
	c.Needs = slices.Clone(p.Needs)
	c.Groups = slices.Clone(p.Groups)
	c.Offers = slices.Clone(p.Offers)
	c.Products = slices.Clone(p.Products)
	for i := range c.Products {
		c.Products[i].Contents = slices.Clone(p.Products[i].Contents)
	}
	c.Shops = slices.Clone(p.Shops)
	for i := range c.Shops {
		c.Shops[i].Delivery = slices.Clone(p.Shops[i].Delivery)
	}
	return &c
}

// offerKey names an offer.
type offerKey struct{ product, shop string }
