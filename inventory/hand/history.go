package hand

import (
	"math"
	"slices"
)

// Pull is what one reading did to one effect, in the order of time: the
// effect's mean before and after it, all linearised where the rounds ended.
type Pull struct {
	Pot           string
	Event         int // index among the pot's events
	Month         float64
	Paint         int
	Before, After float64
	SD            float64 // after
	Surprise      float64 // how many standard deviations the reading lay off
	Out           bool    // left out
	Jump          bool    // paint had gone unseen before it
}

// Asked is an effect of which the history is wanted; its waste with Waste.
type Asked struct {
	Way   Way
	Paint int // -1: any
	Waste bool
}

// History follows effects through the readings, oldest first (ties by pot).
// Only readings of pots that bear on an effect are told. It is the sum the
// rounds ended with, taken one reading at a time (Sherman and Morrison).
func (h *Hand) History(asked []Asked) [][]Pull {
	out := make([][]Pull, len(asked))
	if len(h.pots) == 0 {
		return out
	}
	s := h.retell()
	wanted := s.effects(asked)
	for _, t := range s.told {
		before := make([]float64, len(asked))
		for i := range wanted {
			before[i] = s.at(&wanted[i])
		}
		nu, variance := s.take(t)
		for i, a := range asked {
			if !h.bears(t.pot, wanted[i].part, a) {
				continue
			}
			out[i] = append(out[i], Pull{
				Pot:      t.pot.v.ID,
				Event:    t.pot.ops[t.seen.op].event,
				Month:    t.seen.month,
				Paint:    t.pot.v.Paint,
				Before:   before[i],
				After:    s.at(&wanted[i]),
				SD:       s.sd(&wanted[i]),
				Surprise: nu / sqrt(variance),
				Out:      !t.seen.counted,
				Jump:     t.seen.jump,
			})
		}
	}
	return out
}

// story is what was known of all unknowns, from before the first reading on.
type story struct {
	h      *Hand
	told   []toldReading
	paints map[int]int // paint to the place of its first own unknown
	n      int
	v      []float64 // covariance, n x n
	dev    []float64 // deviation from the final mean
	x, vx  []float64 // room for one reading
}

// toldReading is a reading with its derivatives by the parts of its pot.
type toldReading struct {
	pot  *ready
	seen seen
	jac  []float64
}

// wantedEffect is an effect as a sum of unknowns.
type wantedEffect struct {
	part part
	base float64   // its final mean
	row  []float64 // what it takes of each unknown
}

// retell gathers the readings in the order of time and what was known before them.
func (h *Hand) retell() *story {
	s := &story{h: h, paints: map[int]int{}, n: len(h.b.mean)}
	f := &h.last.f
	for _, p := range h.pots {
		f.run(p, h.b, false)
		if _, ok := s.paints[p.v.Paint]; !ok {
			s.paints[p.v.Paint] = s.n
			s.n += len(h.u.ownSD[p.v.Paint])
		}
		for i := range f.seen {
			s.told = append(s.told, toldReading{p, f.seen[i], slices.Clone(f.jac[i*f.nk : i*f.nk+f.n])})
		}
	}
	slices.SortStableFunc(s.told, func(a, b toldReading) int { return cmpFloat(a.seen.month, b.seen.month) })
	s.v, s.dev = make([]float64, s.n*s.n), make([]float64, s.n)
	s.x, s.vx = make([]float64, s.n), make([]float64, s.n)
	for i, w := range h.last.sys.prior[:len(h.b.mean)] {
		s.v[i*s.n+i] = 1 / w
		s.dev[i] = h.u.mean[i] - h.b.mean[i]
	}
	for c, at := range s.paints {
		for i, sd := range h.u.ownSD[c] {
			s.v[(at+i)*s.n+at+i] = sd * sd
			if o := &h.last.sys.own[c]; o.touched {
				s.v[(at+i)*s.n+at+i] = 1 / o.prior[i]
			}
			s.dev[at+i] = -h.b.own[c].mean[i]
		}
	}
	return s
}

func (s *story) effects(asked []Asked) []wantedEffect {
	out := make([]wantedEffect, len(asked))
	for i, a := range asked {
		p := s.h.u.film(a.Way, a.Paint, late)
		if a.Waste {
			p = s.h.u.waste(a.Way.Method)
		}
		out[i] = wantedEffect{p, s.h.b.of(p, max(a.Paint, 0)), make([]float64, s.n)}
		s.addTo(out[i].row, p, a.Paint, 1)
	}
	return out
}

// addTo adds the unknowns of a part to a row, times a factor.
func (s *story) addTo(row []float64, p part, paint int, factor float64) {
	for _, i := range p.dense {
		row[i] += factor
	}
	if at, ok := s.paints[paint]; ok && p.own >= 0 {
		row[at+p.own] += factor
	}
}

// at is an effect's mean with the readings taken so far.
func (s *story) at(w *wantedEffect) float64 {
	x := w.base
	for k, c := range w.row {
		x += c * s.dev[k]
	}
	return x
}

func (s *story) sd(w *wantedEffect) float64 {
	sum := 0.0
	for k, c := range w.row {
		for l, e := range w.row {
			sum += c * e * s.v[k*s.n+l]
		}
	}
	return sqrt(math.Max(0, sum))
}

// take takes in a reading and tells how far it lay from what was known at the time,
// and the variance of that.
func (s *story) take(t toldReading) (nu, variance float64) {
	n, x, vx := s.n, s.x, s.vx
	clear(x)
	for i, p := range t.pot.parts {
		s.addTo(x, p, t.pot.v.Paint, t.jac[i])
	}
	for i := range vx {
		vx[i] = 0
		for k, c := range x {
			if c != 0 {
				vx[i] += s.v[i*n+k] * c
			}
		}
	}
	variance = t.seen.s
	mean := 0.0
	for i, c := range x {
		variance += c * vx[i]
		mean += c * s.dev[i]
	}
	// The surprise is about what was known at the time: the final mean's
	// surprise less what the hand has moved since.
	nu = t.seen.nu - mean
	if t.seen.counted {
		for i := range s.dev {
			s.dev[i] += vx[i] * nu / variance
			for k := range s.dev {
				s.v[i*n+k] -= vx[i] * vx[k] / variance
			}
		}
	}
	return nu, variance
}

func (h *Hand) bears(r *ready, p part, a Asked) bool {
	if a.Paint >= 0 && r.v.Paint != a.Paint {
		return false
	}
	for _, q := range r.parts[pFilm:] {
		if a.Waste && slices.Equal(p.dense, q.dense) || !a.Waste && h.sharesFilm(p, q, a.Paint) {
			return true
		}
	}
	return false
}
