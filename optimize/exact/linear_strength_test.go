package exact

import (
	"fmt"
	"math"
	"testing"

	"halfpot/optimize"
)

// waysOf is a need with one option for each amount, of the paint so named; a price stands for
// an option that takes nothing and costs so many points.
func waysOf(id string, uses map[string]int64, points int64) optimize.Need {
	n := optimize.Need{ID: id}
	for _, paint := range []string{"a", "b", "c"} {
		if ul, ok := uses[paint]; ok {
			n.Options = append(n.Options, optimize.Option{ID: paint, Uses: []optimize.Use{{Paint: paint, UL: ul}}})
		}
	}
	if points > 0 {
		n.Options = append(n.Options, optimize.Option{ID: "do without", Compromise: points})
	}
	return n
}

// shelfAndPots is a problem of one shop that delivers for nothing: what is at hand of paints a,
// b and c, and the volume and price of a pot of each, 0 where it is not sold.
func shelfAndPots(have, ul, price [3]int64, needs ...optimize.Need) *optimize.Problem {
	p := &optimize.Problem{Currency: "EUR", Needs: needs, Shops: []optimize.Shop{{ID: "s", Delivery: []optimize.Band{{}}}}}
	p.Rules.CompromisePrice = 1
	for i, id := range []string{"a", "b", "c"} {
		p.Paints = append(p.Paints, optimize.Paint{ID: id, HaveUL: have[i]})
		if ul[i] > 0 {
			p.Products = append(p.Products, optimize.Product{ID: id, Contents: []optimize.Content{{Paint: id, UL: ul[i]}}})
			p.Offers = append(p.Offers, optimize.Offer{Product: id, Shop: "s", Price: price[i]})
		}
	}
	return p
}

// TestRowsSeeWholePots: on small problems worked out by hand, where the relaxation buys part
// of a pot, some rounds of one family's rows alone lift its bound to the least cost.
func TestRowsSeeWholePots(t *testing.T) {
	both := map[string]int64{"a": 7, "b": 7}
	for _, c := range []struct {
		name         string
		p            *optimize.Problem
		before, want float64
		rows         func(p *program) []*linearRow
	}{
		// The example of the package comment: boxes of a plus twice those of b are at least 2.
		{"sets of paints that stand in for each other",
			shelfAndPots([3]int64{2, 0, 0}, [3]int64{16, 24, 0}, [3]int64{300, 500, 0},
				waysOf("1", both, 0), waysOf("2", both, 0), waysOf("3", both, 0)),
			300 * 19. / 16, 500,
			func(p *program) []*linearRow { return p.sets.rows(p.v, nil) }},
		// 6 ml at hand serve one of two needs of 4 ml.
		{"sets where the shelf runs out",
			shelfAndPots([3]int64{6, 0, 0}, [3]int64{}, [3]int64{},
				waysOf("1", map[string]int64{"a": 4}, 10), waysOf("2", map[string]int64{"a": 4}, 10)),
			5, 10,
			func(p *program) []*linearRow { return p.sets.rows(p.v, nil) }},
		// Pots of 10 ml for two needs of 6: one each, which is dearer than to do without.
		{"single paints",
			shelfAndPots([3]int64{}, [3]int64{10, 0, 0}, [3]int64{100, 0, 0},
				waysOf("1", map[string]int64{"a": 6}, 90), waysOf("2", map[string]int64{"a": 6}, 90)),
			120, 180,
			func(p *program) []*linearRow { return p.sets.paintRows(p.v, nil) }},
		// Three needs, each of two of three paints: two pots, and the relaxation buys half of
		// each of three.
		{"clusters",
			shelfAndPots([3]int64{}, [3]int64{20, 20, 20}, [3]int64{100, 100, 100},
				waysOf("1", map[string]int64{"a": 5, "b": 5}, 0), waysOf("2", map[string]int64{"b": 5, "c": 5}, 0),
				waysOf("3", map[string]int64{"a": 5, "c": 5}, 0)),
			150, 200,
			func(p *program) []*linearRow { return p.clusterRows(1000) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, err := compile(c.p, nil)
			if err != nil {
				t.Fatal(err)
			}
			w, d, k := weights{money: 1, quantum: 1}, newDomain(m), newWorker(m, weights{money: 1, quantum: 1})
			if !m.propagate(d, k.facts) {
				t.Fatal("no plan")
			}
			p := newProgram(newLinear(m, w, d, k.facts, noCap))
			p.stop = func() bool { return false }
			for p.solve(1000); p.separate(false) > 0; {
				p.solve(1000)
			}
			if math.Abs(p.bound-c.before) > 1e-6 {
				t.Errorf("the relaxation comes to %v, want %v", p.bound, c.before)
			}
			for range 5 {
				p.put(c.rows(p))
				p.solve(1000)
			}
			if math.Abs(p.bound-c.want) > 1e-6 {
				t.Errorf("with its rows it comes to %v, want %v", p.bound, c.want)
			}
			a := (&hunt{m: m, threads: 1}).run(t.Context())
			if got := fmt.Sprint(a.best.cost.money, a.proven); got != fmt.Sprint(c.want, 4) {
				t.Errorf("the least cost and the levels proven are %v, want %v and 4", got, c.want)
			}
		})
	}
}
