package optimize

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// randomCovering makes rows of which each is covered by a share of the
// columns, as in the classes of Beasley (1987).
func randomCovering(seed uint64, rows, cols int, share float64, dearest int64) ([][]int, []int64) {
	r := rand.New(rand.NewPCG(seed, 0))
	cost := make([]int64, cols)
	for j := range cost {
		cost[j] = 1 + r.Int64N(dearest)
	}
	out := make([][]int, rows)
	for i := range out {
		out[i] = r.Perm(cols)[:max(2, int(share*float64(cols)+0.5))]
		slices.Sort(out[i])
	}
	return out, cost
}

// leastCover looks at all sets of columns: the least cost and, of that cost,
// the fewest columns.
func leastCover(rows [][]int, cost []int64) (money, boxes int64) {
	money = math.MaxInt64
	masks := make([]uint32, len(rows))
	for i, cols := range rows {
		for _, j := range cols {
			masks[i] |= 1 << j
		}
	}
	for set := range uint32(1) << len(cost) {
		if slices.ContainsFunc(masks, func(m uint32) bool { return m&set == 0 }) {
			continue
		}
		sum, n := int64(0), int64(0)
		for j, c := range cost {
			if set>>j&1 == 1 {
				sum, n = sum+c, n+1
			}
		}
		if sum < money || sum == money && n < boxes {
			money, boxes = sum, n
		}
	}
	return money, boxes
}

