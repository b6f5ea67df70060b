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
	painters := 200
	for _, c := range []struct {
		name       string
		bias, each float64
		noise      float64
		after      map[int]float64 // sittings learned from: mean error at most
	}{
		{"as assumed", 0, 0.30, 0.35, map[int]float64{1: 0.26, 5: 0.16, 20: 0.09}},
		{"regular", 0, 0.30, 0.20, map[int]float64{1: 0.23, 5: 0.11, 20: 0.08}},
		{"all twice as slow", math.Log(2), 0.30, 0.20, map[int]float64{5: 0.18, 20: 0.08}},
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
			lean := 0.08
			if c.bias != 0 && n < 20 { // five sittings are not believed outright
				lean = 0.18
			}
			if got := math.Abs(signed) / float64(painters); got > lean {
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

// One evening is not a habit: it moves the pace part of the way, a wild one hardly
// further, and ten alike most of it.
func TestOneSittingIsNoHabit(t *testing.T) {
	after := func(n int, times float64) float64 {
		var all []TimedSitting
		for range n {
			all = append(all, TimedSitting{Minutes: 60 * times, Tables: []TaskTime{{"wash", 30}, {"base", 30}}})
		}
		f, _ := LearnPace(all).Overall([]TaskTime{{"wash", 30}, {"base", 30}})
		return f
	}
	for _, c := range []struct {
		sittings         int
		times, low, high float64
	}{{1, 2, 1.2, 1.55}, {1, 0.5, 0.65, 0.83}, {1, 8, 1.5, 2.5}, {10, 2, 1.8, 2}, {10, 0.5, 0.5, 0.56}} {
		if got := after(c.sittings, c.times); got < c.low || got > c.high {
			t.Errorf("%d sittings of %g times the tables' minutes: pace %.2f, want %.2f to %.2f",
				c.sittings, c.times, got, c.low, c.high)
		}
	}
}
