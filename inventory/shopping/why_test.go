package shopping

import (
	"context"
	"slices"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/internal/fixture"
	"halfpot/optimize"
)

var ctx = context.Background()

func TestStrandings(t *testing.T) {
	q := question(t, tinyCatalogue(), inventory.Stock{"shade": 30 * inventory.Millilitre}, Rules{})
	l := fixture.Must[*ShoppingList](t)(answer(t, q).List())
	got := map[string][]string{}
	for _, s := range l.Strandings(q) {
		got[s.Product] = s.Steps
	}
	want := map[string][]string{
		"p-cloth-a": {"first/cloth", "second/cloth"},
		"p-leather": {"first/straps", "second/straps"},
		"p-strap":   {"first/straps", "second/straps"},
	}
	for p, steps := range want {
		if !slices.Equal(got[p], steps) {
			t.Errorf("without %s %v are stranded, want %v", p, got[p], steps)
		}
	}
}

// The last unit runs dry where the shelf holds enough for the first.
func TestStrandingsFollowTheOrderOfPainting(t *testing.T) {
	c := tinyCatalogue()
	bare := question(t, c, nil, Rules{})
	first := bare.Problem.Needs[0].Options[0].Uses[0]
	q := question(t, c,
		inventory.Stock{"shade": 30 * inventory.Millilitre, "cloth-a": inventory.Volume(first.UL)},
		Rules{ExactColours: true})
	l := fixture.Must[*ShoppingList](t)(answer(t, q).List())
	for _, s := range l.Strandings(q) {
		if s.Product == "p-cloth-a" && !slices.Equal(s.Steps, []string{"second/cloth"}) {
			t.Errorf("the shelf serves the first unit, yet %v are stranded", s.Steps)
		}
	}
}

// Each near miss is tried: at the price found the best plan buys it, one cent
// dearer it does not.
func TestNearMisses(t *testing.T) {
	q := question(t, tinyCatalogue(), inventory.Stock{"shade": 30 * inventory.Millilitre}, Rules{})
	a := answer(t, q)
	misses := fixture.Must[[]NearMiss](t)(a.NearMisses(ctx, bruteSolve, 20))
	if len(misses) == 0 {
		t.Fatal("no near miss at all")
	}
	seen := false
	for _, m := range misses {
		cheaper := fixture.Must[int64](t)(m.Cheaper.Minor())
		for _, off := range []int64{cheaper, cheaper - 1} {
			p := varied(q.Problem)
			for i := range p.Offers {
				if p.Offers[i].Product == m.Product && p.Offers[i].Shop == m.Shop {
					p.Offers[i].Price -= off
				}
			}
			r := fixture.Must[*optimize.Result](t)(bruteSolve(ctx, p))
			if in := bought(r, m.Product, m.Shop) > 0; in != (off == cheaper) {
				t.Errorf("%s at %s, %d cents cheaper of %s: in the plan: %v",
					m.Product, m.Shop, off, m.Cheaper, in)
			}
		}
		// By hand: black 3.50 against its stand-in 2.60; at 2.60 it is no dearer
		// and saves the compromise.
		if m.Product == "p-black" && m.Shop == "corner" {
			seen = true
			if cheaper != 90 {
				t.Errorf("black has to be %s cheaper, want 0.90 EUR", m.Cheaper)
			}
		}
	}
	if !seen {
		t.Errorf("black is no near miss among %+v", misses)
	}
}

