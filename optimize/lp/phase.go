package lp

import "math"

// phases minimises where not every column has both bounds. First a dual feasible
// basis is looked for, which is a boxed program by itself (artificial bounds,
// Koberstein 2005): what has one bound only gets a box on the side it could go
// on for ever, what has both gets none. Its optimum is 0 where there is one.
func (s *Solver) phases(limit int) Status {
	lo, hi := append([]float64(nil), s.lo...), append([]float64(nil), s.hi...)
	for j := range s.lo {
		none, roof := math.IsInf(lo[j], -1), math.IsInf(hi[j], 1)
		switch {
		case none && roof:
			s.lo[j], s.hi[j] = -1000, 1000
		case none:
			s.lo[j], s.hi[j] = -1, 0
		case roof:
			s.lo[j], s.hi[j] = 0, 1
		default:
			s.lo[j], s.hi[j] = 0, 0
		}
	}
	cutoff := s.cutoff
	s.cutoff = math.Inf(1)
	s.allHome()
	before := s.iterations
	status := s.minimise(limit)
	limit -= s.iterations - before
	value := s.scaledObjective()
	copy(s.lo, lo)
	copy(s.hi, hi)
	s.cutoff = cutoff
	s.allHome()
	switch {
	case status != Optimal:
		return status
	case value < -1e-6:
		return s.unbounded(limit)
	}
	return s.minimise(limit)
}

// allHome puts everything that is not basic at a bound it has.
func (s *Solver) allHome() {
	for j, p := range s.status {
		if p != isBasic {
			s.home(int32(j))
		}
	}
	s.fresh = false
}

// unbounded tells a program that falls without end from one without any point:
// with costs of nothing every basis is dual feasible.
func (s *Solver) unbounded(limit int) Status {
	cost := append([]float64(nil), s.cost...)
	clear(s.cost)
	clear(s.d)
	s.unshift()
	s.allHome()
	status, _ := s.dual(limit)
	copy(s.cost, cost)
	s.fresh = false
	if status == Optimal {
		s.unshift()
		return Unbounded
	}
	return status
}
