package shopping

import (
	"context"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
	"halfpot/optimize"
	"halfpot/optimize/exact"
)

func realSolve(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
	return exact.Solve(ctx, p, exact.Options{Threads: 1})
}

// The whole line with the real solver: same money as brute force under every
// rule, and a list that adds up.
func TestLineWithTheRealSolver(t *testing.T) {
	for name, rules := range map[string]Rules{
		"plain":      {},
		"exact":      {ExactColours: true},
		"one shop":   {MaxShops: 1},
		"must":       {Must: []Must{{Product: "kit-box", Count: 2}}},
		"compromise": {CompromisePrice: fixture.Eur(30)},
		"keep":       {KeepOwned: true},
		"range":      {OnlyRanges: []string{"Field"}},
	} {
		for _, stock := range []inventory.Stock{
			nil,
			{"shade": 30 * inventory.Millilitre},
			{"leather": 4 * inventory.Millilitre, "cloth-b": 17 * inventory.Millilitre},
		} {
			q := question(t, tinyCatalogue(), stock, rules)
			want := answer(t, q)
			got := fixture.Must[*Answer](t)(q.Solve(ctx, realSolve))
			if !want.Found() || !got.Found() {
				if want.Found() != got.Found() {
					t.Errorf("%s: brute force finds a plan: %v, the solver: %v", name, want.Found(), got.Found())
				}
				continue
			}
			w, g := want.Result.Totals, got.Result.Totals
			if w.Objective != g.Objective || w.Points != g.Points || w.Boxes != g.Boxes ||
				w.ShopsUsed != g.ShopsUsed {
				t.Errorf("%s: totals %+v, brute force %+v", name, *g, *w)
			}
			fixture.Must[*ShoppingList](t)(got.List())
		}
	}
}

func TestComparisonWithTheRealSolver(t *testing.T) {
	q := question(t, fixture.SmallCatalogue(), inventory.Stock{"leather": 3 * inventory.Millilitre}, Rules{})
	for _, c := range fixture.Must[[]Contender](t)(q.Compare(ctx, realSolve)) {
		if !c.List.Proven() {
			t.Errorf("%s: %s, %+v", c.Aim, c.List.Status, c.List.Reasons)
		}
	}
}
