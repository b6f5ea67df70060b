package hand

import (
	"math"
	"slices"
)

// Effect is a number of the hand as the painter sees it: a normal quantity,
// or the log of a lognormal one.
type Effect struct {
	Mean, SD float64
	Reads    int // readings that bear on it
	Pots     int // pots they were of
}

// Range is the middle 90 %.
func (e Effect) Range() (low, high float64) { return e.Mean - z90*e.SD, e.Mean + z90*e.SD }

// z90 is the standard normal quantile of 0.95.
const z90 = 1.6448536269514722

// Film is the log of actual over tabled film for a way of putting paint on;
// paint -1 for any of the type, way.Type -1 for any type.
func (h *Hand) Film(w Way, paint int) Effect {
	p := h.u.film(w, paint, late)
	return h.effect(p, max(paint, 0), func(r *ready, q part) bool {
		return (paint < 0 || r.v.Paint == paint) && h.sharesFilm(p, q, paint)
	}, true)
}

// sharesFilm reports whether a pot's part teaches an effect: it holds all of
// the effect's unknowns.
func (h *Hand) sharesFilm(p, q part, paint int) bool {
	for _, i := range p.dense {
		if !slices.Contains(q.dense, i) {
			return false
		}
	}
	return paint < 0 || p.own == q.own
}

// Waste is the log of actual over tabled waste of a sitting at a method.
func (h *Hand) Waste(method int) Effect {
	p := h.u.waste(method)
	return h.effect(p, 0, func(_ *ready, q part) bool { return slices.Equal(p.dense, q.dense) }, true)
}

// Shift is by how much of a pot the painter's eye reads too high at half full.
func (h *Hand) Shift() Effect {
	return h.effect(part{[]int{uShift}, -1}, 0, nil, false)
}

// Noise is how large the errors of looks, weighings (in g) and jobs (sd of the
// log of the film) seem to be.
func (h *Hand) Noise() (look, grams, job float64) {
	n := h.b.noise
	return h.a.Eye * n.eye, h.a.Scale * n.scale, h.a.JobFilm * n.job
}

// Spread is how far one job scatters about the hand, sd of the log of film
// and of the waste of a sitting.
func (h *Hand) Spread() (film, waste float64) {
	return h.a.JobFilm * h.b.noise.job, h.a.JobWaste * h.b.noise.job
}

func (h *Hand) effect(p part, paint int, bears func(*ready, part) bool, film bool) Effect {
	e := Effect{Mean: h.b.of(p, paint), SD: sqrt(math.Max(0, h.b.cov(p, p, paint)))}
	for _, r := range h.pots {
		touches := !film && slices.ContainsFunc(r.ops, func(o op) bool { return o.kind == opLook })
		for _, q := range r.parts[pFilm:] {
			touches = touches || bears != nil && bears(r, q)
		}
		if touches {
			e.Pots++
			for i := range r.out {
				if !r.out[i] {
					e.Reads++
				}
			}
		}
	}
	return e
}

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
	type told struct {
		p    *ready
		seen seen
		jac  []float64
	}
	var all []told
	f := &h.last.f
	paints := map[int]int{} // paint to the place of its first own unknown
	n := len(h.b.mean)
	for _, p := range h.pots {
		f.run(p, h.b, false)
		if _, ok := paints[p.v.Paint]; !ok {
			paints[p.v.Paint] = n
			n += len(h.u.ownSD[p.v.Paint])
		}
		for i := range f.seen {
			all = append(all, told{p, f.seen[i], slices.Clone(f.jac[i*f.nk : i*f.nk+f.n])})
		}
	}
	slices.SortStableFunc(all, func(a, b told) int { return cmpFloat(a.seen.month, b.seen.month) })
	// v is the covariance, dev the deviation from the final mean.
	v, dev := make([]float64, n*n), make([]float64, n)
	d := len(h.b.mean)
	w := h.last.sys.prior
	for i := range d {
		v[i*n+i] = 1 / w[i]
		dev[i] = h.u.mean[i] - h.b.mean[i]
	}
	for c, at := range paints {
		for i, sd := range h.u.ownSD[c] {
			v[(at+i)*n+at+i] = sd * sd
			if o := &h.last.sys.own[c]; o.touched {
				v[(at+i)*n+at+i] = 1 / o.prior[i]
			}
			dev[at+i] = -h.b.own[c].mean[i]
		}
	}
	row := func(p part, paint int, factor float64, x []float64) {
		for _, i := range p.dense {
			x[i] += factor
		}
		if at, ok := paints[paint]; ok && p.own >= 0 {
			x[at+p.own] += factor
		}
	}
	wanted := make([][]float64, len(asked))
	parts := make([]part, len(asked))
	base := make([]float64, len(asked))
	for i, a := range asked {
		parts[i] = h.u.film(a.Way, a.Paint, late)
		if a.Waste {
			parts[i] = h.u.waste(a.Way.Method)
		}
		base[i] = h.b.of(parts[i], max(a.Paint, 0))
		wanted[i] = make([]float64, n)
		row(parts[i], a.Paint, 1, wanted[i])
	}
	at := func(i int) float64 {
		x := base[i]
		for k, c := range wanted[i] {
			x += c * dev[k]
		}
		return x
	}
	x, vx := make([]float64, n), make([]float64, n)
	for _, t := range all {
		clear(x)
		mean := 0.0
		for i, p := range t.p.parts {
			row(p, t.p.v.Paint, t.jac[i], x)
		}
		for i := range vx {
			vx[i] = 0
			for k, c := range x {
				if c != 0 {
					vx[i] += v[i*n+k] * c
				}
			}
		}
		s := t.seen.s
		for i, c := range x {
			s += c * vx[i]
			mean += c * dev[i]
		}
		// The surprise is about what was known at the time: the final mean's
		// surprise less what the hand has moved since.
		nu := t.seen.nu - mean
		before := make([]float64, len(asked))
		for i := range asked {
			before[i] = at(i)
		}
		if t.seen.counted {
			for i := range dev {
				dev[i] += vx[i] * nu / s
				for k := range dev {
					v[i*n+k] -= vx[i] * vx[k] / s
				}
			}
		}
		for i, a := range asked {
			if !h.bears(t.p, parts[i], a) {
				continue
			}
			sd := 0.0
			for k, c := range wanted[i] {
				for l, e := range wanted[i] {
					sd += c * e * v[k*n+l]
				}
			}
			out[i] = append(out[i], Pull{
				Pot:      t.p.v.ID,
				Event:    t.p.ops[t.seen.op].event,
				Month:    t.seen.month,
				Paint:    t.p.v.Paint,
				Before:   before[i],
				After:    at(i),
				SD:       sqrt(math.Max(0, sd)),
				Surprise: nu / sqrt(s),
				Out:      !t.seen.counted,
				Jump:     t.seen.jump,
			})
		}
	}
	return out
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
