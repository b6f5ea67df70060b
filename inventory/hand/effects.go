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
