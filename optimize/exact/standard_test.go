package exact

import (
	"fmt"
	"path/filepath"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/internal/testkit"
)

func TestSteinerTripleSystems(t *testing.T) {
	for _, c := range testkit.Steiner {
		t.Run(c.Name, func(t *testing.T) {
			testkit.CheckSteiner(t, c.Points, c.Triples)
			if c.Slow && !testkit.Long() {
				t.Skip("only with HALFPOT_LONG=1")
			}
			if got := solveChecked(t, c.Name, testkit.Covering(c.Triples, testkit.Ones(c.Points))); got.Totals.Objective != c.Want {
				t.Errorf("%d pots, want %d", got.Totals.Objective, c.Want)
			}
			if c.Points > 15 {
				return // bundles without structure are not what the solver is for
			}
			if got := solveChecked(t, c.Name, testkit.CoveringBySets(c.Triples, testkit.Ones(c.Points))); got.Totals.Objective != c.Want {
				t.Errorf("%d sets, want %d", got.Totals.Objective, c.Want)
			}
		})
	}
}

func TestCoveringDesigns(t *testing.T) {
	for _, c := range testkit.Designs {
		name := fmt.Sprintf("C(%d,%d,%d)", c.V, c.K, c.T)
		t.Run(name, func(t *testing.T) {
			if got := solveChecked(t, name, testkit.Covering(testkit.Design(c.V, c.K, c.T))); got.Totals.Objective != c.Want {
				t.Errorf("%d blocks, want %d", got.Totals.Objective, c.Want)
			}
		})
	}
}

func TestLocationProblems(t *testing.T) {
	for _, c := range testkit.Locations {
		t.Run(c.Name, func(t *testing.T) {
			if got := solveChecked(t, c.Name, c.Problem); got.Totals.Objective != c.Want {
				t.Errorf("cost %d, want %d", got.Totals.Objective, c.Want)
			}
		})
	}
}

func TestORLibrarySetCovering(t *testing.T) {
	dir := testkit.SharedData(t, "orlib")
	for i, c := range testkit.ORLibrary {
		if i%5 != 0 && !testkit.Long() {
			continue
		}
		t.Run(c.Name, func(t *testing.T) {
			p := testkit.ReadCovering(t, filepath.Join(dir, c.Name+".txt"))
			if got := solveChecked(t, c.Name, p); got.Totals.Objective != c.Want {
				t.Errorf("cost %d, want %d", got.Totals.Objective, c.Want)
			}
		})
	}
}

func BenchmarkORLibrary(b *testing.B) {
	dir := testkit.SharedData(b, "orlib")
	for _, c := range testkit.ORLibrary {
		p := testkit.ReadCovering(b, filepath.Join(dir, c.Name+".txt"))
		b.Run(c.Name, func(b *testing.B) {
			for b.Loop() {
				r, err := Solve(b.Context(), p, Options{Threads: 1})
				if err != nil || r.Status != optimize.Optimal || r.Totals.Objective != c.Want {
					b.Fatalf("result %+v, error %v", r, err)
				}
			}
		})
	}
}
