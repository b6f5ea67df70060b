package exact

import (
	"fmt"
	"math"
	"testing"

	"halfpot/optimize"
)

// chained is a problem of paints that are sold in sets alone: each in two, with the paint
// before it and with the one after it.
func chained(sets int) *optimize.Problem {
	p := &optimize.Problem{Currency: "EUR", Shops: []optimize.Shop{{ID: "s", Delivery: []optimize.Band{{Fee: 300}}}}}
	id := func(i int) string { return fmt.Sprintf("p%d", i%sets) }
	for i := range sets {
		p.Paints = append(p.Paints, optimize.Paint{ID: id(i)})
		p.Needs = append(p.Needs, optimize.Need{ID: id(i), Options: []optimize.Option{
			{ID: "o", Uses: []optimize.Use{{Paint: id(i), UL: 7000}}},
		}})
		p.Products = append(p.Products, optimize.Product{ID: id(i), Contents: []optimize.Content{
			{Paint: id(i), UL: 12000}, {Paint: id(i + 1), UL: 12000},
		}})
		p.Offers = append(p.Offers, optimize.Offer{Product: id(i), Shop: "s", Price: 500 + int64(i%5)})
	}
	return p
}

// TestEndgameOfManySets: a part with more choices of sets than can be gone through is given
// up, and not gone through all the same.
func TestEndgameOfManySets(t *testing.T) {
	defer func(quick int) { endQuick = quick }(endQuick)
	endQuick = 0
	m, err := compile(chained(60), nil)
	if err != nil {
		t.Fatal(err)
	}
	ph := m.weighing(0, nil, 4)
	s, k, d := &search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1)}, newWorker(m, ph.w), newDomain(m)
	s.nodes, d.closed[0] = endNodes+256, false // not brief
	if !m.propagate(d, k.facts) {
		t.Fatal("no plan")
	}
	k.rootStart(s, d)
	k.relax.build(m, s.w, d, k.facts)
	node := endNode{s, d, &k.relax, k.facts, 0, func(int) float64 { return 0 }, true}
	var past tough
	if _, _, done := k.end.run(t.Context(), node, 40000*s.w.money, &past); done || past.component != 60 {
		t.Errorf("gone through: %v; given up at a part of %d sets, want 60", done, past.component)
	}
}
