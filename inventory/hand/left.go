package hand

import (
	"math"
	"slices"

	"halfpot/inventory/shelf"
)

// Left is what a pot holds, as far as anybody can tell: a normal quantity,
// less the silent use since it was last read (lognormal), held between nothing
// and full. Old draws stay bound to the hand, so they move with it.
type Left struct {
	Mean, SD         float64 // usable ml without silent use since
	Silent, SilentSD float64 // ml
	Top              float64 // usable ml of a full pot
	Gone             bool    // dried out or given away
	Read             bool    // it was judged or weighed since it was bought
	LastEvent        int     // event of the last reading that counts, -1: none
	// by what share of a pot the last look says more than is believed, where that is much; else 0
	Off                float64
	Lost, Stirred      float64 // water lost and stirred in, ml for each ml of paint
	bond               []float64
	parts              []part
	paint              int
	shares             [2]float64 // of the silent use: unwatched, watched
	scatter, rateScale float64    // variance of its own; silent use given the hand: log variance
}

// Left works out a pot, in the record or not, as of a month.
func (h *Hand) Left(v *Vessel, now float64) Left {
	f := filter{a: h.a}
	return h.left(&f, v, now)
}

// Lefts works out many pots with one working space.
func (h *Hand) Lefts(vs []Vessel, now float64) []Left {
	f := filter{a: h.a}
	out := make([]Left, len(vs))
	for i := range vs {
		out[i] = h.left(&f, &vs[i], now)
	}
	return out
}

func (h *Hand) left(f *filter, v *Vessel, now float64) Left {
	p := h.u.prepareIn(f.room, v, now)
	f.room = p.ops
	if known := h.marks(v.ID); known != nil {
		p.marked(known)
	}
	f.run(p, h.b, false)
	l := Left{
		Mean:      f.since - v.Dead,
		Top:       math.Max(0, v.Full-v.Dead),
		Gone:      f.gone,
		Read:      f.lastRead >= 0,
		LastEvent: -1,
		Off:       f.off,
		Lost:      f.lost,
		Stirred:   f.stirred,
		bond:      slices.Clone(f.sinceD),
		parts:     p.parts,
		paint:     v.Paint,
	}
	for i := range f.seen {
		if f.seen[i].counted && f.lastRead >= 0 {
			l.LastEvent = p.ops[f.seen[i].op].event
		}
	}
	n := f.n
	l.scatter = f.sinceVar + v.DeadSD*v.DeadSD
	l.SD = sqrt(l.scatter + quadratic(f.cov, f.sinceD))
	l.Silent = f.silent[0] + f.silent[1] + f.silent[2]
	if l.Silent > 1e-9 {
		l.shares = [2]float64{f.silent[0] / l.Silent, f.silent[1] / l.Silent}
		common := math.Min((f.silent[0]*f.cov[pUnwatched*n+pUnwatched]+
			f.silent[1]*f.cov[pWatched*n+pWatched])/l.Silent,
			1.5)
		forgotten := f.silent[2] / l.Silent
		own := f.p[sSilent][sSilent] + (h.a.TouchUp*(1-forgotten)+h.a.ForgottenML*forgotten)/l.Silent
		if forgotten > 0 {
			m, v := positive(f.mean[pForgotten], f.cov[pForgotten*n+pForgotten])
			own += square(forgotten/m) * v
		}
		l.SilentSD = l.Silent * sqrt(expm1(common)+own)
		l.rateScale = math.Log1p(own)
	}
	return l
}

// marked takes over what was decided about the readings of the same pot. Others
// may have come since, before these or after.
func (p *ready) marked(known *ready) {
	next := 0
	for i := range p.ops {
		o := &p.ops[i]
		if o.kind != opLook && o.kind != opWeigh {
			continue
		}
		for k := next; k < len(known.ops); k++ {
			if was := &known.ops[k]; was.kind == o.kind && was.month == o.month && was.value == o.value {
				p.out[o.read], p.jump[o.read] = known.out[was.read], known.jump[was.read]
				next = k + 1
				break
			}
		}
	}
}

// marks finds what the rounds decided about a pot's readings.
func (h *Hand) marks(id string) *ready {
	i, ok := slices.BinarySearchFunc(h.pots, id, func(p *ready, id string) int {
		switch {
		case p.v.ID < id:
			return -1
		case p.v.ID > id:
			return 1
		}
		return 0
	})
	if !ok {
		return nil
	}
	return h.pots[i]
}

func normalQuantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

// Content is the same as the shelf reckons with.
func (l *Left) Content() shelf.Content {
	return shelf.Content{Mean: l.Mean, SD: l.SD, Silent: l.Silent, SilentSD: l.SilentSD, Top: l.Top}
}

// Quantile is the usable volume in ml not passed with chance p (above 0, below
// 1), from 0 to Top.
func (l *Left) Quantile(p float64) float64 {
	if l.Gone {
		return 0
	}
	return l.Content().Quantile(p)
}

// Work is one job to come, by the tables.
type Work struct {
	Way         Way
	Paint       int
	Film, Waste float64 // ml
	Sittings    float64 // at least 1 where there is waste
	FilmSD      float64 // spread of the area and what else the hand does not cover, sd of the log
}

// Next is what a job will take in ml: median and sd of the log of a lognormal
// of the same mean and variance (Fenton 1960, from memory). Film and waste go
// together as far as the readings bound them.
func (h *Hand) Next(w Work) (median, logSD float64) {
	f, wst := h.u.film(w.Way, w.Paint, late), h.u.waste(w.Way.Method)
	m, mw := h.b.of(f, w.Paint), h.b.of(wst, w.Paint)
	vf, vw, c := h.b.cov(f, f, w.Paint), h.b.cov(wst, wst, w.Paint), h.b.cov(f, wst, w.Paint)
	jf, jw := h.a.JobFilm*h.b.noise.job, h.a.JobWaste*h.b.noise.job
	sf := vf + jf*jf + w.FilmSD*w.FilmSD
	sw := vw + math.Log1p(expm1(jw*jw)/math.Max(1, w.Sittings))
	film, waste := w.Film*math.Exp(m+sf/2), w.Waste*math.Exp(mw+vw/2+jw*jw/2)
	mean := film + waste
	if mean <= 0 {
		return 0, 0
	}
	variance := film*film*expm1(sf) + waste*waste*expm1(sw) + 2*film*waste*expm1(c)
	s2 := math.Log1p(variance / (mean * mean))
	return mean * math.Exp(-s2/2), sqrt(s2)
}