func TestOneMoreFigure(t *testing.T) {
	c := tinyCatalogue()
	c.Forces[0].Units = c.Forces[0].Units[:1]
	// A shelf that holds to the microlitre what ten figures take of shade.
	n := fixture.Must[*estimate.Needs](t)(estimate.ForceNeeds(c, &c.Forces[0], nil, estimate.NeedRules{}))
	shade := n.List[slices.IndexFunc(n.List, func(x estimate.Need) bool { return x.ID() == "first/shade" })]
	exact := shade.Options[0].Uses[0].UL(estimate.DefaultConfidence)
	a := answer(t, question(t, c, inventory.Stock{"shade": exact}, Rules{}))
	more := fixture.Must[[]OneMore](t)(a.OneMoreFigure(ctx, bruteSolve, nil, estimate.NeedRules{}))
	if len(more) != 1 || more[0].Unit != "first" || more[0].None {
		t.Fatalf("one more figure: %+v", more)
	}
	// The eleventh takes a pot of shade: 4.80 at the corner, or the set by post
	// for 6.90 + 2.80 + 4.50 = 14.20 instead of 10.30.
	if got := more[0].Extra.Decimal(); got != "3.90" {
		t.Errorf("the eleventh figure costs %s more, want 3.90: %+v", got, more[0].Buys)
	}
}

func TestThresholds(t *testing.T) {
	c := tinyCatalogue()
	c.Shops[1].Delivery[1].From = fixture.Eur(1000) // free from 10.00
	a := answer(t, question(t, c, nil, Rules{}))
	effects := fixture.Must[[]ThresholdEffect](t)(a.Thresholds(ctx, bruteSolve))
	// By post 2.80 + 6.90 = 9.70 pays 4.50; a cloth-a more lifts... no: a second
	// cloth-b lifts it to 12.50 delivered free, cheaper than 14.20.
	if got := cost(a.Result); got != 1250 {
		t.Fatalf("the plan costs %d, want 1250: %+v", got, a.Result.Buy)
	}
	if len(effects) != 1 || effects[0].Shop != "post" || effects[0].Saved.Decimal() != "1.70" ||
		len(effects[0].Changed) == 0 {
		t.Errorf("threshold effects %+v", effects)
	}
}

func TestSets(t *testing.T) {
	a := answer(t, question(t, tinyCatalogue(), nil, Rules{}))
	sets := fixture.Must[[]SetReason](t)(a.Sets(ctx, bruteSolve))
	if len(sets) != 1 || sets[0].Product != "kit-box" {
		t.Fatalf("sets %+v", sets)
	}
	s := sets[0]
	// Singly by post, where each is cheapest: 3.10 + 3.10 + 4.30.
	if s.Singles.Decimal() != "10.50" || s.Price.Decimal() != "6.90" || len(s.Pots) != 3 {
		t.Errorf("set against singles: %+v", s)
	}
	// Without it: 4.20 + 3.50 + 2.60 + 4.80 at the corner = 15.10 against 14.20.
	if s.Without.Decimal() != "0.90" || s.None || len(s.Instead) == 0 {
		t.Errorf("without the set: %+v", s)
	}
}

func TestCompare(t *testing.T) {
	q := question(t, tinyCatalogue(), inventory.Stock{"shade": 30 * inventory.Millilitre}, Rules{})
	cs := fixture.Must[[]Contender](t)(q.Compare(ctx, bruteSolve))
	if len(cs) != 4 {
		t.Fatalf("%d contenders", len(cs))
	}
	by := map[Aim]Contender{}
	for _, c := range cs {
		by[c.Aim] = c
		if c.Extra.Amount.IsNegative() {
			t.Errorf("%s is cheaper than the cheapest: %s", c.Aim, c.Extra)
		}
	}
	if by[OneShop].SameAs != Cheapest {
		t.Errorf("the cheapest plan uses one shop, yet one shop is told apart: %+v", by[OneShop].List.Orders)
	}
	if by[ExactColours].Extra.Decimal() != "0.90" || by[ExactColours].List.Points != 0 {
		t.Errorf("exact colours cost %s more with %d points",
			by[ExactColours].Extra, by[ExactColours].List.Points)
	}
	if by[FewestPots].Pots != 3 || by[FewestPots].Extra.Decimal() != "0.00" {
		t.Errorf("fewest pots: %d for %s more", by[FewestPots].Pots, by[FewestPots].Extra)
	}
}

