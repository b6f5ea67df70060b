package optimize

import (
	"context"
	"encoding/json"
	"fmt"
	"runtime"
	"testing"
	"time"
)

// solveChecked solves within a test and insists on a proof. Two minutes are
// there to end a test that would hang, not to measure anything.
func solveChecked(t *testing.T, what string, p *Problem) *Result {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	r, err := Solve(ctx, p, SolveOptions{Threads: runtime.GOMAXPROCS(0)})
	if err != nil {
		text, _ := json.Marshal(p)
		t.Fatalf("%s: %v\n%s", what, err, text)
	}
	if r.Status != Optimal && r.Status != Infeasible {
		t.Fatalf("%s: status %s, want a proof", what, r.Status)
	}
	if err := Check(p, r); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	return r
}

// askLP puts a problem to a general solver as the page asks: level 1, under a
// budget after level 0.
func askLP(t *testing.T, s generalSolver, p *Problem, strong bool) (l levels, solved bool) {
	t.Helper()
	opt := LPOptions{Strong: strong}
	if p.Rules.Budget != nil {
		worth, solved := s.ask(t, p, opt)
		if !solved {
			return levels{}, false
		}
		l.worth = worth
		opt.Worth = &worth
	}
	l.money, solved = s.ask(t, p, opt)
	return l, solved
}

// TestExportAgainstBruteForce needs no solver of ours: the LP export and
// looking at every plan must agree on levels 0 and 1.
func TestExportAgainstBruteForce(t *testing.T) {
	solvers := generalSolvers(t)
	bruteCases(t, few(40, 400), func(seed uint64, p *Problem, best *Result) {
		for i, s := range solvers {
			got, solved := askLP(t, s, p, (seed+uint64(i))%2 == 0)
			if solved != (best != nil) {
				t.Fatalf("seed %d: %s finds a plan: %v, brute force: %v", seed, s.name, solved, best != nil)
			}
			if best != nil && (got.worth != best.Totals.Worth || got.money != best.Totals.Objective) {
				t.Fatalf("seed %d: %s finds worth %d, cost %d; brute force %d, %d", seed, s.name, got.worth, got.money, best.Totals.Worth, best.Totals.Objective)
			}
		}
	})
}

// TestSolveAgainstBruteForce compares all levels of the objective.
func TestSolveAgainstBruteForce(t *testing.T) {
	t.Run("whole", func(t *testing.T) { againstBruteForce(t, false) })
	t.Run("budget", func(t *testing.T) { againstBruteForce(t, true) })
}

func againstBruteForce(t *testing.T, budget bool) {
	bruteCases(t, few(500, 5000), func(seed uint64, p *Problem, best *Result) {
		if budget != (p.Rules.Budget != nil) {
			return
		}
		got := solveChecked(t, fmt.Sprintf("seed %d", seed), p)
		text, _ := json.Marshal(p)
		if (got.Status == Optimal) != (best != nil) {
			t.Fatalf("seed %d: status %s, brute force finds a plan: %v\n%s", seed, got.Status, best != nil, text)
		}
		if best == nil {
			if len(got.Reasons) == 0 {
				t.Fatalf("seed %d: no reasons why there is no plan\n%s", seed, text)
			}
			return
		}
		if levelsOf(got) != levelsOf(best) {
			t.Fatalf("seed %d: levels %+v, brute force %+v\n%s", seed, levelsOf(got), levelsOf(best), text)
		}
	})
}

// crossShape gives small shapes in which, over the seeds, every feature is
// there alone, absent alone, and mixed.
func crossShape(seed uint64) Shape {
	s := Shape{Needs: 5 + int(seed%10), Paints: 20 + int(seed%7)*4, Shops: 2 + int(seed%3), Ranges: 2 + int(seed%3)}
	features := []*bool{&s.Bands, &s.MoneyOff, &s.Limits, &s.MinOrders, &s.Match, &s.Mixes, &s.CompromisePrice, &s.MaxShops, &s.Budget, &s.Thirsty, &s.Scarce}
	const sets = 11 // the feature that is a number, not a switch
	one := int(seed/3) % (len(features) + 1)
	for i, f := range features {
		switch seed % 3 {
		case 0:
			*f = i == one
		case 1:
			*f = i != one
		default:
			*f = (seed*2654435761>>(3+i))&1 == 1
		}
	}
	if s.MoneyOff {
		s.Bands = true
	}
	if seed%3 == 0 && one == sets || seed%3 == 1 && one != sets || seed%3 == 2 && seed%2 == 0 {
		s.Sets = 3
	}
	return s
}

func TestSolveAgainstGeneralSolvers(t *testing.T) {
	solvers := generalSolvers(t)
	infeasible := 0
	for seed := range uint64(few(24, 300)) {
		shape := crossShape(seed)
		name := fmt.Sprintf("seed=%d", seed)
		if shape.Budget {
			name += ",budget"
		}
		t.Run(name, func(t *testing.T) {
			p := Generate(seed, shape)
			got := solveChecked(t, fmt.Sprintf("%+v", shape), p)
			if got.Status == Infeasible {
				infeasible++
			}
			for i, s := range solvers {
				want, solved := askLP(t, s, p, i == 0 || seed%2 == 0) // glpsol is lost without the strong rows
				if solved != (got.Status == Optimal) {
					t.Fatalf("%+v: status %s, %s finds a plan: %v", shape, got.Status, s.name, solved)
				}
				if solved && (want.worth != got.Totals.Worth || want.money != got.Totals.Objective) {
					t.Fatalf("%+v: worth %d, cost %d; %s: %d, %d", shape, got.Totals.Worth, got.Totals.Objective, s.name, want.worth, want.money)
				}
			}
		})
	}
	t.Logf("%d of the problems have no plan", infeasible)
}

// TestGeneralSolversAgree compares the two forms of the export and the two
// solvers with each other, so that a fault of the export is not taken for one
// of the solver.
func TestGeneralSolversAgree(t *testing.T) {
	solvers := generalSolvers(t)
	for seed := range uint64(few(12, 100)) {
		p := Generate(seed, crossShape(seed))
		first, found := askLP(t, solvers[0], p, true)
		for _, s := range solvers {
			for _, strong := range []bool{false, true} {
				if s.name == "glpsol" && !strong {
					continue
				}
				got, solved := askLP(t, s, p, strong)
				if solved != found || got != first {
					t.Fatalf("seed %d: %s (strong %v) finds %+v %v, %s finds %+v %v", seed, s.name, strong, got, solved, solvers[0].name, first, found)
				}
			}
		}
	}
}
