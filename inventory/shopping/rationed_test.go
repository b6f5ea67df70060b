package shopping

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/internal/fixture"
	"halfpot/optimize"
)

// A ration of points is kept, and the best plan within it is the best of all the
// plans that keep it.
func TestRationedPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	several := 0
	for round := range 150 {
		p := madeUp(r)
		p.Rules.CompromisePrice = 0
		costs := map[int64]bool{}
		last := int64(math.MaxInt64)
		for points := range 12 {
			c := varied(p)
			for i := range c.Needs {
				c.Needs[i].Options = slices.Clone(c.Needs[i].Options)
			}
			q := &Question{
				Problem: c,
				Needs:   &estimate.Needs{Force: "f"},
				Index:   (&inventory.Catalogue{}).Index(),
				Rules:   Rules{MaxPoints: &points},
			}
			q.rationPoints()
			got := fixture.Must[*optimize.Result](t)(bruteSolve(ctx, c))
			if got.Totals == nil {
				continue
			}
			if got.Totals.Points > int64(points) {
				t.Fatalf("round %d: %d points, at most %d were asked for", round, got.Totals.Points, points)
			}
			if cost(got) > last {
				t.Fatalf("round %d: %d with %d points, less with fewer", round, cost(got), points)
			}
			last = cost(got)
			costs[last] = true
		}
		free := fixture.Must[*optimize.Result](t)(bruteSolve(ctx, p))
		if free.Totals != nil && cost(free) != last {
			t.Fatalf("round %d: %d without a ration, %d with a large one", round, cost(free), last)
		}
		if len(costs) > 1 {
			several++
		}
	}
	if several < 10 {
		t.Errorf("the ration mattered in %d problems: the test says little", several)
	}
}
