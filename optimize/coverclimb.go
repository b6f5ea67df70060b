package optimize

import "math"

// climb raises the part's bound by subgradient steps from its multipliers, and
// leaves the best ones, their reduced costs and the bound in the part. It stops
// early once the bound passes cut. A step follows the deflected direction of
// Camerini, Fratta & Maffioli (1975) with the length of Polyak.
//
// Multipliers are whole multiples of the quantum, and so are the costs: all
// sums are exact, and every bound is a proof.
func (s *coverSearch) climb(p *coverPart, steps, patience int, lambda float64) {
	rows := p.rows()
	s.u, s.slack, s.dir = resize(s.u, rows), resize(s.slack, rows), resize(s.dir, rows)
	s.rc = resize(s.rc, p.cols())
	copy(s.u, p.u)
	clear(s.dir)
	best := math.Inf(-1)
	cut := s.cutoff()
	target := s.ub
	if math.IsInf(target, 1) {
		target = s.guess
	}
	wait := 0
	for step := 0; ; step++ {
		s.evals++
		value := p.evaluate(s.u, s.rc, s.slack)
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
		for j, r := range s.rc {
			v := p.share[j] * 0.9
			if r < 0 {
				v += 0.1
			}
			p.share[j] = v
		}
		if wait >= patience {
			lambda /= 2
			wait = 0
			if lambda < 0.02 {
				break
			}
			copy(s.u, p.u)
			p.evaluate(s.u, s.rc, s.slack)
			clear(s.dir)
		}
		norm := 0.0
		for i, g := range s.slack {
			d := g + 0.6*s.dir[i]
			if d < 0 && s.u[i] == 0 {
				d = 0
			}
			s.dir[i] = d
			norm += d * d
		}
		if norm == 0 {
			break // the relaxed answer is a cover
		}
		t := lambda * max(target-value, s.unit) / norm
		for i, d := range s.dir {
			if d == 0 {
				continue
			}
			v := s.u[i] + t*d
			switch {
			case v <= 0:
				v = 0
			case v >= p.most[i]:
				v = p.most[i]
			default:
				v = float64(int64(v*s.perQuantum)) * s.quantum
			}
			s.u[i] = v
		}
	}
	p.bound = max(p.bound, best)
	s.value = best
}

// fix marks the columns that no better plan takes, or that every one does, by
// their reduced costs, and says how many.
func (s *coverSearch) fix(p *coverPart) (taken, out int) {
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
