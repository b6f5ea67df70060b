package hand

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// painted is one simulated painter of a scene by name.
func painted(t testing.TB, name string, seed uint64) *sim {
	t.Helper()
	for _, sc := range scenes() {
		if sc.name == name {
			s := newSim(&sc, rand.New(rand.NewPCG(seed, 1)))
			for j := range sc.jobs {
				s.job(j, sc.jobs)
			}
			return s
		}
	}
	t.Fatalf("no scene %q", name)
	return nil
}

func nextOf(s *sim, c int) Work {
	return Work{
		Way:      s.rec.Paints[c],
		Paint:    c,
		Film:     10 * simSteps[c].film,
		Waste:    simSteps[c].waste,
		Sittings: 1,
	}
}

// The order of pots says nothing.
func TestOrder(t *testing.T) {
	s := painted(t, "from the prior, eye then scale", 5)
	a := FromRecord(&s.rec, Assumed(), s.month)
	slices.Reverse(s.rec.Pots)
	b := FromRecord(&s.rec, Assumed(), s.month)
	for c := range simSteps {
		ma, sa := a.Next(nextOf(s, c))
		mb, sb := b.Next(nextOf(s, c))
		if math.Abs(ma-mb) > 1e-9 || math.Abs(sa-sb) > 1e-9 {
			t.Errorf("paint %d: %.12f %.12f, the other way round %.12f %.12f", c, ma, sa, mb, sb)
		}
	}
}

// Eliminating the paints one by one is the same as solving for all at once.
func TestSchurAgainstDense(t *testing.T) {
	s := painted(t, "from the prior, eye then scale", 6)
	h := newHand(&s.rec, Assumed(), s.month)
	f, sys := &h.last.f, h.last.sys
	d := len(h.b.mean)
	paints := len(h.u.ownSD)
	n := d + paints
	info, push := make([]float64, n*n), make([]float64, n)
	for _, p := range h.pots {
		f.run(p, h.b, false)
		sys.add(p, f.info, f.push)
		place := func(q part) []int {
			out := slices.Clone(q.dense)
			if q.own >= 0 {
				out = append(out, d+p.v.Paint)
			}
			return out
		}
		for i, a := range p.parts {
			for _, x := range place(a) {
				push[x] += f.push[i]
				for j, b := range p.parts {
					for _, y := range place(b) {
						info[x*n+y] += f.info[i*f.n+j]
					}
				}
			}
		}
	}
	for i, sd := range h.u.sd {
		info[i*n+i] += 1 / (sd * sd)
	}
	for c := range paints {
		info[(d+c)*n+d+c] += 1 / square(h.u.ownSD[c][0])
	}
	was := slices.Clone(h.b.mean)
	sys.solve(h.b, false, 1e9)
	v := invert(info, n, nil)
	for i := range n {
		step := 0.0
		for j := range n {
			step += v[i*n+j] * push[j]
		}
		got := 0.0
		if i < d {
			got = h.b.mean[i] - was[i]
		} else {
			got = h.b.own[i-d].mean[0]
			if x := h.b.own[i-d].cov[0][0]; math.Abs(x-v[i*n+i]) > 1e-9 {
				t.Errorf("variance of paint %d: %.12f, dense %.12f", i-d, x, v[i*n+i])
			}
			for j := range d {
				if x := h.b.own[i-d].cross[0][j]; math.Abs(x-v[i*n+j]) > 1e-9 {
					t.Errorf("covariance of paint %d: %.12f, dense %.12f", i-d, x, v[i*n+j])
				}
			}
		}
		if math.Abs(got-step) > 1e-9 {
			t.Errorf("unknown %d moves %.12f, dense %.12f", i, got, step)
		}
	}
}

