package exact

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/internal/testkit"
	"halfpot/optimize/lp"
)

// family is a way in which a node's relaxation is tightened, narrowed or split.
type family string

// families are all of them.
var families = []family{
	"rows of the form", "rows put in when broken", "rows of the tableau", "paints", "sets",
	"sets where the shelf runs out", "bands too dear", "bands too dear at once", "clusters", "bounds",
	"reduced costs", "shops tried at the root", "shops settled", "terms split", "sums split",
	"thresholds split", "branches", "forced by branches", "forced by trials", "rows in a smaller model",
}

// nodePlans are the plans of one node of a tiny problem, and what its relaxation is asked.
type nodePlans struct {
	t     *testing.T
	seed  uint64
	m     *model
	s     *search
	k     *worker
	p     *program
	d     *domain
	plans []nodePlan
	count map[family]int
}

// nodePlan is a plan with its values of all terms, and what it weighs.
type nodePlan struct {
	sol    *solution
	v      []int64
	weight float64
}

// upTo are the plans that weigh no more than cut.
func (n *nodePlans) upTo(cut float64) (out []nodePlan) {
	for _, p := range n.plans {
		if p.weight <= cut {
			out = append(out, p)
		}
	}
	return out
}

// rows holds a family's rows against the plans.
func (n *nodePlans) rows(f family, rows []*linearRow, plans []nodePlan) {
	n.count[f] += len(rows)
	for _, p := range plans {
		if r := n.p.l.brokenBy(p.v, rows); r != nil {
			n.t.Fatalf("seed %d, %s: row %+v cuts off boxes %v, options %v", n.seed, f, *r, p.sol.x, p.sol.choice)
		}
	}
}

// sides wants each of the plans on one of the sides of a split, where what is known of the
// bound of the side is not above it.
func (n *nodePlans) sides(f family, children []child, plans []nodePlan) {
	n.count[f] += len(children)
	for _, p := range plans {
		in := false
		for _, c := range children {
			if p.weight < c.bound {
				continue
			}
			if c.row != nil {
				in = in || n.p.l.brokenBy(p.v, []*linearRow{c.row}) == nil
				continue
			}
			d := n.d.clone()
			c.apply(n.m, d)
			in = in || d.holds(n.m, p.sol)
		}
		if !in {
			n.t.Fatalf("seed %d, %s: boxes %v, options %v of weight %v are on no side of %+v", n.seed, f, p.sol.x, p.sol.choice, p.weight, children)
		}
	}
}

// left wants all the plans still in a domain that was narrowed.
func (n *nodePlans) left(f family, d *domain, plans []nodePlan) {
	n.count[f]++
	for _, p := range plans {
		if !d.holds(n.m, p.sol) {
			n.t.Fatalf("seed %d, %s: boxes %v, options %v are ruled out", n.seed, f, p.sol.x, p.sol.choice)
		}
	}
}

// forced is left after decisions.
func (n *nodePlans) forced(f family, forced []decision, plans []nodePlan) {
	if len(forced) == 0 {
		return
	}
	d := n.d.clone()
	for _, c := range forced {
		c.apply(n.m, d)
	}
	n.left(f, d, plans)
}

// newNodePlans lays out the relaxation of a node some random decisions below the root, and
// lists its plans; nil where there are none.
func newNodePlans(t *testing.T, seed uint64, m *model, rng *rand.Rand, count map[family]int) *nodePlans {
	ph := m.weighing(0, nil, 4)
	n := &nodePlans{t: t, seed: seed, m: m, k: newWorker(m, ph.w), d: newDomain(m), count: count}
	n.s = &search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1), linear: true, small: true, moneyMost: noCap}
	n.s.resetPseudocosts()
	if rng.IntN(2) == 0 {
		n.s.ends[0].tried = 1 << 20 // no endgames, for which shops would be settled first
	}
	for range rng.IntN(3) {
		j, o, h, q := rng.Int32N(int32(len(m.price))), rng.Int32N(int32(len(m.optNeed))), rng.Int32N(int32(len(m.bands))), rng.Int32N(int32(len(m.have)))
		[]decision{
			{offerAtMost, j, 1}, {offerAtLeast, j, 1}, {optionLeft, o, 0}, {shopUsed, h, 0},
			{bandAtMost, h, 0}, {bandAtLeast, h, int32(len(m.bands[h]) - 1)}, {paintAtMost, q, 2},
		}[rng.IntN(7)].apply(m, n.d)
	}
	whole := n.d.clone()
	if !m.propagate(n.d, n.k.facts) {
		return nil
	}
	n.k.relax.build(m, n.s.w, n.d, n.k.facts)
	l := newLinear(m, n.s.w, n.d, n.k.facts, noCap)
	if n.p = newProgram(l); n.p == nil {
		t.Fatal("too large")
	}
	n.p.stop, n.p.tries, n.k.program = func() bool { return false }, 50, n.p
	least, leastLeft := math.Inf(1), math.Inf(1)
	eachPlan(m, func(x, choice []int32, sol *solution, goods []int64) {
		if !whole.holds(m, sol) {
			return
		}
		least = min(least, n.s.weight(sol.cost))
		if !n.d.holds(m, sol) { // boxes that nobody needs are ruled out
			return
		}
		leastLeft = min(leastLeft, n.s.weight(sol.cost))
		p := nodePlan{sol, l.termsOf(x, choice, goods), n.s.weight(sol.cost)}
		for h := range goods { // whole boxes, to be on one side of each split on what they cost
			boxes := int64(0)
			for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
				boxes += int64(x[j]) * m.price[j]
			}
			p.v[l.extraAt+int32(h)] = max(p.v[l.extraAt+int32(h)], goods[h]-boxes)
		}
		n.plans = append(n.plans, p)
	})
	if leastLeft > least {
		t.Fatalf("seed %d: a plan of %v is ruled out at once", seed, least)
	}
	if len(n.plans) == 0 {
		return nil
	}
	// Of many, the cheapest and some others will do.
	slices.SortStableFunc(n.plans, func(a, b nodePlan) int { return cmp.Compare(a.weight, b.weight) })
	most := testkit.Few(60, 300)
	rest := n.plans[min(most/2, len(n.plans)):]
	rng.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
	n.plans = n.plans[:min(most, len(n.plans))]
	return n
}

