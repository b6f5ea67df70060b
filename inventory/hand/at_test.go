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

// A look that the scale overrules is told, one that fits is not.
func TestLookOverruled(t *testing.T) {
	for _, c := range []struct {
		seen float64
		told int
	}{{.9, 1}, {.5, 0}, {.05, -1}} {
		v := usualPot("a", 0)
		v.Events = []Event{
			{Kind: Fresh},
			{Kind: Unseal},
			{Kind: Weigh, Month: 1, Value: v.Tare + v.Density*9},
			{Kind: Look, Month: 1.1, Value: c.seen},
		}
		rec := &Record{Methods: simHand, Types: simTypes, Paints: []Way{{0, 0}}, Pots: []Vessel{v}}
		l := FromRecord(rec, Assumed(), 2).Left(&v, 2)
		if told := (map[bool]int{true: 1}[l.Off > 0] - map[bool]int{true: 1}[l.Off < 0]); told != c.told {
			t.Errorf("half there by weight and seen %g: told %+.2f, want sign %d", c.seen, l.Off, c.told)
		}
	}
}
