package exact

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/flat"
	"halfpot/optimize/internal/testkit"
)

// randomDecision is some decision that leaves the plan in the domain.
func randomDecision(rng *rand.Rand, m *model, plan *solution) (decision, bool) {
	switch rng.IntN(5) {
	case 0:
		h := rng.IntN(len(m.bands))
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			if plan.x[j] > 0 {
				return decision{shopUsed, int32(h), 0}, true
			}
		}
		for _, f := range plan.fill {
			for _, g := range m.fillers[h] {
				if f.orig == g.orig {
					return decision{shopUsed, int32(h), 0}, true
				}
			}
		}
		return decision{shopShut, int32(h), 0}, true
	case 1:
		if len(m.have) == 0 {
			return decision{}, false
		}
		q := rng.IntN(len(m.have))
		units := int32(0)
		for _, s := range m.sources[q] {
			units += plan.x[s.off] * s.units
		}
		if rng.IntN(2) == 0 {
			return decision{paintAtMost, int32(q), units + rng.Int32N(2)}, true
		}
		return decision{paintAtLeast, int32(q), units - rng.Int32N(units+1)}, true
	case 2:
		if len(m.price) == 0 {
			return decision{}, false
		}
		j := rng.IntN(len(m.price))
		if rng.IntN(2) == 0 {
			return decision{offerAtMost, int32(j), plan.x[j]}, true
		}
		return decision{offerAtLeast, int32(j), plan.x[j]}, true
	default:
		o := rng.IntN(len(m.optNeed))
		if plan.choice[m.optNeed[o]] == int32(o) {
			return decision{optionTaken, int32(o), 0}, true
		}
		return decision{optionLeft, int32(o), 0}, true
	}
}

// TestBoundsNeverPassABestPlan takes the best plan of small problems as known
// and narrows the search around it at random. No bound may exceed its weight,
// and no ruling out may leave only dearer plans.
func TestBoundsNeverPassABestPlan(t *testing.T) {
	cases := 0
	for seed := range uint64(testkit.Few(120, 1500)) {
		p := testkit.Odd(seed)
		if seed%2 == 0 {
			p = generate.Problem(seed, testkit.CrossShape(seed))
		}
		p.Rules.Budget = nil
		m, err := compile(p, nil)
		if err != nil || len(m.optNeed) == 0 {
			continue
		}
		ph, ok := m.next(0, nil, 0)
		if !ok || ph.levels != 4 {
			continue
		}
		whole := &search{
			m:       m,
			w:       ph.w,
			grain:   ph.grain,
			upper:   math.Inf(1),
			workers: []*worker{newWorker(m, ph.w)},
		}
		whole.limit = 20000
		if _, done := whole.runFrom(t.Context(), newDomain(m), newMultipliers(m)); !done {
			t.Logf("seed %d: left out, not solved within %d parts", seed, whole.limit)
			continue
		}
		best := whole.incumbent.in(m)
		if whole.incumbent == nil || best == nil {
			continue
		}
		rng := rand.New(rand.NewPCG(seed, 5))
		for try := range 3 {
			cases++
			name := fmt.Sprintf("seed %d, try %d", seed, try)
			d, k := newDomain(m), newWorker(m, ph.w)
			for range 1 + rng.IntN(6) {
				if c, ok := randomDecision(rng, m, best); ok {
					c.apply(m, d)
				}
			}
			if !m.propagate(d, k.facts) {
				t.Fatalf("%s: the domain holds the best plan, but is called empty", name)
			}
			k.rootStart(whole, d)
			k.relax.build(m, ph.w, d, k.facts)
			k.volume.run(&k.relax, k.mu, rng.IntN(200), whole.upper, math.Inf(1))
			if v := k.volume.best.value; v > whole.upper {
				t.Fatalf("%s: bound %v above the best plan's %v", name, v, whole.upper)
			}
			k.relax.fix(k.volume.best, whole.upper, flat.Resize(k.inc, len(m.have)))
			again := &search{
				m:       m,
				w:       ph.w,
				grain:   ph.grain,
				upper:   math.Inf(1),
				workers: []*worker{newWorker(m, ph.w)},
			}
			again.runFrom(t.Context(), d, newMultipliers(m))
			if again.incumbent == nil || again.upper != whole.upper {
				t.Fatalf("%s: after ruling out, the best plan weighs %v, before %v",
					name, again.upper, whole.upper)
			}
		}
	}
	if cases < 50 {
		t.Fatalf("only %d cases were looked at", cases)
	}
}

