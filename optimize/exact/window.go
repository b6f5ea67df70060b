package exact

import (
	"context"
	"math/rand/v2"
	"slices"
)

// Large problems leave so much open that good plans hardly come of the search
// itself. What it proves in moments for some hundred needs makes a plan better a
// window at a time, though: some needs that share paints are open, with the boxes
// that hold these, and all else stays as the plan has it. (Large neighbourhood
// search, Shaw 1998; the repair is this search.)
const (
	windowNeeds = 120
	windowNodes = 30
	// Share of the other paints of which any shop may sell the boxes: an order
	// held at its threshold lets go of one only for another.
	windowSell = 0.1
)

// Every other window opens some sets: one set for another changes the pots of all
// their paints, which a window of neighbouring needs does a step at a time or not
// at all.
const (
	windowSets     = 4   // half of them in the plan
	windowSetNeeds = 160 // or what the sets' paints are used for, where that is more
)

// windowsAbreast is how many windows are tried at once, all on one plan. It does
// not depend on the number of threads, so neither does what they find.
const windowsAbreast = 4

// windowIdle is after how many rounds without a find it is given up.
const windowIdle = 8

// vicinity is where the plans beside one are looked for: what a node allows.
type vicinity struct {
	s    *search
	from *domain
	mu   *multipliers
}

// glance is what a look through one window needs to know, and what it found.
type glance struct {
	vicinity
	ctx    context.Context
	plan   *solution
	weight float64

	found  *solution // better than plan, in its model; nil where there is none
	foundW float64
	work   int64 // evaluations
}

// windowRounds is how long plans are looked for through windows.
type windowRounds struct {
	seed    uint64
	count   int
	threads int
}

// windows goes over a plan in rounds; nil where the plan stays the best.
func (k *worker) windows(
	ctx context.Context, v vicinity, plan *solution, r windowRounds,
) (best *solution, weight float64) {
	s := v.s
	best, weight = plan.in(s.m), s.weight(plan.cost)
	if best == nil {
		return nil, 0
	}
	found := false
	for round, idle := 0, 0; round < r.count && idle < windowIdle && !ended(ctx); round++ {
		idle++
		var looks [windowsAbreast]glance
		parallel(r.threads, windowsAbreast, func(_, i int) {
			g := &looks[i]
			*g = glance{vicinity: v, ctx: ctx, plan: best, weight: weight}
			g.look(rand.New(rand.NewPCG(r.seed, uint64(round*windowsAbreast+i))), i%2 == 1)
		})
		base := best
		for i := range looks {
			g := &looks[i]
			k.windowWork += g.work
			if g.found == nil {
				continue
			}
			if best != base {
				g.found, g.foundW = s.both(base, best, g.found)
			}
			if g.found != nil && g.foundW < weight {
				best, weight, found, idle = g.found, g.foundW, true, 0
			}
		}
	}
	if !found {
		return nil, 0
	}
	return best, weight
}

// both is the plan with what two others change of a base; nil where the two
// changes don't go together.
func (s *search) both(base, one, other *solution) (*solution, float64) {
	x, choice := slices.Clone(one.x), slices.Clone(one.choice)
	for j := range x {
		if x[j] += other.x[j] - base.x[j]; x[j] < 0 || x[j] > s.m.limit[j] {
			return nil, 0
		}
	}
	for n, o := range other.choice {
		if o != base.choice[n] {
			choice[n] = o
		}
	}
	if !s.m.enough(x, choice) {
		return nil, 0
	}
	return s.worthOf(x, choice)
}

