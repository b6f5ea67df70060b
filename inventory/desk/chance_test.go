package desk

import (
	"context"
	"fmt"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
)

// The chance asked for is the chance the plan has; being surer never costs less;
// and what was bought and put on the shelf is not bought again.
func TestChanceOfAPlan(t *testing.T) {
	for _, chance := range []float64{.5, .8, .9, .95} {
		v := values{catalogue: fixture.SmallCatalogue(), shelf: inventory.Shelf{Pots: []inventory.Pot{
			pot("leather-1", "leather", fixture.Judged(.2)), pot("black-1", "black", fixture.Judged(.1))}}}
		d := open(t, v, fixture.Noon.AddDate(0, 1, 0))
		force := v.catalogue.Forces[0]
		rules := shopping.Rules{Confidence: chance}
		a := fixture.Must[*Answer](t)(fixture.Must[*Question](t)(d.Question(force, rules,
			estimate.NeedRules{})).Answer(t.Context()))
		if a.Chance.Enough < chance {
			t.Errorf("asked for %.0f %%, the plan has %.1f %%", 100*chance, 100*a.Chance.Enough)
		}
		for i, c := range a.Chances {
			if c.Chance.Enough < c.Asked || i > 0 && c.Total.Amount.LessThan(a.Chances[i-1].Total.Amount) {
				t.Errorf("at %.0f %%: %s with %.1f %%, after %s",
					100*c.Asked, c.Total, 100*c.Chance.Enough, a.Chances[max(0, i-1)].Total)
			}
		}
		n := 0
		for _, b := range a.Result.Buy {
			for _, k := range v.catalogue.Index().Products[b.Product].Contents {
				for range int(b.Count) * k.Count {
					n++
					v.shelf.Pots = append(v.shelf.Pots, inventory.Pot{
						ID:      fmt.Sprintf("new-%d", n),
						Paint:   k.Paint,
						Product: b.Product,
						Nominal: k.Volume,
						Events:  []inventory.PotEvent{{ID: 1, Kind: inventory.Bought, At: d.At}},
					})
				}
			}
		}
		if n == 0 {
			t.Fatal("nothing was bought")
		}
		again := fixture.Must[*Answer](t)(fixture.Must[*Question](t)(open(t, v, d.At).Question(force, rules,
			estimate.NeedRules{})).Answer(t.Context()))
		if len(again.List.Orders) > 0 {
			t.Errorf("at %.0f %%: put on the shelf, and bought again: %+v", 100*chance, again.Result.Buy)
		}
		if diff := again.Chance.Enough - a.Chance.Enough; diff < -.02 {
			t.Errorf("on the shelf it is enough with %.3f, on offer it was with %.3f",
				again.Chance.Enough, a.Chance.Enough)
		}
	}
}

// Ten times the force is no less sure to be finished.
func TestChanceOfALargeForce(t *testing.T) {
	v := values{catalogue: fixture.SmallCatalogue()}
	f := &v.catalogue.Forces[0]
	f.Match = nil
	units := f.Units
	for k := range 4 {
		for _, u := range units {
			u.ID = fmt.Sprintf("%s-%d", u.ID, k)
			f.Units = append(f.Units, u)
		}
	}
	d := open(t, v, fixture.Noon)
	a := fixture.Must[*Answer](t)(fixture.Must[*Question](t)(d.Question(*f, shopping.Rules{Confidence: .9},
		estimate.NeedRules{})).Answer(t.Context()))
	if a.Found() && a.Chance.Enough < .9 {
		t.Errorf("five times the force is finished with %.1f %%", 100*a.Chance.Enough)
	}
}

// Where the time is up after the first plan, the answer is enough for the chance but says
// that it was found in haste: what was reckoned at first may be more than is needed.
func TestHasty(t *testing.T) {
	v := values{catalogue: fixture.SmallCatalogue(), shelf: inventory.Shelf{Pots: []inventory.Pot{
		pot("leather-1", "leather", fixture.Judged(.2)), pot("black-1", "black", fixture.Judged(.1))}}}
	for _, most := range []int{1, 1000} {
		q := fixture.Must[*Question](t)(open(t, v, fixture.Noon.AddDate(0, 1, 0)).
			Question(v.catalogue.Forces[0], shopping.Rules{Confidence: .9}, estimate.NeedRules{}))
		ctx, stop := context.WithCancel(t.Context())
		exact, done := q.solver()
		solves := 0
		solve := func(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
			r, err := exact(ctx, p)
			if solves++; solves == most {
				stop()
			}
			return r, err
		}
		found, _, hasty, err := q.choose(ctx, solve, usualChances)
		stop()
		done()
		if err != nil || !found.Found() || found.Result.Status != optimize.Optimal {
			t.Fatalf("%v, %v", found, err)
		}
		if hasty != (most == 1) || solves < 2 && most > 1 {
			t.Errorf("stopped after %d searches of %d: hasty %v", solves, most, hasty)
		}
	}
}
