package exact

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/internal/testkit"
)

// shopping is a problem in which only the shop of each pot is open: every need
// has one option that takes a pot of a paint of its own, and orders are about
// as large as the thresholds.
func shopping(rng *rand.Rand, paints, shops int) *optimize.Problem {
	p := &optimize.Problem{Currency: "EUR"}
	between := func(lo, hi int64) int64 { return lo + rng.Int64N(hi-lo+1) }
	for h := range shops {
		s := optimize.Shop{
			ID:       fmt.Sprintf("s%d", h),
			Delivery: []optimize.Band{{From: 0, Fee: between(50, 300)}},
		}
		if rng.IntN(4) > 0 {
			s.Delivery = append(s.Delivery, optimize.Band{
				From: between(30, 60) * 10 * int64(paints) / int64(shops),
				Fee:  between(0, 1) * 25,
			})
		}
		p.Shops = append(p.Shops, s)
	}
	for i := range paints {
		id := fmt.Sprintf("p%d", i)
		p.Paints = append(p.Paints, optimize.Paint{ID: id})
		uses := int64(10000)
		if rng.IntN(6) == 0 {
			uses = 20000 // two pots
		}
		p.Needs = append(p.Needs, optimize.Need{
			ID:      id,
			Options: []optimize.Option{{ID: "o", Uses: []optimize.Use{{Paint: id, UL: uses}}}},
		})
		p.Products = append(p.Products, optimize.Product{
			ID:       id,
			Contents: []optimize.Content{{Paint: id, UL: 17000}},
		})
		list := between(250, 350)
		for h := range shops {
			if h == 0 || rng.IntN(5) > 0 {
				p.Offers = append(p.Offers, optimize.Offer{
					Product: id,
					Shop:    p.Shops[h].ID,
					Price:   list + between(-12, 12),
				})
			}
		}
	}
	return p
}

// everyWay calls each with all ways to buy, of every paint, as many boxes as it
// must have.
func everyWay(m *model, d *domain, f *facts, each func(x []int32)) {
	x := make([]int32, len(m.price))
	copy(x, d.lo)
	var buy func(q int, from int, left int32)
	next := func(q int) {
		left := int32(0)
		if q < len(m.have) {
			left = f.boxes[q]
			for _, s := range m.sources[q] {
				left -= d.lo[s.off]
			}
		}
		buy(q, 0, left)
	}
	buy = func(q, from int, left int32) {
		switch {
		case q == len(m.have):
			each(x)
		case left <= 0:
			next(q + 1)
		case from < len(m.sources[q]):
			j := m.sources[q][from].off
			was := x[j]
			for n := int32(0); n <= min(left, d.hi[j]-was); n++ {
				x[j] = was + n
				buy(q, from+1, left-n)
			}
			x[j] = was
		}
	}
	next(0)
}

// settled is a search of a node in which each shop is used and has a delivery
// band, drawn at random.
func settled(m *model, rng *rand.Rand) (*search, *worker, *domain) {
	ph := m.weighing(0, nil, 4)
	d := newDomain(m)
	for h := range m.bands {
		d.closed[h] = false
		d.bandLo[h] = int16(rng.IntN(len(m.bands[h])))
		d.bandHi[h] = d.bandLo[h]
	}
	return &search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1)}, newWorker(m, ph.w), d
}