// The likelihood of a spread by elimination is that of all unknowns at once,
// by the density of a normal about the least squares solution.
func TestLikelihoodOfSpread(t *testing.T) {
	s := painted(t, "from the prior, eye then scale", 6)
	h := FromRecord(&s.rec, Assumed(), s.month)
	f, sys := &h.last.f, h.last.sys
	sys.clear()
	d := len(h.b.mean)
	n := d + len(h.u.ownSD)
	info, push, dev := make([]float64, n*n), make([]float64, n), make([]float64, n)
	for i := range d {
		dev[i] = h.b.mean[i] - h.u.mean[i]
	}
	for c := range h.u.ownSD {
		dev[d+c] = h.b.own[c].mean[0]
	}
	for _, p := range h.pots {
		f.run(p, h.b, false)
		sys.add(p, f.info, f.push)
		for i, a := range p.parts {
			at := slices.Clone(a.dense)
			if a.own >= 0 {
				at = append(at, d+p.v.Paint)
			}
			for _, x := range at {
				push[x] += f.push[i]
				for j, b := range p.parts {
					to := slices.Clone(b.dense)
					if b.own >= 0 {
						to = append(to, d+p.v.Paint)
					}
					for _, y := range to {
						info[x*n+y] += f.info[i*f.n+j]
					}
				}
			}
		}
	}
	g := slices.Clone(push)
	for i := range n {
		for j := range n {
			g[i] += info[i*n+j] * dev[j]
		}
	}
	dense := func(far float64) float64 {
		a, sum := slices.Clone(info), 0.0
		for i := range n {
			sd := far
			switch {
			case i >= d:
				sd *= h.u.ownSD[i-d][0]
			case h.u.group[i] == alone:
				sd = h.u.sd[i]
			default:
				sd *= h.u.sd[i]
			}
			a[i*n+i] += 1 / (sd * sd)
			sum -= 2 * ln(sd)
		}
		v := invert(slices.Clone(a), n, nil)
		for i := range n {
			for j := range n {
				sum += g[i] * v[i*n+j] * g[j]
			}
		}
		cholesky(a, n)
		for i := range n {
			sum -= 2 * ln(a[i*n+i])
		}
		return sum / 2
	}
	e := sys.evidence(h.b)
	base, want := e.log([groups]float64{1, 1, 1}), dense(1)
	for _, far := range []float64{.15, .5, 2} {
		got, should := e.log([groups]float64{1, far, far})-base, dense(far)-want
		if math.Abs(got-should) > 1e-7 {
			t.Errorf("spread %.2f: %.9f, all at once %.9f", far, got, should)
		}
	}
}

// Six silent months: neither the centre nor the upper end of a level rises.
func TestSilenceNeverFills(t *testing.T) {
	s := painted(t, "by eye after each job", 7)
	h := FromRecord(&s.rec, Assumed(), s.month)
	for i := range s.rec.Pots {
		v := &s.rec.Pots[i]
		last := [2]float64{math.Inf(1), math.Inf(1)}
		for m := range 25 {
			l := h.Left(v, s.month+float64(m)/4)
			for k, p := range []float64{.5, .95} {
				if q := l.Quantile(p); q > last[k]+1e-3 {
					t.Errorf("pot %s after %.2f months: the %.0f %% quantile rises from %.4f to %.4f",
						v.ID, float64(m)/4, 100*p, last[k], q)
				} else {
					last[k] = q
				}
			}
		}
	}
}

// A look moved up or down moves what is learned alike: nothing is dropped or
// weighed by what was read.
func TestLooksPullAlike(t *testing.T) {
	s := painted(t, "by eye after each job", 8)
	v := &s.rec.Pots[s.v[0]]
	at := slices.IndexFunc(v.Events, func(e Event) bool {
		return e.Kind == Look && e.Value < .9 && e.Value > .4
	})
	if at < 0 {
		t.Fatal("no look in the middle")
	}
	film := func(by float64) float64 {
		was := v.Events[at].Value
		v.Events[at].Value += by
		defer func() { v.Events[at].Value = was }()
		a := Assumed()
		a.FlagFrom = 99
		return FromRecord(&s.rec, a, s.month).Film(s.rec.Paints[0], 0).Mean
	}
	middle, up, down := film(0), film(.16), film(-.16)
	if r := (middle - up) / (down - middle); !(r > .7 && r < 1.43) {
		t.Errorf("a look 0.16 higher moves the film by %.4f, lower by %.4f", up-middle, down-middle)
	}
}

// Four ml gone unseen are found out by weight and teach the hand nothing;
// clean books raise fewer than one flag in a hundred readings.
func TestSpills(t *testing.T) {
	painters := 40
	if testing.Short() {
		painters = 15
	}
	found, flags, reads, moved := 0, 0, 0, 0.0
	for i := range painters {
		clean := painted(t, "tables right, weighed", uint64(100+i))
		a := FromRecord(&clean.rec, Assumed(), clean.month)
		flags, reads = flags+len(a.Flags), reads+a.Reads
		v := &clean.rec.Pots[clean.v[2]]
		half := false
		for k := range v.Events {
			if e := &v.Events[k]; e.Kind == Weigh && e.Month > clean.month/2 {
				e.Value -= 4 * 1.1
				half = true
			}
		}
		if !half {
			continue
		}
		b := FromRecord(&clean.rec, Assumed(), clean.month)
		if slices.ContainsFunc(b.Flags, func(f Flag) bool {
			return f.Pot == v.ID && f.Gone && math.Abs(f.ML-4) < 1.2
		}) {
			found++
		}
		d := math.Abs(b.Film(clean.rec.Paints[2], 2).Mean - a.Film(clean.rec.Paints[2], 2).Mean)
		moved += d
		if d > .25 { // one job of ten now teaches nothing
			t.Errorf("painter %d: the spill moves the film by %.3f", i, d)
		}
	}
	if moved /= float64(painters); moved > .06 {
		t.Errorf("spills move the film by %.3f", moved)
	}
	if found < painters {
		t.Errorf("%d of %d spills of 4 ml found", found, painters)
	}
	if flags*100 > reads {
		t.Errorf("%d flags in %d honest readings", flags, reads)
	}
}

