package shopping

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"halfpot/optimize"
)

// madeUp is a tiny problem with many options of which few are of use: paints at
// like prices, some on the shelf, needs that must match, bands and limits.
func madeUp(r *rand.Rand) *optimize.Problem {
	p := &optimize.Problem{
		Currency: "EUR",
		Shops:    []optimize.Shop{{ID: "a", Delivery: []optimize.Band{{Fee: 4}, {From: 9, Fee: 1}}}},
	}
	if r.IntN(2) == 0 {
		p.Shops = append(p.Shops, optimize.Shop{
			ID:       "b",
			MinOrder: int64(r.IntN(8)),
			Delivery: []optimize.Band{{Fee: int64(r.IntN(3))}},
		})
	}
	p.Rules.CompromisePrice = int64(r.IntN(3))
	paints := 3 + r.IntN(4)
	for i := range paints {
		id := fmt.Sprint("p", i)
		have := int64(0)
		if r.IntN(3) == 0 {
			have = int64(1 + r.IntN(12))
		}
		p.Paints = append(p.Paints, optimize.Paint{ID: id, HaveUL: have})
		if r.IntN(6) == 0 {
			continue // not to be had
		}
		content := []optimize.Content{{Paint: id, UL: 8, Count: 1}}
		if r.IntN(6) == 0 && i > 0 {
			content = append(content, optimize.Content{Paint: "p0", UL: 4, Count: 1})
		}
		p.Products = append(p.Products, optimize.Product{ID: "box-" + id, Contents: content})
		for _, s := range p.Shops {
			o := optimize.Offer{Product: "box-" + id, Shop: s.ID, Price: int64(3 + r.IntN(2))}
			if r.IntN(5) == 0 {
				limit := int64(r.IntN(2))
				o.Limit = &limit
			}
			if r.IntN(4) > 0 {
				p.Offers = append(p.Offers, o)
			}
		}
	}
	for i := range 1 + r.IntN(3) {
		n := optimize.Need{ID: fmt.Sprint("n", i), Group: "g"}
		if r.IntN(2) == 0 {
			n.Match = "alike"
		}
		ul := int64(1 + r.IntN(6))
		for j := range paints {
			if j > 0 && r.IntN(4) == 0 {
				continue
			}
			o := optimize.Option{
				ID:         fmt.Sprint("p", j),
				Compromise: int64(r.IntN(3)),
				Uses:       []optimize.Use{{Paint: fmt.Sprint("p", j), UL: ul}},
			}
			if k := r.IntN(paints); r.IntN(4) == 0 && k != j {
				o.ID += fmt.Sprint("+p", k)
				o.Uses = []optimize.Use{
					{Paint: fmt.Sprint("p", j), UL: ul/2 + 1},
					{Paint: fmt.Sprint("p", k), UL: ul/2 + 1},
				}
			}
			n.Options = append(n.Options, o)
		}
		p.Needs = append(p.Needs, n)
	}
	return p
}

// The best plan is as good without the dominated options as with them: in money,
// points, boxes and shops, by a solver that tries everything.
func TestDroppingDominatedOptionsLosesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	dropped, kept, none := 0, 0, 0
	for round := range 1500 {
		p := madeUp(r)
		if err := p.Validate(); err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		slim := *p
		slim.Needs = slices.Clone(p.Needs)
		first := map[string]string{}
		for _, n := range p.Needs {
			first[n.ID] = n.Options[0].ID
		}
		dropDominated(&slim, func(need, option string) bool { return option != first[need] })
		for i := range slim.Needs {
			dropped += len(p.Needs[i].Options) - len(slim.Needs[i].Options)
			kept += len(slim.Needs[i].Options)
		}
		want, err := bruteSolve(ctx, p)
		if err != nil {
			t.Fatal(err)
		}
		got, err := bruteSolve(ctx, &slim)
		if err != nil {
			t.Fatal(err)
		}
		if want.Totals == nil {
			none++
		}
		if (want.Totals == nil) != (got.Totals == nil) {
			t.Fatalf("round %d: a plan with all options %v, with those left %v", round, want.Status, got.Status)
		}
		if want.Totals != nil && want.Totals.Objective != got.Totals.Objective {
			t.Fatalf("round %d: %d with all options, %d with those left",
				round, want.Totals.Objective, got.Totals.Objective)
		}
		if want.Totals != nil && levels(want) != levels(got) {
			t.Fatalf("round %d: %v with all options, %v with those left", round, levels(want), levels(got))
		}
	}
	if dropped < kept/3 || none > 500 {
		t.Errorf("%d options dropped, %d kept, %d problems without a plan: the test says little",
			dropped, kept, none)
	}
}

