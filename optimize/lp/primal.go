package lp

import "math"

// primal goes on from a basis that is primal feasible until no reduced cost
// asks for a move. It mends what taking shifts back leaves behind, a few
// iterations as a rule. It returns the iterations.
func (s *Solver) primal(limit int) (used int) {
	for ; used < limit && used < 5000; used++ {
		if s.factor.updates() >= updateMost {
			s.stale()
			if !s.refresh() {
				return used
			}
		}
		q, most := int32(-1), dualTol*100
		for j, p := range s.status {
			if p == isBasic || s.lo[j] == s.hi[j] {
				continue
			}
			d := s.d[j]
			if v := -d; p != atUpper && v > most {
				q, most = int32(j), v
			}
			if p != atLower && d > most {
				q, most = int32(j), d
			}
		}
		if q < 0 {
			return used
		}
		s.iterations++
		up := s.d[q] < 0
		s.column(q, s.col)
		r, upper, reach := s.blocking(up)
		if own := s.hi[q] - s.lo[q]; own <= reach {
			s.comers = append(s.comers[:0], comer{j: q})
			s.flips()
			continue
		}
		if r < 0 {
			return used // unbounded: phase one has ruled that out, but for tolerances
		}
		s.rhs[r] = 1
		s.factor.backward(s.rhs, s.rho)
		s.tableauRow()
		a := s.col[r]
		bound := s.lo[s.head[r]]
		if upper {
			bound = s.hi[s.head[r]]
		}
		s.comers = s.comers[:0]
		s.exchange(r, q, upper, s.x[r]-bound, s.d[q]/a, a)
	}
	return used
}

// blocking finds what stops the move of the column solved for: the position, the
// bound it stops at, and how far the move goes.
func (s *Solver) blocking(up bool) (r int32, upper bool, reach float64) {
	sign := 1.0
	if !up {
		sign = -1
	}
	r, reach = -1, math.Inf(1)
	size := 0.0
	for p, v := range s.col {
		a := sign * v // the value falls by a for each unit
		if a < pivotTol && a > -pivotTol {
			continue
		}
		j := s.head[p]
		room := s.x[p] - s.lo[j]
		if a < 0 {
			room = s.hi[j] - s.x[p]
		}
		t := max(room, 0) / math.Abs(a)
		if t < reach-1e-12 || t <= reach && math.Abs(a) > size {
			r, upper, reach, size = int32(p), a < 0, t, math.Abs(a)
		}
	}
	return r, upper, reach
}
