package hand

import (
	"math"
	"slices"
)

// judgeFar judges how far the painter is from the tables by the likelihood of
// the readings over all hands (Gelman et al., Bayesian Data Analysis, chapter 5,
// from memory), as if they were as linear as where the round stands. While the
// rounds go on the spread is the middle of what is likely, and weak readings
// leave the estimate at the tables; for the final covariance a mean of high
// power, so that doubt about it widens the ranges: one taken for a painter by the
// tables may yet be another.
func (h *Hand) judgeFar(final bool) {
	if len(h.a.Far) > 0 {
		h.last.sys.evidence(h.b).judge(h.b, h.a.Far, final)
	}
}

// evidence is what the readings say of how far the unknowns are from their
// prior means: information and gradient there.
type evidence struct {
	s    *system
	push []float64   // dense
	own  [][]float64 // by paint; nil: nothing was said
	a, g []float64   // working space
}

// evidence turns what was added about the belief into what it says about the
// prior.
func (s *system) evidence(b *belief) *evidence {
	n := len(s.push)
	e := &evidence{
		s:    s,
		push: slices.Clone(s.push),
		own:  make([][]float64, len(s.own)),
		a:    make([]float64, n*n),
		g:    make([]float64, n),
	}
	dev := make([]float64, n)
	for i := range dev {
		dev[i] = b.mean[i] - s.u.mean[i]
	}
	for i := range dev {
		for j, d := range dev {
			e.push[i] += s.info[i*n+j] * d
		}
	}
	for c := range s.own {
		o := &s.own[c]
		if !o.touched {
			continue
		}
		e.own[c] = slices.Clone(o.push)
		for i, own := range b.own[c].mean {
			for j := range o.push {
				e.own[c][j] += o.info[j][i] * own
			}
			for d, x := range o.couple[i] {
				e.own[c][i] += x * dev[d]
				e.push[d] += x * own
			}
		}
	}
	return e
}

// log is the log likelihood of what was added under prior spreads, but for a
// constant. What is forgotten is never below nothing.
func (e *evidence) log(far [groups]float64) float64 {
	s, n, sum := e.s, len(e.g), 0.0
	copy(e.a, s.info)
	copy(e.g, e.push)
	for i, sd := range s.u.sd {
		w := 1 / square(sd*far[s.u.group[i]])
		e.a[i*n+i] += w
		sum += ln(w)
	}
	for c := range s.own {
		if e.own[c] != nil {
			sum += e.eliminate(c, far[ofFilm])
		}
	}
	cholesky(e.a, n)
	unit := make([]float64, n) // row of the inverse factor
	for i := range n {
		x := e.g[i]
		for j := range i {
			x -= e.a[i*n+j] * e.g[j]
		}
		e.g[i] = x / e.a[i*n+i]
		sum += e.g[i]*e.g[i] - 2*ln(e.a[i*n+i])
	}
	mean, variance := 0.0, 0.0
	for i := uForgotten; i < n; i++ {
		if i == uForgotten {
			unit[i] = 1
		}
		for j := uForgotten; j < i; j++ {
			unit[i] -= e.a[i*n+j] * unit[j]
		}
		unit[i] /= e.a[i*n+i]
		mean += unit[i] * e.g[i]
		variance += unit[i] * unit[i]
	}
	return sum/2 + ln(2*cumulative(mean/sqrt(variance))+1e-12)
}

// eliminate takes a paint's own unknowns out (Schur complement by rows of the
// Cholesky factor) and gives what they add.
func (e *evidence) eliminate(c int, far float64) (sum float64) {
	o, n := &e.s.own[c], len(e.g)
	k := len(o.push)
	a := flat(o.info)
	for i, w := range o.weights(e.s.u.ownSD[c], far) {
		a[i*k+i] += w
		sum += ln(w)
	}
	cholesky(a, k)
	z, rows := slices.Clone(e.own[c]), make([][]float64, k)
	for i := range k {
		row := slices.Clone(o.couple[i])
		for j := range i {
			l := a[i*k+j]
			z[i] -= l * z[j]
			for d := range row {
				row[d] -= l * rows[j][d]
			}
		}
		z[i] /= a[i*k+i]
		for d := range row {
			row[d] /= a[i*k+i]
		}
		rows[i] = row
		sum += z[i]*z[i] - 2*ln(a[i*k+i])
		for d, x := range row {
			if x == 0 {
				continue
			}
			e.g[d] -= x * z[i]
			into := e.a[d*n : d*n+n]
			for f, y := range row {
				into[f] -= x * y
			}
		}
	}
	return sum
}

// hardly is the factor on what is forgotten of a painter who forgets next to
// nothing.
const hardly = .02

// widePower is tried on simulated painters: 2 left those a third off the tables,
// read by eye, with levels that held too rarely; 8 widens everybody's.
const widePower = 4.

// judge sets how far film and waste are.
func (e *evidence) judge(b *belief, fars []Far, wide bool) {
	type guess struct {
		far, forgets, like float64
	}
	var guesses []guess
	most, forgets := math.Inf(-1), e.s.u.a.Forgets
	for i, f := range fars {
		chance := f.Chance
		if i == 0 && !wide {
			chance *= math.Max(1, e.s.u.a.ByTables)
		}
		for _, g := range []struct{ factor, chance float64 }{{hardly, 1 - forgets}, {1, forgets}} {
			if g.chance > 0 {
				like := ln(chance*g.chance) + e.log([groups]float64{1, f.Factor, f.Factor, g.factor})
				guesses = append(guesses, guess{f.Factor, g.factor, like})
				most = math.Max(most, like)
			}
		}
	}
	total, middle, squares, powers, forgotten := 0.0, 0.0, 0.0, 0.0, 0.0
	for _, g := range guesses {
		w := exp(g.like - most)
		total += w
		middle += w * ln(g.far)
		squares += w * square(g.far)
		powers += w * math.Pow(g.far, widePower)
		forgotten += w * g.forgets
	}
	b.far[ofForgotten] = forgotten / total
	far := exp(middle / total)
	if wide {
		far = math.Pow(powers/total, 1/widePower)
		if typical := sqrt(squares / total); far > 1 {
			far = math.Max(1, typical)
		}
	}
	b.far[ofFilm], b.far[ofWaste] = far, far
}
