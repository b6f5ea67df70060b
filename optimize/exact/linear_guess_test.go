package exact

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfpot/optimize/internal/testkit"
)

// TestGuesses: a search that begins with a dear plan and looks for none finds the least cost
// that is found without the relaxation, and proves it, however many guesses are too low.
func TestGuesses(t *testing.T) {
	guessed, raised, reported := 0, 0, 0
	withGuesses(t, func(t *testing.T) {
		for seed := range uint64(testkit.Few(300, 5000)) {
			m, err := compile(tinyPots(rand.New(rand.NewPCG(seed, 61))), nil)
			if err != nil || len(m.members) == 0 {
				continue
			}
			var dearest *solution
			eachPlan(m, func(_, _ []int32, sol *solution, _ []int64) {
				if dearest == nil || sol.cost.money > dearest.cost.money {
					dearest = sol
				}
			})
			if dearest == nil {
				continue
			}
			linearOff = true
			least := (&hunt{m: m, threads: 1}).run(t.Context()).best.cost.money
			linearOff = false
			ph := m.weighing(0, nil, 1)
			h := hunt{m: m, threads: 1}
			s := h.linearSearch(ph.w, ph.grain, dearest)
			s.wanted = math.Inf(-1)
			s.report = func(lower float64) {
				if reported++; ph.moneyBound(lower) > least {
					t.Fatalf("seed %d: bound %d is reported on the way; the least is %d", seed, ph.moneyBound(lower), least)
				}
			}
			lower, done := s.run(t.Context())
			if !done || s.incumbent.cost.money != least || ph.moneyBound(lower) != least {
				t.Fatalf("seed %d: %v, cost %d, bound %v; the least is %d", seed, done, s.incumbent.cost.money, ph.moneyBound(lower), least)
			}
			if s.guess != nil {
				guessed++
				raised += s.guess.turn - 1
			}
		}
	})
	if guessed == 0 || raised == 0 || reported == 0 {
		t.Errorf("%d guesses, %d raised, %d bounds reported", guessed, raised, reported)
	}
}

// TestGuessedBounds: below a guess, what is open says something of plans that weigh no more
// than that alone; what was proven before holds, and no bound lies above the best plan.
func TestGuessedBounds(t *testing.T) {
	s := &search{incumbent: &solution{}, upper: 50, grain: 1, floor: 5, guess: &guess{most: 10}}
	for _, c := range []struct{ open, most, want float64 }{
		{3, 10, 5}, {8, 10, 8}, {30, 10, 11}, {math.Inf(1), 10, 11}, {30, math.Inf(1), 30}, {math.Inf(1), math.Inf(1), 50},
	} {
		s.guess.most = c.most
		if got := s.within(c.open); got != c.want {
			t.Errorf("open from %v, guessed %v: %v, want %v", c.open, c.most, got, c.want)
		}
	}
}
