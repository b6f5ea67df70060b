package setcover

import (
	"cmp"
	"math"
	"slices"
)

const (
	candidates  = 40 // columns weighed up for branching
	reliable    = 8  // after so many of each side, a pseudocost is trusted
	trialSteps  = 30
	lpReliable  = 1  // the same where there is a linear relaxation
	lpLook      = 12 // candidates in a row that may be no better before one is taken
	trialPivots = 30 // pivots of a trial
)

// observe notes by how much the bound rose where a column was taken (side 0) or
// left out.
func (s *search) observe(id int32, side int, gain float64) {
	e := &s.pseudocosts[id]
	s.observed = append(s.observed, observation{id, side, gain})
	e.Observe(side, max(gain, 0))
}

type candidate struct {
	col   int32
	score float64
}

// pick chooses the column to branch on: of those that the relaxed answers take
// in part, the one whose two sides raise the bound most, as seen before or,
// where it was seen too seldom, by trying. It returns -1 where a trial has
// settled a column.
func (s *search) pick(p *subproblem) int32 {
	s.cands = s.cands[:0]
	for j, x := range p.fraction {
		score := min(x, 1-x) + 0.001/(1+math.Abs(p.rc[j]))
		s.cands = append(s.cands, candidate{int32(j), score})
	}
	slices.SortFunc(s.cands, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.col, b.col))
	})
	enough, look := float64(reliable), candidates
	if s.lp != nil {
		s.lp.note()
		enough, look = lpReliable, lpLook
	}
	best, at, since := -1.0, s.cands[0].col, 0
	settled := false
	for _, c := range s.cands[:min(candidates, len(s.cands))] {
		if since++; since > look+1 {
			break
		}
		e := &s.pseudocosts[p.id[c.col]]
		var g [2]float64
		for side := range g {
			if e.Times(side) < enough {
				bound := s.trialBound(p, c.col, side)
				if bound > s.cutoff() {
					p.state[c.col] = colOut
					if side == 1 {
						p.state[c.col] = colTaken
					}
					settled = true
					break
				}
				s.observe(p.id[c.col], side, bound-p.bound)
			}
			g[side] = e.Mean(side)
		}
		if score := max(g[0], s.small) * max(g[1], s.small); score > best {
			best, at, since = score, c.col, 0
		}
	}
	if settled {
		return -1
	}
	return at
}

// trialBound is a quick bound of the node with the column taken (0) or left out (1).
func (s *search) trialBound(p *subproblem, j int32, side int) float64 {
	if s.lp != nil {
		return s.trialRelaxed(p, j, side)
	}
	p.state[j] = colTaken + int8(side)
	q := s.get()
	ok := q.build(p, s)
	p.state[j] = colOpen
	bound := math.Inf(1)
	if ok {
		s.subgradient(q, trialSteps, 4, 0.5)
		bound = s.value
		if q.rows() == 0 {
			bound = p.bound // a cover: left to the search
		}
	}
	s.put(q)
	return bound
}