// TestFewOpenNodes searches with next to no memory for open nodes, and must
// come to the same weight and bound as with enough.
func TestFewOpenNodes(t *testing.T) {
	looked := 0
	for seed := range uint64(60) {
		p := generate.Problem(seed, generate.Shape{
			Needs:  30,
			Paints: 60,
			Shops:  3,
			Sets:   3,
			Bands:  true,
			Mixes:  true,
		})
		m, err := compile(p, nil)
		if err != nil {
			continue
		}
		ph, ok := m.next(0, nil, 0)
		if !ok || ph.levels != 4 {
			continue
		}
		var ub [2]float64
		for i, many := range []int{1 << 30, 2} {
			s := &search{
				m:       m,
				w:       ph.w,
				grain:   ph.grain,
				upper:   math.Inf(1),
				workers: []*worker{newWorker(m, ph.w)},
				many:    many,
			}
			last := math.Inf(-1)
			s.report = func(lower float64) {
				if lower < last || lower > s.upper {
					t.Fatalf("seed %d: bound %v after %v, best %v", seed, lower, last, s.upper)
				}
				last = lower
			}
			lower, done := s.run(t.Context())
			if !done || lower != s.upper {
				t.Fatalf("seed %d: ended at %v, %v", seed, lower, done)
			}
			ub[i] = s.upper
			if i == 1 && s.nodes > 8 {
				looked++
			}
		}
		if ub[0] != ub[1] {
			t.Fatalf("seed %d: best weighs %v with few open nodes, %v with many", seed, ub[1], ub[0])
		}
	}
	if looked < 10 {
		t.Fatalf("only %d searches had several nodes", looked)
	}
}

// TestUnitsAgainstTryingAll looks at paints of which several pots may be needed:
// how many units they pay for and whom those serve must be what gains most of
// all choices, and no need may be said to lose more by being served than it does.
func TestUnitsAgainstTryingAll(t *testing.T) {
	paints := 0
	for seed := range uint64(testkit.Few(150, 1500)) {
		m, err := compile(generate.Problem(seed, generate.Shape{
			Needs:   14,
			Paints:  16,
			Shops:   2,
			Sets:    2,
			Mixes:   seed%2 == 0,
			Thirsty: true,
		}),
			nil)
		if err != nil {
			continue
		}
		ph, ok := m.next(0, nil, 0)
		if !ok {
			continue
		}
		d, k := newDomain(m), newWorker(m, ph.w)
		if !m.propagate(d, k.facts) {
			continue
		}
		k.rootStart(&search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1)}, d)
		k.relax.build(m, ph.w, d, k.facts)
		k.volume.run(&k.relax, k.mu, int(seed%7)*20, ph.most/2, math.Inf(1))
		r, p := &k.relax, k.volume.best
		r.oneInc, r.linkInc = make([]float64, len(r.oneOpt)), make([]float64, len(r.linkAt))
		for q := range r.paints {
			items := r.stock[r.stockStart[q]:r.stockStart[q+1]]
			if r.steps[q] == 0 || len(items) == 0 || len(items) > 12 {
				continue
			}
			paints++
			most, with := 0.0, map[int32]float64{}
			for set := range 1 << len(items) {
				g, ul := 0.0, 0.0
				for i, it := range items {
					if set>>i&1 == 1 {
						g, ul = g+p.gainOf(it), ul+it.ul
					}
				}
				n := max(0, math.Ceil((ul-r.shelf[q])/r.unitUL[q]))
				if n > float64(r.steps[q]) {
					continue
				}
				g -= n * p.base[q]
				most = max(most, g)
				for i, it := range items {
					if before, ok := with[it.index]; set>>i&1 == 1 && (!ok || g > before) {
						with[it.index] = g
					}
				}
			}
			gathered, volume := r.gather(p, q)
			if volume > r.shelf[q] {
				gathered = r.evalSteps(p, q)
			}
			if gathered != most {
				t.Fatalf("seed %d, paint %d: gains %v, all choices give %v at most", seed, q, gathered, most)
			}
			r.stepFix(p, q, math.Inf(1))
			for index, g := range with {
				inc := 0.0
				if index >= 0 {
					inc = r.oneInc[index]
				} else {
					inc = r.linkInc[-1-index]
				}
				if inc > most-g {
					t.Fatalf("seed %d, paint %d, item %d: said to lose %v, loses %v",
						seed, q, index, inc, most-g)
				}
			}
		}
	}
	if paints < 100 {
		t.Fatalf("only %d paints were looked at", paints)
	}
}

