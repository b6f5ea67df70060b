package lp

import "math"

// Tolerances, in scaled units. Costs are scaled to at most 1024.
const (
	primalTol  = 1e-9
	looseTol   = 1e-7 // the same where a run stands still
	dualTol    = 1e-9
	harrisTol  = 1e-8
	pivotTol   = 1e-7
	zeroTol    = 1e-12
	updateMost = 100 // exchanges before the basis is factorised anew
	shiftSize  = 5e-7
	badMost    = 50 // pivots in a row that do not fit
	calmMost   = 60 // iterations before costs are shifted against ties
	settleMost = 15 // solves without shifts until the answer must stand
)

// Solve minimises from the present basis, in at most limit iterations.
func (s *Solver) Solve(limit int) Status {
	s.trouble = ""
	status := s.once(limit)
	if status == Trouble || status == Infeasible && !s.CertifyInfeasible(&s.proof) && s.boxed() {
		// A basis may be too close to singular: once more from the logicals.
		s.reset()
		status = s.once(limit)
	}
	return status
}

func (s *Solver) once(limit int) Status {
	if s.boxed() {
		return s.minimise(limit)
	}
	return s.phases(limit)
}

// reset goes to the basis of all logicals.
func (s *Solver) reset() {
	n := len(s.columns)
	s.head, s.weight = s.head[:0], s.weight[:0]
	clear(s.shift)
	for j := range s.status {
		s.d[j] = 0
		if j < n {
			s.d[j] = s.cost[j]
			s.status[j] = atLower
			s.home(int32(j))
			continue
		}
		s.status[j] = isBasic
		s.head, s.weight = append(s.head, int32(j)), append(s.weight, 1)
	}
	s.stale()
}

// boxed tells whether every basis can be made dual feasible by going over to
// other bounds.
func (s *Solver) boxed() bool {
	for j := range s.columns {
		if math.IsInf(s.lo[j], -1) || math.IsInf(s.hi[j], 1) {
			return false
		}
	}
	return true
}

// minimise is the dual simplex method, with costs shifted where it takes long.
func (s *Solver) minimise(limit int) Status {
	s.unshift()
	s.slip = harrisTol
	status := Unknown
	for round := 0; ; round++ {
		var used int
		if round == 0 {
			// Most solves that go on from a basis are over before ties matter.
			status, used = s.dual(min(limit, calmMost))
			limit -= used
			if status == Stopped && used >= calmMost && limit > 0 {
				s.perturb()
				status, used = s.dual(limit)
				limit -= used
			}
		} else {
			status, used = s.dual(limit)
			limit -= used
		}
		if status != Optimal && status != Cut {
			break
		}
		if !s.unshift() && s.dualFeasible() {
			break // nothing was shifted: the answer stands
		}
		s.fresh = false
		if !s.refresh() {
			return Trouble
		}
		if status == Cut || limit <= 0 {
			break
		}
		if s.dualFeasible() && s.primalFeasible() {
			break
		}
		if s.primalFeasible() {
			used = s.primal(limit)
			limit -= used
			if s.dualFeasible() && s.primalFeasible() {
				break
			}
		}
		if s.slip /= 8; round > settleMost {
			s.trouble = "the answer does not settle once shifts are taken back"
			return Trouble
		}
	}
	s.store()
	return status
}

// unshift takes all shifts of costs back and tells whether there were any.
func (s *Solver) unshift() (any bool) {
	for j, v := range s.shift {
		if v != 0 {
			s.shift[j], any = 0, true
		}
	}
	if any {
		s.fresh = false
	}
	return any
}

// perturb shifts the cost of every column a little against ties, away from 0
// on the side its reduced cost is on.
func (s *Solver) perturb() {
	if !s.refresh() {
		return
	}
	seed := uint64(len(s.columns))*2654435761 + 1
	for j := range s.columns {
		seed = seed*6364136223846793005 + 1442695040888963407
		if s.hi[j] <= s.lo[j] || math.IsInf(s.lo[j], -1) || math.IsInf(s.hi[j], 1) {
			continue
		}
		v := shiftSize * (1 + math.Abs(s.cost[j])/16) * (0.5 + float64(seed>>40)/(1<<25))
		switch {
		case s.d[j] < 0 || s.d[j] == 0 && s.status[j] == atUpper:
			v = -v
		case s.status[j] == isBasic && seed>>39&1 == 1:
			v = -v
		}
		s.shift[j] = v
	}
	s.fresh = false
}

// costOf is the shifted cost of a column or logical.
func (s *Solver) costOf(j int32) float64 {
	if int(j) < len(s.columns) {
		return s.cost[j] + s.shift[j]
	}
	return s.shift[j]
}

// stale asks for a new factorisation.
func (s *Solver) stale() { s.fresh, s.factored = false, false }

// refresh works values and reduced costs out, and factorises the basis anew where
// it is not the one at hand.
func (s *Solver) refresh() bool {
	if s.fresh {
		return true
	}
	s.makeRoom()
	if !s.factorise() {
		return false
	}
	s.prices()
	s.values()
	s.fresh = true
	return true
}

