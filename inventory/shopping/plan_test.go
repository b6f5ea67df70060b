package shopping

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/internal/fixture"
	"halfpot/optimize"
)

// tinyCatalogue is the part of the small world that brute force can take.
func tinyCatalogue() *inventory.Catalogue {
	c := fixture.SmallCatalogue()
	c.Recipes[0].Steps = c.Recipes[0].Steps[1:4] // cloth, straps, shade
	c.Recipes[0].Steps[2].Thinning = nil
	c.Offers = slices.DeleteFunc(c.Offers, func(o inventory.Offer) bool {
		return slices.Contains([]string{"p-bone", "p-medium", "p-pencil"}, o.Product)
	})
	return c
}

func question(t *testing.T, c *inventory.Catalogue, stock inventory.Stock, rules Rules) *Question {
	t.Helper()
	if err := c.Validate().Err(); err != nil {
		t.Fatal(err)
	}
	n := fixture.Must[*estimate.Needs](t)(estimate.ForceNeeds(c, &c.Forces[0], nil, estimate.NeedRules{}))
	return fixture.Must[*Question](t)(NewQuestion(c, n, stock, rules))
}

func answer(t *testing.T, q *Question) *Answer {
	t.Helper()
	return fixture.Must[*Answer](t)(q.Solve(context.Background(), bruteSolve))
}

func TestProblemIsSound(t *testing.T) {
	c := fixture.SmallCatalogue()
	q := question(t, c, inventory.Stock{"leather": 5 * inventory.Millilitre}, Rules{
		Must:      []Must{{Paint: "cloth-b"}},
		KeepOwned: true,
	})
	if err := q.Problem.Validate(); err != nil {
		t.Error(err)
	}
	for _, p := range q.Problem.Products {
		if p.ID == "p-bone" && p.Contents[0].UL >= int64(280*inventory.Millilitre) {
			t.Errorf("a 400 ml can is said to hold %d ul of paint: propellant counts as paint", p.Contents[0].UL)
		}
		if p.ID == "p-pencil" && p.Contents[0].UL != int64(inventory.Item) {
			t.Errorf("a pencil holds %d ul, want one item", p.Contents[0].UL)
		}
	}
}

func TestShoppingList(t *testing.T) {
	q := question(t, tinyCatalogue(), inventory.Stock{"shade": 30 * inventory.Millilitre}, Rules{})
	a := answer(t, q)
	l := fixture.Must[*ShoppingList](t)(a.List())
	// By hand: everything from the corner shop, because delivery by post costs
	// 4.50. Its cheapest cloth is cloth-a at 4.20; cloth-b is sold by post only.
	// Straps: leather 3.50 and either black 3.50 or its stand-in 2.60.
	if got, want := l.Total.String(), "10.30 EUR"; got != want || !l.Proven() {
		t.Fatalf("total %s, want %s: %+v", got, want, l.Orders)
	}
	if len(l.Orders) != 1 || l.Orders[0].Shop != "corner" || !l.Delivery.IsZero() || l.Boxes != 3 {
		t.Errorf("orders %+v", l.Orders)
	}
	ins := l.StandIns()
	if len(ins) != 2 || ins[0].Option != "1:strap-b+2:leather" ||
		!strings.Contains(ins[0].Why, "costs less") || !strings.Contains(ins[0].Why, "straps alike") {
		t.Errorf("stand-ins %+v", ins)
	}
	for _, b := range l.Balance {
		if b.Have+b.Bought-b.Needed != b.Left || b.Left < 0 {
			t.Errorf("%s does not add up: %+v", b.Paint, b)
		}
		if b.Paint == "shade" && (b.Pots != 0 || b.FromShelf() != b.Needed) {
			t.Errorf("the shelf has shade enough: %+v", b)
		}
	}
	if len(l.Steps) != 6 {
		t.Errorf("%d steps planned, want 6", len(l.Steps))
	}
}

func TestRules(t *testing.T) {
	stock := inventory.Stock{"shade": 30 * inventory.Millilitre}
	total := func(c *inventory.Catalogue, s inventory.Stock, r Rules) string {
		l := fixture.Must[*ShoppingList](t)(answer(t, question(t, c, s, r)).List())
		if l.Status == optimize.Infeasible {
			return "none"
		}
		return l.Total.Decimal()
	}
	price := fixture.Eur(30) // a point is worth 30 cents: 2 units x 4 points outweigh 0.90
	for name, c := range map[string]struct {
		rules Rules
		stock inventory.Stock
		want  string
	}{
		"cheapest":           {Rules{}, stock, "10.30"},
		"exact colours":      {Rules{ExactColours: true}, stock, "11.20"},
		"compromise price":   {Rules{CompromisePrice: price}, stock, "11.20"},
		"without corner":     {Rules{WithoutShops: []string{"corner"}}, stock, "13.50"}, // 2.80 + 3.10 + 3.10 + 4.50
		"only one range":     {Rules{OnlyRanges: []string{"Field"}}, stock, "11.20"},
		"without a range":    {Rules{WithoutRanges: []string{"tarnwick-bench"}}, stock, "11.20"},
		"must buy a product": {Rules{Must: []Must{{Product: "p-black"}}}, stock, "11.20"},
		"must buy a paint":   {Rules{Must: []Must{{Paint: "shade"}}}, stock, "14.20"}, // kit-box 6.90 + 2.80 + 4.50
		"keep to the shelf": {Rules{KeepOwned: true},
			inventory.Stock{"shade": 30 * inventory.Millilitre, "cloth-b": 17 * inventory.Millilitre},
			"6.10"},
		"two of a paint":      {Rules{Must: []Must{{Paint: "shade", Count: 2}}}, stock, "18.50"}, // kit-box 6.90 + 4.30 + 2.80 + 4.50
		"no shop with enough": {Rules{WithoutShops: []string{"corner", "post"}}, stock, "none"},
	} {
		if got := total(tinyCatalogue(), c.stock, c.rules); got != c.want {
			t.Errorf("%s: total %s, want %s", name, got, c.want)
		}
	}
}

