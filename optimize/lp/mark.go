package lp

import (
	"math"
	"slices"
)

// mark is a basis that a trial goes back to.
type mark struct {
	head    []int32
	x, d    []float64
	weight  []float64
	status  []place
	at      []float64
	updates int
	builds  int
}

// markMost is how many exchanges the factors of a basis that trials start from may
// have behind them.
const markMost = 10

// Mark notes the present basis, Back goes back to it: between them bounds may
// change and be changed back, and limited solves may run, but no rows come or go.
// Where few exchanges lie between, Back costs no factorisation.
func (s *Solver) Mark() bool {
	if s.factor.updates() > markMost {
		s.stale() // trials go on from here again and again
	}
	if !s.refresh() {
		return false
	}
	k := &s.mark
	k.head, k.status = append(k.head[:0], s.head...), append(k.status[:0], s.status...)
	k.x, k.d = append(k.x[:0], s.x...), append(k.d[:0], s.d...)
	k.weight, k.at = append(k.weight[:0], s.weight...), append(k.at[:0], s.at...)
	k.updates, k.builds = s.factor.updates(), s.factor.builds
	return true
}

// Back goes back to the basis noted.
func (s *Solver) Back() {
	k := &s.mark
	clear(s.shift)
	copy(s.head, k.head)
	copy(s.status, k.status)
	copy(s.x, k.x)
	copy(s.d, k.d)
	copy(s.weight, k.weight)
	copy(s.at, k.at)
	if s.factor.builds != k.builds {
		// The factors of the next trials too, unless the basis had to be mended: then values
		// and prices are not those noted.
		if s.stale(); !s.factorise() || !slices.Equal(s.head, k.head) {
			return
		}
		k.updates, k.builds = 0, s.factor.builds
	}
	s.factor.undo(k.updates)
	s.fresh = true
}

// Try bounds the program with column j within other bounds, by at most limit
// iterations from the basis noted by Mark, and goes back to it. The value
// returned is in floating point: a guess, not a proof; +Inf where there seems to be
// no point. Where it passes the cutoff and proof is given, what is proven is left there.
func (s *Solver) Try(j int, lower, upper int64, limit int, proof *Certificate) float64 {
	c := s.columns[j]
	s.SetBounds(j, lower, upper)
	value := s.trial(limit, proof)
	s.SetBounds(j, c.Lower, c.Upper)
	s.Back()
	return value
}

// TryRow is Try with row i, and not a column, within other bounds.
func (s *Solver) TryRow(i int, lower, upper int64, limit int, proof *Certificate) float64 {
	r := s.rows[i]
	s.SetRowBounds(i, lower, upper)
	value := s.trial(limit, proof)
	s.SetRowBounds(i, r.Lower, r.Upper)
	s.Back()
	return value
}

func (s *Solver) trial(limit int, proof *Certificate) float64 {
	value := math.Inf(-1)
	s.trying = true
	status, _ := s.dual(limit)
	s.trying = false
	switch status {
	case Infeasible:
		value = math.Inf(1)
	case Trouble:
	default:
		value = s.scaledObjective()
	}
	if proof != nil && value > s.cutoff {
		if status == Infeasible {
			s.CertifyInfeasible(proof)
		} else {
			s.Certify(proof)
		}
	}
	return value / s.costUnit
}