// look holds everything that is made of the relaxation's present answer against the plans.
func (n *nodePlans) look(rng *rand.Rand) (again bool) {
	p, l, s := n.p, n.p.l, n.s
	if p.solve(20000) != lp.Optimal {
		n.t.Fatalf("seed %d: a node with plans has no answer", n.seed)
	}
	some := n.plans[rng.IntN(len(n.plans))]
	if rng.IntN(3) > 0 { // little room, for more to be ruled out
		for _, plan := range n.plans {
			if plan.weight < some.weight {
				some = plan
			}
		}
	}
	cut := some.weight + float64(rng.IntN(3))*s.grain
	in := n.upTo(cut)
	for _, plan := range n.plans {
		if n.count["bounds"]++; p.bound > plan.weight {
			n.t.Fatalf("seed %d: bound %v above a plan of %v", n.seed, p.bound, plan.weight)
		}
	}

	linked := p.l.links(p.v, nil)
	var cuts []*linearRow
	made := func(f family, rows []*linearRow) {
		n.rows(f, rows, n.plans)
		cuts = append(cuts, rows...)
	}
	var tableau []*linearRow
	for _, r := range p.lp.BasisRows(50) {
		tableau = append(tableau, l.fromColumns(r))
	}
	made("rows of the tableau", tableau)
	made("clusters", p.clusterRows(max(1, cut-p.bound)))

	p.bills = n.m.bandBills(n.d, float64(some.sol.cost.money))
	if d := n.d.clone(); p.bills.drop(n.m, d) {
		n.left("bands too dear", d, n.paidBy(some))
	}

	if d := n.d.clone(); p.fix(d, cut+s.grain/2) {
		n.left("reduced costs", d, in)
	}
	visit := &linearVisit{k: n.k, s: s, p: p, d: n.d.clone(), cutoff: cut}
	if visit.probe(100) {
		n.left("shops tried at the root", visit.d, in)
	}
	p.lp.Limit(cut-float64(l.base)+s.grain/2, p.stop)
	if children, forced := n.k.settleShops(s, n.d, cut); children != nil {
		n.forced("shops settled", forced, in)
		n.sides("shops settled", children, in)
	}
	if splits := n.k.linearSplits(s, n.d); p.lp.Mark() {
		trials := linearTrials{k: n.k, s: s, cut: cut}
		for i := range splits {
			trials.try(&splits[i])
		}
		n.forced("forced by trials", trials.forced, in)
	}
	if children, forced := n.k.linearBranch(s, n.d, cut); children != nil {
		n.sides("branches", children, in)
		n.forced("forced by branches", forced, in)
	}
	p.lp.Limit(math.Inf(1), p.stop)
	cuts = append(cuts, n.separate(some)...)
	answer := slices.Clone(p.v)
	for range 3 {
		for t, c := range l.col {
			if c >= 0 && rng.IntN(3) == 0 {
				p.v[t] = max(0, p.v[t]+rng.Float64()-0.5)
			}
		}
		n.separate(some)
	}
	copy(p.v, answer)
	return p.put(append(linked, p.choose(cuts)...)) > 0
}

