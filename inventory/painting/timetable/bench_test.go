package timetable

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
)

// forceOf is a made-up force: so many batches of 4 to 10 figures in a few recipes
// of twelve steps, the waits and minutes of the trade.
func forceOf(rng *rand.Rand, batches, recipes, steps, days, length int) *Problem {
	p := &Problem{Sittings: evenings(days, length)}
	type line struct{ each, setup, wait int }
	trade := []line{
		{30, 10, 60}, {120, 4, 10}, {180, 4, 60}, {180, 4, 60}, {180, 4, 60}, {240, 5, 30}, {120, 3, 720},
		{120, 4, 30}, {240, 4, 1440}, {120, 4, 120}, {120, 5, 720}, {120, 5, 30},
	}
	plans := make([][]st, recipes)
	for r := range plans {
		for i := range steps {
			l := trade[i*len(trade)/steps]
			mix := len(p.Mixes)
			if r > 0 && rng.IntN(2) == 0 {
				mix = plans[rng.IntN(r)][i].mix // a palette that another recipe has too
			} else {
				p.Mixes = append(p.Mixes, Mix{fmt.Sprint("m", mix), l.setup * minute, 200 + rng.IntN(3)*100})
			}
			plans[r] = append(plans[r], st{l.each, mix, l.wait})
		}
	}
	for b := range batches {
		plan := plans[rng.IntN(recipes)]
		batch := Batch{ID: fmt.Sprint("b", b), Figures: 4 + rng.IntN(7)}
		for i, s := range plan {
			step := Step{ID: fmt.Sprint(i + 1), Each: s.each * (80 + rng.IntN(41)) / 100, Mix: s.mix}
			for range len(plan) - i - 1 {
				step.Waits = append(step.Waits, s.wait*minute)
			}
			batch.Steps = append(batch.Steps, step)
		}
		p.Batches = append(p.Batches, batch)
	}
	return p
}

func BenchmarkForce200x12(b *testing.B) {
	for seed := range uint64(4) {
		p := forceOf(rand.New(rand.NewPCG(seed, 3)), 200, 6, 12, 900, 120)
		b.Run(fmt.Sprint(seed), func(b *testing.B) {
			for range b.N {
				plan := solve(b, p, Effort{})
				b.ReportMetric(100*plan.Gap(), "%gap")
				b.ReportMetric(float64(plan.Last+1), "evenings")
			}
		})
	}
}

func BenchmarkBatches(b *testing.B) {
	for _, size := range []struct{ batches, steps int }{
		{3, 8}, {4, 8}, {5, 8}, {5, 15}, {6, 8}, {8, 12}, {12, 12}, {30, 12},
	} {
		b.Run(fmt.Sprintf("%dx%d", size.batches, size.steps), func(b *testing.B) {
			seeds, effort := uint64(5), Effort{}
			if os.Getenv("HALFPOT_LONG") == "" { // one force with a tenth of the effort: that it runs, not how well
				seeds, effort = 1, Effort{
					Exact:  DefaultEffort.Exact / 10,
					Beam:   DefaultEffort.Beam / 10,
					Passes: DefaultEffort.Passes / 10,
				}
			}
			sure, all, gap := 0.0, 0.0, 0.0
			n := 0
			for range b.N {
				for seed := range seeds {
					p := forceOf(rand.New(rand.NewPCG(seed, 5)), size.batches, 3, size.steps, 120, 120)
					plan, err := Solve(context.Background(), p, effort)
					if err != nil {
						b.Fatal(err)
					}
					n++
					gap += plan.Gap()
					if plan.Sure {
						sure++
					}
					if plan.AllSure {
						all++
					}
				}
			}
			b.ReportMetric(sure/float64(n), "sure")
			b.ReportMetric(all/float64(n), "allsure")
			b.ReportMetric(100*gap/float64(n), "%gap")
		})
	}
}
