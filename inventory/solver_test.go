package inventory

import (
	"context"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/exact"
)

func realSolve(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
	return exact.Solve(ctx, p, exact.Options{Threads: 1})
}

// The whole line with the real solver: same money as brute force under every
// rule, and a list that adds up.
func TestLineWithTheRealSolver(t *testing.T) {
	for name, rules := range map[string]BuyRules{
		"plain": {}, "exact": {ExactColours: true}, "one shop": {MaxShops: 1}, "must": {Must: []Must{{Product: "kit-box", Count: 2}}},
		"compromise": {CompromisePrice: eur(30)}, "keep": {KeepOwned: true}, "range": {OnlyRanges: []string{"Field"}},
	} {
		for _, stock := range []Stock{nil, {"shade": 30 * Millilitre}, {"leather": 4 * Millilitre, "cloth-b": 17 * Millilitre}} {
			q := question(t, tinyCatalogue(), stock, rules)
			want := answer(t, q)
			got := must[*Answer](t)(q.Solve(ctx, realSolve))
			if !want.Found() || !got.Found() {
				if want.Found() != got.Found() {
					t.Errorf("%s: brute force finds a plan: %v, the solver: %v", name, want.Found(), got.Found())
				}
				continue
			}
			w, g := want.Result.Totals, got.Result.Totals
			if w.Objective != g.Objective || w.Points != g.Points || w.Boxes != g.Boxes || w.ShopsUsed != g.ShopsUsed {
				t.Errorf("%s: totals %+v, brute force %+v", name, *g, *w)
			}
			must[*ShoppingList](t)(got.List())
		}
	}
}

func TestComparisonWithTheRealSolver(t *testing.T) {
	q := question(t, smallCatalogue(), Stock{"leather": 3 * Millilitre}, BuyRules{})
	for _, c := range must[[]Contender](t)(q.Compare(ctx, realSolve)) {
		if !c.List.Proven() {
			t.Errorf("%s: %s, %+v", c.Way, c.List.Status, c.List.Reasons)
		}
	}
}