// shrink takes all rows over to a smaller model, in which some of what is open is ruled out.
func (n *nodePlans) shrink(rng *rand.Rand) {
	d := n.d.clone()
	for o := range d.alive {
		d.alive[o] = d.alive[o] && rng.IntN(4) > 0
	}
	for j := range d.hi {
		if d.lo[j] == 0 && rng.IntN(4) == 0 {
			d.hi[j] = 0
		}
	}
	m, e, _ := n.m.shrink(d, newMultipliers(n.m))
	facts := newFacts(m)
	if !m.propagate(e, facts) {
		return
	}
	l := newLinear(m, n.s.w, e, facts, noCap)
	rows := l.translate(n.p.l, n.p.rows)
	n.count["rows in a smaller model"] += len(rows)
	for _, p := range n.plans {
		plan := p.sol.in(m)
		if plan == nil || !d.holds(n.m, p.sol) || !e.holds(m, plan) {
			continue
		}
		goods := goodsOf(m, plan.x, plan)
		if r := l.brokenBy(l.termsOf(plan.x, plan.choice, goods), rows); r != nil {
			n.t.Fatalf("seed %d: in a smaller model, row %+v cuts off boxes %v, options %v", n.seed, *r, plan.x, plan.choice)
		}
	}
}

// paidBy are the plans that cost no more than another one.
func (n *nodePlans) paidBy(dear nodePlan) (out []nodePlan) {
	for _, plan := range n.plans {
		if plan.sol.cost.money <= dear.sol.cost.money {
			out = append(out, plan)
		}
	}
	return out
}

// separate holds the rows and splits that come from values alone against the plans, be
// these an answer's or not.
func (n *nodePlans) separate(dear nodePlan) (cuts []*linearRow) {
	p := n.p
	made := func(f family, rows []*linearRow) {
		n.rows(f, rows, n.plans)
		cuts = append(cuts, rows...)
	}
	n.rows("rows put in when broken", p.l.links(p.v, nil), n.plans)
	made("paints", p.sets.paintRows(p.v, nil))
	made("sets", p.sets.rows(p.v, nil))
	var shelf []*linearRow
	p.sets.seen = map[uint64]bool{}
	for q := range int32(len(n.m.have)) {
		if p.sets.runsOut(q) {
			shelf = p.sets.grow(q, shelf)
		}
	}
	made("sets where the shelf runs out", shelf)
	n.rows("bands too dear at once", p.billRows(nil), n.paidBy(dear))
	none := [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, c := range n.k.linearSplits(n.s, n.d) {
		n.sides("terms split", c.children(none), n.plans)
	}
	for _, c := range p.sumSplits(20) {
		n.sides("sums split", c.children(none), n.plans)
	}
	for _, c := range p.extraSplit() {
		n.sides("thresholds split", c.children(none), n.plans)
	}
	return cuts
}

// moreBands gives the shops of a tiny problem bands that cost as much as its plans do, and
// where third is set there is one shop more.
func moreBands(rng *rand.Rand, p *optimize.Problem, third bool) {
	if third {
		p.Shops = append(p.Shops, optimize.Shop{ID: "more"})
	}
	for i, o := range p.Offers {
		if p.Offers[i].Price += 3; third && i < 2 {
			p.Offers = append(p.Offers, optimize.Offer{Product: o.Product, Shop: "more", Price: o.Price + rng.Int64N(3)})
		}
	}
	for i := range p.Shops {
		fee, from := 4+rng.Int64N(8), int64(0)
		p.Shops[i].Delivery = p.Shops[i].Delivery[:0]
		for range 1 + rng.IntN(3) {
			p.Shops[i].Delivery = append(p.Shops[i].Delivery, optimize.Band{From: from, Fee: fee})
			from, fee = from+6+rng.Int64N(12), fee-1-rng.Int64N(3)
		}
		p.Shops[i].MinOrder = 0
	}
}

// TestEveryFamilyOnAllPlans goes through all plans of nodes of tiny problems: none is cut
// off by a row of any family, ruled out, or left on no side of a split.
func TestEveryFamilyOnAllPlans(t *testing.T) {
	count := map[family]int{}
	for seed := range uint64(testkit.Few(250, 5000)) {
		rng := rand.New(rand.NewPCG(seed, 71))
		p := tinyPots(rng)
		if seed%2 == 0 {
			moreBands(rng, p, seed%8 == 0)
		}
		m, err := compile(p, nil)
		if err != nil || len(m.members) == 0 || len(m.price) == 0 || len(m.have) == 0 {
			continue
		}
		n := newNodePlans(t, seed, m, rng, count)
		if n == nil {
			continue
		}
		var core []*linearRow
		for i := range n.p.l.core {
			core = append(core, &n.p.l.core[i])
		}
		n.rows("rows of the form", core, n.plans)
		for rounds := 0; rounds < 6 && n.look(rng); rounds++ {
		}
		n.shrink(rng)
	}
	for _, f := range families {
		t.Logf("%-30s %d", f, count[f])
		if count[f] == 0 {
			t.Errorf("%s: nothing was tested", f)
		}
	}
}
