package optimize

import (
	"context"
	"math/rand/v2"
)

// Large problems leave so much open that good plans hardly come of the search
// itself. What it proves in moments for some hundred needs makes a plan better a
// window at a time, though: some needs that share paints are open, with the boxes
// that hold these, and all else stays as the plan has it. (Large neighbourhood
// search, Shaw 1998; the repair is this search.)
const (
	windowNeeds = 120
	windowNodes = 60
	// Share of the other paints of which any shop may sell the boxes: an order
	// held at its threshold lets go of one only for another.
	windowSell = 0.1
)

// windows goes over a plan window by window; nil where the plan stays the best.
func (k *worker) windows(ctx context.Context, s *search, from *domain, mu *multipliers, plan *solution, seed uint64, count int) (best *solution, weight float64) {
	best, weight = plan.in(s.m), s.weight(plan.cost)
	if best == nil {
		return nil, 0
	}
	rng := rand.New(rand.NewPCG(seed, 0x3c6ef372fe94f82a))
	found := false
	for range count {
		if ended(ctx) {
			break
		}
		if sol, w := k.window(ctx, s, from, mu, best, weight, rng); sol != nil {
			best, weight, found = sol.in(s.m), w, true
		}
	}
	if !found {
		return nil, 0
	}
	return best, weight
}

// window searches one window for a plan of less than the given weight.
func (k *worker) window(ctx context.Context, s *search, from *domain, mu *multipliers, plan *solution, weight float64, rng *rand.Rand) (*solution, float64) {
	m, d := s.m, from.clone()
	open, free := openWindow(m, rng)
	for n, o := range plan.choice {
		if !open[n] && d.alive[o] {
			decision{optionTaken, o, 0}.apply(m, d)
		}
	}
	resell := make([]bool, len(m.have))
	for q := range resell {
		resell[q] = rng.Float64() < windowSell
	}
	for j, x := range plan.x {
		held := m.conPaint[m.conStart[j]:m.conStart[j+1]]
		any := len(held) == 1 && resell[held[0]]
		for _, q := range held {
			any = any || free[q]
		}
		if !any && d.lo[j] <= x && x <= d.hi[j] {
			d.lo[j], d.hi[j] = x, x
		}
	}
	plan.settle(d)
	if !m.propagate(d, newFacts(m)) {
		return nil, 0
	}
	small, d, mu := m.shrink(d, mu)
	w := newWorker(small, s.w)
	sub := &search{m: small, w: s.w, unit: s.unit, best: plan, ub: weight, limit: windowNodes, inner: true, workers: []*worker{w}}
	sub.runFrom(ctx, d, mu)
	k.windowWork += w.effort()
	if sub.best == plan {
		return nil, 0
	}
	return sub.best, sub.ub
}

// openWindow picks needs that hang together by paints, from one with a choice
// on, and the paints that their options take.
func openWindow(m *model, rng *rand.Rand) (open, free []bool) {
	open, free = make([]bool, len(m.members)), make([]bool, len(m.have))
	first := int32(rng.IntN(len(m.members)))
	for range m.members {
		if m.optStart[first+1]-m.optStart[first] > 1 {
			break
		}
		first = (first + 1) % int32(len(m.members))
	}
	open[first] = true
	queue := []int32{first}
	for at := 0; at < len(queue); at++ {
		n := queue[at]
		for _, q := range m.usePaint[m.useStart[m.optStart[n]]:m.useStart[m.optStart[n+1]]] {
			free[q] = true
			for _, i := range rng.Perm(len(m.byPaint[q])) {
				if next := m.optNeed[m.byPaint[q][i].opt]; !open[next] && len(queue) < windowNeeds {
					open[next] = true
					queue = append(queue, next)
				}
			}
		}
	}
	return open, free
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
