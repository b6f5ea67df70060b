package exact

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"halfpot/optimize"
)

// thirsty is a problem of one need that takes ul of one paint, in pots of the
// given sizes and prices from one shop.
func thirsty(ul int64, sizes, prices []int64) *optimize.Problem {
	p := &optimize.Problem{
		Currency: "EUR", Paints: []optimize.Paint{{ID: "primer"}},
		Needs: []optimize.Need{{
			ID:      "all",
			Options: []optimize.Option{{ID: "primer", Uses: []optimize.Use{{Paint: "primer", UL: ul}}}},
		}},
		Shops: []optimize.Shop{{ID: "shop", Delivery: []optimize.Band{{From: 0, Fee: 0}}}},
	}
	for i, size := range sizes {
		id := fmt.Sprintf("pot%d", i)
		p.Products = append(p.Products, optimize.Product{
			ID:       id,
			Contents: []optimize.Content{{Paint: "primer", UL: size}},
		})
		p.Offers = append(p.Offers, optimize.Offer{Product: id, Shop: "shop", Price: prices[i]})
	}
	return p
}

// The least cost of at least a volume in pots of given sizes is an unbounded
// covering knapsack, whose table is in every textbook of dynamic programming.
func TestManyPotsAgainstATable(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 17))
	runs, open := 0, 0
	for range 150 {
		ul := 1 + rng.Int64N(12000)
		kinds := 1 + rng.IntN(4)
		sizes, prices := make([]int64, kinds), make([]int64, kinds)
		for i := range sizes {
			sizes[i] = 1 + rng.Int64N(1+ul/int64(1+rng.IntN(2000)))
			prices[i] = 1 + sizes[i] + rng.Int64N(1+sizes[i]/4)
		}
		least := make([]int64, ul+1)
		for v := int64(1); v <= ul; v++ {
			least[v] = math.MaxInt64
			for i, size := range sizes {
				least[v] = min(least[v], least[max(0, v-size)]+prices[i])
			}
		}
		ctx, stop := context.WithTimeout(t.Context(), 2*time.Second)
		r, err := Solve(ctx, thirsty(ul, sizes, prices), Options{})
		inTime := ctx.Err() == nil // one takes 40 s; how many a slow machine leaves open says nothing
		stop()
		if err != nil {
			t.Fatal(err)
		}
		if r.Totals.Objective < least[ul] || r.Totals.Bound > least[ul] {
			t.Errorf("%d ul in pots of %v at %v: %d, bound %d, and the table says %d",
				ul, sizes, prices, r.Totals.Objective, r.Totals.Bound, least[ul])
		}
		if r.ProvenLevels > 0 && r.Totals.Objective != least[ul] {
			t.Errorf("%d ul in pots of %v at %v: %d called proven, the table says %d",
				ul, sizes, prices, r.Totals.Objective, least[ul])
		}
		if r.ProvenLevels == 0 && inTime {
			open++
		}
		if r.Totals.Boxes > stepRuns {
			runs++
		}
	}
	if runs < 10 || open > 50 {
		t.Errorf("%d problems took more than %d pots, %d were left open", runs, stepRuns, open)
	}
}

func TestStepRunsHoldEveryNumberOnce(t *testing.T) {
	for _, steps := range []int32{
		0, 1, 2, stepRuns - 1, stepRuns, stepRuns + 1, 2*stepRuns + 7, 1 << 20, 1 << 29,
	} {
		r := &relax{steps: []int32{steps}}
		next, i := int32(0), 0
		for ; next <= steps; i++ {
			first, last := r.stepRun(0, i)
			if first != next || last < first || last > steps {
				t.Fatalf("of %d: run %d is %d to %d, expected from %d", steps, i, first, last, next)
			}
			next = last + 1
		}
		if i > stepRuns+1 {
			t.Errorf("of %d: %d runs", steps, i)
		}
	}
}

