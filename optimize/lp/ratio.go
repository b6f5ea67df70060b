package lp

import "math"

// comer is what may enter the basis: the size of its entry in the row, and
// how far its reduced cost is from 0.
type comer struct {
	j       int32
	price   float64
	size    float64
	flipped bool
}

// noPivot stands for the case that every column which could enter has too small
// an entry, -1 for none at all: then no point is within all bounds.
const noPivot int32 = -2

// entering chooses what enters so that reduced costs keep their signs. Columns
// that would lose theirs before go over to their other bound as long as that
// leaves the leaving value out of its bounds (long step). It returns the step
// of the dual values, in the row's own sign. Flips are noted in comers.
func (s *Solver) entering(delta float64) (q int32, step float64) {
	sign := 1.0
	if delta < 0 {
		sign = -1
	}
	s.listComers(sign)
	comers := s.comers
	last, enough := s.passComers(math.Abs(delta))
	if !enough || last.q < 0 {
		s.comers = comers[:0]
		if enough {
			return noPivot, 0
		}
		return -1, 0
	}
	c := comers[last.q]
	// Everything passed before the group flips.
	for i := range comers {
		comers[i].flipped = i < last.end
	}
	s.comers = comers[:last.end]
	step = c.price / c.size
	if s.d[c.j] != 0 && c.price == 0 {
		// Its reduced cost slipped over: its cost is shifted so that it is 0.
		s.shift[c.j] -= s.d[c.j]
		s.d[c.j] = 0
	}
	// Those of the group that would slip over have their cost shifted.
	for i := last.end; i < len(comers); i++ {
		o := &comers[i]
		if i == last.q || o.price >= step*o.size {
			continue
		}
		if s.status[o.j] != isFree {
			want := step * sign * s.alpha[o.j]
			s.shift[o.j] += want - s.d[o.j]
			s.d[o.j] = want
		}
	}
	return c.j, sign * step
}

// listComers lists what may enter, by the row's entries times sign.
func (s *Solver) listComers(sign float64) {
	comers := s.comers[:0]
	for _, j := range s.touched {
		a := sign * s.alpha[j]
		if a < zeroTol && a > -zeroTol || s.lo[j] == s.hi[j] {
			continue
		}
		switch s.status[j] {
		case atLower:
			if a > pivotTol/100 {
				comers = append(comers, comer{j, max(s.d[j], 0), a, false})
			}
		case atUpper:
			if a < -pivotTol/100 {
				comers = append(comers, comer{j, max(-s.d[j], 0), -a, false})
			}
		case isFree:
			comers = append(comers, comer{j, 0, math.Abs(a), false})
		}
	}
	s.comers = comers
}

// pass is a group of comers whose reduced costs get to 0 at about the same step: the
// index of the one with the largest entry, -1 for none, and how many come before the
// group.
type pass struct{ q, end int }

// passComers passes group by group, bringing each to the front, until the slope of the
// dual objective, given for the first step, is used up. It returns the last group with an
// entry that is large enough, and whether the slope was used up.
func (s *Solver) passComers(slope float64) (last pass, enough bool) {
	last.q = -1
	done := 0 // comers[:done] are passed
	for done < len(s.comers) {
		open := s.comers[done:]
		k, biggest, loss := s.nextGroup(open)
		if k == 0 {
			break
		}
		if open[biggest].size >= pivotTol {
			last = pass{done + biggest, done}
		}
		slope -= loss
		if !(slope > primalTol) {
			enough = true
			if last.q >= 0 {
				break // where only tiny pivots are here, the group before will do
			}
		}
		done += k
	}
	return last, enough
}

// nextGroup brings the next group to the front of the open comers: how many they are, which
// has the largest entry, and by how much the slope falls once they flip.
func (s *Solver) nextGroup(open []comer) (k, biggest int, loss float64) {
	bound := math.Inf(1)
	for i := range open {
		if b := (open[i].price + s.slip) / open[i].size; b < bound {
			bound = b
		}
	}
	biggest = -1
	for i := range open {
		if open[i].price <= bound*open[i].size {
			open[i], open[k] = open[k], open[i]
			c := &open[k]
			if biggest < 0 || c.size > open[biggest].size {
				biggest = k
			}
			loss += c.size * (s.hi[c.j] - s.lo[c.j])
			k++
		}
	}
	return k, biggest, loss
}

// backFlips forgets what entering wanted to flip.
func (s *Solver) backFlips() { s.comers = s.comers[:0] }

// flips moves what entering passed to its other bound, and tells whether there
// was any.
func (s *Solver) flips() bool {
	if len(s.comers) == 0 {
		return false
	}
	n := int32(len(s.columns))
	for _, c := range s.comers {
		j := c.j
		by := s.hi[j] - s.lo[j]
		if s.status[j] == atUpper {
			by = -by
			s.status[j], s.at[j] = atLower, s.lo[j]
		} else {
			s.status[j], s.at[j] = atUpper, s.hi[j]
		}
		if j >= n {
			s.rhs[j-n] -= by
			continue
		}
		for k, i := range s.colRow[j] {
			s.rhs[i] += by * s.colVal[j][k]
		}
	}
	s.factor.forward(s.rhs, s.tau)
	for p, v := range s.tau {
		if v != 0 {
			s.x[p] -= v
		}
	}
	s.comers = s.comers[:0]
	return true
}
