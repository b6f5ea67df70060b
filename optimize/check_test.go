package optimize_test

import (
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/internal/testkit"
	"halfpot/optimize/problemfile"
)

func TestCheckAcceptsBruteForcePlans(t *testing.T) {
	plans, none, budgets := 0, 0, 0
	testkit.BruteCases(t, 600, func(seed uint64, p *optimize.Problem, best *optimize.Result) {
		if best == nil {
			none++
			return
		}
		plans++
		if p.Rules.Budget != nil {
			budgets++
		}
		if err := optimize.Check(p, best); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
	})
	if plans < 200 || none < 30 || budgets < 50 {
		t.Errorf("of 600 problems %d have a plan (%d of them a budget) and %d have none: "+
			"too one-sided a test", plans, budgets, none)
	}
}

// TestCheckCatchesMutations makes more than 1,000 single changes to right plans.
// Every part of a result follows from the problem, the choices and the boxes,
// so any single change makes it wrong, and all must be caught.
func TestCheckCatchesMutations(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	mutations, kinds := 0, map[string]int{}
	testkit.BruteCases(t, 600, func(seed uint64, p *optimize.Problem, best *optimize.Result) {
		for range 4 {
			if best == nil {
				return
			}
			name, wrong := mutate(rng, p, best)
			if wrong == nil || reflect.DeepEqual(wrong, best) {
				continue
			}
			mutations++
			kinds[name]++
			if err := optimize.Check(p, wrong); err == nil {
				was, _ := json.Marshal(best)
				is, _ := json.Marshal(wrong)
				problem, _ := json.Marshal(p)
				t.Fatalf("seed %d: %s is not caught:\nwas %s\nis  %s\nproblem %s", seed, name, was, is, problem)
			}
		}
	})
	if mutations < 1000 {
		t.Errorf("only %d mutations, want 1,000", mutations)
	}
	if len(kinds) < 20 {
		t.Errorf("only %d kinds of mutations: %v", len(kinds), kinds)
	}
}

func clone(r *optimize.Result) *optimize.Result {
	c := *r
	totals := *r.Totals
	c.Totals = &totals
	c.Choices, c.Buy, c.Shops = slices.Clone(r.Choices), slices.Clone(r.Buy), slices.Clone(r.Shops)
	c.Paints, c.Finished = slices.Clone(r.Paints), slices.Clone(r.Finished)
	return &c
}