// TestManyUnitsAgainstTryingAll: where numbers of units are looked at in runs,
// what a paint gains is never less than with the best of all numbers and
// choices, nor much more, and no number is ruled out that could do.
func TestManyUnitsAgainstTryingAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	long, ruled := 0, 0
	for range 300 {
		r := &relax{
			paints:     []int32{0},
			boxes:      []float64{2},
			multi:      []bool{true},
			stockStart: []int32{0, 0},
			w:          weights{quantum: 1.0 / 1024},
		}
		r.unitUL, r.shelf = []float64{float64(1 + rng.IntN(9))}, []float64{float64(rng.IntN(60))}
		p := &point{base: []float64{0}, units: []float64{0}, dear: []float64{0}, worth: []float64{0}}
		total, gains := 0.0, 0.0
		for i := range 1 + rng.IntN(6) {
			ul := float64(1 + rng.IntN(6000))
			r.stock = append(r.stock, stockItem{int32(i), ul})
			p.oneGain = append(p.oneGain, float64(1+rng.IntN(500)))
			total, gains = total+ul, gains+p.oneGain[i]
		}
		r.stockStart[1] = int32(len(r.stock))
		r.oneInc = make([]float64, len(r.stock))
		p.base[0] = math.Floor(gains/total*r.unitUL[0]*(0.3+rng.Float64())*1024) / 1024
		steps := int32(math.Ceil(max(0, total-r.shelf[0]) / r.unitUL[0]))
		if steps < 1 {
			continue
		}
		r.steps = []int32{steps}
		r.d = &domain{atLeast: []int32{0}, atMost: []int32{unitsMost}}

		// best[n] is what n units gain at most.
		best := make([]float64, steps+1)
		for set := range 1 << len(r.stock) {
			g, ul := 0.0, 0.0
			for i, it := range r.stock {
				if set>>i&1 == 1 {
					g, ul = g+p.oneGain[it.index], ul+it.ul
				}
			}
			n := int32(max(0, math.Ceil((ul-r.shelf[0])/r.unitUL[0])))
			best[n] = max(best[n], g)
		}
		most := best[0]
		for n := range best {
			if n > 0 {
				best[n] = max(best[n], best[n-1])
			}
			most = max(most, best[n]-float64(n)*p.base[0])
		}

		_, volume := r.gather(p, 0)
		if volume <= r.shelf[0] {
			continue
		}
		got := r.evalSteps(p, 0)
		_, last := r.stepRun(0, 1)
		if slack := float64(last-1)*p.base[0] + 1e-6; got < most-1e-6 || got > most+slack+4*r.w.quantum {
			t.Fatalf("%v of unit %v, shelf %v at %v: gains %v, trying all gives %v",
				r.stock, r.unitUL, r.shelf, p.base, got, most)
		}
		if last > 1 {
			long++
		}
		cutoff := gains * rng.Float64() * 0.2
		r.stepFix(p, 0, cutoff)
		if r.d.atLeast[0] > 0 || r.d.atMost[0] < unitsMost {
			ruled++
		}
		for n := range best {
			if loss := got - best[n] + float64(n)*p.base[0]; loss <= cutoff &&
				(int32(n)+2 < r.d.atLeast[0] || int32(n)+2 > r.d.atMost[0]) {
				t.Fatalf("%v of unit %v, shelf %v at %v: %d units lose %v, no more than %v, "+
					"and only %d to %d are allowed",
					r.stock, r.unitUL, r.shelf, p.base, n, loss, cutoff, r.d.atLeast[0], r.d.atMost[0])
			}
		}
	}
	if long < 50 || ruled < 50 {
		t.Errorf("%d problems had runs of several numbers, in %d some were ruled out", long, ruled)
	}
}

func TestMillionsOfPots(t *testing.T) {
	r, err := Solve(t.Context(), thirsty(10_000_000, []int64{3}, []int64{2}), Options{})
	if err != nil || r.Totals == nil || r.Totals.Objective != 6_666_668 || r.Totals.Bound != 6_666_668 {
		t.Errorf("%+v, %v", r, err)
	}
	_, err = Solve(t.Context(), thirsty(10_000_000_000, []int64{3}, []int64{2}), Options{})
	if bad, ok := errors.AsType[*optimize.InvalidError](err); !ok || !strings.Contains(bad.Error(), `product "pot0" at shop "shop"`) {
		t.Errorf("more boxes than can be counted: %v", err)
	}
}
