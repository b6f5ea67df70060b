package exact

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"halfpot/optimize"
	"halfpot/optimize/internal/testkit"
)

// hunts solves a cover by its own search and by the general one, which a plan
// to start from leads to.
func hunts(t *testing.T, p *optimize.Problem) (special, general answer) {
	t.Helper()
	m, err := compile(p, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := m.covering()
	if c == nil {
		t.Fatal("not seen to be a cover")
	}
	h := hunt{m: m, threads: 1}
	special, ok := h.covers(t.Context(), c)
	if !ok {
		t.Fatal("sums of this size should stay exact")
	}
	h = hunt{m: m, threads: 1, seed: m.quickPlan()}
	return special, h.run(t.Context())
}

// TestBothWaysOfCovering states covers by pots and by sets, with and without a
// charge, for its own search and for the general one.
func TestBothWaysOfCovering(t *testing.T) {
	for seed := range uint64(testkit.Few(300, 5000)) {
		r := rand.New(rand.NewPCG(seed, 1))
		dearest := []int64{1, 3, 40, 5000}[seed%4]
		rows, cost := testkit.RandomCovering(seed, 1+r.IntN(9), 2+r.IntN(10), 0.1+0.4*r.Float64(), dearest)
		if seed%5 == 0 {
			cost[r.IntN(len(cost))] = 0
		}
		for name, state := range map[string]func([][]int, []int64) *optimize.Problem{
			"pots": testkit.Covering,
			"sets": testkit.CoveringBySets,
		} {
			p := state(rows, cost)
			p.Shops[0].Delivery[0].Fee = int64(seed % 3 * 7)
			special, general := hunts(t, p)
			if special.best.cost != general.best.cost || special.proven != 4 ||
				special.bound != general.best.cost.money || !special.done {
				t.Fatalf("seed %d, %s: %+v (proven %d, bound %d), the general search finds %+v",
					seed, name, special.best.cost, special.proven, special.bound, general.best.cost)
			}
		}
	}
}

// TestCoversAgainstGeneralSearch has shelves, sets, pots that overlap, and
// steps that share paints.
func TestCoversAgainstGeneralSearch(t *testing.T) {
	for seed := range uint64(testkit.Few(60, 1000)) {
		r := rand.New(rand.NewPCG(seed, 2))
		p := &optimize.Problem{
			Currency: "EUR",
			Shops: []optimize.Shop{{
				ID:       "shop",
				Delivery: []optimize.Band{{From: 0, Fee: int64(r.IntN(2) * 395)}},
			}},
		}
		paints := 5 + r.IntN(30)
		for k := range paints {
			p.Paints = append(p.Paints, optimize.Paint{ID: fmt.Sprint("p", k), HaveUL: int64(r.IntN(3))})
		}
		product := func(price int64, holds ...int) {
			id := fmt.Sprint("box", len(p.Products))
			box := optimize.Product{ID: id}
			for _, k := range holds {
				box.Contents = append(box.Contents, optimize.Content{Paint: p.Paints[k].ID, UL: 1000, Count: 1})
			}
			p.Products = append(p.Products, box)
			p.Offers = append(p.Offers, optimize.Offer{Product: id, Shop: "shop", Price: price})
		}
		for k := range paints {
			product(int64(200+r.IntN(200)), k)
		}
		for range r.IntN(8) {
			holds := r.Perm(paints)[:2+r.IntN(4)]
			product(int64(len(holds)*(120+r.IntN(200))), holds...)
		}
		for n := range 3 + r.IntN(30) {
			need := optimize.Need{ID: fmt.Sprint("n", n)}
			for o, k := range r.Perm(paints)[:1+r.IntN(5)] {
				need.Options = append(need.Options, optimize.Option{
					ID:   fmt.Sprint("o", o),
					Uses: []optimize.Use{{Paint: p.Paints[k].ID, UL: int64(3 + r.IntN(20))}},
				})
			}
			p.Needs = append(p.Needs, need)
		}
		special, general := hunts(t, p)
		if special.best.cost != general.best.cost || special.proven != 4 || general.proven != 4 {
			t.Fatalf("seed %d: %+v, the general search %+v", seed, special.best.cost, general.best.cost)
		}
		solveChecked(t, fmt.Sprint("seed ", seed), p)
	}
}

func TestCoveringIsSeenOnlyWhereItIs(t *testing.T) {
	rows := [][]int{{0, 1}, {1, 2}, {0, 2, 3}}
	cost := []int64{3, 4, 5, 6}
	budget, shops := int64(100), int64(1)
	for name, c := range map[string]struct {
		change func(p *optimize.Problem)
		want   bool
	}{
		"as it is":         {func(p *optimize.Problem) {}, true},
		"a fee":            {func(p *optimize.Problem) { p.Shops[0].Delivery[0].Fee = 9 }, true},
		"one shop at most": {func(p *optimize.Problem) { p.Rules.MaxShops = &shops }, true},
		"equal points": {func(p *optimize.Problem) {
			p.Needs[0].Options[0].Compromise, p.Needs[0].Options[1].Compromise = 2, 2
		},
			true},
		"equal points at a price": {func(p *optimize.Problem) {
			p.Rules.CompromisePrice = 3
			p.Needs[0].Options[0].Compromise, p.Needs[0].Options[1].Compromise = 2, 2
		}, true},
		"unequal points": {func(p *optimize.Problem) { p.Needs[0].Options[0].Compromise = 2 }, false},
		"a mix": {func(p *optimize.Problem) {
			p.Needs[0].Options[0].Uses = append(p.Needs[0].Options[0].Uses, optimize.Use{Paint: "c3", UL: 1})
		}, false},
		"some on the shelf": {func(p *optimize.Problem) { p.Paints[0].HaveUL = 1 }, false},
		"small pots":        {func(p *optimize.Problem) { p.Products[0].Contents[0].UL = 1 }, false},
		"money off": {func(p *optimize.Problem) {
			p.Shops[0].Delivery = append(p.Shops[0].Delivery, optimize.Band{From: 10, Fee: -2})
		}, false},
		"a minimum order": {func(p *optimize.Problem) { p.Shops[0].MinOrder = 5 }, false},
		"a second shop": {func(p *optimize.Problem) {
			p.Shops = append(p.Shops, optimize.Shop{ID: "other", Delivery: []optimize.Band{{From: 0, Fee: 0}}})
		}, false},
		"a budget":  {func(p *optimize.Problem) { p.Rules.Budget = &budget }, false},
		"very dear": {func(p *optimize.Problem) { p.Offers[0].Price = 1 << 33 }, true},
	} {
		p := testkit.Covering(rows, cost)
		c.change(p)
		m, err := compile(p, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.covering() != nil; got != c.want {
			t.Errorf("%s: seen as a cover: %v, want %v", name, got, c.want)
		}
		solveChecked(t, name, p)
	}
}

// TestStoppedCover: a limit leaves a plan and a bound, whatever was done.
func TestStoppedCover(t *testing.T) {
	rows, cost := testkit.RandomCovering(1, 300, 2000, 0.1, 100)
	p := testkit.Covering(rows, cost)
	for _, limit := range []time.Duration{0, 300 * time.Millisecond} {
		ctx, cancel := context.WithTimeout(t.Context(), limit)
		r, err := Solve(ctx, p, Options{Threads: 1})
		cancel()
		if err != nil {
			t.Fatal(err)
		}
		if r.Status != optimize.Feasible && r.Status != optimize.Optimal || r.Totals.Bound > r.Totals.Objective {
			t.Errorf("after %v: %s, cost %d, bound %d", limit, r.Status, r.Totals.Objective, r.Totals.Bound)
		}
	}
}