// TestKnapsackIsExact compares the shelf's knapsack with trying every choice.
func TestKnapsackIsExact(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for try := range 2000 {
		k := &knapsack{}
		n := 1 + rng.IntN(10)
		for i := range n {
			k.items = append(k.items, knapItem{float64(rng.IntN(50)), float64(1 + rng.IntN(30)), int32(i)})
		}
		room := float64(rng.IntN(100))
		want := 0.0
		for set := range 1 << n {
			gain, ul := 0.0, 0.0
			for i := range n {
				if set>>i&1 == 1 {
					gain += k.items[i].gain
					ul += k.items[i].ul
				}
			}
			if ul <= room {
				want = max(want, gain)
			}
		}
		k.sort()
		if got := k.solve(room, 1); got != want {
			t.Fatalf("try %d: gain %v, want %v", try, got, want)
		}
	}
}

// TestKnapsackOutOfSteps makes sure that a knapsack too hard to finish is
// bounded from above.
func TestKnapsackOutOfSteps(t *testing.T) {
	k := &knapsack{}
	const n = 60
	for i := range n { // all alike but for a hair: every bound is within reach of every other
		k.items = append(k.items, knapItem{100, float64(2*(i%3) + 100), int32(i)})
	}
	k.sort()
	if got := k.solve(2050, 1); got < 2000 {
		t.Fatalf("bound %v is below a gain that can be had, 2000", got)
	}
}

// TestReachAgainstAdding compares the order values that boxes can come to, from below and above, with
// adding them up one by one.
func TestReachAgainstAdding(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for try := range 300 {
		from := int64(1 + rng.IntN(900))
		m := &model{bands: [][]optimize.Band{{{From: from}}}, fillers: make([][]filler, 1)}
		dearest := int64(0)
		for range 1 + rng.IntN(4) {
			price := int64(rng.IntN(200))
			dearest = max(dearest, price)
			m.fillers[0] = append(m.fillers[0], filler{price: price})
		}
		m.addReach()
		can := make([]bool, from+2*dearest+1)
		can[0] = true
		for s := range can {
			for _, f := range m.fillers[0] {
				if k := int64(s) - f.price; k >= 0 && can[k] {
					can[s] = true
				}
			}
		}
		least := int64(0)
		for value := range m.reach[0].top + 1 {
			if can[value] {
				least = value
			}
			if got := m.reach[0].within(value); got != least {
				t.Fatalf("try %d: %d within %d, want %d (%v)", try, got, value, least, m.fillers[0])
			}
		}
		for sure := range from {
			want := from
			if from-sure <= m.reach[0].top {
				for want = from; !can[want-sure]; want++ {
				}
			}
			if got := m.mustReach(0, from, sure); got != want {
				t.Fatalf("try %d: from %d with %d sure: %d, want %d (%v)",
					try, from, sure, got, want, m.fillers[0])
			}
		}
	}
}

