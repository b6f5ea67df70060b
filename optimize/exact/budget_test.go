package exact

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
	"time"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
)

// budgeted makes an odd problem with more groups than usual and a budget.
func budgeted(seed uint64) *optimize.Problem {
	p := testkit.Odd(seed)
	rng := rand.New(rand.NewPCG(seed, 0x627564))
	p.Groups = nil
	for g := range 1 + rng.IntN(4) {
		p.Groups = append(p.Groups, optimize.Group{ID: fmt.Sprintf("g%d", g), Worth: rng.Int64N(4)})
	}
	for n := range p.Needs {
		p.Needs[n].Group = p.Groups[rng.IntN(len(p.Groups))].ID
		if rng.IntN(8) == 0 {
			p.Needs[n].Group = ""
		}
	}
	budget := rng.Int64N(12)
	p.Rules.Budget = &budget
	return p
}

func TestBudgetAgainstBruteForce(t *testing.T) {
	part, none := 0, 0
	for seed := range uint64(testkit.Few(400, 5000)) {
		p := budgeted(seed)
		best, ok := testkit.Brute(p)
		if !ok {
			continue
		}
		got := solveChecked(t, fmt.Sprintf("seed %d", seed), p)
		if testkit.LevelsOf(got) != testkit.LevelsOf(best) {
			text, _ := json.Marshal(p)
			t.Fatalf("seed %d: levels %+v, brute force %+v\n%s",
				seed, testkit.LevelsOf(got), testkit.LevelsOf(best), text)
		}
		all := int64(0)
		for _, g := range p.Groups {
			all += g.Worth
		}
		switch {
		case got.Totals.Worth == 0:
			none++
		case got.Totals.Worth < all:
			part++
		}
	}
	if part < 20 || none < 20 {
		t.Errorf("a part of the worth was reached %d times, nothing %d times: too one-sided a test", part, none)
	}
}

// TestCutsBoundEverySet compares cuts made for one set with what brute force
// says that every set costs.
func TestCutsBoundEverySet(t *testing.T) {
	compared, tight := 0, 0
	for seed := range uint64(testkit.Few(150, 1500)) {
		p := budgeted(seed)
		b, err := newBudgeter(p, Options{Threads: 1})
		if err != nil {
			t.Fatal(err)
		}
		if b.cutter == nil {
			continue
		}
		groups := b.know.groups
		for i, c := range []*cutter{b.cutter, b.pointsCutter()} {
			var cuts []*cut
			for range 3 {
				st := make(state, len(groups))
				for g := range st {
					st[g] = finished + int8((seed+uint64(g)*uint64(len(cuts)))%2)
				}
				cuts = append(cuts, c.cut(st, b.know.cap))
			}
			for set := range 1 << len(groups) {
				st := make(state, len(groups))
				for g := range st {
					st[g] = leftOut
					if set>>g&1 == 1 {
						st[g] = finished
					}
				}
				q := deepCopy(p)
				q.Rules.Budget = nil
				if i == 0 {
					q.Rules.CompromisePrice = 0
				}
				keep := b.keep(groups, st)
				shared := sharedOptions(p)
				for n := range q.Needs {
					q.Needs[n].Options = slices.DeleteFunc(q.Needs[n].Options, func(o optimize.Option) bool {
						return !shared.allows(p.Needs[n], o)
					})
				}
				var needs []optimize.Need
				for n, need := range q.Needs {
					if keep[n] {
						needs = append(needs, need)
					}
				}
				q.Needs = needs
				best, ok := testkit.Brute(q)
				if !ok || best == nil {
					continue
				}
				for _, c := range cuts {
					compared++
					if c.atLeast(st) > float64(best.Totals.Objective)*nuSteps {
						text, _ := json.Marshal(p)
						t.Fatalf("seed %d: the cut says %v, the cost of set %b is %d\n%s",
							seed, c.atLeast(st)/nuSteps, set, best.Totals.Objective, text)
					}
					if c.atLeast(st) > float64(best.Totals.Objective-1)*nuSteps {
						tight++
					}
				}
			}
		}
	}
	if tight < compared/20 {
		t.Errorf("of %d bounds only %d came within 1 of the cost", compared, tight)
	}
}

// TestBudgetOnRealSizes takes problems of real shape at several budgets: more
// money never brings less worth. Desk size is proven at every budget. Force
// size, which HALFPOT_LONG=1 adds, is given twenty seconds each: a budget that
// just binds may take longer, and then the bounds must still hold.
func TestBudgetOnRealSizes(t *testing.T) {
	for seed := range uint64(testkit.Few(3, 12)) {
		for _, name := range []string{"desk", "force"} {
			if name == "force" && (!testkit.Long() || seed >= 4) {
				continue // up to a minute each; every test run can't have them
			}
			shape, _ := generate.Named(name)
			p := generate.Problem(seed+1, shape)
			all := int64(0)
			for _, g := range p.Groups {
				all += g.Worth
			}
			whole := solveChecked(t, name, p)
			cost := whole.Totals.Goods + whole.Totals.Delivery
			last := int64(0)
			for _, share := range []int64{0, 50, 85, 100} {
				budget := cost * share / 100
				p.Rules.Budget = &budget
				what := fmt.Sprintf("%s %d at %d %%", name, seed, share)
				if name == "force" {
					ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
					got, err := Solve(ctx, p, Options{})
					cancel()
					if err != nil {
						t.Fatalf("%s: %v", what, err)
					}
					if got.Status != optimize.Optimal {
						if got.Totals == nil || got.Totals.WorthBound < max(got.Totals.Worth, last) {
							t.Errorf("%s: stopped with totals %+v, worth %d is there for less",
								what, got.Totals, last)
						}
						t.Logf("%s: not proven in time, worth %d of at most %d",
							what, got.Totals.Worth, got.Totals.WorthBound)
						continue
					}
				}
				got := solveChecked(t, what, p)
				if got.Totals.Worth < last {
					t.Errorf("%s %d: worth %d at %d %% of the money, %d with less",
						name, seed, got.Totals.Worth, share, last)
				}
				last = got.Totals.Worth
				if share == 100 && (got.Totals.Worth != all || got.Totals.Objective != whole.Totals.Objective) {
					t.Errorf("%s %d: with all the money worth %d of %d at %d, without a budget at %d",
						name, seed, got.Totals.Worth, all, got.Totals.Objective, whole.Totals.Objective)
				}
			}
		}
	}
}

