package shopping

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/internal/fixture"
)

// largeCatalogue is a seeded world of the demo's size: paints of three ranges,
// four shops with different delivery, sets, three recipes with alternatives
// and a mix, four units. All invented.
func largeCatalogue(seed uint64) (*inventory.Catalogue, inventory.Stock) {
	r := rand.New(rand.NewPCG(seed, 11))
	c := &inventory.Catalogue{}
	stock := inventory.Stock{}
	ranges := []string{"Field", "Bench", "Harbour"}
	types := []inventory.PaintType{
		inventory.Base, inventory.OneCoat, inventory.Layer, inventory.Wash, inventory.Metallic,
		inventory.Highlight, inventory.Base, inventory.Layer,
	}
	const tones = 24
	paint := func(tone, rng int) string { return fmt.Sprintf("%s-%02d", inventory.Slug(ranges[rng]), tone) }
	for rng := range ranges {
		for tone := range tones {
			p := inventory.Paint{
				ID:    paint(tone, rng),
				Maker: "Maker " + ranges[rng],
				Range: ranges[rng],
				Name:  fmt.Sprintf("Tone %d", tone),
				Type:  types[tone%len(types)],
			}
			c.Paints = append(c.Paints, p)
			c.Products = append(c.Products, inventory.Product{
				ID: "pot-" + p.ID,
				Contents: []inventory.Content{{
					Paint:  p.ID,
					Volume: inventory.Volume(12+5*rng) * inventory.Millilitre,
					Count:  1,
				}},
			})
			if r.IntN(5) < 2 {
				stock[p.ID] = inventory.Volume(r.IntN(4000))
			}
		}
	}
	for i := range 6 {
		set := inventory.Product{ID: fmt.Sprintf("set-%d", i)}
		for _, tone := range r.Perm(tones)[:6] {
			set.Contents = append(set.Contents, inventory.Content{
				Paint:  paint(tone, i%3),
				Volume: 12 * inventory.Millilitre,
				Count:  1,
			})
		}
		c.Products = append(c.Products, set)
	}
	for i := range 4 {
		s := inventory.Shop{
			ID:       fmt.Sprintf("shop-%d", i),
			Name:     "Shop",
			Currency: "EUR",
			Delivery: []inventory.DeliveryBand{{From: fixture.Eur(0), Fee: fixture.Eur(int64(150 * i))}},
		}
		if i > 0 {
			s.Delivery = append(s.Delivery, inventory.DeliveryBand{
				From: fixture.Eur(int64(1500 * i)),
				Fee:  fixture.Eur(0),
			})
		}
		c.Shops = append(c.Shops, s)
		for _, p := range c.Products {
			if r.IntN(10) < 7 {
				price := int64(260 + r.IntN(200) - 20*i)
				if p.Set() {
					price = int64(1100 + r.IntN(600))
				}
				c.Offers = append(c.Offers, inventory.Offer{
					Product: p.ID,
					Shop:    s.ID,
					Price:   fixture.Eur(price),
				})
			}
		}
	}
	c.Figures = []inventory.FigureType{{ID: "walker", Body: &inventory.Body{Scale: 56, Clo: 1}}}
	for i := range 8 {
		c.Figures[0].Regions = append(c.Figures[0].Regions, inventory.Region{
			Name:  fmt.Sprintf("part-%d", i),
			Share: 0.12,
		})
	}
	for i := range 3 {
		rec := inventory.Recipe{ID: fmt.Sprintf("recipe-%d", i)}
		for j, tone := range r.Perm(tones)[:10] {
			s := inventory.Step{
				ID:      fmt.Sprintf("step-%d", j),
				Label:   fmt.Sprintf("tone-%d", tone),
				Regions: inventory.RegionSet{Names: []string{fmt.Sprintf("part-%d", j%8)}},
				Mix:     fixture.One(paint(tone, i)),
			}
			for alt := range 3 {
				if alt != i {
					s.Alternatives = append(s.Alternatives, inventory.Alternative{
						Mix:        fixture.One(paint(tone, alt)),
						Compromise: 1 + r.IntN(5),
					})
				}
			}
			if j == 4 {
				s.Mix = inventory.Mix{
					{Paint: paint(tone, i), Parts: 2},
					{Paint: paint((tone+1)%tones, i), Parts: 1},
				}
			}
			rec.Steps = append(rec.Steps, s)
		}
		c.Recipes = append(c.Recipes, rec)
	}
	f := inventory.Force{ID: "force"}
	for i := range 4 {
		f.Units = append(f.Units, inventory.Unit{
			ID:      fmt.Sprintf("unit-%d", i),
			Figures: 6 + 2*i,
			Figure:  "walker",
			Recipe:  fmt.Sprintf("recipe-%d", i%3),
		})
	}
	c.Forces = []inventory.Force{f}
	return c, stock
}