// TestEndgameAgainstTryingAll: the endgame finds the best plan of a part, and
// nothing where only better ones are wanted.
func TestEndgameAgainstTryingAll(t *testing.T) {
	cases := 400
	if testing.Short() {
		cases = 60
	}
	solved := 0
	for seed := range uint64(cases) {
		rng := rand.New(rand.NewPCG(seed, 1))
		p := shopping(rng, 7, 3)
		m, err := compile(p, nil)
		if err != nil {
			t.Fatal(err)
		}
		s, k, d := settled(m, rng)
		if !m.propagate(d, k.facts) {
			continue
		}
		best := math.Inf(1)
		choice := make([]int32, len(m.members))
		for n := range choice {
			choice[n] = m.optStart[n]
		}
		everyWay(m, d, k.facts, func(x []int32) {
			sol, w := s.worthOf(x, choice)
			if sol == nil || w >= best || !withinBands(m, d, sol) {
				return
			}
			best = w
		})
		k.rootStart(s, d)
		k.relax.build(m, s.w, d, k.facts)
		k.volume.run(&k.relax, k.mu, int(seed%40), 1.1*best, math.Inf(1))
		for _, cut := range []float64{math.Inf(1), best, best - s.grain} {
			var past tough
			sol, w, done := k.solveEnd(context.Background(), s, d, cut, &past)
			switch {
			case !done:
				t.Fatalf("seed %d: not finished", seed)
			case best <= cut && (sol == nil || w > best):
				t.Fatalf("seed %d, cut %.0f: found %v weighing %.0f, trying all ways finds %.0f",
					seed, cut, sol != nil, w, best)
			case sol != nil && w > cut:
				t.Fatalf("seed %d: a plan of %.0f above the cut %.0f", seed, w, cut)
			}
		}
		if best < math.Inf(1) {
			solved++
		}
	}
	if solved < cases/2 {
		t.Errorf("only %d of %d cases had a plan", solved, cases)
	}
}

// pieces is a problem of a few needs that share paints, with mixes, something on
// the shelf, two sizes of pot, a set, and orders about as large as thresholds.
func pieces(rng *rand.Rand) *optimize.Problem {
	p := &optimize.Problem{Currency: "EUR"}
	between := func(lo, hi int64) int64 { return lo + rng.Int64N(hi-lo+1) }
	p.Rules.CompromisePrice = between(0, 3) * 20
	for h := range 2 {
		s := optimize.Shop{
			ID:       fmt.Sprintf("s%d", h),
			Delivery: []optimize.Band{{From: 0, Fee: between(100, 300)}},
		}
		if rng.IntN(4) > 0 {
			s.Delivery = append(s.Delivery, optimize.Band{From: between(20, 70) * 10, Fee: between(0, 1) * 25})
		}
		p.Shops = append(p.Shops, s)
	}
	sell := func(id string, list int64) {
		for h := range p.Shops {
			o := optimize.Offer{Product: id, Shop: p.Shops[h].ID, Price: list + between(-12, 12)}
			if rng.IntN(8) == 0 {
				limit := between(1, 2)
				o.Limit = &limit
			}
			if h == 0 || rng.IntN(3) > 0 {
				p.Offers = append(p.Offers, o)
			}
		}
	}
	for i := range 3 {
		id := fmt.Sprintf("p%d", i)
		p.Paints = append(p.Paints, optimize.Paint{ID: id, HaveUL: between(0, 2) * between(0, 4000)})
		p.Products = append(p.Products, optimize.Product{
			ID:       id,
			Contents: []optimize.Content{{Paint: id, UL: 10000, Count: 1}},
		})
		sell(id, between(200, 300))
	}
	if rng.IntN(2) == 0 {
		p.Products = append(p.Products, optimize.Product{
			ID:       "large",
			Contents: []optimize.Content{{Paint: "p0", UL: 17000, Count: 1}},
		})
		sell("large", between(300, 400))
	}
	if rng.IntN(2) == 0 {
		p.Products = append(p.Products, optimize.Product{
			ID: "set",
			Contents: []optimize.Content{
				{Paint: "p1", UL: between(5000, 10000), Count: 1},
				{Paint: "p2", UL: between(5000, 10000), Count: 1},
			},
		})
		sell("set", between(400, 500))
	}
	for i := range 4 {
		n := optimize.Need{ID: fmt.Sprintf("n%d", i)}
		for o := range 1 + rng.IntN(3) {
			opt := optimize.Option{ID: fmt.Sprintf("o%d", o), Compromise: int64(o)}
			for _, q := range rng.Perm(3)[:1+rng.IntN(5)/4] {
				opt.Uses = append(opt.Uses, optimize.Use{Paint: p.Paints[q].ID, UL: between(500, 9000)})
			}
			n.Options = append(n.Options, opt)
		}
		if i == 2 && len(p.Needs[1].Options) == 2 {
			n.Options = p.Needs[1].Options // needs alike
		}
		p.Needs = append(p.Needs, n)
	}
	return p
}