// Fewest pots is billed with the real bands, and a shop whose smallest order
// is not reached is left out.
func TestFewestPotsRespectsSmallestOrders(t *testing.T) {
	c := tinyCatalogue()
	c.Shops[0].MinOrder = fixture.Eur(1500)
	q := question(t, c,
		inventory.Stock{
			"shade":   30 * inventory.Millilitre,
			"leather": 30 * inventory.Millilitre,
			"black":   30 * inventory.Millilitre,
		},
		Rules{})
	cs := fixture.Must[[]Contender](t)(q.Compare(ctx, bruteSolve))
	l := cs[3].List
	if cs[3].Aim != FewestPots || len(l.Orders) != 1 || l.Orders[0].Shop != "post" ||
		l.Total.Decimal() != "7.30" {
		t.Errorf("fewest pots: %+v", l)
	}
}

func TestNextPlans(t *testing.T) {
	q := question(t, tinyCatalogue(), inventory.Stock{"shade": 30 * inventory.Millilitre}, Rules{})
	plans := fixture.Must[[]*Answer](t)(q.NextPlans(ctx, bruteSolve, 6))
	if len(plans) != 6 {
		t.Fatalf("%d plans, want 6", len(plans))
	}
	for i, p := range plans {
		if i > 0 && better(p.Result, plans[i-1].Result) {
			t.Errorf("plan %d is better than plan %d", i+1, i)
		}
		for j := range i {
			if contains(p.Result, plans[j].Result) {
				t.Errorf("plan %d is plan %d with something on top", i+1, j+1)
			}
		}
		// None is missed: forbidding all plans up to here by hand leaves nothing
		// better than the next. The second is black in place of the stand-in.
		if i == 1 && cost(p.Result) != 1120 {
			t.Errorf("the second plan costs %d, want 1120", cost(p.Result))
		}
	}
}

// With two lists of plans from different solvers the order of costs is that of
// plain enumeration.
func TestNextPlansAgainstEnumeration(t *testing.T) {
	c := tinyCatalogue()
	c.Forces[0].Units = c.Forces[0].Units[:1]
	c.Recipes[0].Steps = c.Recipes[0].Steps[:1]
	c.Forces[0].Match = nil
	q := question(t, c, nil, Rules{})
	plans := fixture.Must[[]*Answer](t)(q.NextPlans(ctx, bruteSolve, 10))
	var got []int64
	for _, p := range plans {
		got = append(got, cost(p.Result))
	}
	// Cloth alone: cloth-a at the corner 4.20, or cloth-b by post 2.80 + 4.50.
	if want := []int64{420, 730}; !slices.Equal(got, want) {
		t.Errorf("plans cost %v, want %v", got, want)
	}
}

func TestReasons(t *testing.T) {
	q := question(t, tinyCatalogue(), nil, Rules{
		WithoutShops: []string{"corner", "post"},
		Must:         []Must{{Paint: "shade"}},
	})
	l := fixture.Must[*ShoppingList](t)(NewShoppingList(q, &optimize.Result{
		Status: optimize.Infeasible,
		Reasons: []optimize.Reason{
			{Kind: "need", Needs: []string{"first/cloth"}, Paints: []string{"cloth-a", "cloth-b"}},
			{Kind: "need", Needs: []string{"must:1"}},
			{Kind: "together", Text: "must:1 and first/cloth clash"},
			{Kind: "match", Needs: []string{"first/straps", "second/straps"}},
		},
	}))
	want := []string{
		"There is no way to do cloth of first: with everything on offer bought, " +
			"Cloth and Cloth again would still run short.",
		"What must be bought is not on offer in that number under these conditions.",
		"buying shade and first/cloth clash",
		"Straps of first and straps of second must look alike, " +
			"but no paint or mix is acceptable for all of them.",
	}
	for i, r := range l.Reasons {
		if r.Text != want[i] {
			t.Errorf("reason %d: %s\nwant: %s", i+1, r.Text, want[i])
		}
	}
}
