package setcover

import (
	"math"

	"halfpot/optimize/internal/flat"
)

// far is more than any step is long, in terms of the least multiplier.
const far = 1e30

// subgradient raises the node's bound by subgradient steps from its multipliers, and
// leaves the best ones, their reduced costs and the bound in the node. It stops
// early once the bound passes cut. A step follows the deflected direction of
// Camerini, Fratta & Maffioli (1975) with the length of Polyak.
//
// Multipliers are whole multiples of the quantum, and so are the costs: all
// sums are exact, and every bound is a proof.
func (s *search) subgradient(p *subproblem, steps, patience int, lambda float64) {
	rows := p.rows()
	s.u, s.slack, s.dir = flat.Resize(s.u, rows), flat.Resize(s.slack, rows), flat.Resize(s.dir, rows)
	s.rc = flat.Resize(s.rc, p.cols())
	copy(s.u, p.u)
	clear(s.dir)
	best := math.Inf(-1)
	cut := s.cutoff()
	target := s.upper
	if math.IsInf(target, 1) {
		target = s.guess
	}
	wait := 0
	mass, total := 1.0, 10.0 // later answers count for more; what was known before, as ten
	for j := range p.fraction {
		p.fraction[j] *= total
	}
	for step := 0; ; step++ {
		s.evals++
		value := s.evaluate(p)
		if value > best {
			if value > best+0.0005*math.Abs(target-best) {
				wait = 0
			} else {
				wait++
			}
			best = value
			copy(p.u, s.u)
			copy(p.rc, s.rc)
			if best > cut {
				break
			}
		} else {
			wait++
		}
		if step == steps {
			break
		}
		mass *= 1 / 0.9
		for _, j := range s.hits {
			p.fraction[j] += mass
		}
		total += mass
		if wait >= patience {
			lambda /= 2
			wait = 0
			if lambda < 0.02 {
				break
			}
			copy(s.u, p.u)
			s.evaluate(p)
			clear(s.dir)
		}
		if !s.move(p, lambda*max(target-value, s.grain)) {
			break // the relaxed answer is a cover
		}
	}
	for j := range p.fraction {
		p.fraction[j] /= total
	}
	p.bound = max(p.bound, best)
	s.value = best
}

// move takes a step of the length given over the deflected subgradient's norm.
// It says whether there is a direction to go in.
func (s *search) move(p *subproblem, length float64) bool {
	norm := 0.0
	for i, g := range s.slack {
		// A multiplier of 0 can't fall. (Said without a branch: it is a coin toss.)
		d := max(g+0.6*s.dir[i], s.u[i]*-far)
		s.dir[i] = d
		norm += d * d
	}
	if norm == 0 {
		return false
	}
	t := length / norm
	for i, d := range s.dir {
		v := min(max(s.u[i]+t*d, 0), p.most[i])
		s.u[i] = float64(int64(v*s.perQuantum)) * s.quantum
	}
	return true
}

// fix marks the columns that no better plan takes, or that every one does, by
// their reduced costs, and says how many.
func (s *search) fix(p *subproblem) (taken, out int) {
	room := s.cutoff() - s.value
	if math.IsInf(room, 1) {
		return 0, 0
	}
	for j, r := range p.rc {
		if r > room {
			p.state[j] = colOut
			out++
		} else if -r > room {
			p.state[j] = colTaken
			taken++
		}
	}
	return taken, out
}

// evaluate works out the Lagrangian bound at the multipliers on trial, the
// reduced costs, for each row 1 less the columns of negative reduced cost that
// cover it, and which columns these are.
func (s *search) evaluate(p *subproblem) float64 {
	u, rc, slack := s.u, s.rc[:len(p.cost)], s.slack
	hits := s.hits[:0]
	value := p.base
	for i, v := range u {
		value += v
		slack[i] = 1
	}
	start := p.colStart[0]
	ends := p.colStart[1:][:len(p.cost)]
	for j, c := range p.cost {
		rows := p.colRow[start:ends[j]]
		start = ends[j]
		for _, i := range rows {
			c -= u[i]
		}
		rc[j] = c
		if c < 0 {
			value += c
			hits = append(hits, int32(j))
		}
	}
	for _, j := range hits {
		for _, i := range p.rowsOf(j) {
			slack[i]--
		}
	}
	s.hits = hits
	return value
}
