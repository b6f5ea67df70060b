package optimize

import "math"

// branch picks the decision that splits the node, shops and bands first, then
// paints, then the offers that supply them, then options. It returns nil where
// everything is decided.
func (k *worker) branch(s *search, d *domain) []decision {
	m, r, a := s.m, &k.relax, k.asc
	// Shops whose use is in doubt.
	pick, best := -1, 0.02
	for h := range m.bands {
		if d.unused(h) || !d.closed[h] {
			continue
		}
		if f := min(a.used[h], 1-a.used[h]); f > best {
			pick, best = h, f
		}
	}
	if pick >= 0 {
		return []decision{{shopShut, int32(pick), 0}, {shopUsed, int32(pick), 0}}
	}
	for h := range m.bands {
		if d.unused(h) || d.bandLo[h] == d.bandHi[h] || a.used[h] < 0.5 {
			continue
		}
		if d.closed[h] {
			return []decision{{shopShut, int32(h), 0}, {shopUsed, int32(h), 0}}
		}
		at := max(a.best.shop[h].band, d.bandLo[h])
		if at == d.bandLo[h] {
			return []decision{{bandAtMost, int32(h), int32(at)}, {bandAtLeast, int32(h), int32(at) + 1}}
		}
		return []decision{{bandAtMost, int32(h), int32(at) - 1}, {bandAtLeast, int32(h), int32(at)}}
	}
	// Paints of which it is in doubt whether any is bought.
	clear(a.count)
	for j := range r.offs {
		for c := r.conStart[j]; c < r.conStart[j+1]; c++ {
			a.count[r.conPaint[c]] += a.x[j]
		}
	}
	pickQ, score := int32(-1), 0.0
	for q, p := range r.paints {
		if r.multi[q] || a.best.worth[q] == 0 && a.count[q] < 0.01 {
			continue
		}
		f := min(a.count[q], 1)
		if v := (min(f, 1-f) + 0.01) * a.best.worth[q]; v > score && k.canBuy(d, m, p) {
			pickQ, score = p, v
		}
	}
	if pickQ >= 0 {
		return []decision{{paintNone, pickQ, 0}, {paintSome, pickQ, 1}}
	}
	// Offers.
	pickJ, scoreJ, at := int32(-1), -1.0, int32(0)
	for j, orig := range r.offs {
		if d.lo[orig] >= d.hi[orig] {
			continue
		}
		x := a.x[j]
		f := math.Floor(x)
		v := min(x-f, f+1-x) * r.offPrice[j]
		if v > scoreJ {
			pickJ, scoreJ, at = orig, v, int32(f)
		}
	}
	if pickJ >= 0 && scoreJ > 0 {
		at = min(max(at, d.lo[pickJ]), d.hi[pickJ]-1)
		return []decision{{offerAtMost, pickJ, at}, {offerAtLeast, pickJ, at + 1}}
	}
	if c := k.branchOption(d, m); c != nil {
		return c
	}
	for j := range m.price {
		if d.lo[j] < d.hi[j] {
			return []decision{{offerAtMost, int32(j), d.lo[j]}, {offerAtLeast, int32(j), d.lo[j] + 1}}
		}
	}
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		if d.closed[h] && m.shopStart[h+1] > m.shopStart[h] && k.anyOffer(d, m, h) {
			return []decision{{shopShut, int32(h), 0}, {shopUsed, int32(h), 0}}
		}
	}
	return nil
}

func (k *worker) anyOffer(d *domain, m *model, h int) bool {
	for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
		if d.hi[j] > 0 {
			return true
		}
	}
	return false
}

// canBuy says whether it is still open whether a box with paint p is bought.
func (k *worker) canBuy(d *domain, m *model, p int32) bool {
	any := false
	for _, s := range m.sources[p] {
		if d.lo[s.off] > 0 {
			return false
		}
		any = any || d.hi[s.off] > 0
	}
	return any && d.atLeast[p] == 0
}

// branchOption splits on the need with the largest first option.
func (k *worker) branchOption(d *domain, m *model) []decision {
	for n := range m.members {
		first, count := int32(-1), 0
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if d.alive[o] {
				if first < 0 {
					first = o
				}
				count++
			}
		}
		if count > 1 {
			return []decision{{optionTaken, first, 0}, {optionLeft, first, 0}}
		}
	}
	return nil
}

// leaf values a domain in which everything is decided.
func (k *worker) leaf(s *search, d *domain) (*solution, float64) {
	m := s.m
	choice := make([]int32, len(m.members))
	for n := range choice {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if d.alive[o] {
				choice[n] = o
			}
		}
	}
	if !m.enough(d.lo, choice) {
		return nil, 0
	}
	return s.worthOf(d.lo, choice)
}

// enough says whether the boxes x cover what the choices take.
func (m *model) enough(x, choice []int32) bool {
	left := append([]int64(nil), m.have...)
	for j := range x {
		for c := m.conStart[j]; x[j] > 0 && c < m.conStart[j+1]; c++ {
			left[m.conPaint[c]] += int64(x[j]) * m.conUL[c]
		}
	}
	for _, o := range choice {
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			left[m.usePaint[u]] -= m.useUL[u]
		}
	}
	for _, l := range left {
		if l < 0 {
			return false
		}
	}
	return true
}

// worthOf values boxes and choices and weighs them; nil where a shop would not
// take the order or too many shops are used.
func (s *search) worthOf(x, choice []int32) (*solution, float64) {
	sol, ok := s.m.value(x, choice)
	if !ok || sol.cost.shops > int64(s.m.maxShops) {
		return nil, 0
	}
	return sol, s.weight(sol.cost)
}
