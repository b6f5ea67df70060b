package exact

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
)

// TestWindowsMakeBetter: going over a plan window by window makes it better, and
// what comes out is a plan of the weight it is said to have.
func TestWindowsMakeBetter(t *testing.T) {
	problems := uint64(6)
	if testing.Short() {
		problems = 2
	}
	better := uint64(0)
	shape, _ := generate.Named("force")
	for seed := range problems {
		m, err := compile(generate.Problem(seed+1, generate.Plain(shape)), nil)
		if err != nil {
			t.Fatal(err)
		}
		ph := m.weighing(0, nil, 4)
		s := &search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1), ctx: context.Background()}
		s.resetPseudocosts()
		k, d := newWorker(m, ph.w), newDomain(m)
		if !m.propagate(d, k.facts) {
			t.Fatal("no plan")
		}
		k.rootStart(s, d)
		plan, first := k.construct(s, d, nil, false)
		if plan == nil {
			t.Fatal("no plan to begin with")
		}
		sol, w := k.windows(context.Background(), vicinity{s, d, k.mu}, plan, windowRounds{
			seed:    1,
			count:   2,
			threads: 2,
		})
		if sol == nil {
			continue // good already, or no window holds what is better
		}
		better++
		if w >= first {
			t.Errorf("seed %d: %.0f is no better than %.0f", seed, w, first)
		}
		if sol.m != m || !m.enough(sol.x, sol.choice) {
			t.Errorf("seed %d: no plan of the model", seed)
		}
		if _, again := s.worthOf(sol.x, sol.choice); again != w || s.weight(sol.cost) != w {
			t.Errorf("seed %d: said to weigh %.0f, weighs %.0f, with cost %.0f",
				seed, w, again, s.weight(sol.cost))
		}
	}
	if better < problems/2 {
		t.Errorf("only %d of %d plans became better", better, problems)
	}
}

// TestOpenWindow: a window is as large as it may be, begins where there is a
// choice, and holds all paints of its needs; one of sets frees the sets' paints.
func TestOpenWindow(t *testing.T) {
	shape, _ := generate.Named("club")
	m, err := compile(generate.Problem(1, shape), nil)
	if err != nil {
		t.Fatal(err)
	}
	d := newDomain(m)
	plan := &solution{m: m, x: make([]int32, len(m.price))}
	for seed := range uint64(20) {
		for _, sets := range []bool{false, true} {
			rng, most := rand.New(rand.NewPCG(seed, 0)), windowNeeds
			open, free := openWindow(m, rng)
			if sets {
				open, free = openSets(m, d, plan, rng)
				most = windowSetNeeds
			}
			needs, choice := 0, false
			for n, o := range open {
				if !o {
					continue
				}
				needs++
				choice = choice || m.optStart[n+1]-m.optStart[n] > 1
				for _, q := range m.usePaint[m.useStart[m.optStart[n]]:m.useStart[m.optStart[n+1]]] {
					if !free[q] {
						t.Errorf("seed %d: paint %d of need %d is not free", seed, q, n)
					}
				}
			}
			if (needs > most && !sets) || !choice {
				t.Errorf("seed %d: %d needs, with a choice: %v", seed, needs, choice)
			}
			whole := 0 // sets of which every paint is free
			for j := range m.price {
				held := m.conPaint[m.conStart[j]:m.conStart[j+1]]
				if len(held) > 1 && !slices.ContainsFunc(held, func(q int32) bool { return !free[q] }) {
					whole++
				}
			}
			if sets && whole == 0 {
				t.Errorf("seed %d: no set is free", seed)
			}
		}
	}
}

// TestOpenSetsWithoutSets: where no box holds two paints there is none to open.
func TestOpenSetsWithoutSets(t *testing.T) {
	m, err := compile(thirsty(50000, []int64{17000}, []int64{300}), nil)
	if err != nil {
		t.Fatal(err)
	}
	plan := &solution{m: m, x: make([]int32, len(m.price))}
	if open, free := openSets(m, newDomain(m), plan, rand.New(rand.NewPCG(1, 1))); open != nil || free != nil {
		t.Errorf("open %v, free %v", open, free)
	}
}

// TestBothChangesOfAPlan: two changes of one plan go together where they touch
// different needs, and not where they change the same one.
func TestBothChangesOfAPlan(t *testing.T) {
	p := &optimize.Problem{
		Currency: "EUR",
		Shops:    []optimize.Shop{{ID: "s", Delivery: []optimize.Band{{From: 0, Fee: 0}}}},
	}
	for _, id := range []string{"a", "b"} {
		need := optimize.Need{ID: id}
		for i, price := range []int64{300, 200, 250} {
			paint := fmt.Sprintf("%s%d", id, i)
			p.Paints = append(p.Paints, optimize.Paint{ID: paint})
			p.Products = append(p.Products, optimize.Product{
				ID:       paint,
				Contents: []optimize.Content{{Paint: paint, UL: 17000}},
			})
			p.Offers = append(p.Offers, optimize.Offer{Product: paint, Shop: "s", Price: price})
			need.Options = append(need.Options, optimize.Option{
				ID:   paint,
				Uses: []optimize.Use{{Paint: paint, UL: 900}},
			})
		}
		p.Needs = append(p.Needs, need)
	}
	m, err := compile(p, nil)
	if err != nil {
		t.Fatal(err)
	}
	ph := m.weighing(0, nil, 4)
	s := &search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1), ctx: context.Background()}
	with := func(a, b int32) *solution { // the options taken, and a pot for each
		sol := &solution{
			m:      m,
			x:      make([]int32, len(m.price)),
			choice: []int32{m.optStart[0] + a, m.optStart[1] + b},
		}
		for _, o := range sol.choice {
			sol.x[m.sources[m.usePaint[m.useStart[o]]][0].off] = 1
		}
		return sol
	}
	sol, w := s.both(with(0, 0), with(1, 0), with(0, 1))
	if sol == nil || sol.cost.money != 400 || w != s.weight(sol.cost) {
		t.Errorf("two changes: %+v of weight %.0f", sol, w)
	}
	if sol, _ := s.both(with(0, 0), with(1, 0), with(2, 0)); sol != nil {
		t.Errorf("one need changed twice: %+v", sol)
	}
}