// TestBudgetStopped checks what is told when time runs out anywhere.
func TestBudgetStopped(t *testing.T) {
	shape, _ := generate.Named("force")
	shape.Budget = true
	p := generate.Problem(6, shape)
	proven := solveChecked(t, "force", p)
	for _, wait := range []time.Duration{
		0, 5 * time.Millisecond, 30 * time.Millisecond, 100 * time.Millisecond, 200 * time.Millisecond,
	} {
		ctx, cancel := context.WithTimeout(t.Context(), wait)
		got, err := Solve(ctx, p, Options{})
		cancel()
		if err != nil {
			t.Fatal(err)
		}
		if got.Status != optimize.Feasible && got.Status != optimize.Optimal {
			t.Fatalf("after %v: status %s; finishing nothing is always a plan", wait, got.Status)
		}
		if got.Totals.WorthBound < proven.Totals.Worth {
			t.Errorf("after %v: no plan is said to be worth more than %d, one is worth %d",
				wait, got.Totals.WorthBound, proven.Totals.Worth)
		}
		if got.ProvenLevels >= 1 &&
			(got.Totals.Worth != proven.Totals.Worth || got.Totals.Bound > proven.Totals.Objective) {
			t.Errorf("after %v: worth %d and a bound of %d are said to be proven, true are %d and %d",
				wait, got.Totals.Worth, got.Totals.Bound, proven.Totals.Worth, proven.Totals.Objective)
		}
	}
}

// TestLevelsOfLargeAmounts scales problems up until the levels can't be
// weighed at once, and further, until not even the cost can be proven.
func TestLevelsOfLargeAmounts(t *testing.T) {
	proven := map[int]int{}
	testkit.BruteCases(t, testkit.Few(150, 1500), func(seed uint64, p *optimize.Problem, best *optimize.Result) {
		if best == nil {
			return
		}
		for _, factor := range []int64{1 << 26, 1 << 29, 1 << 34, 1 << 38} {
			q := deepCopy(p)
			for k := range q.Offers {
				q.Offers[k].Price *= factor
			}
			for h := range q.Shops {
				q.Shops[h].MinOrder *= factor
				for b := range q.Shops[h].Delivery {
					q.Shops[h].Delivery[b].From *= factor
					q.Shops[h].Delivery[b].Fee *= factor
				}
			}
			q.Rules.CompromisePrice *= factor
			if q.Rules.Budget != nil {
				*q.Rules.Budget *= factor
			}
			if q.Validate() != nil {
				continue
			}
			ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
			got, err := Solve(ctx, q, Options{Threads: runtime.GOMAXPROCS(0)})
			cancel()
			if err != nil {
				t.Fatal(err)
			}
			if got.Totals == nil {
				t.Fatalf("seed %d times %d: status %s, there is a plan", seed, factor, got.Status)
			}
			proven[got.ProvenLevels]++
			want, found := testkit.LevelsOf(best), testkit.LevelsOf(got)
			want.Money *= factor
			tell := func(what string) {
				text, _ := json.Marshal(q)
				t.Fatalf("seed %d times %d, %d levels proven: %s: %+v, brute force %+v\n%s",
					seed, factor, got.ProvenLevels, what, found, want, text)
			}
			levels := got.ProvenLevels
			if q.Rules.Budget == nil {
				levels++
			} else if got.Totals.WorthBound < want.Worth {
				tell("bound on worth")
			}
			w := []int64{want.Worth, want.Money, want.Points, want.Boxes, want.Shops}
			f := []int64{found.Worth, found.Money, found.Points, found.Boxes, found.Shops}
			if !slices.Equal(w[:levels], f[:levels]) {
				tell("levels")
			}
			if levels >= 1 && got.Totals.Bound > want.Money {
				tell("bound")
			}
		}
	})
	for _, levels := range []int{0, 1, 4} {
		if proven[levels] == 0 {
			t.Errorf("%d proven levels never came up: %v", levels, proven)
		}
	}
	t.Logf("proven levels: %v", proven)
}

// TestCostsInUnits checks the greatest unit of all costs, and when it says all.
func TestCostsInUnits(t *testing.T) {
	p := testkit.Covering([][]int{{0, 1}, {1, 2}, {2, 0}}, []int64{20, 30, 50})
	m, err := compile(p, nil)
	if err != nil {
		t.Fatal(err)
	}
	if unit, implied := m.moneyGrain(); unit != 10 || implied {
		t.Errorf("unit %d, implied %v; want 10, false", unit, implied)
	}
	p = testkit.Covering([][]int{{0, 1}, {1, 2}, {2, 0}}, []int64{7, 7, 7})
	if m, err = compile(p, nil); err != nil {
		t.Fatal(err)
	}
	if unit, implied := m.moneyGrain(); unit != 7 || !implied {
		t.Errorf("unit %d, implied %v; want 7, true", unit, implied)
	}
	if ph := m.weighing(0, nil, 1); ph.levels != 4 || math.Mod(ph.grain, 7) != 0 {
		t.Errorf("phase %+v; want all levels, in steps of 7", ph)
	}
}
