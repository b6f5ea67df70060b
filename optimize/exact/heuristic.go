package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/internal/flat"
)

// rootStart gives the first multipliers: each need is worth its cheapest
// option's share of the pots it takes, and the whole of those it takes many of.
func (k *worker) rootStart(s *search, d *domain) {
	m := s.m
	users := make([]float64, len(m.have))
	cheap, perUL := make([]float64, len(m.have)), make([]float64, len(m.have))
	for q := range cheap {
		cheap[q], perUL[q] = math.Inf(1), math.Inf(1)
		users[q] = float64(len(m.byPaint[q]))
		for _, c := range m.sources[q] {
			if price := float64(m.price[c.off]) * s.w.money; d.hi[c.off] > 0 {
				cheap[q] = min(cheap[q], price)
				perUL[q] = min(perUL[q], price/float64(c.ul))
			}
		}
	}
	for n := range m.members {
		least := math.Inf(1)
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			c := float64(m.optPts[o]) * (float64(m.cp)*s.w.money + s.w.point)
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				if q := m.usePaint[u]; m.useUL[u] > m.have[q] && !math.IsInf(cheap[q], 1) {
					c += max(cheap[q]/users[q], float64(m.useUL[u])*perUL[q]-4*cheap[q])
				}
			}
			least = min(least, c)
		}
		k.mu.need[n] = math.Floor(least/s.w.quantum) * s.w.quantum
	}
}

// heuristics builds plans near the relaxed answer.
func (k *worker) heuristics(s *search, d *domain, hard bool) (best *solution, weight float64) {
	return k.construct(s, d, k.volume, hard)
}

// construct builds a plan in the domain, guided by the averaged relaxed answer
// where there is one: which shops it uses, what their bands take off, and
// which boxes it buys.
func (k *worker) construct(s *search, d *domain, a *volumeAlgorithm, hard bool) (best *solution, weight float64) {
	m, b := s.m, k.build
	weight = math.Inf(1)
	share := 0.3
	try := func(open func(h int) bool, threshold float64) {
		if best != nil && ended(s.ctx) {
			return
		}
		k.costs(s, d, a, share, open)
		clear(k.x)
		if a != nil {
			for j, orig := range k.relax.offs {
				if a.x[j] >= threshold {
					k.x[orig] = int32(math.Ceil(a.x[j] - 0.5))
				}
			}
		}
		b.start(d, k.x)
		k.needOrder(m, a)
		if a != nil {
			k.follow(a)
		}
		if !b.fillNeeds(k.order) {
			return
		}
		b.undo = b.undo[:0]
		b.polish(6)
		k.fewerShops(s, d)
		if k.ann.exact() >= weight {
			return // not even if every order came out just right
		}
		if sol, w := s.worthOf(b.x, b.choice); sol != nil && w < weight {
			best, weight = sol, w
		}
	}
	if a == nil {
		for h := range m.bands {
			try(func(g int) bool { return g == h || !d.closed[g] }, 2)
		}
		try(func(int) bool { return true }, 2)
		return best, weight
	}
	for _, t := range []float64{0.5, 0.8, 2} {
		try(func(h int) bool { return !d.closed[h] || a.used[h] > 0.3 }, t)
	}
	try(func(h int) bool { return !d.closed[h] || a.used[h] > 0.7 }, 0.7)
	if hard && best != nil {
		rounds := min(annealMost, s.thorough().rounds*len(s.m.members))
		usual := cooling{rounds: rounds, seed: uint64(len(s.m.price)), warm: usualWarm}
		if sol, w := k.anneal(s, d, best, usual); sol != nil && w < weight {
			best, weight = sol, w
		}
	}
	if gap := s.upper - a.best.value; best != nil && weight < s.upper+gap {
		if sol, w := k.sellAnew(s, a, best); sol != nil && w < weight {
			best, weight = sol, w
		}
	}
	return best, weight
}

// sellAnew is a plan with the same boxes from other shops; nil where none is better.
func (k *worker) sellAnew(s *search, a *volumeAlgorithm, plan *solution) (*solution, float64) {
	if plan.m != s.m {
		return nil, 0
	}
	if k.reshop == nil || k.reshop.m != s.m {
		k.reshop = newReshop(s.m, k.ann.cheapest)
	}
	x := slices.Clone(plan.x)
	if !k.reshop.run(x, func(h int32) float64 { return a.best.shop[h].nu }) {
		return nil, 0
	}
	return s.worthOf(x, plan.choice)
}

