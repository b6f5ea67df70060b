package inventory

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// largeCatalogue is a seeded world of the demo's size: paints of three ranges,
// four shops with different delivery, sets, three recipes with alternatives
// and a mix, four units. All invented.
func largeCatalogue(seed uint64) (*Catalogue, Stock) {
	r := rand.New(rand.NewPCG(seed, 11))
	c := &Catalogue{}
	stock := Stock{}
	ranges := []string{"Field", "Bench", "Harbour"}
	types := []PaintType{Base, OneCoat, Layer, Wash, Metallic, Highlight, Base, Layer}
	const tones = 24
	paint := func(tone, rng int) string { return fmt.Sprintf("%s-%02d", Slug(ranges[rng]), tone) }
	for rng := range ranges {
		for tone := range tones {
			p := Paint{ID: paint(tone, rng), Maker: "Maker " + ranges[rng], Range: ranges[rng], Name: fmt.Sprintf("Tone %d", tone), Type: types[tone%len(types)]}
			c.Paints = append(c.Paints, p)
			c.Products = append(c.Products, Product{ID: "pot-" + p.ID, Contents: []Content{{p.ID, Volume(12+5*rng) * Millilitre, 1}}})
			if r.IntN(5) < 2 {
				stock[p.ID] = Volume(r.IntN(4000))
			}
		}
	}
	for i := range 6 {
		set := Product{ID: fmt.Sprintf("set-%d", i)}
		for _, tone := range r.Perm(tones)[:6] {
			set.Contents = append(set.Contents, Content{paint(tone, i%3), 12 * Millilitre, 1})
		}
		c.Products = append(c.Products, set)
	}
	for i := range 4 {
		s := Shop{ID: fmt.Sprintf("shop-%d", i), Currency: "EUR", Delivery: []DeliveryBand{{eur(0), eur(int64(150 * i))}}}
		if i > 0 {
			s.Delivery = append(s.Delivery, DeliveryBand{eur(int64(1500 * i)), eur(0)})
		}
		c.Shops = append(c.Shops, s)
		for _, p := range c.Products {
			if r.IntN(10) < 7 {
				price := int64(260 + r.IntN(200) - 20*i)
				if p.Set() {
					price = int64(1100 + r.IntN(600))
				}
				c.Offers = append(c.Offers, Offer{Product: p.ID, Shop: s.ID, Price: eur(price)})
			}
		}
	}
	c.Figures = []FigureType{{ID: "walker", Body: &Body{Scale: 56, Clo: 1}}}
	for i := range 8 {
		c.Figures[0].Regions = append(c.Figures[0].Regions, Region{Name: fmt.Sprintf("part-%d", i), Share: 0.12})
	}
	for i := range 3 {
		rec := Recipe{ID: fmt.Sprintf("recipe-%d", i)}
		for j, tone := range r.Perm(tones)[:10] {
			s := Step{ID: fmt.Sprintf("step-%d", j), Label: fmt.Sprintf("tone-%d", tone), Regions: RegionSet{Names: []string{fmt.Sprintf("part-%d", j%8)}}, Mix: one(paint(tone, i))}
			for alt := range 3 {
				if alt != i {
					s.Alternatives = append(s.Alternatives, Alternative{Mix: one(paint(tone, alt)), Compromise: 1 + r.IntN(5)})
				}
			}
			if j == 4 {
				s.Mix = Mix{{paint(tone, i), 2}, {paint((tone+1)%tones, i), 1}}
			}
			rec.Steps = append(rec.Steps, s)
		}
		c.Recipes = append(c.Recipes, rec)
	}
	f := Force{ID: "force"}
	for i := range 4 {
		f.Units = append(f.Units, Unit{ID: fmt.Sprintf("unit-%d", i), Figures: 6 + 2*i, Figure: "walker", Recipe: fmt.Sprintf("recipe-%d", i%3)})
	}
	c.Forces = []Force{f}
	return c, stock
}

// On worlds of the demo's size everything that is said about a plan holds
// together: each way of a comparison costs no less than the cheapest, later
// plans no less than earlier ones, and every list passes its own sums.
func TestEverythingAboutALargePlan(t *testing.T) {
	for seed := uint64(1); seed <= 2; seed++ {
		c, stock := largeCatalogue(seed)
		q := question(t, c, stock, BuyRules{CompromisePrice: eur(5)})
		cs := must[[]Contender](t)(q.Compare(ctx, realSolve))
		best := cs[0].Answer
		if !best.Found() {
			t.Fatalf("seed %d: no plan: %+v", seed, cs[0].List.Reasons)
		}
		for _, x := range cs[1:] {
			if x.Answer.Found() && x.Way != FewestPots && x.Answer.Result.Totals.Objective < best.Result.Totals.Objective {
				t.Errorf("seed %d: %s is better than the cheapest", seed, x.Way)
			}
			if x.Answer.Found() && x.Way == FewestPots && x.Pots > cs[0].Pots {
				t.Errorf("seed %d: fewest pots buys %d, the cheapest plan %d", seed, x.Pots, cs[0].Pots)
			}
		}
		l := cs[0].List
		for _, b := range l.Balance {
			if b.Left < 0 || b.Have+b.Bought-b.Needed != b.Left {
				t.Errorf("seed %d: %+v does not add up", seed, b)
			}
		}
		for _, s := range l.Strandings(q) {
			// shop-0 has one delivery charge for all orders, so that nothing there
			// is bought for the bands alone.
			if s.Shop == "shop-0" && len(s.Steps) == 0 {
				t.Errorf("seed %d: %s strands nothing when left out", seed, s.Product)
			}
		}
		plans := must[[]*Answer](t)(q.NextPlans(ctx, realSolve, 3))
		for i := 1; i < len(plans); i++ {
			if better(plans[i].Result, plans[i-1].Result) {
				t.Errorf("seed %d: plan %d is better than the one before", seed, i+1)
			}
		}
		must[[]ThresholdEffect](t)(best.Thresholds(ctx, realSolve))
		for _, s := range must[[]SetReason](t)(best.Sets(ctx, realSolve)) {
			if s.Without.Amount.IsNegative() {
				t.Errorf("seed %d: the best plan without %s is better by %s", seed, s.Product, s.Without)
			}
		}
		free := must[*Purchase](t)(q.With(BuyRules{}))
		for _, m := range must[[]OneMore](t)(must[*Answer](t)(free.Solve(ctx, realSolve)).OneMoreFigure(ctx, realSolve, nil, NeedRules{})) {
			if m.None || m.Extra.Amount.IsNegative() {
				t.Errorf("seed %d: one more figure of %s: %+v", seed, m.Unit, m)
			}
		}
	}
}

func BenchmarkCompare(b *testing.B) {
	c, stock := largeCatalogue(1)
	n, err := ForceNeeds(c, &c.Forces[0], nil, NeedRules{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		q, err := PurchaseProblem(c, n, stock, BuyRules{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := q.Compare(ctx, realSolve); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNearMisses(b *testing.B) {
	c, stock := largeCatalogue(1)
	n, err := ForceNeeds(c, &c.Forces[0], nil, NeedRules{})
	if err != nil {
		b.Fatal(err)
	}
	q, err := PurchaseProblem(c, n, stock, BuyRules{})
	if err != nil {
		b.Fatal(err)
	}
	a, err := q.Solve(ctx, realSolve)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := a.NearMisses(ctx, realSolve, 8); err != nil {
			b.Fatal(err)
		}
	}
}
