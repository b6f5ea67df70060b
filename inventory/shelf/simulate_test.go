package shelf

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
)

// What is left in pots whose truth is known: the 90 % range of level holds it
// in 85 to 95 % of cases.
func TestSimulatedPots(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 12))
	r := DefaultLevelRules()
	book := bookOf(nil)
	const pots = 2000
	held, n := 0, 0
	for range pots {
		x := 17 * (1 + r.LabelSD*rng.NormFloat64())
		dead := 17 * (.03 + rangeSD(coverage.DeadVolume)*rng.NormFloat64())
		p := fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Bought})
		hand := r.EstimateSD * rng.NormFloat64()
		for i := range 6 + rng.IntN(5) {
			at := fixture.Noon.AddDate(0, 0, 2+2*i)
			e := inventory.PotEvent{ID: int64(i + 2), At: at}
			if i%4 == 3 {
				if e.Kind = inventory.Judged; rng.IntN(2) == 0 {
					e.Fraction = fixture.Frac(math.Min(1,
						math.Max(0, x/17+r.EyeSD*eyeAt(x/17)*rng.NormFloat64())))
				} else {
					e.Kind, e.GrossGrams, e.TareGrams = inventory.Weighed, 14+1.2*x+.14*rng.NormFloat64(), 14
				}
			} else {
				v := .3 + rng.Float64()
				e.Kind, e.Estimated, e.Volume = inventory.Used, true, fixture.Vol(v)
				x = math.Max(0, x-v*math.Exp(hand+inventory.JobSD*rng.NormFloat64()))
			}
			p.Events = append(p.Events, e)
		}
		l := book.Level(p, p.Events[len(p.Events)-1].At)
		low, high := l.Range(.9)
		usable := math.Min(math.Max(0, x-dead), l.Full())
		n++
		if low.ML()-.001 <= usable && usable <= high.ML()+.001 {
			held++
		}
	}
	share := float64(held) / float64(n)
	t.Logf("the 90 %% range held what was left in %.1f %% of %d pots", 100*share, n)
	if share < .85 || share > .95 {
		t.Errorf("held %.1f %%, want 85 to 95", 100*share)
	}
}

// eyeAt is how much of its usual error the eye makes at a level.
func eyeAt(s float64) float64 { return math.Max(.4, 2*math.Sqrt(math.Max(0, s*(1-s)))) }
