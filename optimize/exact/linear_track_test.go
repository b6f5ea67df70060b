package exact

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
)

// tracker follows best plans through a search by the linear relaxation: where a node's
// bounds let one in, no row may cut it off, the bound may not lie above it, and what the
// bound rules out may not rule it out.
type tracker struct {
	t     *testing.T
	name  string
	plans []*solution
	looks int // nodes that held one, each time their relaxation was solved
}

func (k *tracker) watch(s *search, p *program, d *domain, cut float64) {
	l, m := p.l, s.m
	for _, plan := range k.plans {
		plan = plan.in(m)
		if plan == nil || s.moneyMost != noCap && plan.cost.money > s.moneyMost {
			continue
		}
		goods := goodsOf(m, plan.x, plan)
		v := l.termsOf(plan.x, plan.choice, goods)
		for j, n := range plan.x {
			goods[m.offShop[j]] -= int64(n) * m.price[j]
		}
		for h, extra := range goods { // whole boxes, to be on one side of each split on what they cost
			v[l.extraAt+int32(h)] = max(v[l.extraAt+int32(h)], extra)
		}
		inside := true
		for t, value := range v {
			lo, hi := l.value[t], l.value[t]
			if c := l.col[t]; c >= 0 {
				col := p.column(c)
				lo, hi = col.Lower, col.Upper
			}
			inside = inside && value >= lo && value <= hi
		}
		for _, r := range p.rows { // a plan on the other side of a split is in another node
			inside = inside && (r.kind != sumRow || l.brokenBy(v, []*linearRow{r}) == nil)
		}
		if !inside {
			continue
		}
		k.looks++
		if r := l.brokenBy(v, p.rows); r != nil {
			k.t.Fatalf("%s: row %+v cuts off boxes %v, options %v", k.name, *r, plan.x, plan.choice)
		}
		weight := s.weight(plan.cost)
		if p.bound > weight {
			k.t.Fatalf("%s: bound %v above a plan of %v", k.name, p.bound, weight)
		}
		if weight <= cut && !d.holds(m, plan) {
			k.t.Fatalf("%s: boxes %v, options %v ruled out below %v; they weigh %v, bound %v",
				k.name, plan.x, plan.choice, cut, weight, p.bound)
		}
	}
}

// holds says whether a plan is in the domain, the bands of its orders included.
func (d *domain) holds(m *model, plan *solution) bool {
	if !d.allows(m, plan) {
		return false
	}
	used := make([]bool, len(m.bands))
	goods := goodsOf(m, plan.x, plan)
	for j, n := range plan.x {
		used[m.offShop[j]] = used[m.offShop[j]] || n > 0
	}
	for h := range used {
		if !used[h] && goods[h] == 0 {
			if !d.closed[h] {
				return false
			}
			continue
		}
		at := int16(0)
		for b := range m.bands[h] {
			if m.bands[h][b].From <= goods[h] {
				at = int16(b)
			}
		}
		if d.unused(h) || at < d.bandLo[h] || at > d.bandHi[h] {
			return false
		}
	}
	return true
}

// ways is how many ways of searching there are, passedWay that in which nodes are passed on.
const (
	ways      = 5
	passedWay = 2
)

// track searches with the linear relaxation forced on, in one of several ways, and the plans
// followed, of which the first is best and the last may be any.
func track(t *testing.T, way uint64, name string, m *model, plans []*solution) (looks int) {
	k := &tracker{t: t, name: name, plans: plans}
	linearWatch = k.watch
	defer func(small linearCare) { linearWatch, smallCare = nil, small }(smallCare)
	h := hunt{m: m, threads: 1}
	with := func(t *testing.T, test func(t *testing.T)) { withLinear(t, true, test) }
	switch way % ways {
	case 1:
		with = withGuesses
	case passedWay:
		with = withPassing
	case 3: // as large problems are searched, but for shops, which are tried all the same
		pivots := smallCare.probePivots
		smallCare = wholeCare
		smallCare.probePivots = pivots
	case 4: // from a dear plan, and looking for none
		blind = true
		defer func() { blind = false }()
		h.seed = plans[len(plans)-1]
	}
	with(t, func(t *testing.T) {
		if a := h.run(t.Context()); a.proven < 4 || plans[0].cost.less(a.best.cost) {
			t.Fatalf("%s: levels %d, best %+v, known %v", name, a.proven, a.best, plans[0].cost)
		}
	})
	return k.looks
}

// TestLinearKeepsBestPlans follows all cheapest plans of enumerated tiny problems, and a
// best plan, found without the relaxation, of larger ones.
func TestLinearKeepsBestPlans(t *testing.T) {
	var looks [ways]int
	for seed := range uint64(testkit.Few(150, 5000)) {
		p := tinyPots(rand.New(rand.NewPCG(seed, 69)))
		if seed%2 == 0 { // much costs the same, and the later levels decide
			for i := range p.Offers {
				p.Offers[i].Price = 4
			}
		}
		m, err := compile(p, nil)
		if err != nil || len(m.members) == 0 {
			continue
		}
		var best []*solution
		var dearest *solution
		least := int64(math.MaxInt64)
		eachPlan(m, func(_, _ []int32, sol *solution, _ []int64) {
			if dearest == nil || dearest.cost.less(sol.cost) {
				dearest = sol
			}
			if sol.cost.money < least {
				best, least = nil, sol.cost.money
			}
			if sol.cost.money == least {
				best = append(best, sol)
			}
		})
		if len(best) > 0 {
			for i := range best {
				if best[i].cost.less(best[0].cost) {
					best[0], best[i] = best[i], best[0]
				}
			}
			looks[seed%ways] += track(t, seed, fmt.Sprint("tiny problem ", seed), m, append(best, dearest))
		}
	}
	looks[passedWay]++ // most tiny problems end before a node can be passed on
	if slices.Contains(looks[:], 0) {
		t.Errorf("nodes of tiny problems looked at, by way of searching: %v", looks)
	}
	var made [ways]int
	for seed := range uint64(testkit.Few(8, 200)) {
		shape := testkit.CrossShape(seed)
		shape.Budget = false
		m, err := compile(generate.Problem(seed, shape), nil)
		if err != nil {
			continue
		}
		var a answer
		withLinear(t, false, func(t *testing.T) { a = (&hunt{m: m, threads: 1}).run(t.Context()) })
		if a.best != nil && a.proven == 4 {
			made[seed%ways] += track(t, seed, fmt.Sprint("made-up problem ", seed), m, []*solution{a.best.in(m)})
		}
	}
	if slices.Contains(made[:], 0) {
		t.Errorf("nodes of made-up problems looked at, by way of searching: %v", made)
	}
}
