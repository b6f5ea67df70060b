package colour

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Strengths come back from mixes made with them, up to what all share: from few
// mixes each with one white, in a chain, with three paints, and with a judging eye.
func TestLearnStrengths(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for _, c := range []struct {
		name   string
		eye    float64 // standard deviation of what is seen, in L, a and b
		within float64 // of the logarithm, at most on the mean of all paints
		trials func(n int) (out []Trial)
	}{
		{"each with white", 0, .04, func(n int) (out []Trial) {
			for i := 1; i < n; i++ {
				out = append(out, Trial{Of: []int{i, 0}, Parts: []float64{1, 1}})
			}
			return out
		}},
		{"a chain", 0, .08, func(n int) (out []Trial) {
			for i := 1; i < n; i++ {
				out = append(out, Trial{Of: []int{i, i - 1}, Parts: []float64{1, 2}})
			}
			return out
		}},
		{"threes", 0, .04, func(n int) (out []Trial) {
			for i := 1; i < n; i++ {
				out = append(out, Trial{Of: []int{i, 0}, Parts: []float64{2, 1}}, Trial{
					Of:    []int{0, i, 1 + i%(n-1)},
					Parts: []float64{2, 1, 1},
				})
			}
			return out
		}},
		{"by eye", 1, .2, func(n int) (out []Trial) {
			for i := 1; i < n; i++ {
				out = append(out, Trial{Of: []int{i, 0}, Parts: []float64{1, 1}}, Trial{
					Of:    []int{i, 0},
					Parts: []float64{1, 3},
				})
			}
			return out
		}},
	} {
		var off, apart float64
		const times = 5
		for range times {
			const n = 8
			paints := madeUp(t, r, n, true)
			paints[0].Spectrum = smooth(t, "#f4f4f0")
			var spectra []Spectrum
			mean := 0.0
			for _, p := range paints {
				spectra = append(spectra, p.Spectrum)
				mean += math.Log(p.Strength) / n
			}
			trials := c.trials(n)
			for i := range trials {
				var of []Ingredient
				for _, p := range trials[i].Of {
					of = append(of, paints[p])
				}
				s, err := Mix(of, trials[i].Parts)
				if err != nil {
					t.Fatal(err)
				}
				l := s.Lab()
				trials[i].Seen = Lab{
					l.L + c.eye*r.NormFloat64(),
					l.A + c.eye*r.NormFloat64(),
					l.B + c.eye*r.NormFloat64(),
				}
			}
			for i, got := range LearnStrengths(spectra, trials) {
				want := math.Log(paints[i].Strength) - mean
				off += math.Abs(math.Log(got)-want) / n / times
				apart += math.Abs(want) / n / times
			}
		}
		if off > c.within {
			t.Errorf("%s: strengths off by a factor e^%.3f on the mean (unlearned: e^%.3f), "+
				"want e^%.3f at most", c.name, off, apart, c.within)
		}
	}
}

func TestLearnStrengthsLeavesTheRest(t *testing.T) {
	grey := smooth(t, "#808080")
	got := LearnStrengths([]Spectrum{grey, grey, smooth(t, "#7a3b22")}, []Trial{{
		Of:    []int{0, 1},
		Parts: []float64{1, 1},
		Seen:  grey.Lab(),
	}})
	for _, s := range got {
		near(t, "a strength that nothing tells", s, 1, 1e-3)
	}
}

// What 60 paints cost that were each tried with white and with a neighbour.
func BenchmarkLearnStrengths(b *testing.B) {
	r := rand.New(rand.NewPCG(23, 24))
	paints := madeUp(b, r, 60, true)
	var spectra []Spectrum
	var trials []Trial
	for i, p := range paints {
		spectra = append(spectra, p.Spectrum)
		if i > 1 {
			for _, of := range [][]int{{i, 0}, {i, i - 1}} {
				s, _ := Mix([]Ingredient{paints[of[0]], paints[of[1]]}, []float64{1, 1})
				trials = append(trials, Trial{Of: of, Parts: []float64{1, 1}, Seen: s.Lab()})
			}
		}
	}
	for b.Loop() {
		LearnStrengths(spectra, trials)
	}
}
