package exact

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/internal/testkit"
)

// bruteFeasible is an oracle that shares nothing with the solver.
func bruteFeasible(t *testing.T) func(*optimize.Problem) (bool, error) {
	return func(p *optimize.Problem) (bool, error) {
		best, ok := testkit.Brute(p)
		if !ok {
			return false, errors.New("too large to look at every plan")
		}
		return best != nil, nil
	}
}

// eased drops or lifts one thing that a reason names, and gives the problem
// that holds only what the reason names otherwise.
func eased(p *optimize.Problem, r optimize.Reason, without string) *optimize.Problem {
	q := deepCopy(p)
	keep := func(list []string, kind, id string) bool {
		return slices.Contains(list, id) && without != kind+id
	}
	q.Needs = slices.DeleteFunc(q.Needs, func(n optimize.Need) bool { return !keep(r.Needs, "need ", n.ID) })
	matched := r.Kind == "match" || r.Kind == "together" && r.Match != ""
	for n := range q.Needs {
		if !matched || q.Needs[n].Match != r.Match || without == "match" {
			q.Needs[n].Match = ""
		}
	}
	for h := range q.Shops {
		if !keep(r.Shops, "shop ", q.Shops[h].ID) {
			q.Shops[h].MinOrder = 0
		}
	}
	for k := range q.Offers {
		if o := &q.Offers[k]; !keep(r.Offers, "offer ", o.Product+" @ "+o.Shop) {
			o.Limit = nil
		}
	}
	if !strings.Contains(r.Text, "of the shops may be used") || without == "shops" {
		q.Rules.MaxShops = nil
	}
	return q
}

func TestReasonsAreSmallestClashes(t *testing.T) {
	kinds := map[string]int{}
	feasible := bruteFeasible(t)
	testkit.BruteCases(t, testkit.Few(400, 6000), func(seed uint64, p *optimize.Problem, best *optimize.Result) {
		if best != nil {
			return
		}
		tooLarge := false // lifting limits can make a problem that brute force can't do
		found := reasons(t.Context(), p, func(q *optimize.Problem) (bool, error) {
			ok, err := feasible(q)
			tooLarge = tooLarge || err != nil
			return ok, err
		})
		if tooLarge {
			return
		}
		for _, r := range found {
			kinds[r.Kind]++
			if strings.Count(r.Text, "match as") > 1 {
				continue // a Reason has room for one label
			}
			text, _ := json.Marshal(r)
			if ok, err := feasible(eased(p, r, "")); err == nil && ok {
				problem, _ := json.Marshal(p)
				t.Fatalf("seed %d: the reason is none: %s\n%s", seed, text, problem)
			}
			var parts []string
			for _, id := range r.Needs {
				parts = append(parts, "need "+id)
			}
			for _, id := range r.Shops {
				parts = append(parts, "shop "+id)
			}
			for _, id := range r.Offers {
				parts = append(parts, "offer "+id)
			}
			if r.Match != "" {
				parts = append(parts, "match")
			}
			if strings.Contains(r.Text, "of the shops may be used") {
				parts = append(parts, "shops")
			}
			for _, part := range parts {
				if ok, err := feasible(eased(p, r, part)); err == nil && !ok {
					problem, _ := json.Marshal(p)
					t.Fatalf("seed %d: the clash stays without %s: %s\n%s", seed, part, text, problem)
				}
			}
		}
	})
	for _, kind := range []string{"need", "match", "limit", "minimum order", "together"} {
		if kinds[kind] == 0 {
			t.Errorf("no reason of kind %q came up: %v", kind, kinds)
		}
	}
	t.Logf("kinds of reasons: %v", kinds)
}

func TestReasonsNameMaxShops(t *testing.T) {
	one := int64(1)
	p := &optimize.Problem{Currency: "EUR", Rules: optimize.Rules{MaxShops: &one}}
	for _, id := range []string{"bone", "ochre", "umber"} {
		p.Paints = append(p.Paints, optimize.Paint{ID: id})
		p.Needs = append(p.Needs, optimize.Need{
			ID:      "coat of " + id,
			Options: []optimize.Option{{ID: id, Uses: []optimize.Use{{Paint: id, UL: 10}}}},
		})
		p.Products = append(p.Products, optimize.Product{
			ID:       id,
			Contents: []optimize.Content{{Paint: id, UL: 100, Count: 1}},
		})
		p.Shops = append(p.Shops, optimize.Shop{
			ID:       "shop of " + id,
			Delivery: []optimize.Band{{From: 0, Fee: 100}},
		})
		p.Offers = append(p.Offers, optimize.Offer{Product: id, Shop: "shop of " + id, Price: 300})
	}
	p.Offers[2].Shop = p.Shops[0].ID // umber is to be had where bone is
	found := reasons(t.Context(), p, bruteFeasible(t))
	if len(found) != 1 || found[0].Kind != "shops" || len(found[0].Needs) != 2 ||
		!strings.HasSuffix(found[0].Text, `can't all be met while at most 1 of the shops may be used.`) {
		t.Errorf("reasons %+v", found)
	}
}

func TestReasonsWithoutTime(t *testing.T) {
	p := testkit.Odd(0)
	p.Needs = []optimize.Need{{
		ID:      "n",
		Options: []optimize.Option{{ID: "o", Uses: []optimize.Use{{Paint: p.Paints[0].ID, UL: 99}}}},
	}}
	p.Products = []optimize.Product{{
		ID:       "k",
		Contents: []optimize.Content{{Paint: p.Paints[0].ID, UL: 1, Count: 1}},
	}}
	limit := int64(1)
	p.Offers = []optimize.Offer{{Product: "k", Shop: p.Shops[0].ID, Price: 1, Limit: &limit}}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	found := reasons(ctx, p, func(*optimize.Problem) (bool, error) { return false, ctx.Err() })
	if len(found) != 1 || !strings.Contains(found[0].Text, "time limit") {
		t.Errorf("reasons %+v", found)
	}
	found = reasons(t.Context(), p, bruteFeasible(t))
	want := `Need "n" can't be met while shop "h0" has only 1 of product "k".`
	if len(found) != 1 || found[0].Text != want || found[0].Kind != "limit" {
		t.Errorf("reasons %+v, want %s", found, want)
	}
}