func TestRulesThatNameNothing(t *testing.T) {
	c := tinyCatalogue()
	n := fixture.Must[*estimate.Needs](t)(estimate.ForceNeeds(c, &c.Forces[0], nil, estimate.NeedRules{}))
	gbp := inventory.MoneyOfMinor(100, "GBP")
	for says, rules := range map[string]Rules{
		"nearest: corner":                 {WithoutShops: []string{"cornr"}},
		"nearest: field":                  {OnlyRanges: []string{"feild"}},
		"0.5 to 0.999":                    {Confidence: 1},
		"money in EUR":                    {Budget: &gbp},
		"nearest: p-black":                {Must: []Must{{Product: "p-blak"}}},
		"max-shops: found -1, expected a": {MaxShops: -1},
	} {
		if _, err := NewQuestion(c, n, nil, rules); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v: error %v, want one that says %q", rules, err, says)
		}
	}
}

// More stock and more offers never raise the cost; more figures never lower it.
func TestMoreStockNeverCostsMore(t *testing.T) {
	last := int64(1 << 60)
	for ml := inventory.Volume(0); ml <= 12; ml += 3 {
		a := answer(t, question(t, tinyCatalogue(),
			inventory.Stock{"leather": ml * inventory.Millilitre, "shade": 2 * ml * inventory.Millilitre},
			Rules{}))
		if cost(a.Result) > last {
			t.Errorf("with %d ml of leather on the shelf the plan costs %d after %d", ml, cost(a.Result), last)
		}
		last = cost(a.Result)
	}
	last = 0
	for n := 5; n <= 60; n += 11 {
		c := tinyCatalogue()
		c.Forces[0].Units[0].Figures = n
		a := answer(t, question(t, c, nil, Rules{}))
		if cost(a.Result) < last {
			t.Errorf("with %d figures the plan costs %d after %d", n, cost(a.Result), last)
		}
		last = cost(a.Result)
	}
}

// A higher confidence needs no less and counts on no more.
func TestConfidenceWidens(t *testing.T) {
	var lastNeed, lastPot int64 = 0, 1 << 60
	for _, conf := range []float64{0.5, 0.7, 0.9, 0.99} {
		q := question(t, tinyCatalogue(), nil, Rules{Confidence: conf})
		need, pot := q.Problem.Needs[0].Options[0].Uses[0].UL, q.Problem.Products[0].Contents[0].UL
		if need < lastNeed || pot > lastPot {
			t.Errorf("at %g a need is %d ul after %d, a pot %d ul after %d", conf, need, lastNeed, pot, lastPot)
		}
		lastNeed, lastPot = need, pot
	}
}

// A result that is not of this question is told apart from a plan.
func TestForeignResult(t *testing.T) {
	q := question(t, tinyCatalogue(), nil, Rules{})
	a := answer(t, q)
	for name, spoil := range map[string]func(*optimize.Result){
		"product": func(r *optimize.Result) { r.Buy[0].Product = "p-none" },
		"option":  func(r *optimize.Result) { r.Choices[0].Option = "none" },
	} {
		r := *a.Result
		r.Buy, r.Choices = slices.Clone(r.Buy), slices.Clone(r.Choices)
		spoil(&r)
		if _, err := NewShoppingList(q, &r); err == nil {
			t.Errorf("a foreign %s is taken", name)
		}
	}
}

// What was begun with a stand-in can't be finished in exact colours.
func TestExactColoursAfterAStandIn(t *testing.T) {
	c := fixture.SmallCatalogue()
	c.Forces[0].Done = []inventory.Work{{Unit: "first", Step: "straps", Figures: 2, Mix: "1:strap-b+2:leather"}}
	n, err := estimate.ForceNeeds(c, &c.Forces[0], nil, estimate.NeedRules{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := NewQuestion(c, n, inventory.Stock{}, Rules{ExactColours: true}); !errors.Is(err, ErrBegun) {
		t.Errorf("exact colours after a stand-in: %v", err)
	}
}
