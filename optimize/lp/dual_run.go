package lp

import "math"

// dualRun is one run of the dual simplex method.
type dualRun struct {
	s           *Solver
	limit, used int            // iterations
	bad         int            // pivots in a row that did not fit
	barred      map[int32]bool // positions left out for that
	stalled     int            // iterations since the objective rose
	stallAt     float64
	tol         float64 // by which values may miss their bounds
}

const (
	stallSoon = 64   // iterations without progress until small misses are let be
	stallMost = 2000 // and, beside those for each row, until the run is given up
)

// dual goes on until the basis is primal feasible.
func (s *Solver) dual(limit int) (Status, int) {
	if !s.refresh() {
		return Trouble, 0
	}
	run := dualRun{s: s, limit: limit, barred: map[int32]bool{}, stallAt: math.Inf(-1), tol: primalTol}
	for {
		if status := run.iterate(); status != Unknown {
			return status, run.used
		}
		run.used++
	}
}

// iterate makes one exchange, or what has to be done before one; the status is Unknown
// where the run is to go on.
func (d *dualRun) iterate() Status {
	s := d.s
	if d.used%32 == 31 {
		if status := d.look(); status != Unknown {
			return status
		}
	}
	if s.factor.updates() >= updateMost || len(s.factor.eIdx) > 3*s.factor.fill+10*len(s.rows)+2000 {
		s.stale()
		if !s.refresh() {
			return Trouble
		}
		clear(d.barred)
	}
	r, delta, ok := d.leaving()
	switch {
	case !ok:
		return Trouble
	case r < 0:
		return Optimal
	case d.used >= d.limit:
		s.store()
		return Stopped
	}
	s.iterations++
	s.rhs[r] = 1
	s.factor.backward(s.rhs, s.rho)
	s.tableauRow()
	q, step := s.entering(delta)
	switch {
	case q == noPivot:
		return d.refuse(r, "no pivot is large enough")
	case q < 0:
		return d.noneEnters()
	}
	s.column(q, s.col)
	a, b := s.col[r], s.alpha[q]
	if math.Abs(a-b) > 1e-7*(1+math.Abs(b)) || math.Abs(a) < pivotTol {
		s.backFlips()
		return d.refuse(r, "pivots do not fit")
	}
	d.bad = 0
	s.exchange(r, q, delta > 0, delta, step, a)
	return Unknown
}

// look sees, from time to time, whether the run should end.
func (d *dualRun) look() Status {
	s := d.s
	v := s.scaledObjective()
	if v > s.cutoff {
		return Cut
	}
	if s.stop != nil && s.stop() {
		s.store()
		return Stopped
	}
	if v > d.stallAt+1e-9*(1+math.Abs(v)) {
		d.stalled, d.stallAt = 0, v
		return Unknown
	}
	// Two rows that are all but one, say, can change places for ever over a miss that is
	// hardly more than rounding.
	if d.stalled += 32; d.stalled >= stallSoon {
		d.tol = looseTol
	}
	if d.stalled > stallMost+4*len(s.rows) {
		s.trouble = "no progress in many iterations"
		s.store()
		return Trouble
	}
	return Unknown
}

// leaving is the solver's. That nothing is out of its bounds counts where values
// are exact and no position is barred.
func (d *dualRun) leaving() (r int32, delta float64, ok bool) {
	s := d.s
	r, delta = s.leaving(d.barred, d.tol)
	if r >= 0 || (s.trying || s.factor.updates() == 0) && len(d.barred) == 0 {
		return r, delta, true
	}
	s.fresh = false
	if !s.refresh() {
		return r, delta, false
	}
	clear(d.barred)
	r, delta = s.leaving(d.barred, d.tol)
	return r, delta, true
}

// refuse drops the exchange at position r and factorises anew; where that was done just
// before, the position is barred.
func (d *dualRun) refuse(r int32, why string) Status {
	s := d.s
	s.clearRow()
	d.bad++
	if s.factor.updates() == 0 {
		d.barred[r] = true
	}
	s.stale()
	if d.bad > badMost || !s.refresh() {
		s.trouble = why
		return Trouble
	}
	return Unknown
}