// everyPlan calls each with all choices and all ways to buy up to hi that are
// enough for them.
func everyPlan(m *model, d *domain, each func(x, choice []int32)) {
	x, choice := make([]int32, len(m.price)), make([]int32, len(m.members))
	var buy func(j int)
	buy = func(j int) {
		if j == len(x) {
			if m.enough(x, choice) {
				each(x, choice)
			}
			return
		}
		for x[j] = d.lo[j]; x[j] <= d.hi[j]; x[j]++ {
			buy(j + 1)
		}
		x[j] = d.lo[j]
	}
	var choose func(n int)
	choose = func(n int) {
		if n == len(choice) {
			buy(0)
			return
		}
		for choice[n] = m.optStart[n]; choice[n] < m.optStart[n+1]; choice[n]++ {
			choose(n + 1)
		}
	}
	choose(0)
}

// TestEndgameOfPieces: the same where needs have options and boxes serve several
// of them.
func TestEndgameOfPieces(t *testing.T) {
	endgameOfPieces(t, 1./3, func(k *worker, s *search, d *domain, cut float64, past *tough) (*solution, float64, bool) {
		return k.solveEnd(context.Background(), s, d, cut, past)
	})
}

// TestEndgameByPots: the same by volumes of boxes, from discounts and a bound that are a
// linear relaxation's: any will do.
func TestEndgameByPots(t *testing.T) {
	defer func(quick, pot int) { endQuick, potSteps = quick, pot }(endQuick, potSteps)
	endQuick = 0
	rng := rand.New(rand.NewPCG(1, 2))
	endgameOfPieces(t, 2./3, func(k *worker, s *search, d *domain, cut float64, past *tough) (*solution, float64, bool) {
		nu := func(int) float64 { return float64(rng.IntN(nuSteps+1)) / nuSteps }
		potSteps = 1 << rng.IntN(8)
		bound := k.volume.best.value
		if rng.IntN(2) == 0 {
			bound = min(cut, 2*bound)
		}
		return k.end.run(context.Background(), endNode{s, d, &k.relax, k.facts, bound, nu, true}, cut, past)
	})
}

type solveEnd func(k *worker, s *search, d *domain, cut float64, past *tough) (*solution, float64, bool)

// endgameOfPieces lets solve give up on a share of its runs at most.
func endgameOfPieces(t *testing.T, share float64, solve solveEnd) {
	cases := uint64(testkit.Few(120, 1000))
	if testing.Short() {
		cases = 30
	}
	solved, runs, given, elsewhere := 0, 0, 0, 0
	for seed := range cases {
		rng := rand.New(rand.NewPCG(seed, 3))
		m, err := compile(pieces(rng), nil)
		if err != nil {
			continue // a need that can't be met
		}
		s, k, d := settled(m, rng)
		whole := d.clone()
		if !m.propagate(d, k.facts) {
			continue
		}
		best := math.Inf(1)
		everyPlan(m, whole, func(x, choice []int32) {
			if sol, w := s.worthOf(x, choice); sol != nil && w < best && withinBands(m, whole, sol) {
				best = w
			}
		})
		if math.IsInf(best, 1) {
			continue
		}
		solved++
		k.rootStart(s, d)
		k.relax.build(m, s.w, d, k.facts)
		k.volume.run(&k.relax, k.mu, int(seed%40), 1.1*best, math.Inf(1))
		for _, cut := range []float64{math.Inf(1), 1.01 * best, best, best - s.grain} {
			runs++
			var past tough
			sol, w, done := solve(k, s, d, cut, &past)
			switch {
			case sol != nil && w > cut:
				t.Fatalf("seed %d: a plan of %.0f above the cut %.0f", seed, w, cut)
			case sol != nil && !(m.enough(sol.x, sol.choice) && within(sol.x, whole.hi)):
				t.Fatalf("seed %d: no plan: boxes %v for options %v", seed, sol.x, sol.choice)
			case !done:
				given++
			case best <= cut && (sol == nil || w > best):
				t.Fatalf("seed %d, cut %.0f: found %v weighing %.0f, trying all finds %.0f",
					seed, cut, sol != nil, w, best)
			case sol != nil && w < best:
				elsewhere++ // in another part
			}
		}
	}
	if solved < int(cases)/3 || float64(given) > share*float64(runs) || elsewhere > runs*2/3 {
		t.Errorf("of %d cases %d had a plan; "+
			"of %d runs %d were given up and %d found a better plan of another part", cases, solved, runs, given, elsewhere)
	}
}