// look searches one window for a better plan.
func (g *glance) look(rng *rand.Rand, sets bool) {
	m, d := g.s.m, g.from.clone()
	var open, free []bool
	if sets {
		open, free = openSets(m, d, g.plan, rng)
	}
	if open == nil {
		open, free = openWindow(m, rng)
	}
	for n, o := range g.plan.choice {
		if !open[n] && d.alive[o] {
			decision{optionTaken, o, 0}.apply(m, d)
		}
	}
	resell := make([]bool, len(m.have))
	for q := range resell {
		resell[q] = rng.Float64() < windowSell
	}
	for j, x := range g.plan.x {
		held := m.conPaint[m.conStart[j]:m.conStart[j+1]]
		any := len(held) == 1 && resell[held[0]]
		for _, q := range held {
			any = any || free[q]
		}
		if !any && d.lo[j] <= x && x <= d.hi[j] {
			d.lo[j], d.hi[j] = x, x
		}
	}
	g.plan.settle(d)
	if !m.propagate(d, newFacts(m)) {
		return
	}
	small, d, mu := m.shrink(d, g.mu)
	w := newWorker(small, g.s.w)
	sub := &search{
		m:         small,
		w:         g.s.w,
		grain:     g.s.grain,
		incumbent: g.plan,
		upper:     g.weight,
		limit:     windowNodes,
		inner:     true,
		linear:    g.s.linear,
		moneyMost: g.s.moneyMost,
		workers:   []*worker{w},
	}
	sub.runFrom(g.ctx, d, mu)
	g.work = w.effort()
	if sub.incumbent != g.plan {
		g.found, g.foundW = sub.incumbent.in(m), sub.upper
	}
}

// openWindow picks needs that hang together by paints, from one with a choice
// on, and the paints that their options take.
func openWindow(m *model, rng *rand.Rand) (open, free []bool) {
	first := int32(rng.IntN(len(m.members)))
	for range m.members {
		if m.optStart[first+1]-m.optStart[first] > 1 {
			break
		}
		first = (first + 1) % int32(len(m.members))
	}
	open, free = make([]bool, len(m.members)), make([]bool, len(m.have))
	open[first] = true
	widen(m, rng, []int32{first}, open, free, windowNeeds)
	return open, free
}

// openSets picks sets of several paints, some that the plan buys and some that
// it might, the needs of their paints, and what hangs together with these; nil
// where there is no set to decide on.
func openSets(m *model, d *domain, plan *solution, rng *rand.Rand) (open, free []bool) {
	var sets [2][]int32 // not bought, bought
	for j := range m.price {
		if m.conStart[j+1]-m.conStart[j] > 1 && d.lo[j] < d.hi[j] {
			sets[min(plan.x[j], 1)] = append(sets[min(plan.x[j], 1)], int32(j))
		}
	}
	if len(sets[0])+len(sets[1]) == 0 {
		return nil, nil
	}
	var first []int32
	open, free = make([]bool, len(m.members)), make([]bool, len(m.have))
	for i := range windowSets {
		from := sets[i%2]
		if len(from) == 0 {
			from = sets[1-i%2]
		}
		j := from[rng.IntN(len(from))]
		for _, q := range m.conPaint[m.conStart[j]:m.conStart[j+1]] {
			free[q] = true
			for _, pu := range m.byPaint[q] {
				if n := m.optNeed[pu.opt]; !open[n] {
					open[n] = true
					first = append(first, n)
				}
			}
		}
	}
	widen(m, rng, first, open, free, windowSetNeeds)
	return open, free
}

// widen opens, up to most in all, needs that have a paint in common with those
// open, which are in the queue, and frees the paints of all.
func widen(m *model, rng *rand.Rand, queue []int32, open, free []bool, most int) {
	for at := 0; at < len(queue); at++ {
		n := queue[at]
		for _, q := range m.usePaint[m.useStart[m.optStart[n]]:m.useStart[m.optStart[n+1]]] {
			free[q] = true
			for _, i := range rng.Perm(len(m.byPaint[q])) {
				if next := m.optNeed[m.byPaint[q][i].opt]; !open[next] && len(queue) < most {
					open[next] = true
					queue = append(queue, next)
				}
			}
		}
	}
}

// settle decides shops and bands as the plan has them, as far as the domain
// allows it.
func (s *solution) settle(d *domain) {
	m := s.m
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		goods, boxes := int64(0), int32(0)
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			goods += int64(s.x[j]) * m.price[j]
			boxes += s.x[j]
		}
		if boxes == 0 {
			if d.closed[h] {
				d.shut(m, h)
			}
			continue
		}
		at := int16(0)
		for k, b := range m.bands[h] {
			if b.From <= goods {
				at = int16(k)
			}
		}
		d.closed[h] = false
		if d.bandLo[h] <= at && at <= d.bandHi[h] {
			d.bandLo[h], d.bandHi[h] = at, at
		}
	}
}
