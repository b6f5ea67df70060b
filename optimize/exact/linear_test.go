package exact

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
	"halfpot/optimize/lp"
	"halfpot/optimize/problemfile"
)

// withLinear runs a test with the linear relaxation, and endgames by volumes at its nodes,
// always, or never, used.
func withLinear(t *testing.T, forced bool, test func(t *testing.T)) {
	t.Helper()
	nodes, share, quick, steps := endNodes, endShare, endQuick, potSteps
	linearForced, linearOff = forced, !forced
	if forced {
		endNodes, endShare, endQuick, potSteps = 0, 1, 0, 1<<10
	}
	defer func() {
		linearForced, linearOff = false, false
		endNodes, endShare, endQuick, potSteps = nodes, share, quick, steps
	}()
	test(t)
}

// withGuesses is withLinear where every search begins with guesses, and none looks for plans.
func withGuesses(t *testing.T, test func(t *testing.T)) {
	t.Helper()
	guessForced, blind = true, true
	defer func() { guessForced, blind = false, false }()
	withLinear(t, true, test)
}

// withPassing runs a test where every node whose shops are decided is passed on, and plans
// are found by splitting alone.
func withPassing(t *testing.T, test func(t *testing.T)) {
	t.Helper()
	passForced, blind = true, true
	defer func() { passForced, blind = false, false }()
	test(t)
}

// TestLinearAgainstBruteForce: with the linear relaxation taking every search over that it
// can, with guesses, with nodes passed on to it, and with none, all levels stay what brute
// force finds.
func TestLinearAgainstBruteForce(t *testing.T) {
	t.Run("forced", func(t *testing.T) { withLinear(t, true, func(t *testing.T) { againstBruteForce(t, false) }) })
	t.Run("guesses", func(t *testing.T) { withGuesses(t, func(t *testing.T) { againstBruteForce(t, false) }) })
	t.Run("passed", func(t *testing.T) { withPassing(t, func(t *testing.T) { againstBruteForce(t, false) }) })
	t.Run("off", func(t *testing.T) { withLinear(t, false, func(t *testing.T) { againstBruteForce(t, false) }) })
}

// TestLinearAgainstItself solves made-up problems of all shapes with and without it.
func TestLinearAgainstItself(t *testing.T) {
	for seed := range uint64(testkit.Few(24, 300)) {
		p := generate.Problem(seed, testkit.CrossShape(seed))
		var levels [3]testkit.Levels
		var status [3]optimize.Status
		for i := range status {
			solve := func(t *testing.T) {
				r := solveChecked(t, "cross", p)
				status[i] = r.Status
				if r.Status == optimize.Optimal {
					levels[i] = testkit.LevelsOf(r)
				}
			}
			if i == 2 {
				withGuesses(t, solve)
			} else {
				withLinear(t, i == 1, solve)
			}
		}
		for i := 1; i < len(status); i++ {
			if status[i] != status[0] || levels[i] != levels[0] {
				t.Errorf("seed %d: %v %+v with the linear relaxation (guesses: %v), %v %+v without",
					seed, status[i], levels[i], i == 2, status[0], levels[0])
			}
		}
	}
}

// termsOf are the values of all terms of a plan, for a row to be held against.
func (l *linear) termsOf(x, choice []int32, goods []int64) []int64 {
	m := l.m
	v := make([]int64, l.terms)
	for _, o := range choice {
		v[o] = 1
	}
	for j, n := range x {
		v[l.xAt+int32(j)] = int64(n)
		if n > 0 {
			v[l.shopAt+m.offShop[j]] = 1
		}
	}
	for q := range m.have {
		for c := l.potStart[q]; c < l.potStart[q+1]; c++ {
			for _, j := range l.potOffs[c] {
				v[l.potAt+c] += int64(x[j])
				v[l.unitAt+int32(q)] += int64(x[j]) * int64(l.unitsOf(c))
				if x[j] > 0 {
					v[l.someAt+int32(q)] = 1
				}
			}
		}
	}
	for h := range m.bands {
		if goods[h] > 0 {
			v[l.shopAt+int32(h)] = 1
		}
		if v[l.shopAt+int32(h)] == 0 {
			continue
		}
		boxes := int64(0)
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			boxes += int64(x[j]) * m.price[j]
		}
		at := 0
		for b := range m.bands[h] {
			if l.reach(h, b) <= goods[h] {
				at = b
			}
		}
		v[l.bandAt+l.bandOff[h]+int32(at)] = 1
		v[l.extraAt+int32(h)] = max(0, l.reach(h, at)-boxes)
	}
	return v
}

// brokenBy returns a row that a plan breaks; nil without one.
func (l *linear) brokenBy(v []int64, rows []*linearRow) *linearRow {
	for _, r := range rows {
		sum := int64(0)
		for k, t := range r.terms {
			sum += r.coefs[k] * v[t]
		}
		if sum < r.lower || sum > r.upper {
			return r
		}
	}
	return nil
}

