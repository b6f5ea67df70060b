package exact

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