// TestTopUpAgainstTryingAll compares the goods that close a gap with trying
// every multiset.
func TestTopUpAgainstTryingAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for try := range 500 {
		var items []topUpItem
		for i := range 1 + rng.IntN(4) {
			left := int64(1 + rng.IntN(8))
			if rng.IntN(4) == 0 {
				left = math.MaxInt64
			}
			items = append(items, topUpItem{int32(i), int64(1 + rng.IntN(30)), left})
		}
		gap := int64(1 + rng.IntN(60))
		want, found := topUp{}, false
		var all func(i int, sum, boxes int64)
		all = func(i int, sum, boxes int64) {
			if sum >= gap {
				if c := (topUp{sum, boxes}); !found || c.less(want) {
					want, found = c, true
				}
				return
			}
			if i == len(items) {
				return
			}
			for k := range min(items[i].left, gap-sum) + 1 { // each is worth 1 at least
				all(i+1, sum+k*items[i].price, boxes+k)
			}
		}
		all(0, 0, 0)
		m := &model{topUps: &topUps{}}
		got, fills, ok := m.fillWith(items, gap)
		if ok != found || ok && got != want {
			t.Fatalf("try %d: %v to close %d: got %v %v, want %v %v", try, items, gap, got, ok, want, found)
		}
		checkFills(t, items, got, fills)
		good, fills, ok := fillGreedy(items, gap)
		if ok != found || ok && (good.less(want) || good.cost >= gap+30) {
			t.Fatalf("try %d: %v to close %d well: got %v %v, best %v %v",
				try, items, gap, good, ok, want, found)
		}
		checkFills(t, items, good, fills)
	}
}

// TestTopUpBeyondTheTable looks at gaps too wide for a table: the answer is
// then a good one and the model remembers, and none only where there is none.
func TestTopUpBeyondTheTable(t *testing.T) {
	for _, c := range []struct {
		name  string
		items []topUpItem
		gap   int64
		want  topUp
		found bool
		rough bool
	}{
		{"a last cheap good runs out", []topUpItem{{0, 10_000_001, 2}, {1, 3_000_000, 1}}, 18_000_000,
			topUp{20_000_002, 2}, true, true},
		{"all goods are too few", []topUpItem{{0, 10_000_001, 1}, {1, 3_000_000, 1}}, 18_000_000, topUp{},
			false, false},
		{"more boxes than are counted", []topUpItem{{0, 1, math.MaxInt64}}, 1 << 33, topUp{}, false, true},
	} {
		m := &model{topUps: &topUps{}}
		got, fills, ok := m.fillWith(c.items, c.gap)
		if got != c.want || ok != c.found || m.rough() != c.rough {
			t.Errorf("%s: got %v %v rough %v, want %v %v rough %v",
				c.name, got, ok, m.rough(), c.want, c.found, c.rough)
		}
		checkFills(t, c.items, got, fills)
	}
}

// checkFills checks that the goods named are there and come to what is told.
func checkFills(t *testing.T, items []topUpItem, told topUp, fills []fill) {
	t.Helper()
	var sum topUp
	seen := map[int32]bool{}
	for _, f := range fills {
		sum.cost += int64(f.count) * items[f.orig].price
		sum.boxes += int64(f.count)
		if int64(f.count) > items[f.orig].left || f.count <= 0 || seen[f.orig] {
			t.Fatalf("%v: an item twice, not at all or more of it than there is: %v", items, fills)
		}
		seen[f.orig] = true
	}
	if sum != told {
		t.Fatalf("%v: the goods named come to %v, told %v", items, sum, told)
	}
}
