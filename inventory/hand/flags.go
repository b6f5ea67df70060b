package hand

import (
	"math"
	"slices"
)

// Flag is a reading that does not fit what is known: either paint went unseen
// before it, or it was misread.
type Flag struct {
	Pot    string
	Read   int     // number of the reading within the pot, from 0
	Event  int     // index among the pot's events
	Month  float64 // of the reading
	Gone   bool    // paint went unseen; else the reading is off
	ML     float64 // paint that went (Gone), or by how much it reads too much, ml; about
	Sigmas float64 // how many standard deviations off
}

// shock is the score of one shock: sum of J nu / S, of J^2 / S, and its
// coupling to the parts.
type shock struct {
	score, info float64
	couple      []float64
}

// shocks gathers the scores after a pass: of losses before each reading, then
// of the readings themselves (de Jong and Penzer 1998; Chen and Liu 1993, both
// from memory).
func (f *filter) shocks() []shock {
	out := make([]shock, 2*f.shock)
	for i := range out {
		out[i].couple = make([]float64, f.n)
	}
	for i := range f.seen {
		s := &f.seen[i]
		if !s.counted {
			continue
		}
		j := f.jac[i*f.nk : (i+1)*f.nk]
		for k := range out {
			x := j[f.n+k]
			if x == 0 {
				continue
			}
			out[k].score += x * s.nu / s.s
			out[k].info += x * x / s.s
			for l := range f.n {
				out[k].couple[l] += x * j[l] / s.s
			}
		}
	}
	return out
}

// flag marks at most one reading of a pot a round, judged with the hand as
// nuisance: the larger of the two shocks, ties to the loss. Skewed jobs alone
// reach further than readings, hence the lower bar where the reading is rough.
func (h *Hand) flag(p *ready, t []shock, seen []seen) {
	n := len(t) / 2
	if n == 0 {
		return
	}
	first := p.reads - n
	cov := make([]float64, len(p.parts)*len(p.parts))
	h.b.covariance(p.parts, p.v.Paint, cov)
	over := func(k int) (excess, z float64) {
		s := t[k]
		variance := s.info - quadratic(cov, s.couple)
		z = s.score / sqrt(math.Max(variance, 1e-6*math.Max(s.info, 1e-12)+1e-12))
		r := &seen[first+k%n]
		return z, h.a.Bar - 1.2*clip(r.r/r.s, 0, 1)
	}
	lossAt, lossMost, readAt, readMost := 0, math.Inf(-1), 0, math.Inf(-1)
	for k := range n {
		if i := first + k; p.jump[i] || p.out[i] || p.missed[i] {
			continue
		}
		if z, bar := over(k); z-bar > lossMost {
			lossAt, lossMost = k, z-bar
		}
		if z, bar := over(n + k); math.Abs(z)-bar > readMost {
			readAt, readMost = k, math.Abs(z)-bar
		}
	}
	gone := lossMost > 0 && lossMost >= readMost-.3
	if !gone && !(readMost > 0) {
		return
	}
	k := lossAt
	if !gone {
		k = n + readAt
	}
	z, _ := over(k)
	i := first + k%n
	fl := Flag{
		Pot:    p.v.ID,
		Read:   i,
		Event:  p.ops[seen[i].op].event,
		Month:  seen[i].month,
		Gone:   gone,
		Sigmas: math.Abs(z),
		ML:     t[k].score / math.Max(t[k].info, 1e-12),
	}
	if gone {
		p.jump[i] = true
	} else {
		p.out[i] = true
		if seen[i].eye {
			fl.ML *= p.v.Full
		} else if p.v.Density > 0 {
			fl.ML /= p.v.Density
		}
	}
	h.Flags = append(h.Flags, fl)
}

// takeBack counts readings again that were left out while the size of errors
// was not known yet and that fit now.
func (h *Hand) takeBack(k *pass) {
	n := len(k.p.parts)
	var cov []float64
	for i := range k.seen {
		s := &k.seen[i]
		if !k.p.out[i] || k.p.missed[i] {
			continue
		}
		if cov == nil {
			cov = make([]float64, n*n)
			h.b.covariance(k.p.parts, k.p.v.Paint, cov)
		}
		off := s.nu * s.nu / (s.s + quadratic(cov, k.jac[i*n:(i+1)*n]))
		if off < square(h.a.Bar-1.2*clip(s.r/s.s, 0, 1)) {
			k.p.out[i] = false
			h.Flags = slices.DeleteFunc(h.Flags, func(f Flag) bool {
				return f.Pot == k.p.v.ID && f.Read == i && !f.Gone
			})
		}
	}
}