// costs sets what the builder reckons a box costs, for the given open shops.
func (k *worker) costs(s *search, d *domain, a *volumeAlgorithm, share float64, open func(h int) bool) {
	m, b := s.m, k.build
	for h := range m.bands {
		ok := !d.unused(h) && open(h)
		nu := 0.0
		if ok && a != nil {
			nu = min(a.best.shop[h].nu, 0.5)
		}
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			b.cost[j] = math.Inf(1)
			if ok {
				b.cost[j] = float64(m.price[j])*s.w.money*(1-nu) + s.w.box
			}
		}
	}
	copy(b.look, b.cost)
	clear(b.shade)
	if a == nil {
		return
	}
	k.relax.shade(a.best, b.shade)
	for i, j := range k.relax.offs {
		if !math.IsInf(b.cost[j], 1) {
			red := a.best.first[i] - a.best.shop[m.offShop[j]].nu*k.relax.offPrice[i]
			b.look[j] = share*b.cost[j] + (1-share)*max(0, min(red, b.cost[j]))
		}
	}
}

// needOrder takes needs with few options first, then dear ones.
func (k *worker) needOrder(m *model, a *volumeAlgorithm) {
	k.order = k.order[:0]
	for n := range m.members {
		k.order = append(k.order, int32(n))
	}
	slices.SortStableFunc(k.order, func(x, y int32) int {
		return cmp.Compare(m.optStart[x+1]-m.optStart[x], m.optStart[y+1]-m.optStart[y])
	})
}

// fewerShops tries to do without each used shop.
func (k *worker) fewerShops(s *search, d *domain) {
	m, b := s.m, k.build
	for h := range m.bands {
		if !d.closed[h] || ended(s.ctx) {
			continue
		}
		at, end := m.shopStart[h], m.shopStart[h+1]
		boxes := int32(0)
		for j := at; j < end; j++ {
			boxes += b.x[j]
		}
		if boxes == 0 {
			continue
		}
		before := k.ann.exact()
		x, choice := slices.Clone(b.x), slices.Clone(b.choice)
		cost, look := slices.Clone(b.cost[at:end]), slices.Clone(b.look[at:end])
		for j := at; j < end; j++ {
			b.cost[j], b.look[j] = math.Inf(1), math.Inf(1)
		}
		b.start(d, x) // leaves this shop's boxes out
		if b.fillNeeds(k.order) {
			b.undo = b.undo[:0]
			b.polish(3)
			if k.ann.exact() < before {
				continue
			}
		}
		copy(b.cost[at:end], cost)
		copy(b.look[at:end], look)
		b.start(d, x)
		for n, o := range choice {
			b.choose(int32(n), o)
		}
		b.undo = b.undo[:0]
	}
}

// annealMost bounds the rounds of one annealing.
const annealMost = 20000

// anneal improves a plan by ruin and recreate within the domain.
func (k *worker) anneal(s *search, d *domain, plan *solution, c cooling) (*solution, float64) {
	b := k.build
	if plan = plan.in(s.m); plan == nil {
		return nil, 0
	}
	k.costs(s, d, k.volume, 0.3, func(h int) bool { return true })
	b.start(d, plan.x)
	for n, o := range plan.choice {
		if d.alive[o] && b.fits(o) { // the domain may leave out some of its boxes
			b.choose(int32(n), o)
		}
	}
	k.needOrder(s.m, nil)
	if !b.fillNeeds(k.order) {
		return nil, 0
	}
	return k.ann.run(s, c)
}

// follow gives each need the option that the averaged answer likes best, where
// the boxes at hand allow it.
func (k *worker) follow(a *volumeAlgorithm) {
	r, b := &k.relax, k.build
	k.likes = flat.Resize(k.likes, len(b.choice))
	for n := range k.likes {
		k.likes[n] = like{-1, 0.3}
	}
	for i, o := range r.oneOpt {
		if n := r.needs[r.oneNeed[i]]; a.yOne[i] > k.likes[n].share {
			k.likes[n] = like{o, a.yOne[i]}
		}
	}
	for i, o := range r.anyOpt {
		if n := r.needs[r.anyNeed[i]]; a.y[i] > k.likes[n].share {
			k.likes[n] = like{o, a.y[i]}
		}
	}
	for _, n := range k.order {
		o := k.likes[n].opt
		if o < 0 || b.choice[n] >= 0 {
			continue
		}
		if b.fits(o) {
			b.choose(n, o)
		}
	}
}

type like struct {
	opt   int32
	share float64
}
