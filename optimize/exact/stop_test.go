package exact

import (
	"context"
	"testing"

	"halfpot/optimize"
)

// dear is a problem whose money is so large that boxes and shops can't be
// weighed beside it: two shops and two pots at prices near 2^46.
func dear() *optimize.Problem {
	const price = 1 << 46
	return &optimize.Problem{
		Currency: "EUR",
		Paints:   []optimize.Paint{{ID: "p"}, {ID: "q"}},
		Needs: []optimize.Need{{ID: "n", Group: "g", Options: []optimize.Option{
			{ID: "a", Uses: []optimize.Use{{Paint: "p", UL: 7000}}},
			{ID: "b", Compromise: 1, Uses: []optimize.Use{{Paint: "q", UL: 7000}}}}}},
		Products: []optimize.Product{
			{ID: "p", Contents: []optimize.Content{{Paint: "p", UL: 5000, Count: 1}}},
			{ID: "q", Contents: []optimize.Content{{Paint: "q", UL: 9000, Count: 1}}}},
		Shops: []optimize.Shop{
			{ID: "s", Delivery: []optimize.Band{{}}},
			{ID: "t", Delivery: []optimize.Band{{}}},
		},
		Offers: []optimize.Offer{
			{Product: "p", Shop: "s", Price: price},
			{Product: "p", Shop: "t", Price: price + 1},
			{Product: "q", Shop: "t", Price: 2*price + 3},
		},
	}
}

// A search that no limit stopped doesn't say that one did.
func TestStopSaysWhy(t *testing.T) {
	r, err := Solve(t.Context(), dear(), Options{Threads: 1 << 30})
	if err != nil {
		t.Fatal(err)
	}
	if r.Status != optimize.Feasible || r.Stop != optimize.ByPrecision {
		t.Errorf("huge amounts: status %s, stopped by %q, %d levels proven; "+
			"want a plan stopped by precision", r.Status, r.Stop, r.ProvenLevels)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	r, err = Solve(ctx, dear(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Stop != optimize.ByLimit {
		t.Errorf("called off: status %s, stopped by %q; want the limit", r.Status, r.Stop)
	}
}
