package problemfile

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
)

// exporter writes the problem as an LP file.
func exporter(p *optimize.Problem) testkit.Export {
	return func(w io.Writer, strong bool, worth *int64) error {
		return WriteLP(w, p, LPOptions{Strong: strong, Worth: worth})
	}
}

// TestExportAgainstBruteForce needs no solver of ours: the LP export and
// looking at every plan must agree on levels 0 and 1.
func TestExportAgainstBruteForce(t *testing.T) {
	solvers := testkit.GeneralSolvers(t)
	testkit.BruteCases(t, testkit.Few(20, 400), func(seed uint64, p *optimize.Problem, best *optimize.Result) {
		for i, s := range solvers {
			got, solved := s.AskLevels(t, p, (seed+uint64(i))%2 == 0, exporter(p))
			if solved != (best != nil) {
				t.Fatalf("seed %d: %s finds a plan: %v, brute force: %v", seed, s.Name, solved, best != nil)
			}
			if best != nil && (got.Worth != best.Totals.Worth || got.Money != best.Totals.Objective) {
				t.Fatalf("seed %d: %s finds worth %d, cost %d; brute force %d, %d",
					seed, s.Name, got.Worth, got.Money, best.Totals.Worth, best.Totals.Objective)
			}
		}
	})
}

// TestGeneralSolversAgree compares the two forms of the export and the two
// solvers with each other, so that a fault of the export is not taken for one
// of the solver.
func TestGeneralSolversAgree(t *testing.T) {
	solvers := testkit.GeneralSolvers(t)
	for seed := range uint64(testkit.Few(5, 100)) {
		p := generate.Problem(seed, testkit.CrossShape(seed))
		first, found := solvers[0].AskLevels(t, p, true, exporter(p))
		for _, s := range solvers {
			for _, strong := range []bool{false, true} {
				if s.Name == "glpsol" && !strong {
					continue
				}
				got, solved := s.AskLevels(t, p, strong, exporter(p))
				if solved != found || got != first {
					t.Fatalf("seed %d: %s (strong %v) finds %+v %v, %s finds %+v %v",
						seed, s.Name, strong, got, solved, solvers[0].Name, first, found)
				}
			}
		}
	}
}

// TestStandardInstancesThroughTheExport puts the same statements to general
// solvers, so that a wrong statement is not mistaken for a wrong solver.
func TestStandardInstancesThroughTheExport(t *testing.T) {
	solvers := testkit.GeneralSolvers(t)
	ask := func(name string, p *optimize.Problem, want int64) {
		t.Run(name, func(t *testing.T) {
			for _, s := range solvers {
				if s.Name == "glpsol" && strings.HasPrefix(name, "C(") {
					continue // minutes
				}
				if got, solved := s.Ask(t, func(w io.Writer) error {
					return WriteLP(w, p, LPOptions{Strong: true})
				}); !solved || got != want {
					t.Errorf("%s: %d (solved %v), want %d", s.Name, got, solved, want)
				}
			}
		})
	}
	for _, c := range testkit.Locations {
		ask(c.Name, c.Problem, c.Want)
	}
	for _, c := range testkit.Steiner {
		if c.Points <= 15 {
			ask(c.Name, testkit.Covering(c.Triples, testkit.Ones(c.Points)), c.Want)
			ask(c.Name+" by sets", testkit.CoveringBySets(c.Triples, testkit.Ones(c.Points)), c.Want)
		}
	}
	for _, c := range testkit.Designs {
		if testkit.Long() || c.V < 7 {
			ask(fmt.Sprintf("C(%d,%d,%d)", c.V, c.K, c.T),
				testkit.Covering(testkit.Design(c.V, c.K, c.T)), c.Want)
		}
	}
}
