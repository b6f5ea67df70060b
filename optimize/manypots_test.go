package optimize

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// thirsty is a problem of one need that takes ul of one paint, in pots of the
// given sizes and prices from one shop.
func thirsty(ul int64, sizes, prices []int64) *Problem {
	p := &Problem{
		Currency: "EUR", Paints: []Paint{{ID: "primer"}},
		Needs: []Need{{ID: "all", Options: []Option{{ID: "primer", Uses: []Use{{Paint: "primer", UL: ul}}}}}},
		Shops: []Shop{{ID: "shop", Delivery: []Band{{0, 0}}}},
	}
	for i, size := range sizes {
		id := fmt.Sprintf("pot%d", i)
		p.Products = append(p.Products, Product{ID: id, Contents: []Content{{Paint: "primer", UL: size}}})
		p.Offers = append(p.Offers, Offer{Product: id, Shop: "shop", Price: prices[i]})
	}
	return p
}

// The least cost of at least a volume in pots of given sizes is an unbounded
// covering knapsack, whose table is in every textbook of dynamic programming.
func TestManyPotsAgainstATable(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 17))
	runs, proven := 0, 0
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
		r, err := Solve(ctx, thirsty(ul, sizes, prices), SolveOptions{})
		stop()
		if err != nil {
			t.Fatal(err)
		}
		if r.Totals.Objective < least[ul] || r.Totals.Bound > least[ul] {
			t.Errorf("%d ul in pots of %v at %v: %d, bound %d, and the table says %d", ul, sizes, prices, r.Totals.Objective, r.Totals.Bound, least[ul])
		}
		if r.ProvenLevels > 0 && r.Totals.Objective != least[ul] {
			t.Errorf("%d ul in pots of %v at %v: %d called proven, the table says %d", ul, sizes, prices, r.Totals.Objective, least[ul])
		}
		if r.ProvenLevels > 0 {
			proven++
		}
		if r.Totals.Boxes > stepRuns {
			runs++
		}
	}
	if runs < 10 || proven < 100 {
		t.Errorf("%d problems took more than %d pots, %d were proven", runs, stepRuns, proven)
	}
}

func TestStepRunsHoldEveryNumberOnce(t *testing.T) {
	for _, steps := range []int32{0, 1, 2, stepRuns - 1, stepRuns, stepRuns + 1, 2*stepRuns + 7, 1 << 20, 1 << 29} {
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

func TestMillionsOfPots(t *testing.T) {
	r, err := Solve(t.Context(), thirsty(10_000_000, []int64{3}, []int64{2}), SolveOptions{})
	if err != nil || r.Totals == nil || r.Totals.Objective != 6_666_668 || r.Totals.Bound != 6_666_668 {
		t.Errorf("%+v, %v", r, err)
	}
	_, err = Solve(t.Context(), thirsty(10_000_000_000, []int64{3}, []int64{2}), SolveOptions{})
	if bad, ok := errors.AsType[*InvalidError](err); !ok || !strings.Contains(bad.Error(), `product "pot0" at shop "shop"`) {
		t.Errorf("more boxes than can be counted: %v", err)
	}
}
