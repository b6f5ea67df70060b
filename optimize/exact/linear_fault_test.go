package exact

import (
	"context"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
	"halfpot/optimize/lp"
)

// TestLinearGivesOut: where relaxations give out, stand still or call what has an answer
// infeasible, now and then or always, the answer is the same, and the log says how often.
func TestLinearGivesOut(t *testing.T) {
	defer func() { linearFault = nil }()
	instead := []lp.Status{lp.Trouble, lp.Stopped, lp.Infeasible, lp.Cut}
	faulty := 0
	for seed := range uint64(testkit.Few(40, 2000)) {
		rng := rand.New(rand.NewPCG(seed, 53))
		p := tinyPots(rng)
		if seed%8 == 0 {
			shape := testkit.CrossShape(seed)
			shape.Budget = false
			p = generate.Problem(seed, shape)
		}
		m, err := compile(p, nil)
		if err != nil || len(m.members) == 0 {
			continue
		}
		want := (&hunt{m: m, threads: 1}).run(t.Context())
		every, faults := int64(1+rng.IntN(4)), atomic.Int64{}
		linearFault = func(st lp.Status) lp.Status {
			if n := faults.Add(1); n%every != 0 {
				return st
			}
			return instead[rng.IntN(len(instead))]
		}
		withLinear(t, true, func(t *testing.T) {
			h := hunt{m: m, threads: 1}
			got := h.run(t.Context())
			if got.proven != want.proven || want.best != nil && got.best.cost != want.best.cost {
				t.Errorf("seed %d, every %d: %+v, without faults %+v", seed, every, got, want)
			}
			faulty += int(h.troubles)
		})
		linearFault = nil
	}
	if faulty == 0 {
		t.Error("no fault was noticed")
	}
}

// TestTroublesAreReported: each relaxation that gives out is in what Progress is told.
func TestTroublesAreReported(t *testing.T) {
	defer func() { linearFault = nil }()
	given := int64(0)
	linearFault = func(lp.Status) lp.Status {
		given++
		return lp.Trouble
	}
	withLinear(t, true, func(t *testing.T) {
		for seed := range uint64(20) {
			said := int64(0)
			given = 0
			p := tinyPots(rand.New(rand.NewPCG(seed, 53)))
			_, err := Solve(context.Background(), p, Options{Threads: 1, Progress: func(pr optimize.Progress) { said = max(said, pr.Troubles) }})
			if err == nil && given > 1 && said > 0 {
				return
			}
		}
		t.Error("no relaxation gave out, or none was told of")
	})
}

// TestLinearGivenUp: a search whose relaxations all give out does not go on splitting for
// ever, but ends by the Lagrangian bound.
func TestLinearGivenUp(t *testing.T) {
	defer func() { linearFault = nil }()
	shape := testkit.CrossShape(128)
	shape.Budget = false
	m, err := compile(generate.Problem(128, shape), nil)
	if err != nil {
		t.Fatal(err)
	}
	want := (&hunt{m: m, threads: 1}).run(t.Context())
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	faults := 0
	linearFault = func(lp.Status) lp.Status {
		if faults++; faults > 1000 {
			stop()
		}
		return lp.Trouble
	}
	withLinear(t, true, func(t *testing.T) {
		got := (&hunt{m: m, threads: 1}).run(ctx)
		if got.proven != 4 || want.best == nil || got.best.cost != want.best.cost || faults < troubleMost {
			t.Errorf("%+v after %d faults, without them %+v", got, faults, want)
		}
	})
}
