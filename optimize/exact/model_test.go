package exact

import (
	"testing"

	"halfpot/optimize"
)

// TestAPotCountsAsOne: where a paint comes in single pots and in a set with two
// of them, a pot counts as one and the set as two, though only a part of the
// set can be used; and with the set gone, two pots are known to be needed.
func TestAPotCountsAsOne(t *testing.T) {
	p := &optimize.Problem{
		Paints: []optimize.Paint{{ID: "bone"}, {ID: "sand"}},
		Needs: []optimize.Need{
			{
				ID:      "coats",
				Options: []optimize.Option{{ID: "bone", Uses: []optimize.Use{{Paint: "bone", UL: 19000}}}},
			},
			{
				ID:      "base",
				Options: []optimize.Option{{ID: "sand", Uses: []optimize.Use{{Paint: "sand", UL: 100}}}},
			},
		},
		Products: []optimize.Product{
			{ID: "pot", Contents: []optimize.Content{{Paint: "bone", UL: 17000}}},
			{
				ID:       "set",
				Contents: []optimize.Content{{Paint: "bone", UL: 17000, Count: 2}, {Paint: "sand", UL: 17000}},
			},
			{ID: "sand", Contents: []optimize.Content{{Paint: "sand", UL: 17000}}},
		},
		Shops: []optimize.Shop{{ID: "corner", Delivery: []optimize.Band{{From: 0, Fee: 300}}}},
		Offers: []optimize.Offer{
			{Product: "pot", Shop: "corner", Price: 350},
			{Product: "set", Shop: "corner", Price: 900},
			{Product: "sand", Shop: "corner", Price: 300},
		},
	}
	m, err := compile(p, nil)
	if err != nil {
		t.Fatal(err)
	}
	for q, from := range m.sources {
		if p.Paints[m.paintOrig[q]].ID != "bone" {
			continue
		}
		d, f := newDomain(m), newFacts(m)
		for _, s := range from {
			want := int32(1)
			if id := p.Offers[m.offOrig[s.off]].Product; id == "set" {
				want = 2
				d.hi[s.off] = 0
			}
			if s.units != want {
				t.Errorf("%s counts as %d pots, want %d", p.Offers[m.offOrig[s.off]].Product, s.units, want)
			}
		}
		if !m.propagate(d, f) {
			t.Fatal("no plan without the set")
		}
		if f.boxes[q] != 2 {
			t.Errorf("without the set %d pots are sure to be bought, want 2", f.boxes[q])
		}
		return
	}
	t.Fatal("the paint is gone")
}