// Pins, resets and verdicts.
func TestSettings(t *testing.T) {
	s := painted(t, "film x2, waste x3", 9)
	free := FromRecord(&s.rec, Assumed(), s.month)
	if m := free.Film(Way{0, -1}, -1); !(math.Exp(m.Mean) > 1.4 && math.Exp(m.Mean) < 2.8) {
		t.Errorf("the brush is %.2f, truly 2", math.Exp(m.Mean))
	}
	s.rec.Settings = []Setting{{Month: 1, Level: OfMethod, Index: 0, Pin: true, Log: math.Log(1.5), Spread: .05}}
	pinned := FromRecord(&s.rec, Assumed(), s.month)
	if m := pinned.Film(Way{0, -1}, -1); math.Abs(m.Mean-math.Log(1.5)) > 1e-9 || math.Abs(m.SD-.05) > 1e-9 {
		t.Errorf("pinned at 1.5: %.6f, spread %.3f", math.Exp(m.Mean), m.SD)
	}
	if m := pinned.Film(s.rec.Paints[0], 0); !(m.Mean > math.Log(1.5)) {
		t.Errorf("a paint below the pin no longer learns: %.3f", math.Exp(m.Mean))
	}
	s.rec.Settings = append(s.rec.Settings, Setting{Month: s.month + 1, Level: OfMethod, Index: 0})
	reset := FromRecord(&s.rec, Assumed(), s.month)
	if m := reset.Film(s.rec.Paints[0], 0); m.Mean != 0 || math.Abs(m.SD-.42) > 1e-9 {
		t.Errorf("after a reset: %.3f, spread %.3f, want the tables' own", math.Exp(m.Mean), m.SD)
	}
	if w := reset.Waste(0); !(w.Mean > .4) {
		t.Errorf("a reset forgets the waste too: %.2f", math.Exp(w.Mean))
	}
	for k, want := range map[Verdict]bool{Right: true, Misread: false} {
		s.rec.Settings = nil
		v := &s.rec.Pots[s.v[1]]
		last := len(v.Events) - 1
		was := v.Events[last]
		v.Events[last].Value, v.Events[last].Verdict = was.Value-6, k
		h := FromRecord(&s.rec, Assumed(), s.month)
		l := h.Left(v, s.month)
		if counted := l.LastEvent == last; counted != want ||
			slices.ContainsFunc(h.Flags, func(f Flag) bool { return f.Pot == v.ID && f.Event == last }) {
			t.Errorf("verdict %d: counted %v, flags %v", k, counted, h.Flags)
		}
		v.Events[last] = was
	}
}

// The history ends where the hand is, and begins at the prior.
func TestHistory(t *testing.T) {
	s := painted(t, "film x2, waste x3", 10)
	h := FromRecord(&s.rec, Assumed(), s.month)
	asked := []Asked{{Way{0, -1}, -1, false}, {s.rec.Paints[0], 0, false}, {Way{1, -1}, -1, true}}
	want := []Effect{h.Film(Way{0, -1}, -1), h.Film(s.rec.Paints[0], 0), h.Waste(1)}
	for i, pulls := range h.History(asked) {
		if len(pulls) == 0 {
			t.Fatalf("effect %d has no history", i)
		}
		last := pulls[len(pulls)-1]
		if i < 2 && math.Abs(pulls[0].Before) > .15 { // other pots may have been read before
			t.Errorf("effect %d begins at %.3f", i, pulls[0].Before)
		}
		if math.Abs(last.After-want[i].Mean) > .06 || math.Abs(last.SD-want[i].SD) > .02 {
			t.Errorf("effect %d ends at %.3f (%.3f), the hand says %.3f (%.3f)",
				i, last.After, last.SD, want[i].Mean, want[i].SD)
		}
	}
}

// Nothing known: the prior, and a sealed pot is full.
func TestNothingKnown(t *testing.T) {
	v := usualPot("a", 0)
	v.Events = []Event{{Kind: Fresh}}
	rec := &Record{Methods: simHand, Types: simTypes, Paints: []Way{{0, 0}}, Pots: []Vessel{v}}
	h := FromRecord(rec, Assumed(), 40)
	if m := h.Film(Way{0, 0}, 0); m.Mean != 0 || math.Abs(m.SD-.42) > 1e-9 || m.Reads != 0 {
		t.Errorf("film %+v", m)
	}
	l := h.Left(&rec.Pots[0], 40)
	if q := l.Quantile(.5); math.Abs(q-18*.97) > 1e-6 {
		t.Errorf("a sealed pot holds %.3f ml", q)
	}
	if l.Quantile(.99) > 18*.97 {
		t.Errorf("more than a full pot: %.3f", l.Quantile(.99))
	}
}
