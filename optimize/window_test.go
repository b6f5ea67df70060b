package optimize

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

// TestWindowsMakeBetter: going over a plan window by window makes it better, and
// what comes out is a plan of the weight it is said to have.
func TestWindowsMakeBetter(t *testing.T) {
	problems := uint64(6)
	if testing.Short() {
		problems = 2
	}
	better := uint64(0)
	shape, _ := NamedShape("force")
	for seed := range problems {
		m, err := compile(Generate(seed+1, Plain(shape)), nil)
		if err != nil {
			t.Fatal(err)
		}
		ph := m.weighing(0, nil, 4)
		s := &search{m: m, w: ph.w, unit: ph.unit, ub: math.Inf(1), ctx: context.Background()}
		s.forget()
		k, d := newWorker(m, ph.w), newDomain(m)
		if !m.propagate(d, k.facts) {
			t.Fatal("no plan")
		}
		k.rootStart(s, d)
		plan, first := k.construct(s, d, nil, false)
		if plan == nil {
			t.Fatal("no plan to begin with")
		}
		sol, w := k.windows(context.Background(), s, d, k.mu, plan, 1, 8)
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
			t.Errorf("seed %d: said to weigh %.0f, weighs %.0f, with cost %.0f", seed, w, again, s.weight(sol.cost))
		}
	}
	if better < problems/2 {
		t.Errorf("only %d of %d plans became better", better, problems)
	}
}

// TestOpenWindow: a window is as large as it may be, begins where there is a
// choice, and holds all paints of its needs.
func TestOpenWindow(t *testing.T) {
	shape, _ := NamedShape("club")
	m, err := compile(Generate(1, shape), nil)
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(20) {
		open, free := openWindow(m, rand.New(rand.NewPCG(seed, 0)))
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
		if needs > windowNeeds || !choice {
			t.Errorf("seed %d: %d needs, with a choice: %v", seed, needs, choice)
		}
	}
}
