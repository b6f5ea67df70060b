package exact

import (
	"fmt"
	"math"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
)

// TestClubSize proves large problems, which alone take windows, sets of shops and
// smaller models: the answer is the same for one thread and for two.
func TestClubSize(t *testing.T) {
	shape, _ := generate.Named("club")
	for _, seed := range []uint64{1, 7, 9}[:testkit.Few(2, 3)] {
		p := generate.Problem(seed, generate.Plain(shape))
		var first testkit.Levels
		for threads := 1; threads <= 2; threads++ {
			r, err := Solve(t.Context(), p, Options{Threads: threads})
			if err != nil {
				t.Fatal(err)
			}
			if r.Status != optimize.Optimal || r.Totals.Bound != r.Totals.Objective {
				t.Fatalf("seed %d: %s, cost %d, bound %d", seed, r.Status, r.Totals.Objective, r.Totals.Bound)
			}
			if threads == 1 {
				first = testkit.LevelsOf(r)
			} else if got := testkit.LevelsOf(r); got != first {
				t.Errorf("seed %d: %+v with two threads, %+v with one", seed, got, first)
			}
		}
	}
}

// TestSetsOfShops has the search for a good set of shops start from a problem of
// many: what it finds is a plan, and no better than the proven best one.
func TestSetsOfShops(t *testing.T) {
	found := 0
	shape, _ := generate.Named("force")
	for seed := range uint64(testkit.Few(6, 40)) {
		p := generate.Problem(seed+1, generate.Plain(shape))
		best := solveChecked(t, fmt.Sprintf("seed %d", seed), p)
		m, err := compile(p, nil)
		if err != nil {
			t.Fatal(err)
		}
		ph := m.weighing(0, nil, 1)
		k := newWorker(m, ph.w)
		s := &search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1), workers: []*worker{k}, ctx: t.Context()}
		s.resetPseudocosts()
		d := newDomain(m)
		if !m.propagate(d, k.facts) {
			t.Fatalf("seed %d: no plan", seed)
		}
		k.rootStart(s, d)
		k.relax.build(m, s.w, d, k.facts)
		k.goal = float64(best.Totals.Objective) * ph.w.money
		k.volume.run(&k.relax, k.mu, rootSteps, k.goal, math.Inf(1))
		sol, w := k.shopSet(t.Context(), s, d, k.mu)
		if sol == nil {
			continue
		}
		found++
		if sol.cost.money < best.Totals.Objective || !m.enough(sol.x, sol.choice) || w != s.weight(sol.cost) {
			t.Errorf("seed %d: cost %d, the best plan %d", seed, sol.cost.money, best.Totals.Objective)
		}
	}
	if found == 0 {
		t.Error("no plan was found")
	}
}

// BenchmarkSolve is the main search at the sizes of the generator, on one thread.
func BenchmarkSolve(b *testing.B) {
	for _, size := range []string{"desk", "force", "club"} {
		shape, _ := generate.Named(size)
		if size == "club" {
			shape = generate.Plain(shape)
		}
		for seed := uint64(1); seed <= 3; seed++ {
			b.Run(fmt.Sprintf("%s/seed=%d", size, seed), func(b *testing.B) {
				p := generate.Problem(seed, shape)
				for b.Loop() {
					if r, err := Solve(b.Context(), p, Options{Threads: 1}); err != nil ||
						r.Status != optimize.Optimal {
						b.Fatal(r, err)
					}
				}
			})
		}
	}
}

// TestUnitsOfDifferentVolumeSettleNothing: two pots of 8 ml leave room for an option
// that one set, which counts as two units of 6, does not. The set is the cheaper way:
// 9 and 4 for delivery, worked out by hand.
func TestUnitsOfDifferentVolumeSettleNothing(t *testing.T) {
	option := func(id string, uses ...optimize.Use) optimize.Option {
		return optimize.Option{ID: id, Uses: uses}
	}
	p := &optimize.Problem{
		Currency: "EUR", Paints: []optimize.Paint{{ID: "a"}, {ID: "b"}},
		Needs: []optimize.Need{
			{ID: "first", Options: []optimize.Option{option("b", optimize.Use{Paint: "b", UL: 5})}},
			{ID: "second", Options: []optimize.Option{
				option("b", optimize.Use{Paint: "b", UL: 8}),
				option("both", optimize.Use{Paint: "b", UL: 6}, optimize.Use{Paint: "a", UL: 5}),
			}},
		},
		Products: []optimize.Product{
			{ID: "pot", Contents: []optimize.Content{{Paint: "b", UL: 8}}},
			{ID: "set", Contents: []optimize.Content{{Paint: "a", UL: 12}, {Paint: "b", UL: 12}}},
		},
		Shops: []optimize.Shop{{ID: "shop", Delivery: []optimize.Band{{Fee: 4}}}},
		Offers: []optimize.Offer{
			{Product: "pot", Shop: "shop", Price: 6},
			{Product: "set", Shop: "shop", Price: 9},
		},
	}
	r, err := Solve(t.Context(), p, Options{})
	if err != nil || r.Status != optimize.Optimal || r.Totals.Objective != 13 {
		t.Errorf("%v, %+v; want 13", err, r)
	}
}