func levels(r *optimize.Result) [4]int64 {
	return [4]int64{r.Totals.Objective, r.Totals.Points, r.Totals.Boxes, int64(r.Totals.ShopsUsed)}
}

// hundreds is a problem with some 230 stand-ins and mixes for each of 16 needs: 60 paints
// of a range each, a sixth of them on the shelf, at like prices in three shops.
func hundreds(r *rand.Rand) *optimize.Problem {
	p := &optimize.Problem{Currency: "EUR", Rules: optimize.Rules{CompromisePrice: 90}}
	for s := range 3 {
		p.Shops = append(p.Shops, optimize.Shop{
			ID:       fmt.Sprint("s", s),
			Delivery: []optimize.Band{{Fee: int64(300 + 100*s)}, {From: 6000, Fee: 0}},
		})
	}
	const paints = 240
	for i := range paints {
		id := fmt.Sprint("p", i)
		have := int64(0)
		if r.IntN(6) == 0 {
			have = int64(r.IntN(2000))
		}
		p.Paints = append(p.Paints, optimize.Paint{ID: id, HaveUL: have})
		p.Products = append(p.Products, optimize.Product{
			ID:       "box-" + id,
			Contents: []optimize.Content{{Paint: id, UL: 17000, Count: 1}},
		})
		for s := range p.Shops {
			if r.IntN(3) > 0 {
				p.Offers = append(p.Offers, optimize.Offer{
					Product: "box-" + id,
					Shop:    p.Shops[s].ID,
					Price:   int64(250 + 5*(i/60)*10 + r.IntN(3)*20),
				})
			}
		}
	}
	for i := range 16 {
		ul, own := int64(1000+r.IntN(6000)), r.IntN(paints)
		n := optimize.Need{ID: fmt.Sprint("n", i), Group: "g"}
		seen := map[string]bool{}
		add := func(points int64, of ...int) {
			parts, total := r.Perm(3), int64(0)
			for k := range of {
				total += int64(1 + parts[k])
			}
			o := optimize.Option{Compromise: points}
			for k, x := range of {
				o.ID += fmt.Sprintf("+p%d", x)
				o.Uses = append(o.Uses, optimize.Use{
					Paint: fmt.Sprint("p", x),
					UL:    ul * int64(1+parts[k]) / total,
				})
			}
			slices.Sort(of)
			if len(slices.Compact(of)) == len(o.Uses) && !seen[o.ID] {
				seen[o.ID] = true
				n.Options = append(n.Options, o)
			}
		}
		add(0, own)
		for range 110 {
			add(int64(1+r.IntN(8)), r.IntN(paints))
			add(int64(1+r.IntN(8)), r.IntN(paints), r.IntN(paints))
			add(int64(1+r.IntN(8)), r.IntN(paints), r.IntN(paints), r.IntN(paints))
		}
		p.Needs = append(p.Needs, n)
	}
	return p
}

func BenchmarkDroppingOfHundreds(b *testing.B) {
	p := hundreds(rand.New(rand.NewPCG(3, 5)))
	if err := p.Validate(); err != nil {
		b.Fatal(err)
	}
	all, left := 0, 0
	for b.Loop() {
		slim := *p
		slim.Needs = slices.Clone(p.Needs)
		dropDominated(&slim, func(need, option string) bool { return true })
		all, left = 0, 0
		for i := range slim.Needs {
			all, left = all+len(p.Needs[i].Options), left+len(slim.Needs[i].Options)
		}
	}
	b.ReportMetric(float64(all)/float64(len(p.Needs)), "options/need")
	b.ReportMetric(float64(left)/float64(len(p.Needs)), "left/need")
}
