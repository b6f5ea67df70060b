package hand

import (
	"math"
	"slices"
	"strings"
)

// Hand is what a record has taught of a painter and of the pots.
type Hand struct {
	a     *Assumptions
	u     *unknowns
	b     *belief
	pots  []*ready // those with readings, by id
	Flags []Flag   // readings that did not fit, by pot and time
	Reads int      // readings that counted
	Read  int      // pots that had any
	now   float64
	last  *filterSet
}

// filterSet is the working space of the rounds.
type filterSet struct {
	f   filter
	sys *system
}

// FromRecord works out the hand from all readings of all pots up to a month: every
// pot is a Kalman filter that tells the hand what it saw, round after round
// (Gauss-Newton). The same record gives the same hand, whatever its order.
// Indices of the record must be in range.
func FromRecord(rec *Record, a Assumptions, now float64) *Hand {
	h := newHand(rec, a, now)
	h.fit()
	return h
}

func newHand(rec *Record, a Assumptions, now float64) *Hand {
	h := &Hand{a: &a, now: now}
	h.u = newUnknowns(rec, h.a)
	for _, i := range newest(rec, now) {
		if p := h.u.prepare(&rec.Pots[i], now); p.reads > 0 {
			h.pots = append(h.pots, p)
		}
	}
	h.Read = len(h.pots)
	h.u.all()
	h.b = h.u.prior()
	h.last = &filterSet{f: filter{a: h.a}, sys: newSystem(h.u)}
	return h
}

// mostReads is how many readings a hand is learned from: by then it is known as
// well as it will ever be. Every pot's own level still rests on all of its own.
const mostReads = 3000

// newest are the pots with readings, by id: a pot without one has nothing to say
// to the hand. Where there are more readings than it takes, those read last; of
// one moment by id.
func newest(rec *Record, now float64) []int {
	type pot struct {
		i, reads int
		last     float64
	}
	var pots []pot
	total := 0
	for i := range rec.Pots {
		p := pot{i: i}
		for k := range rec.Pots[i].Events {
			if e := &rec.Pots[i].Events[k]; (e.Kind == Look || e.Kind == Weigh) && e.Month <= now {
				p.reads++
				p.last = e.Month
			}
		}
		if p.reads > 0 {
			pots = append(pots, p)
			total += p.reads
		}
	}
	byID := func(x, y pot) int { return strings.Compare(rec.Pots[x.i].ID, rec.Pots[y.i].ID) }
	if total > mostReads {
		slices.SortFunc(pots, func(x, y pot) int {
			if c := -cmpFloat(x.last, y.last); c != 0 {
				return c
			}
			return byID(x, y)
		})
		n, reads := 0, 0
		for n < len(pots) && reads < mostReads {
			reads += pots[n].reads
			n++
		}
		pots = pots[:n]
	}
	slices.SortStableFunc(pots, byID)
	out := make([]int, len(pots))
	for i, p := range pots {
		out[i] = p.i
	}
	return out
}

const longestStep = .7

func (h *Hand) fit() {
	if len(h.pots) > 0 {
		for round := range h.a.Rounds {
			h.round(round)
		}
	}
	h.widenPins()
}

// round is one pass over all pots and one step of the hand.
func (h *Hand) round(round int) {
	f, sys := &h.last.f, h.last.sys
	sys.clear()
	flagging := round >= h.a.FlagFrom && round <= h.a.FlagUntil
	final := round == h.a.Rounds-1
	adapting := round >= 2 && round != 3 && !final
	var sums noiseSums
	type marks struct {
		p *ready
		t []shock
	}
	var shocked []marks
	// The covariance that scores and scatter are judged by is the one this
	// round arrives at, so passes are kept until it is there.
	var kept []pass
	h.Reads = 0
	for _, p := range h.pots {
		f.run(p, h.b, flagging)
		sys.add(p, f.info, f.push)
		for i := range f.seen {
			if f.seen[i].counted {
				h.Reads++
			}
		}
		if adapting || flagging {
			kept = append(kept, keep(p, f, adapting))
		}
		if flagging {
			shocked = append(shocked, marks{p, f.shocks()})
		}
	}
	most := longestStep
	if final {
		most = 0
	}
	if round >= 4 {
		h.judgeFar(final)
	}
	sys.solve(h.b, round > 0, most)
	if final {
		return
	}
	switch {
	case round == 3:
		h.search()
	case adapting:
		for i := range kept {
			sums.add(&kept[i], h.b)
		}
		h.b.noise = sums.noise(h.a, h.b.noise)
	}
	if round == h.a.FlagUntil+1 {
		for i := range kept {
			h.takeBack(&kept[i])
		}
	}
	if flagging {
		for i := range shocked {
			h.flag(shocked[i].p, shocked[i].t, kept[i].seen)
		}
	}
}

