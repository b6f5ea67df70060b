package setcover

import (
	"math"

	"halfpot/optimize/internal/flat"
)

// relax sets up the linear relaxation, at the root.
func (s *search) relax(p *subproblem) {
	s.lp = newRelaxation(p.clone(), s.grain)
	s.lp.stop = s.done
	s.before = len(p.taken)
	s.lpCol = make([]int32, len(s.cost))
	for j, id := range p.id {
		s.lpCol[id] = int32(j)
	}
	p.row, p.at = make([]int32, p.rows()), make([]int32, p.rows())
	for i := range p.at {
		p.row[i], p.at[i] = int32(i), int32(i)
	}
	s.bases = make([]basis, 2)
}

// relaxed solves the node's linear relaxation, from a basis saved for its
// depth, or for the next one where the node has been there already, and takes
// over its prices, rounded down to whole quanta, and their bound.
func (s *search) relaxed(p *subproblem, depth int, again bool) {
	l := s.lp
	for len(s.bases) <= depth+1 {
		s.bases = append(s.bases, basis{})
	}
	from := &s.bases[depth]
	if again {
		from = &s.bases[depth+1]
	}
	s.seat(p, from)
	cut := s.cutoff() + lpMargin*s.grain
	best := l.solve(cut, lpPivots)
	l.price()
	s.adopt(p)
	if s.value < l.value-0.05*s.grain { // rounding has got the better of the inverse
		l.reset()
		l.price()
		l.start()
		best = l.solve(cut, lpPivots)
		l.price()
		s.adopt(p)
	}
	l.save(&s.bases[depth+1])
	p.bound = max(p.bound, s.value)
	copy(p.u, s.u)
	copy(p.rc, s.rc)
	clear(p.fraction)
	whole := best
	for q, j := range l.cols {
		if int(j) < len(p.fraction) {
			p.fraction[j] = min(max(l.x[q], 0), 1)
			whole = whole && (p.fraction[j] < 0.001 || p.fraction[j] > 0.999)
		}
	}
	if whole {
		s.round(p)
	}
}

// seat makes the relaxation that of the node.
func (s *search) seat(p *subproblem, from *basis) {
	s.lpCols, s.lpTaken = s.lpCols[:0], s.lpTaken[:0]
	for _, id := range p.id {
		s.lpCols = append(s.lpCols, s.lpCol[id])
	}
	for _, id := range p.taken[s.before:] {
		s.lpTaken = append(s.lpTaken, s.lpCol[id])
	}
	s.lp.enter(p, s.lpCols, s.lpTaken, from)
}

// round offers the columns that the relaxation takes, where they cover.
func (s *search) round(p *subproblem) {
	covered := 0
	g := &s.plan
	g.count = flat.Resize(g.count, p.rows())
	clear(g.count)
	cols := append([]int32(nil), p.taken...)
	for j, x := range p.fraction {
		if x < 0.5 {
			continue
		}
		cols = append(cols, p.id[j])
		for _, i := range p.rowsOf(int32(j)) {
			if g.count[i] == 0 {
				covered++
			}
			g.count[i]++
		}
	}
	if covered == p.rows() {
		s.offer(cols)
	}
}

// adopt rounds the relaxation's prices for the node, or one made of it, and
// works out their bound.
func (s *search) adopt(p *subproblem) {
	l := s.lp
	s.u, s.slack, s.rc = flat.Resize(s.u, p.rows()), flat.Resize(s.slack, p.rows()), flat.Resize(s.rc, p.cols())
	clear(s.u)
	for q, r := range l.rows {
		if i := p.at[l.rowID[r]]; i >= 0 && l.u[q] > 0 {
			s.u[i] += l.u[q]
		}
	}
	for i, v := range s.u {
		s.u[i] = float64(int64(min(v, p.most[i])*s.perQuantum)) * s.quantum
	}
	s.value = s.evaluate(p)
}

// trialRelaxed is trialBound by the linear relaxation, which is that of the node.
func (s *search) trialRelaxed(p *subproblem, j int32, side int) float64 {
	l := s.lp
	l.back()
	l.held[j] = colTaken + int8(side)
	l.start()
	cut := s.cutoff() + lpMargin*s.grain
	l.solve(cut, trialPivots)
	l.held[j] = colOpen
	if l.value <= cut {
		return min(l.value, s.cutoff())
	}
	p.state[j] = colTaken + int8(side)
	q := s.get()
	bound := math.Inf(1)
	if q.build(p, s) {
		s.adopt(q)
		bound = s.value
	}
	p.state[j] = colOpen
	s.put(q)
	return bound
}

const (
	lpMargin = 0.01 // units that the relaxation is to pass the cutoff by
	lpPivots = 5000
)