// On worlds of the demo's size everything that is said about a plan holds
// together: each way of a comparison costs no less than the cheapest, later
// plans no less than earlier ones, and every list passes its own sums.
func TestEverythingAboutALargePlan(t *testing.T) {
	for seed := uint64(1); seed <= 2; seed++ {
		c, stock := largeCatalogue(seed)
		q := question(t, c, stock, Rules{CompromisePrice: fixture.Eur(5)})
		cs := fixture.Must[[]Contender](t)(q.Compare(ctx, realSolve))
		best := cs[0].Answer
		if !best.Found() {
			t.Fatalf("seed %d: no plan: %+v", seed, cs[0].List.Reasons)
		}
		for _, x := range cs[1:] {
			if x.Answer.Found() && x.Aim != FewestPots && x.Aim != MoneyAlone &&
				x.Answer.Result.Totals.Objective < best.Result.Totals.Objective {
				t.Errorf("seed %d: %s is better than the cheapest", seed, x.Aim)
			}
			if x.Aim == MoneyAlone && cost(x.Answer.Result) > cost(best.Result) {
				t.Errorf("seed %d: money alone costs more", seed)
			}
			if x.Answer.Found() && x.Aim == FewestPots && x.Pots > cs[0].Pots {
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
		plans := fixture.Must[[]*Answer](t)(q.NextPlans(ctx, realSolve, 3))
		for i := 1; i < len(plans); i++ {
			if better(plans[i].Result, plans[i-1].Result) {
				t.Errorf("seed %d: plan %d is better than the one before", seed, i+1)
			}
		}
		fixture.Must[[]ThresholdEffect](t)(best.Thresholds(ctx, realSolve))
		for _, s := range fixture.Must[[]SetReason](t)(best.Sets(ctx, realSolve)) {
			if s.Without.Amount.IsNegative() {
				t.Errorf("seed %d: the best plan without %s is better by %s", seed, s.Product, s.Without)
			}
		}
		free := fixture.Must[*Question](t)(q.With(Rules{}))
		for _, m := range fixture.Must[[]OneMore](t)(fixture.Must[*Answer](t)(free.Solve(ctx, realSolve)).OneMoreFigure(ctx, realSolve, nil, estimate.NeedRules{})) {
			if m.None || m.Extra.Amount.IsNegative() {
				t.Errorf("seed %d: one more figure of %s: %+v", seed, m.Unit, m)
			}
		}
	}
}

func BenchmarkCompare(b *testing.B) {
	c, stock := largeCatalogue(1)
	n, err := estimate.ForceNeeds(c, &c.Forces[0], nil, estimate.NeedRules{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		q, err := NewQuestion(c, n, stock, Rules{})
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
	n, err := estimate.ForceNeeds(c, &c.Forces[0], nil, estimate.NeedRules{})
	if err != nil {
		b.Fatal(err)
	}
	q, err := NewQuestion(c, n, stock, Rules{})
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