// rootRows are all rows that separation makes at the root, and those of the form.
func rootRows(t *testing.T, m *model, w weights, rounds int) (*linear, []*linearRow) {
	t.Helper()
	k := newWorker(m, w)
	d := newDomain(m)
	if !m.propagate(d, k.facts) {
		return nil, nil
	}
	l := newLinear(m, w, d, k.facts, noCap)
	p := newProgram(l)
	if p == nil {
		t.Fatal("too large")
	}
	var all []*linearRow
	for i := range l.core {
		all = append(all, &l.core[i])
	}
	for range rounds {
		if st := p.solve(20000); st != lp.Optimal {
			break
		}
		n := len(p.rows)
		p.separate(false)
		p.solve(20000)
		p.separate(true)
		p.put(p.clusterRows(100))
		all = append(all, p.rows[n:]...)
		if len(p.rows) == n {
			break
		}
	}
	return l, all
}

// TestLinearRowsOnAllPlans goes through all plans of tiny problems: no row of any
// family cuts one off.
func TestLinearRowsOnAllPlans(t *testing.T) {
	made, plans := 0, 0
	for seed := range uint64(testkit.Few(250, 5000)) {
		p := tinyPots(rand.New(rand.NewPCG(seed, 31)))
		m, err := compile(p, nil)
		if err != nil || len(m.members) == 0 {
			continue
		}
		l, rows := rootRows(t, m, weights{money: 1, quantum: 1}, 6)
		if l == nil {
			continue
		}
		made += len(rows) - len(l.core)
		eachPlan(m, func(x, choice []int32, _ *solution, goods []int64) {
			plans++
			if r := l.brokenBy(l.termsOf(x, choice, goods), rows); r != nil {
				t.Fatalf("seed %d: row %+v cuts off boxes %v, options %v", seed, *r, x, choice)
			}
		})
	}
	t.Logf("%d rows held against %d plans", made, plans)
	if made == 0 || plans == 0 {
		t.Error("nothing was tested")
	}
}

// eachPlan goes through all plans of a tiny problem with at most two boxes of an offer.
func eachPlan(m *model, see func(x, choice []int32, sol *solution, goods []int64)) {
	x, choice := make([]int32, len(m.price)), make([]int32, len(m.members))
	var boxes func(j int)
	boxes = func(j int) {
		if j == len(x) {
			if !m.enough(x, choice) {
				return
			}
			if sol, ok := m.value(x, choice); ok && sol.cost.shops <= int64(m.maxShops) {
				see(x, choice, sol, goodsOf(m, x, sol))
			}
			return
		}
		for n := int32(0); n <= min(m.limit[j], 2); n++ {
			x[j] = n
			boxes(j + 1)
		}
		x[j] = 0
	}
	var options func(n int)
	options = func(n int) {
		if n == len(choice) {
			boxes(0)
			return
		}
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			choice[n] = o
			options(n + 1)
		}
	}
	options(0)
}

// goodsOf is what a plan spends on goods at each shop.
func goodsOf(m *model, x []int32, sol *solution) []int64 {
	goods := make([]int64, len(m.bands))
	for j, n := range x {
		goods[m.offShop[j]] += int64(n) * m.price[j]
	}
	for _, f := range sol.fill {
		for h := range m.fillers {
			for _, g := range m.fillers[h] {
				if g.orig == f.orig {
					goods[h] += int64(f.count) * g.price
				}
			}
		}
	}
	return goods
}

// tinyPots makes a problem where pots run out: needs of half a pot and more that
// several paints can serve, two sizes of pot, sets, stock, mixes and bands.
func tinyPots(rng *rand.Rand) *optimize.Problem {
	p := &optimize.Problem{Currency: "EUR"}
	paints := 2 + rng.IntN(2)
	id := func(kind string, i int) string { return kind + string(rune('a'+i)) }
	for i := range paints {
		p.Paints = append(p.Paints, optimize.Paint{ID: id("p", i), HaveUL: rng.Int64N(2) * rng.Int64N(8)})
	}
	for n := range 2 + rng.IntN(3) {
		need := optimize.Need{ID: id("n", n)}
		for o := range 1 + rng.IntN(2) {
			option := optimize.Option{ID: id("o", o), Compromise: rng.Int64N(3)}
			first := rng.IntN(paints)
			option.Uses = append(option.Uses, optimize.Use{Paint: id("p", first), UL: 1 + rng.Int64N(9)})
			if rng.IntN(3) == 0 {
				option.Uses = append(option.Uses, optimize.Use{Paint: id("p", (first+1)%paints), UL: 1 + rng.Int64N(5)})
			}
			need.Options = append(need.Options, option)
		}
		p.Needs = append(p.Needs, need)
	}
	shops := 1 + rng.IntN(2)
	for h := range shops {
		s := optimize.Shop{ID: id("h", h), Delivery: []optimize.Band{{From: 0, Fee: rng.Int64N(6)}}, MinOrder: rng.Int64N(2) * rng.Int64N(6)}
		if rng.IntN(2) == 0 {
			s.Delivery = append(s.Delivery, optimize.Band{From: 5 + rng.Int64N(10), Fee: 0})
			s.Delivery[0].Fee++
		}
		p.Shops = append(p.Shops, s)
	}
	offers := 0
	for k := range paints + 1 {
		product := optimize.Product{ID: id("k", k)}
		product.Contents = append(product.Contents, optimize.Content{Paint: id("p", k%paints), UL: 8 + 4*rng.Int64N(3)})
		if k == paints || rng.IntN(4) == 0 {
			product.Contents = append(product.Contents, optimize.Content{Paint: id("p", (k+1)%paints), UL: 8 + 2*rng.Int64N(3)})
		}
		p.Products = append(p.Products, product)
		for h := range shops {
			if offers < 5 && (h == 0 || rng.IntN(2) == 0) {
				p.Offers = append(p.Offers, optimize.Offer{Product: product.ID, Shop: id("h", h), Price: 2 + rng.Int64N(9)})
				offers++
			}
		}
	}
	return p
}

