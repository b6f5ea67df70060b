package optimize

import "testing"

// TestAPotCountsAsOne: where a paint comes in single pots and in a set with two
// of them, a pot counts as one and the set as two, though only a part of the
// set can be used; and with the set gone, two pots are known to be needed.
func TestAPotCountsAsOne(t *testing.T) {
	p := &Problem{
		Paints: []Paint{{ID: "bone"}, {ID: "sand"}},
		Needs: []Need{
			{ID: "coats", Options: []Option{{ID: "bone", Uses: []Use{{Paint: "bone", UL: 19000}}}}},
			{ID: "base", Options: []Option{{ID: "sand", Uses: []Use{{Paint: "sand", UL: 100}}}}},
		},
		Products: []Product{
			{ID: "pot", Contents: []Content{{Paint: "bone", UL: 17000}}},
			{ID: "set", Contents: []Content{{Paint: "bone", UL: 17000, Count: 2}, {Paint: "sand", UL: 17000}}},
			{ID: "sand", Contents: []Content{{Paint: "sand", UL: 17000}}},
		},
		Shops: []Shop{{ID: "corner", Delivery: []Band{{0, 300}}}},
		Offers: []Offer{
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
