package setcover

import (
	"math"
	"testing"

	"halfpot/optimize/internal/testkit"
)

// TestSpoiltInverse spoils the inverse that a relaxation starts from: the bound of
// the prices it leads to falls short, which is seen, and the relaxation solved anew
// from the empty basis.
func TestSpoiltInverse(t *testing.T) {
	spoilt := 0
	for seed := range uint64(testkit.Few(10, 100)) {
		p := instance(testkit.RandomCovering(seed, 60, 80, 0.08, 50))
		c := &solver{Problem: p}
		s := c.search(weights{grain: 1, money: 1}, nil)
		s.ctx, s.budget = t.Context(), math.MaxInt64
		s.upper = 1e9 // nothing is ruled out
		q := s.get()
		if !q.build(s.root, s) {
			t.Fatal("a row without columns")
		}
		s.relax(q)
		s.upper = 1e9
		s.relaxed(q, 0, false)
		want := s.value
		from := &s.bases[1]
		if len(from.cols) < 2 {
			continue
		}
		for i := range from.inv {
			from.inv[i] *= 1.05
		}
		spoilt++
		s.relaxed(q, 0, true)
		if math.Abs(s.value-want) > 0.01 {
			t.Errorf("seed %d: bound %v from a spoilt inverse, %v without", seed, s.value, want)
		}
	}
	if spoilt == 0 {
		t.Error("no relaxation had a basis to spoil")
	}
}