// makeRoom clears the working vectors, at the length that the program has now.
func (s *Solver) makeRoom() {
	m, all := len(s.rows), len(s.columns)+len(s.rows)
	s.rho, s.tau, s.col = refill(s.rho, m, 0), refill(s.tau, m, 0), refill(s.col, m, 0)
	s.rhs, s.y = refill(s.rhs, m, 0), refill(s.y, m, 0)
	s.alpha, s.isTouched = refill(s.alpha, all, 0), refill(s.isTouched, all, false)
	s.x = resize(s.x, m)
}

// factorise factorises the basis where that is not done, with logicals for columns that
// hang on others.
func (s *Solver) factorise() bool {
	n, m := int32(len(s.columns)), len(s.rows)
	for try := 0; !s.factored; try++ {
		pos, rows := s.factor.build(m, func(a *active) {
			for p, j := range s.head {
				if j >= n {
					a.add(j-n, int32(p), -1)
					continue
				}
				for k, i := range s.colRow[j] {
					a.add(i, int32(p), s.colVal[j][k])
				}
			}
		})
		if s.factored = len(pos) == 0; s.factored {
			break
		}
		if try > 3 || len(pos) != len(rows) {
			s.trouble = "the basis is singular"
			return false
		}
		for k, p := range pos {
			s.leaveBasis(s.head[p])
			s.head[p], s.weight[p] = n+rows[k], 1
			s.status[n+rows[k]] = isBasic
		}
	}
	return true
}

// prices works the reduced costs out, and settles the bounds by their signs.
func (s *Solver) prices() {
	n, m := int32(len(s.columns)), len(s.rows)
	for p, j := range s.head {
		s.rhs[p] = s.costOf(j)
	}
	s.factor.backward(s.rhs, s.y)
	for j := range n {
		if s.status[j] == isBasic {
			s.d[j] = 0
			continue
		}
		sum := s.cost[j] + s.shift[j]
		for k, i := range s.colRow[j] {
			sum -= s.y[i] * s.colVal[j][k]
		}
		s.d[j] = sum
		s.settle(j)
	}
	for i := range int32(m) {
		j := n + i
		if s.status[j] == isBasic {
			s.d[j] = 0
			continue
		}
		s.d[j] = s.y[i] + s.shift[j]
		s.settle(j)
	}
}

// settle moves what is not basic to the bound that its reduced cost asks for.
func (s *Solver) settle(j int32) {
	lo, hi := s.lo[j], s.hi[j]
	switch {
	case lo == hi:
		s.status[j], s.at[j] = atLower, lo
	case s.d[j] > dualTol && !math.IsInf(lo, -1):
		s.status[j], s.at[j] = atLower, lo
	case s.d[j] < -dualTol && !math.IsInf(hi, 1):
		s.status[j], s.at[j] = atUpper, hi
	case s.status[j] == atLower && math.IsInf(lo, -1), s.status[j] == atUpper && math.IsInf(hi, 1):
		s.home(j)
	case s.status[j] == atLower:
		s.at[j] = lo
	case s.status[j] == atUpper:
		s.at[j] = hi
	case s.status[j] == isFree && !(math.IsInf(lo, -1) && math.IsInf(hi, 1)):
		s.home(j)
	}
}

// values works the basic values out.
func (s *Solver) values() {
	n := int32(len(s.columns))
	clear(s.rhs)
	for j := range n {
		if v := s.at[j]; s.status[j] != isBasic && v != 0 {
			for k, i := range s.colRow[j] {
				s.rhs[i] -= v * s.colVal[j][k]
			}
		}
	}
	for i := range s.rows {
		if j := n + int32(i); s.status[j] != isBasic {
			s.rhs[i] += s.at[j]
		}
	}
	s.factor.forward(s.rhs, s.x)
}

// store notes the basic values beside the others.
func (s *Solver) store() {
	for p, j := range s.head {
		s.at[j] = s.x[p]
	}
}

func (s *Solver) dualFeasible() bool {
	for j, p := range s.status {
		if p == isBasic || s.lo[j] == s.hi[j] {
			continue
		}
		if p != atUpper && s.d[j] < -1e-7 || p != atLower && s.d[j] > 1e-7 {
			return false
		}
	}
	return true
}

func (s *Solver) primalFeasible() bool {
	for p, j := range s.head {
		if s.x[p] < s.lo[j]-1e-7 || s.x[p] > s.hi[j]+1e-7 {
			return false
		}
	}
	return true
}

// scaledObjective is the cost of the basic solution, shifts and all.
func (s *Solver) scaledObjective() float64 {
	sum := 0.0
	for j := range int32(len(s.status)) {
		if s.status[j] != isBasic {
			if v := s.at[j]; v != 0 {
				sum += v * s.costOf(j)
			}
		}
	}
	for p, j := range s.head {
		sum += s.x[p] * s.costOf(j)
	}
	return sum
}
