package exact

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"sync"
	"testing"
	"time"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
	"halfpot/optimize/problemfile"
)

// solveChecked solves within a test and insists on a proof, and that nothing said on the way
// was wrong. Two minutes are there to end a test that would hang, not to measure anything.
func solveChecked(t *testing.T, what string, p *optimize.Problem) *optimize.Result {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	var said []optimize.Progress
	var mu sync.Mutex
	note := func(pr optimize.Progress) {
		mu.Lock()
		said = append(said, pr)
		mu.Unlock()
	}
	r, err := Solve(ctx, p, Options{Threads: runtime.GOMAXPROCS(0), Progress: note})
	if err != nil {
		text, _ := json.Marshal(p)
		t.Fatalf("%s: %v\n%s", what, err, text)
	}
	if r.Status != optimize.Optimal && r.Status != optimize.Infeasible {
		t.Fatalf("%s: status %s, want a proof", what, r.Status)
	}
	if err := optimize.Check(p, r); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	for _, pr := range said {
		if p.Rules.Budget == nil && r.Totals != nil && (pr.Bound > r.Totals.Objective || pr.Found && pr.Best < r.Totals.Objective) {
			t.Fatalf("%s: %+v was said on the way to %d", what, pr, r.Totals.Objective)
		}
	}
	return r
}

// TestSolveAgainstBruteForce compares all levels of the objective.
func TestSolveAgainstBruteForce(t *testing.T) {
	t.Run("whole", func(t *testing.T) { againstBruteForce(t, false) })
	t.Run("budget", func(t *testing.T) { againstBruteForce(t, true) })
}

func againstBruteForce(t *testing.T, budget bool) {
	testkit.BruteCases(t, testkit.Few(500, 5000), func(seed uint64, p *optimize.Problem, best *optimize.Result) {
		if budget != (p.Rules.Budget != nil) {
			return
		}
		got := solveChecked(t, fmt.Sprintf("seed %d", seed), p)
		text, _ := json.Marshal(p)
		if (got.Status == optimize.Optimal) != (best != nil) {
			t.Fatalf("seed %d: status %s, brute force finds a plan: %v\n%s", seed, got.Status, best != nil, text)
		}
		if best == nil {
			if len(got.Reasons) == 0 {
				t.Fatalf("seed %d: no reasons why there is no plan\n%s", seed, text)
			}
			return
		}
		if testkit.LevelsOf(got) != testkit.LevelsOf(best) {
			t.Fatalf("seed %d: levels %+v, brute force %+v\n%s",
				seed, testkit.LevelsOf(got), testkit.LevelsOf(best), text)
		}
	})
}

func TestSolveAgainstGeneralSolvers(t *testing.T) {
	solvers := testkit.GeneralSolvers(t)
	infeasible := 0
	for seed := range uint64(testkit.Few(12, 300)) {
		shape := testkit.CrossShape(seed)
		name := fmt.Sprintf("seed=%d", seed)
		if shape.Budget {
			name += ",budget"
		}
		t.Run(name, func(t *testing.T) {
			p := generate.Problem(seed, shape)
			got := solveChecked(t, fmt.Sprintf("%+v", shape), p)
			if got.Status == optimize.Infeasible {
				infeasible++
			}
			export := func(w io.Writer, strong bool, worth *int64) error {
				return problemfile.WriteLP(w, p, problemfile.LPOptions{Strong: strong, Worth: worth})
			}
			for i, s := range solvers {
				want, solved := s.AskLevels(t, p, i == 0 || seed%2 == 0, export) // glpsol is lost without the strong rows
				if solved != (got.Status == optimize.Optimal) {
					t.Fatalf("%+v: status %s, %s finds a plan: %v", shape, got.Status, s.Name, solved)
				}
				if solved && (want.Worth != got.Totals.Worth || want.Money != got.Totals.Objective) {
					t.Fatalf("%+v: worth %d, cost %d; %s: %d, %d",
						shape, got.Totals.Worth, got.Totals.Objective, s.Name, want.Worth, want.Money)
				}
			}
		})
	}
	t.Logf("%d of the problems have no plan", infeasible)
}