// hunts solves a cover by its own search and by the general one, which a plan
// to start from leads to.
func hunts(t *testing.T, p *Problem) (special, general answer) {
	t.Helper()
	m, err := compile(p, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := m.covering()
	if c == nil {
		t.Fatal("not seen to be a cover")
	}
	h := hunt{m: m, threads: 1}
	special, ok := h.covers(t.Context(), c)
	if !ok {
		t.Fatal("sums of this size should stay exact")
	}
	h = hunt{m: m, threads: 1, seed: m.quickPlan()}
	return special, h.run(t.Context())
}

func TestCoversByEveryWay(t *testing.T) {
	for seed := range uint64(few(300, 5000)) {
		r := rand.New(rand.NewPCG(seed, 1))
		dearest := []int64{1, 3, 40, 5000}[seed%4]
		rows, cost := randomCovering(seed, 1+r.IntN(9), 2+r.IntN(10), 0.1+0.4*r.Float64(), dearest)
		if seed%5 == 0 {
			cost[r.IntN(len(cost))] = 0
		}
		money, boxes := leastCover(rows, cost)
		for name, state := range map[string]func([][]int, []int64) *Problem{"pots": covering, "sets": coveringBySets} {
			p := state(rows, cost)
			fee := int64(seed % 3 * 7)
			p.Shops[0].Delivery[0].Fee = fee
			special, general := hunts(t, p)
			want := vector{money: money + fee, boxes: boxes, shops: 1}
			if special.best.cost != want || special.proven != 4 || special.bound != want.money || !special.done {
				t.Fatalf("seed %d, %s: %+v (proven %d, bound %d), want %+v", seed, name, special.best.cost, special.proven, special.bound, want)
			}
			if general.best.cost != want {
				t.Fatalf("seed %d, %s: the general search finds %+v, want %+v", seed, name, general.best.cost, want)
			}
		}
	}
}

// TestCoversAgainstGeneralSearch has shelves, sets, pots that overlap, and
// steps that share paints.
func TestCoversAgainstGeneralSearch(t *testing.T) {
	for seed := range uint64(few(60, 1000)) {
		r := rand.New(rand.NewPCG(seed, 2))
		p := &Problem{Currency: "EUR", Shops: []Shop{{ID: "shop", Delivery: []Band{{0, int64(r.IntN(2) * 395)}}}}}
		paints := 5 + r.IntN(30)
		for k := range paints {
			p.Paints = append(p.Paints, Paint{fmt.Sprint("p", k), int64(r.IntN(3))})
		}
		product := func(price int64, holds ...int) {
			id := fmt.Sprint("box", len(p.Products))
			box := Product{ID: id}
			for _, k := range holds {
				box.Contents = append(box.Contents, Content{p.Paints[k].ID, 1000, 1})
			}
			p.Products = append(p.Products, box)
			p.Offers = append(p.Offers, Offer{Product: id, Shop: "shop", Price: price})
		}
		for k := range paints {
			product(int64(200+r.IntN(200)), k)
		}
		for range r.IntN(8) {
			holds := r.Perm(paints)[:2+r.IntN(4)]
			product(int64(len(holds)*(120+r.IntN(200))), holds...)
		}
		for n := range 3 + r.IntN(30) {
			need := Need{ID: fmt.Sprint("n", n)}
			for o, k := range r.Perm(paints)[:1+r.IntN(5)] {
				need.Options = append(need.Options, Option{ID: fmt.Sprint("o", o), Uses: []Use{{p.Paints[k].ID, int64(3 + r.IntN(20))}}})
			}
			p.Needs = append(p.Needs, need)
		}
		special, general := hunts(t, p)
		if special.best.cost != general.best.cost || special.proven != 4 || general.proven != 4 {
			t.Fatalf("seed %d: %+v, the general search %+v", seed, special.best.cost, general.best.cost)
		}
		solveChecked(t, fmt.Sprint("seed ", seed), p)
	}
}

func TestCoveringIsSeenOnlyWhereItIs(t *testing.T) {
	rows := [][]int{{0, 1}, {1, 2}, {0, 2, 3}}
	cost := []int64{3, 4, 5, 6}
	budget, shops := int64(100), int64(1)
	for name, c := range map[string]struct {
		change func(p *Problem)
		want   bool
	}{
		"as it is":          {func(p *Problem) {}, true},
		"a fee":             {func(p *Problem) { p.Shops[0].Delivery[0].Fee = 9 }, true},
		"one shop at most":  {func(p *Problem) { p.Rules.MaxShops = &shops }, true},
		"equal points":      {func(p *Problem) { p.Needs[0].Options[0].Compromise, p.Needs[0].Options[1].Compromise = 2, 2 }, true},
		"unequal points":    {func(p *Problem) { p.Needs[0].Options[0].Compromise = 2 }, false},
		"a mix":             {func(p *Problem) { p.Needs[0].Options[0].Uses = append(p.Needs[0].Options[0].Uses, Use{"c3", 1}) }, false},
		"some on the shelf": {func(p *Problem) { p.Paints[0].HaveUL = 1 }, false},
		"small pots":        {func(p *Problem) { p.Products[0].Contents[0].UL = 1 }, false},
		"money off":         {func(p *Problem) { p.Shops[0].Delivery = append(p.Shops[0].Delivery, Band{10, -2}) }, false},
		"a minimum order":   {func(p *Problem) { p.Shops[0].MinOrder = 5 }, false},
		"a second shop":     {func(p *Problem) { p.Shops = append(p.Shops, Shop{ID: "other", Delivery: []Band{{0, 0}}}) }, false},
		"a budget":          {func(p *Problem) { p.Rules.Budget = &budget }, false},
		"very dear":         {func(p *Problem) { p.Offers[0].Price = 1 << 33 }, true},
	} {
		p := covering(rows, cost)
		c.change(p)
		m, err := compile(p, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.covering() != nil; got != c.want {
			t.Errorf("%s: seen as a cover: %v, want %v", name, got, c.want)
		}
		solveChecked(t, name, p)
	}
}

// TestStoppedCover: a limit leaves a plan and a bound, whatever was done.
func TestStoppedCover(t *testing.T) {
	rows, cost := randomCovering(1, 300, 2000, 0.1, 100)
	p := covering(rows, cost)
	for _, limit := range []time.Duration{0, 300 * time.Millisecond} {
		ctx, cancel := context.WithTimeout(t.Context(), limit)
		r, err := Solve(ctx, p, SolveOptions{Threads: 1})
		cancel()
		if err != nil {
			t.Fatal(err)
		}
		if r.Status != Feasible && r.Status != Optimal || r.Totals.Bound > r.Totals.Objective {
			t.Errorf("after %v: %s, cost %d, bound %d", limit, r.Status, r.Totals.Objective, r.Totals.Bound)
		}
	}
}

// BenchmarkCovering makes problems of the sizes of the OR-Library's classes.
func BenchmarkCovering(b *testing.B) {
	for _, c := range []struct {
		class      string
		rows, cols int
		share      float64
	}{{"4", 200, 1000, 0.02}, {"5", 200, 2000, 0.02}, {"6", 200, 1000, 0.05}, {"A", 300, 3000, 0.02}, {"B", 300, 3000, 0.05}} {
		for seed := range uint64(3) {
			b.Run(fmt.Sprintf("class=%s/seed=%d", c.class, seed), func(b *testing.B) {
				p := covering(randomCovering(seed, c.rows, c.cols, c.share, 100))
				for b.Loop() {
					if r, err := Solve(b.Context(), p, SolveOptions{Threads: 1}); err != nil || r.Status != Optimal {
						b.Fatal(r, err)
					}
				}
			})
		}
	}
}

// TestCoversAnotherWay has covers that take some branching: without linear
// relaxations, and with the cost proven alone, the answer is the same.
func TestCoversAnotherWay(t *testing.T) {
	branched := 0
	for seed := range uint64(few(30, 300)) {
		r := rand.New(rand.NewPCG(seed, 5))
		rows, cost := randomCovering(seed, 40+r.IntN(40), 40+r.IntN(40), 0.05+0.1*r.Float64(), []int64{1, 4, 100}[seed%3])
		m, err := compile(covering(rows, cost), nil)
		if err != nil {
			t.Fatal(err)
		}
		c := m.covering()
		h := hunt{m: m}
		want, ok := h.covers(t.Context(), c)
		if !ok || want.proven != 4 {
			t.Fatalf("seed %d: proven %d", seed, want.proven)
		}
		if h.nodes > 1 {
			branched++
		}
		got, ok := h.coversBy(t.Context(), c, 1)
		if !ok || got.proven != 4 || got.best.cost != want.best.cost || got.bound != want.bound {
			t.Errorf("seed %d: with the cost alone %+v (proven %d), want %+v", seed, got.best.cost, got.proven, want.best.cost)
		}
		w, s := c.both(1, nil)
		s.lpMost = 0
		if _, done := s.run(t.Context()); !done || s.ub != float64(w.money*want.best.cost.money+want.best.cost.boxes) {
			t.Errorf("seed %d: without linear relaxations %v, want %+v", seed, s.ub, want.best.cost)
		}
	}
	if branched == 0 {
		t.Error("no cover took any branching")
	}
}

// TestCoversThreads has covers of which parts are shared out: the plan and the
// nodes looked at are the same for all numbers of threads.
func TestCoversThreads(t *testing.T) {
	shared := 0
	for seed := range uint64(few(1, 10)) {
		rows, cost := randomCovering(seed+1, 300, 3000, 0.05, 100)
		m, err := compile(covering(rows, cost), nil)
		if err != nil {
			t.Fatal(err)
		}
		c := m.covering()
		var first answer
		var nodes int64
		for threads := 1; threads <= 3; threads++ {
			h := hunt{m: m, threads: threads}
			a, _ := h.covers(t.Context(), c)
			if threads == 1 {
				first, nodes = a, h.nodes
			}
			if a.proven != 4 || h.nodes != nodes || !slices.Equal(a.best.x, first.best.x) {
				t.Errorf("seed %d, %d threads: %+v after %d nodes, want %+v after %d", seed, threads, a.best.cost, h.nodes, first.best.cost, nodes)
			}
		}
		if nodes > firstNodes {
			shared++
		}
	}
	if shared == 0 {
		t.Error("no cover took so many nodes that parts were shared out")
	}
}

// TestCoversStopped has a cover whose search is stopped: the bound is one.
func TestCoversStopped(t *testing.T) {
	rows, cost := randomCovering(2, 400, 4000, 0.05, 100)
	m, err := compile(covering(rows, cost), nil)
	if err != nil {
		t.Fatal(err)
	}
	c := m.covering()
	for _, after := range []int{0, 1, 4} {
		ctx, stop := context.WithCancel(t.Context())
		h := hunt{m: m, threads: 2}
		if after == 0 {
			stop()
		}
		reports := 0
		h.report = func(*solution, int64, int64) {
			if reports++; reports == after {
				stop()
			}
		}
		a, ok := h.covers(ctx, c)
		stop()
		// 71 is what the whole search proves.
		if !ok || a.done || a.best == nil || a.best.cost.money < 71 || a.bound > 71 || after > 0 && a.bound < 60 {
			t.Errorf("stopped after %d reports: %+v, bound %d, done %v; want 71 between bound and cost", after, a.best.cost, a.bound, a.done)
		}
	}
}