// TestLinearRowsOnKnownOptima holds all rows made at the root of the given problems
// against a best plan known, and that plan's cost against the one that is known.
func TestLinearRowsOnKnownOptima(t *testing.T) {
	known := map[string]int64{
		"force-8001": 8688, "force-8002": 5911, "force-8005": 5496, "force-8009": 4319, "club-8002": 22642, "club-8006": 26806,
	}
	folder := filepath.Join("..", "..", "..", "shared", "data", "purchase")
	if _, err := os.Stat(folder); err != nil {
		if testkit.Long() {
			t.Fatal("../shared/data/purchase is absent, and HALFPOT_LONG=1 asks for it")
		}
		t.Skip("../shared/data/purchase is absent")
	}
	for name, cost := range known {
		if testing.Short() && name[0] == 'c' {
			continue
		}
		file, err := os.Open(filepath.Join(folder, name+".json"))
		if err != nil {
			t.Fatal(err)
		}
		p, err := problemfile.Read(file)
		file.Close()
		if err != nil {
			t.Fatal(err)
		}
		m, err := compile(p, nil)
		if err != nil {
			t.Fatal(err)
		}
		ctx, stop := context.WithTimeout(t.Context(), 5*time.Minute)
		h := hunt{m: m, threads: 2}
		a := h.run(ctx)
		stop()
		if a.proven < 4 || a.best.cost.money != cost {
			t.Errorf("%s: cost %v, levels %d, known %d", name, a.best.cost, a.proven, cost)
			continue
		}
		l, rows := rootRows(t, m, weights{money: 1, quantum: 1}, 8)
		best := a.best.in(m)
		if r := l.brokenBy(l.termsOf(best.x, best.choice, goodsOf(m, best.x, best)), rows); r != nil {
			t.Errorf("%s: row %+v cuts the best plan off", name, *r)
		}
		if len(rows) == len(l.core) {
			t.Errorf("%s: no rows were made", name)
		}
	}
}

// TestLinearThreads: the answer, and the number of nodes, do not depend on the
// number of threads.
func TestLinearThreads(t *testing.T) {
	withLinear(t, true, func(t *testing.T) {
		for seed := range uint64(6) {
			p := generate.Problem(seed, testkit.CrossShape(seed))
			m, err := compile(p, nil)
			if err != nil {
				continue
			}
			var nodes [2]int64
			var cost [2]vector
			for i, threads := range []int{1, 3} {
				h := hunt{m: m, threads: threads}
				if a := h.run(t.Context()); a.best != nil {
					nodes[i], cost[i] = h.nodes, a.best.cost
				}
			}
			if nodes[0] != nodes[1] || cost[0] != cost[1] {
				t.Errorf("seed %d: %d nodes and %v with one thread, %d and %v with three", seed, nodes[0], cost[0], nodes[1], cost[1])
			}
		}
	})
}

// Rows that are one but for rounding let the simplex method change one for the other for ever.
func TestRowsThatFollow(t *testing.T) {
	row := func(lower int64, coefs ...int64) *linearRow {
		return &linearRow{terms: []int32{1, 4, 7}, coefs: coefs, lower: lower, upper: lp.Inf, kind: cutRow}
	}
	r := row(3_000_000, 2_000_000, 5_000_000, -1_000_000)
	for _, c := range []struct {
		other *linearRow
		want  bool
	}{
		{row(3_000_000, 2_000_000, 5_000_000, -1_000_000), true},
		{row(6_000_001, 4_000_001, 10_000_000, -2_000_000), true},  // twice, but for rounding
		{row(5_900_000, 4_000_000, 10_000_000, -2_000_000), false}, // asks for less
		{row(3_000_000, 2_000_000, 5_000_100, -1_000_000), false},
		{row(-3_000_000, -2_000_000, -5_000_000, 1_000_000), false},
	} {
		if got := r.follows(c.other); got != c.want {
			t.Errorf("follows from %v: %v", c.other, got)
		}
	}
	if (&linearRow{upper: lp.Inf}).follows(&linearRow{}) {
		t.Error("a row without terms follows")
	}
}
