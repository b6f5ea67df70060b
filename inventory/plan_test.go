package inventory

import (
	"context"
	"slices"
	"strings"
	"testing"

	"halfpot/optimize"
)

// tinyCatalogue is the part of the small world that brute force can take.
func tinyCatalogue() *Catalogue {
	c := smallCatalogue()
	c.Recipes[0].Steps = c.Recipes[0].Steps[1:4] // cloth, straps, shade
	c.Recipes[0].Steps[2].Thinning = nil
	c.Offers = slices.DeleteFunc(c.Offers, func(o Offer) bool {
		return slices.Contains([]string{"p-bone", "p-medium", "p-pencil"}, o.Product)
	})
	return c
}

func question(t *testing.T, c *Catalogue, stock Stock, rules BuyRules) *Purchase {
	t.Helper()
	if err := c.Validate().Err(); err != nil {
		t.Fatal(err)
	}
	n := must[*Needs](t)(ForceNeeds(c, &c.Forces[0], nil, NeedRules{}))
	return must[*Purchase](t)(PurchaseProblem(c, n, stock, rules))
}

func answer(t *testing.T, q *Purchase) *Answer {
	t.Helper()
	return must[*Answer](t)(q.Solve(context.Background(), bruteSolve))
}

func TestProblemIsSound(t *testing.T) {
	c := smallCatalogue()
	q := question(t, c, Stock{"leather": 5 * Millilitre}, BuyRules{Must: []Must{{Paint: "cloth-b"}}, KeepOwned: true})
	if err := q.Problem.Validate(); err != nil {
		t.Error(err)
	}
	for _, p := range q.Problem.Products {
		if p.ID == "p-bone" && p.Contents[0].UL >= int64(280*Millilitre) {
			t.Errorf("a 400 ml can is said to hold %d ul of paint: propellant counts as paint", p.Contents[0].UL)
		}
		if p.ID == "p-pencil" && p.Contents[0].UL != int64(Item) {
			t.Errorf("a pencil holds %d ul, want one item", p.Contents[0].UL)
		}
	}
}

func TestShoppingList(t *testing.T) {
	q := question(t, tinyCatalogue(), Stock{"shade": 30 * Millilitre}, BuyRules{})
	a := answer(t, q)
	l := must[*ShoppingList](t)(a.List())
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
	if len(ins) != 2 || ins[0].Option != "1:strap-b+2:leather" || !strings.Contains(ins[0].Why, "costs less") || !strings.Contains(ins[0].Why, "straps alike") {
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
	stock := Stock{"shade": 30 * Millilitre}
	total := func(c *Catalogue, s Stock, r BuyRules) string {
		l := must[*ShoppingList](t)(answer(t, question(t, c, s, r)).List())
		if l.Status == optimize.Infeasible {
			return "none"
		}
		return l.Total.Decimal()
	}
	price := eur(30) // a point is worth 30 cents: 2 units x 4 points outweigh 0.90
	for name, c := range map[string]struct {
		rules BuyRules
		stock Stock
		want  string
	}{
		"cheapest":            {BuyRules{}, stock, "10.30"},
		"exact colours":       {BuyRules{ExactColours: true}, stock, "11.20"},
		"compromise price":    {BuyRules{CompromisePrice: price}, stock, "11.20"},
		"without corner":      {BuyRules{WithoutShops: []string{"corner"}}, stock, "13.50"}, // 2.80 + 3.10 + 3.10 + 4.50
		"only one range":      {BuyRules{OnlyRanges: []string{"Field"}}, stock, "11.20"},
		"without a range":     {BuyRules{WithoutRanges: []string{"tarnwick-bench"}}, stock, "11.20"},
		"must buy a product":  {BuyRules{Must: []Must{{Product: "p-black"}}}, stock, "11.20"},
		"must buy a paint":    {BuyRules{Must: []Must{{Paint: "shade"}}}, stock, "14.20"}, // kit-box 6.90 + 2.80 + 4.50
		"keep to the shelf":   {BuyRules{KeepOwned: true}, Stock{"shade": 30 * Millilitre, "cloth-b": 17 * Millilitre}, "6.10"},
		"two of a paint":      {BuyRules{Must: []Must{{Paint: "shade", Count: 2}}}, stock, "18.50"}, // kit-box 6.90 + 4.30 + 2.80 + 4.50
		"no shop with enough": {BuyRules{WithoutShops: []string{"corner", "post"}}, stock, "none"},
	} {
		if got := total(tinyCatalogue(), c.stock, c.rules); got != c.want {
			t.Errorf("%s: total %s, want %s", name, got, c.want)
		}
	}
}

func TestRulesThatNameNothing(t *testing.T) {
	c := tinyCatalogue()
	n := must[*Needs](t)(ForceNeeds(c, &c.Forces[0], nil, NeedRules{}))
	gbp := MoneyOfMinor(100, "GBP")
	for says, rules := range map[string]BuyRules{
		"nearest: corner":                 {WithoutShops: []string{"cornr"}},
		"nearest: field":                  {OnlyRanges: []string{"feild"}},
		"0.5 to 0.999":                    {Confidence: 1},
		"money in EUR":                    {Budget: &gbp},
		"nearest: p-black":                {Must: []Must{{Product: "p-blak"}}},
		"max-shops: found -1, expected a": {MaxShops: -1},
	} {
		if _, err := PurchaseProblem(c, n, nil, rules); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v: error %v, want one that says %q", rules, err, says)
		}
	}
}

// More stock and more offers never raise the cost; more figures never lower it.
func TestMoreStockNeverCostsMore(t *testing.T) {
	last := int64(1 << 60)
	for ml := Volume(0); ml <= 12; ml += 3 {
		a := answer(t, question(t, tinyCatalogue(), Stock{"leather": ml * Millilitre, "shade": 2 * ml * Millilitre}, BuyRules{}))
		if cost(a.Result) > last {
			t.Errorf("with %d ml of leather on the shelf the plan costs %d after %d", ml, cost(a.Result), last)
		}
		last = cost(a.Result)
	}
	last = 0
	for n := 5; n <= 60; n += 11 {
		c := tinyCatalogue()
		c.Forces[0].Units[0].Figures = n
		a := answer(t, question(t, c, nil, BuyRules{}))
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
		q := question(t, tinyCatalogue(), nil, BuyRules{Confidence: conf})
		need, pot := q.Problem.Needs[0].Options[0].Uses[0].UL, q.Problem.Products[0].Contents[0].UL
		if need < lastNeed || pot > lastPot {
			t.Errorf("at %g a need is %d ul after %d, a pot %d ul after %d", conf, need, lastNeed, pot, lastPot)
		}
		lastNeed, lastPot = need, pot
	}
}

// A result that is not of this question is told apart from a plan.
func TestForeignResult(t *testing.T) {
	q := question(t, tinyCatalogue(), nil, BuyRules{})
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