// mutate changes one thing; nil where this plan has no such thing.
func mutate(rng *rand.Rand, p *optimize.Problem, best *optimize.Result) (string, *optimize.Result) {
	r := clone(best)
	delta := []int64{-1, 1, 1000, -r.Totals.Objective, 1 << 62}[rng.IntN(5)]
	drop := func(n int) int { return rng.IntN(max(n, 1)) }
	switch rng.IntN(21) {
	case 0:
		if len(r.Choices) == 0 {
			return "", nil
		}
		i := drop(len(r.Choices))
		r.Choices = slices.Delete(r.Choices, i, i+1)
		return "choice dropped", r
	case 1:
		if len(r.Choices) == 0 {
			return "", nil
		}
		r.Choices = append(r.Choices, r.Choices[drop(len(r.Choices))])
		return "choice repeated", r
	case 2:
		if len(r.Choices) == 0 {
			return "", nil
		}
		r.Choices[drop(len(r.Choices))].Option = "z"
		return "unknown option", r
	case 3: // another option of the need, with other uses or points
		for i, c := range r.Choices {
			need := p.Needs[slices.IndexFunc(p.Needs, func(n optimize.Need) bool { return n.ID == c.Need })]
			was := need.Options[slices.IndexFunc(need.Options, func(o optimize.Option) bool {
				return o.ID == c.Option
			})]
			for _, o := range need.Options {
				if o.Compromise != was.Compromise || !reflect.DeepEqual(volumes(o), volumes(was)) {
					r.Choices[i].Option = o.ID
					return "other option", r
				}
			}
		}
		return "", nil
	case 4:
		if len(r.Buy) == 0 {
			return "", nil
		}
		i := drop(len(r.Buy))
		r.Buy = slices.Delete(r.Buy, i, i+1)
		return "purchase dropped", r
	case 5:
		if len(r.Buy) == 0 {
			return "", nil
		}
		r.Buy = append(r.Buy, r.Buy[drop(len(r.Buy))])
		return "purchase repeated", r
	case 6:
		if len(r.Buy) == 0 {
			return "", nil
		}
		r.Buy[drop(len(r.Buy))].Count += delta
		return "count changed", r
	case 7:
		if len(r.Buy) == 0 {
			return "", nil
		}
		r.Buy[drop(len(r.Buy))].Product = "nothing"
		return "unknown product", r
	case 8:
		if len(r.Shops) == 0 {
			return "", nil
		}
		i := drop(len(r.Shops))
		r.Shops = slices.Delete(r.Shops, i, i+1)
		return "bill dropped", r
	case 9:
		if len(r.Shops) == 0 {
			return "", nil
		}
		r.Shops[drop(len(r.Shops))].Fee += delta
		return "fee changed", r
	case 10:
		if len(r.Shops) == 0 {
			return "", nil
		}
		r.Shops[drop(len(r.Shops))].Goods += delta
		return "bill's goods changed", r
	case 11:
		r.Shops = append(r.Shops, optimize.ShopBill{Shop: p.Shops[drop(len(p.Shops))].ID})
		return "bill added", r
	case 12:
		total := []*int64{&r.Totals.Goods, &r.Totals.Delivery, &r.Totals.Points, &r.Totals.Boxes,
			&r.Totals.ShopsUsed, &r.Totals.Worth, &r.Totals.Objective, &r.Totals.Bound, &r.Totals.WorthBound}
		i := rng.IntN(len(total))
		*total[i] += delta
		return "total " + string(rune('0'+i)), r
	case 13:
		b := &r.Paints[drop(len(r.Paints))]
		part := []*int64{&b.HaveUL, &b.NeedUL, &b.BuyUL, &b.LeftUL}
		*part[rng.IntN(4)] += delta
		return "balance changed", r
	case 14:
		r.Paints = r.Paints[:drop(len(r.Paints))]
		return "balances cut", r
	case 15:
		r.Status = []optimize.Status{
			optimize.Feasible, optimize.Infeasible, optimize.Unsolved, "", "Optimal",
		}[rng.IntN(5)]
		return "status changed", r
	case 16:
		r.ProvenLevels += int(delta)
		return "levels changed", r
	case 17:
		r.Totals = nil
		return "totals dropped", r
	case 18:
		r.Finished = append(r.Finished, "nobody")
		return "finished added", r
	case 19:
		if len(r.Finished) == 0 {
			return "", nil
		}
		// A group worth nothing and without needs may be listed or not.
		for i, id := range r.Finished {
			raised := slices.ContainsFunc(p.Needs, func(n optimize.Need) bool { return n.Group == id })
			worth := slices.ContainsFunc(p.Groups, func(g optimize.Group) bool {
				return g.ID == id && g.Worth > 0
			})
			if raised || worth {
				r.Finished = slices.Delete(r.Finished, i, i+1)
				return "finished dropped", r
			}
		}
		return "", nil
	default:
		r.Currency = "USD"
		return "currency changed", r
	}
}

func volumes(o optimize.Option) map[string]int64 {
	v := map[string]int64{}
	for _, u := range o.Uses {
		if u.UL > 0 {
			v[u.Paint] = u.UL
		}
	}
	return v
}

