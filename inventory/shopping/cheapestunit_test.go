package shopping

import (
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
)

// What the cheapest unit costs is the least budget that finishes anything: for
// that money one is finished, for a cent less none is, whatever a point of
// compromise is worth.
func TestCheapestUnitIsTheLeastBudget(t *testing.T) {
	finished := func(c *inventory.Catalogue, stock inventory.Stock, rules Rules, cents int64) int {
		budget := fixture.Eur(cents)
		rules.Budget = &budget
		q := question(t, c, stock, rules)
		a := fixture.Must[*Answer](t)(q.Solve(ctx, realSolve))
		l := fixture.Must[*ShoppingList](t)(a.List())
		if !l.Proven() {
			t.Fatalf("budget %s: %s", budget, l.Status)
		}
		return 2 - len(l.Unfinished)
	}
	for name, c := range map[string]struct {
		stock inventory.Stock
		rules Rules
	}{
		"empty shelf":    {},
		"some shade":     {inventory.Stock{"shade": 30 * inventory.Millilitre}, Rules{}},
		"points matter":  {nil, Rules{CompromisePrice: fixture.Eur(400)}},
		"exact, by post": {nil, Rules{ExactColours: true, MaxShops: 2}},
	} {
		cat, nothing := tinyCatalogue(), fixture.Eur(0)
		cat.Forces[0].Units[0].Figures = 400 // so that the units' costs differ
		rules := c.rules
		rules.Budget = &nothing
		least := fixture.Must[*UnitCost](t)(question(t, cat, c.stock, rules).CheapestUnit(ctx, realSolve))
		if least == nil || least.Unit != "second" || !least.Cost.Amount.IsPositive() {
			t.Errorf("%s: cheapest %+v, want the second unit at some cost", name, least)
			continue
		}
		cents := fixture.Must[int64](t)(least.Cost.Minor())
		if n := finished(cat, c.stock, c.rules, cents); n == 0 {
			t.Errorf("%s: nothing is finished for %s", name, least.Cost)
		}
		if n := finished(cat, c.stock, c.rules, cents-1); n != 0 {
			t.Errorf("%s: %d finished for a cent less than %s", name, n, least.Cost)
		}
	}
}

func TestCheapestUnitWhereNoneCanBe(t *testing.T) {
	nothing := fixture.Eur(0)
	rules := Rules{Budget: &nothing, WithoutShops: []string{"corner", "post"}}
	if least := fixture.Must[*UnitCost](t)(question(t, tinyCatalogue(), nil, rules).CheapestUnit(ctx,
		realSolve)); least != nil {
		t.Errorf("cheapest %+v with no shop, want none", least)
	}
	cat, zero := tinyCatalogue(), 0
	cat.Forces[0].Units[1].Worth = &zero
	rules.WithoutShops = nil
	if least := fixture.Must[*UnitCost](t)(question(t, cat, nil, rules).CheapestUnit(ctx, realSolve)); least == nil || least.Unit != "first" {
		t.Errorf("cheapest %+v, want the first: the second is worth nothing", least)
	}
}
