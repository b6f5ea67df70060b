package painting

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Painters made up with biases of their own, some from outside the priors: what
// is left to do is told better with every sitting, and not one-sidedly.
func TestPaceLearns(t *testing.T) {
	tasks := []Task{"one-coat", "wash", "base", "highlight", "dry brush", "varnish"}
	painters := 60
	for _, c := range []struct {
		name       string
		bias, each float64
		noise      float64
		after      map[int]float64 // sittings learned from: mean error at most
	}{
		{"as assumed", 0, 0.30, 0.20, map[int]float64{1: 0.20, 5: 0.11, 20: 0.08}},
		{"all twice as slow", math.Log(2), 0.30, 0.20, map[int]float64{5: 0.13, 20: 0.08}},
		{"noisy sittings", 0, 0.30, 0.40, map[int]float64{5: 0.20, 20: 0.13}},
	} {
		for n, most := range c.after {
			rng := rand.New(rand.NewPCG(3, uint64(n)))
			sum, signed := 0.0, 0.0
			for range painters {
				all := c.bias
				if c.bias == 0 {
					all = paceSD * rng.NormFloat64()
				}
				own := map[Task]float64{}
				for _, k := range tasks {
					own[k] = math.Exp(all + c.each*rng.NormFloat64())
				}
				var sittings []TimedSitting
				for range n {
					s := TimedSitting{}
					for range 2 + rng.IntN(3) {
						k := tasks[rng.IntN(len(tasks))]
						m := 10 + 30*rng.Float64()
						s.Tables = append(s.Tables, TaskTime{k, m})
						s.Minutes += m * own[k]
					}
					s.Minutes *= math.Exp(c.noise * rng.NormFloat64())
					sittings = append(sittings, s)
				}
				pace := LearnPace(sittings)
				truth, told := 0.0, 0.0
				for _, k := range tasks {
					f, _ := pace.Factor(k)
					truth += 60 * own[k]
					told += 60 * f
				}
				miss := math.Log(told / truth)
				sum += math.Abs(miss)
				signed += miss
			}
			if got := sum / float64(painters); got > most {
				t.Errorf("%s: off by %.2f after %d sittings, at most %.2f", c.name, got, n, most)
			}
			if got := math.Abs(signed) / float64(painters); got > 0.08 {
				t.Errorf("%s: leans by %.2f after %d sittings", c.name, got, n)
			}
		}
	}
}

func TestPaceUntaught(t *testing.T) {
	p := LearnPace([]TimedSitting{{Minutes: 0, Tables: []TaskTime{{"wash", 20}}}, {Minutes: 30}})
	if f, sd := p.Factor("wash"); f != 1 || math.Abs(sd-math.Hypot(paceSD, taskSD)) > 1e-9 || p.Sittings != 0 {
		t.Errorf("nothing to learn from, but %g +- %g", f, sd)
	}
	var none *Pace
	if f, _ := none.Factor("wash"); f != 1 {
		t.Errorf("no pace: %g", f)
	}
}