// noneEnters is the case that no column can enter: with exact values, no point is within
// all bounds.
func (d *dualRun) noneEnters() Status {
	s := d.s
	s.clearRow()
	if s.factor.updates() > 0 {
		s.stale()
		if !s.refresh() {
			return Trouble
		}
		return Unknown
	}
	s.ray = append(s.ray[:0], s.rho...)
	s.store()
	return Infeasible
}

// leaving chooses the position whose value is farthest out for its weight, and by tol at
// least; delta is by how much it lies above its upper bound, or, negative, below its lower.
func (s *Solver) leaving(barred map[int32]bool, tol float64) (r int32, delta float64) {
	r = -1
	best := 0.0
	for p, j := range s.head {
		v := s.x[p]
		out := v - s.lo[j]
		if out > -tol {
			if out = v - s.hi[j]; out < tol {
				continue
			}
		}
		if merit := out * out; merit > best*s.weight[p] {
			if len(barred) > 0 && barred[int32(p)] {
				continue
			}
			best, r, delta = merit/s.weight[p], int32(p), out
		}
	}
	return r, delta
}

// tableauRow works alpha out, the row of the tableau, from rho.
func (s *Solver) tableauRow() {
	n := int32(len(s.columns))
	s.touched = s.touched[:0]
	for i, v := range s.rho {
		if v == 0 {
			continue
		}
		if v < zeroTol && v > -zeroTol {
			s.rho[i] = 0
			continue
		}
		vals := s.rowVal[i]
		for k, j := range s.rows[i].Cols {
			if s.status[j] == isBasic {
				continue
			}
			if !s.isTouched[j] {
				s.isTouched[j] = true
				s.touched = append(s.touched, j)
			}
			s.alpha[j] += v * vals[k]
		}
		if j := n + int32(i); s.status[j] != isBasic {
			s.alpha[j] = -v
			s.touched = append(s.touched, j)
		}
	}
}

func (s *Solver) clearRow() {
	for _, j := range s.touched {
		s.alpha[j], s.isTouched[j] = 0, false
	}
}

// column solves for column or logical j.
func (s *Solver) column(j int32, x []float64) {
	if n := int32(len(s.columns)); j >= n {
		s.rhs[j-n] = -1
	} else {
		for k, i := range s.colRow[j] {
			s.rhs[i] = s.colVal[j][k]
		}
	}
	s.factor.forward(s.rhs, x)
}

// exchange lets q into the basis at position r. What was there goes to one of
// its bounds, delta away; a is its entry in the row, step the change of prices.
func (s *Solver) exchange(r, q int32, upper bool, delta, step, a float64) {
	p := s.head[r]
	// Reduced costs.
	if step != 0 {
		for _, j := range s.touched {
			s.d[j] -= step * s.alpha[j]
		}
	}
	s.clearRow()
	s.d[q], s.d[p] = 0, -step
	// Values: what went over to its other bound first.
	if s.flips() {
		delta = s.x[r] - s.lo[p]
		if upper {
			delta = s.x[r] - s.hi[p]
		}
	}
	move := delta / a
	for i, v := range s.col {
		if v != 0 {
			s.x[i] -= move * v
		}
	}
	s.x[r] = s.at[q] + move
	s.weigh(r, a)
	s.factor.update(r, s.col)
	s.head[r] = q
	s.status[q] = isBasic
	if upper {
		s.status[p], s.at[p] = atUpper, s.hi[p]
	} else {
		s.status[p], s.at[p] = atLower, s.lo[p]
	}
	if s.lo[p] == s.hi[p] {
		s.status[p] = atLower
	}
}

// weightMost is where weights start from 1 again: after some small pivots they say little, and a
// position of infinite weight would never leave.
const weightMost = 1e9

// weigh brings the weights up to date for an exchange at position r with pivot a. They are those
// of dual devex (Forrest & Goldfarb 1992 after Harris 1973), which guess at the lengths of the
// edges from the entering column alone: the true lengths would cost one more system of
// equations an exchange, and on these programs save no iterations.
func (s *Solver) weigh(r int32, a float64) {
	wr := max(s.weight[r], 1)
	s.weight[r] = max(wr/(a*a), 1)
	most := s.weight[r]
	for i, v := range s.col {
		if v == 0 || int32(i) == r {
			continue
		}
		k := v / a
		s.weight[i] = max(s.weight[i], k*k*wr)
		most = max(most, s.weight[i])
	}
	if !(most < weightMost) {
		for i := range s.weight {
			s.weight[i] = 1
		}
	}
}