// widenPins gives pinned effects back the spread the painter gave them.
func (h *Hand) widenPins() {
	n := len(h.b.mean)
	for i, sd := range h.u.pinned {
		for j := range n {
			h.b.v[i*n+j], h.b.v[j*n+i] = 0, 0
		}
		h.b.v[i*n+i] = sd * sd
		h.b.mean[i] = h.u.mean[i]
		for c := range h.b.own {
			for k := range h.b.own[c].cross {
				h.b.own[c].cross[k][i], h.b.own[c].lean[k][i] = 0, 0
			}
		}
	}
}

// pass keeps of one pass over a pot what the scatter is judged by.
type pass struct {
	p    *ready
	seen []seen
	jac  []float64 // by parts
}

func keep(p *ready, f *filter, jacobians bool) pass {
	k := pass{p: p, seen: slices.Clone(f.seen)}
	if jacobians {
		k.jac = make([]float64, 0, len(f.seen)*f.n)
		for i := range f.seen {
			k.jac = append(k.jac, f.jac[i*f.nk:i*f.nk+f.n]...)
		}
	}
	return k
}

type noiseSums struct{ eye, scale, job struct{ num, den float64 } }

// add puts each reading's surprise down to its sources.
func (n *noiseSums) add(k *pass, b *belief) {
	parts := len(k.p.parts)
	cov := make([]float64, parts*parts)
	b.covariance(k.p.parts, k.p.v.Paint, cov)
	for i := range k.seen {
		s := &k.seen[i]
		if !s.counted || s.jump {
			continue
		}
		jv := quadratic(cov, k.jac[i*parts:(i+1)*parts])
		y := math.Min((s.nu*s.nu+jv)/s.s, 12)
		n.job.num += s.job / s.s * y
		n.job.den += s.job / s.s
		own := &n.scale
		if s.eye {
			own = &n.eye
		}
		own.num += s.r / s.s * y
		own.den += s.r / s.s
	}
}

func quadratic(c, x []float64) float64 {
	n, sum := len(x), 0.0
	for i, xi := range x {
		if xi == 0 {
			continue
		}
		for j, xj := range x {
			sum += xi * c[i*n+j] * xj
		}
	}
	return sum
}

func (n *noiseSums) noise(a *Assumptions, was noise) noise {
	next := func(k, worth float64, s struct{ num, den float64 }) float64 {
		return clip(k*math.Pow((worth/(k*k)+s.num)/(worth+s.den), .65), .3, 12)
	}
	return noise{
		next(was.eye, a.WorthEye, n.eye),
		next(was.scale, a.WorthScale, n.scale),
		next(was.job, a.WorthJob, n.job),
	}
}

// search tries a few sizes of each error first and keeps the likeliest, so
// that a scale that errs by whole grams is found out at once.
func (h *Hand) search() {
	f := &h.last.f
	f.bare = true
	defer func() { f.bare = false }()
	for _, step := range []struct {
		of    func(*noise) *float64
		sizes []float64
	}{
		{func(n *noise) *float64 { return &n.scale }, []float64{1, 2, 4, 7}},
		{func(n *noise) *float64 { return &n.job }, []float64{.7, 1, 1.4, 2}},
		{func(n *noise) *float64 { return &n.eye }, []float64{.7, 1, 1.5}},
		{func(n *noise) *float64 { return &n.scale }, []float64{.5, 1, 1.5}},
	} {
		was := *step.of(&h.b.noise)
		best, pick := math.Inf(-1), 1.0
		for _, size := range step.sizes {
			*step.of(&h.b.noise) = was * size
			like := -.5 * square(ln(was*size)/.5)
			for _, p := range h.pots {
				f.run(p, h.b, false)
				for i := range f.seen {
					if s := &f.seen[i]; s.counted {
						like -= .5*math.Min(s.nu*s.nu/s.s, 9) + .5*ln(s.s)
					}
				}
			}
			if like > best {
				best, pick = like, size
			}
		}
		*step.of(&h.b.noise) = was * pick
	}
}