// TestCheckCatchesWrongPlans builds plans that add up, but break a constraint.
func TestCheckCatchesWrongPlans(t *testing.T) {
	read := func() *optimize.Problem {
		p, err := problemfile.Read(strings.NewReader(testkit.Small))
		if err != nil {
			t.Fatal(err)
		}
		p.Rules.Budget = nil
		return p
	}
	p := read()
	right := &optimize.Result{Status: optimize.Feasible, Currency: "EUR",
		Choices: []optimize.Choice{{Need: "coats", Option: "bone"}},
		Buy:     []optimize.Purchase{{Product: "pot", Shop: "corner", Count: 2}},
		Shops:   []optimize.ShopBill{{Shop: "corner", Goods: 590, Fee: 395}},
		Paints: []optimize.PaintBalance{
			{Paint: "bone", HaveUL: 500, NeedUL: 900, BuyUL: 34000, LeftUL: 33600},
			{Paint: "ochre", HaveUL: 0, NeedUL: 0, BuyUL: 0, LeftUL: 0},
		},
		Totals: &optimize.Totals{Goods: 590, Delivery: 395, Boxes: 2, ShopsUsed: 1, Objective: 985, Bound: 900},
	}
	if err := optimize.Check(p, right); err != nil {
		t.Fatal(err)
	}
	one, zero, thousand := int64(1), int64(0), int64(984)
	for name, change := range map[string]func(p *optimize.Problem, r *optimize.Result){
		"over a limit":      func(p *optimize.Problem, _ *optimize.Result) { p.Offers[0].Limit = &one },
		"none there":        func(p *optimize.Problem, _ *optimize.Result) { p.Offers[0].Limit = &zero },
		"under the minimum": func(p *optimize.Problem, _ *optimize.Result) { p.Shops[0].MinOrder = 591 },
		"too many shops":    func(p *optimize.Problem, _ *optimize.Result) { p.Rules.MaxShops = &zero },
		"over the budget": func(p *optimize.Problem, r *optimize.Result) {
			p.Rules.Budget = &thousand
			r.Finished, r.Totals.Worth, r.Totals.WorthBound = []string{"first"}, 8, 8
		},
		"too little paint": func(p *optimize.Problem, r *optimize.Result) {
			p.Needs[0].Options[0].Uses[0].UL = 34501
			r.Paints[0].NeedUL, r.Paints[0].LeftUL = 34501, -1
		},
		"a match broken": func(p *optimize.Problem, r *optimize.Result) {
			p.Needs = append(p.Needs, optimize.Need{ID: "straps", Match: "m", Options: p.Needs[0].Options})
			r.Choices = append(r.Choices, optimize.Choice{Need: "straps", Option: "mixed"})
		},
		"a match with no such option": func(p *optimize.Problem, r *optimize.Result) {
			p.Needs = append(p.Needs, optimize.Need{
				ID:      "straps",
				Match:   "m",
				Options: []optimize.Option{{ID: "other"}},
			})
			r.Choices = append(r.Choices, optimize.Choice{Need: "straps", Option: "other"})
		},
		"no choice":            func(_ *optimize.Problem, r *optimize.Result) { r.Choices = nil },
		"a bound too high":     func(_ *optimize.Problem, r *optimize.Result) { r.Totals.Bound = 986 },
		"a proof that is none": func(_ *optimize.Problem, r *optimize.Result) { r.ProvenLevels = 1 },
		"reasons": func(_ *optimize.Problem, r *optimize.Result) {
			r.Reasons = []optimize.Reason{{Kind: "need"}}
		},
		"wrapping round": func(p *optimize.Problem, r *optimize.Result) {
			p.Offers[0].Price = 1 << 40
			r.Buy[0].Count = 1 << 24
			r.Shops[0].Goods, r.Shops[0].Fee = 0, 395
		},
	} {
		p, r := read(), clone(right)
		change(p, r)
		if err := optimize.Check(p, r); err == nil {
			t.Errorf("%s: not caught", name)
		}
	}
	for name, r := range map[string]*optimize.Result{
		"nothing": nil,
		"empty":   {},
		"no plan": {Status: optimize.Optimal, Currency: "EUR", ProvenLevels: 4},
		"bare totals": {Status: optimize.Optimal, Currency: "EUR", ProvenLevels: 4,
			Totals: &optimize.Totals{}},
		"reasons without a proof": {
			Status:   optimize.Unsolved,
			Currency: "EUR",
			Reasons:  []optimize.Reason{{Kind: "need"}},
		},
	} {
		if optimize.Check(p, r) == nil {
			t.Errorf("%s: not caught", name)
		}
	}
}