// within says that no number of x is greater than that of most.
func within(x, most []int32) bool {
	for j := range x {
		if x[j] > most[j] {
			return false
		}
	}
	return true
}

// withinBands says whether a plan orders from all shops, and reaches just the
// bands that the domain says.
func withinBands(m *model, d *domain, sol *solution) bool {
	goods := make([]int64, len(m.bands))
	for j, n := range sol.x {
		goods[m.offShop[j]] += int64(n) * m.price[j]
	}
	for _, f := range sol.fill {
		for h, fs := range m.fillers {
			for _, g := range fs {
				if g.orig == f.orig {
					goods[h] += int64(f.count) * g.price
				}
			}
		}
	}
	for h, g := range goods {
		k := int(d.bandLo[h])
		if g == 0 || g < m.bands[h][k].From || k+1 < len(m.bands[h]) && g >= m.bands[h][k+1].From {
			return false
		}
	}
	return true
}

// TestReshopKeepsBoxes: selling a plan's boxes elsewhere keeps what is bought,
// never makes it dearer, and mostly ends at the best way to buy it.
func TestReshopKeepsBoxes(t *testing.T) {
	cases, best := 200, 0
	if testing.Short() {
		cases = 40
	}
	for seed := range uint64(cases) {
		rng := rand.New(rand.NewPCG(seed, 2))
		m, err := compile(shopping(rng, 6, 3), nil)
		if err != nil {
			t.Fatal(err)
		}
		s := &search{m: m, w: weights{money: 1}, grain: 1}
		d, f := newDomain(m), newFacts(m)
		if !m.propagate(d, f) {
			t.Fatalf("seed %d: no plan", seed)
		}
		choice := make([]int32, len(m.members))
		for n := range choice {
			choice[n] = m.optStart[n]
		}
		least := math.Inf(1)
		var ways [][]int32
		everyWay(m, d, f, func(x []int32) {
			if sol, w := s.worthOf(x, choice); sol != nil {
				least = min(least, w)
				ways = append(ways, append([]int32(nil), x...))
			}
		})
		x := ways[rng.IntN(len(ways))]
		_, before := s.worthOf(x, choice)
		count := func() map[string]int32 {
			n := map[string]int32{}
			for j, c := range x {
				n[m.prob.Offers[m.offOrig[j]].Product] += c
			}
			return n
		}
		had := count()
		better := newReshop(m, newAnnealer(newBuilder(m, s.w)).cheapest).run(x, func(int32) float64 { return 0 })
		for id, n := range count() {
			if had[id] != n {
				t.Fatalf("seed %d: %d boxes of %s became %d", seed, had[id], id, n)
			}
		}
		_, after := s.worthOf(x, choice)
		if after > before || better != (after < before) {
			t.Fatalf("seed %d: from %.0f to %.0f, said to be better: %v", seed, before, after, better)
		}
		if after == least {
			best++
		}
	}
	if best < cases/2 {
		t.Errorf("the best way to buy was found in %d of %d cases only", best, cases)
	}
}
