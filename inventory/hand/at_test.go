package hand

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// What stands at each rank is what sorting puts there, whatever the order and
// however many are alike.
func TestAtAgainstSorting(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for name, value := range map[string]func(i int) float64{
		"random":   func(int) float64 { return rng.NormFloat64() },
		"rising":   func(i int) float64 { return float64(i) },
		"falling":  func(i int) float64 { return float64(-i) },
		"few":      func(int) float64 { return float64(rng.IntN(3)) },
		"alike":    func(int) float64 { return 7 },
		"mountain": func(i int) float64 { return float64(min(i, points-i)) },
	} {
		draws := make([]float64, points)
		for i := range draws {
			draws[i] = value(i)
		}
		sorted := slices.Sorted(slices.Values(draws))
		for _, level := range []float64{-1, 0, 0.01, 0.5, 0.8, 0.975, 1, 2} {
			if got, want := At(draws, level), sorted[int(clip(level*points, 0, points-1))]; got != want {
				t.Errorf("%s at %g: %g, want %g", name, level, got, want)
			}
		}
	}
}

func BenchmarkAt(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	draws := make([]float64, points)
	for i := range draws {
		draws[i] = rng.NormFloat64()
	}
	for b.Loop() {
		At(draws, 0.8)
	}
}
