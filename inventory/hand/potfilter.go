package hand

import "math"

// The state of a pot: paint ml, empty weight g, relative error of the density,
// how much silent use this pot sees.
const (
	sPaint = iota
	sTare
	sDensity
	sSilent
	states
)

// filter is one pass over a pot: an extended Kalman filter whose state also
// carries its derivatives by the parts, so that every reading says to the hand
// what it saw (Gelb, Applied Optimal Estimation, 1974; Bell, "The iterated
// Kalman smoother as a Gauss-Newton method", SIAM J. Optimization 4, 1994;
// both from memory). It is used again and again, so that nothing is allocated.
type filter struct {
	a            *Assumptions
	n            int // parts
	nk           int // parts and shocks
	first, shock int // the first reading with shocks, and how many have them

	s [states]float64
	p [states][states]float64
	d [states][]float64 // by parts, then shocks

	lost     float64    // water lost, ml for each ml of paint
	stirred  float64    // water stirred in beyond, likewise
	jobs     float64    // variance that jobs since the last reading brought
	silent   [3]float64 // since the last reading: unwatched, watched, forgotten sittings
	since    float64    // paint at the last reading less the draws since
	sinceVar float64
	sinceD   []float64
	gone     bool
	bare     bool // only the surprises are wanted, not what they say
	lastRead int  // number of the last reading that counted, -1: none since it was bought
	// of the last reading, where it was a look far from what is believed after it: by what share of a
	// pot it says more; else 0
	off       float64
	mean, cov []float64

	info []float64 // n x n
	push []float64
	seen []seen
	jac  []float64 // of each reading, nk each

	room []op    // of the last pot, to be used again
	list []Event // likewise

	gain [states]float64
	hx   [states]float64
	ph   [states]float64
}

// seen is what one reading came to.
type seen struct {
	nu, s, r, job float64
	eye           bool
	counted       bool
	jump          bool
	month         float64
	op            int
}

// shocked is for how many of a pot's last readings shocks are looked for.
const shocked = 40

// start readies the filter for a pot with n parts.
func (f *filter) start(n, reads int, shocks bool) {
	f.n, f.nk, f.first, f.shock = n, n, reads, 0
	if shocks {
		f.shock = min(reads, shocked)
		f.first = reads - f.shock
		f.nk = n + 2*f.shock
	}
	for i := range f.d {
		f.d[i] = resized(f.d[i], f.nk)
	}
	f.sinceD = resized(f.sinceD, n)
	f.mean, f.cov = resized(f.mean, n), resized(f.cov, n*n)
	f.info, f.push = resized(f.info, n*n), resized(f.push, n)
	f.seen = f.seen[:0]
	f.jac = resized(f.jac, reads*f.nk)
}

func resized(x []float64, n int) []float64 {
	if cap(x) < n {
		return make([]float64, n)
	}
	x = x[:n]
	clear(x)
	return x
}

func (f *filter) fresh(v *Vessel, x, variance float64) {
	f.s = [states]float64{x, v.Tare, 0, 1}
	f.p = [states][states]float64{}
	f.p[sPaint][sPaint], f.p[sTare][sTare] = variance, v.TareSD*v.TareSD
	f.p[sDensity][sDensity], f.p[sSilent][sSilent] = f.a.Density*f.a.Density, f.a.PotSilent*f.a.PotSilent
	for i := range f.d {
		clear(f.d[i])
	}
	f.lost, f.stirred, f.jobs, f.silent, f.gone, f.lastRead = 0, 0, 0, [3]float64{}, false, -1
	f.off = 0
	f.since, f.sinceVar = x, variance
	clear(f.sinceD)
}

// run passes over a pot under a belief. Means are taken over the belief, so
// that e^f is e^(f+v/2): posterior linearisation (Garcia-Fernandez, Svensson
// and Sarkka 2015, from memory); without it hands come out 8 to 12 % high.
func (f *filter) run(p *ready, b *belief, shocks bool) {
	v := p.v
	f.start(len(p.parts), p.reads, shocks)
	n := f.n
	for i, q := range p.parts {
		f.mean[i] = b.of(q, v.Paint)
	}
	b.covariance(p.parts, v.Paint, f.cov)
	eo := math.Exp(f.mean[pWater] + f.cov[pWater*n+pWater]/2)
	rate := [3]float64{}
	for i, q := range [2]int{pUnwatched, pWatched} {
		rate[i] = math.Exp(f.mean[q] + math.Min(f.cov[q*n+q], 1.5)/2)
	}
	rate[2], _ = positive(f.mean[pForgotten], f.cov[pForgotten*n+pForgotten])
	jf, jw := f.a.JobFilm*b.noise.job, f.a.JobWaste*b.noise.job
	fullVar := v.FillSD * v.FillSD
	for i := range p.ops {
		o := &p.ops[i]
		switch o.kind {
		case opFresh:
			f.fresh(v, v.Full, fullVar)
		case opUnknown:
			f.fresh(v, v.Full/2, v.Full*v.Full/12)
		case opFreshPart:
			x := o.value * v.Full
			f.fresh(v, x, square(v.Full)*f.lookVar(o.value, b))
		case opTime:
			f.pass(v, o, rate, eo)
		case opDraw:
			f.drawByTables(v, o, jf, jw, eo)
		case opKnown:
			f.draw(v, o.value, square(f.a.Measured*o.value), o.n, eo)
			f.overdrawn(v)
		case opSpillML:
			f.lose(o.value, square(f.a.Spill*o.value))
			f.overdrawn(v)
		case opSpillShare:
			f.spillShare(o.value)
		case opThin:
			if o.value == 0 {
				f.lost, f.stirred = 0, 0
			} else {
				f.stirred = math.Min(1, f.stirred+o.value/math.Max(f.s[sPaint], .05))
			}
		case opGone:
			f.gone = true
		case opLook, opWeigh:
			f.read(p, o, i, b)
			f.off = 0
			if o.kind == opLook {
				f.off = f.overruled(v, o.value)
			}
		}
	}
}

// lose takes paint out.
func (f *filter) lose(ml, variance float64) {
	f.s[sPaint] -= ml
	f.p[sPaint][sPaint] += variance
	f.since -= ml
	f.sinceVar += variance
}

// overdrawn sets right a pot of which more was told gone than it held: it is empty,
// and as far as that goes nobody knows, so that the next reading decides. What was
// drawn by the tables stays, for there the reading tells of the hand.
func (f *filter) overdrawn(v *Vessel) {
	empty := func(x, variance *float64) {
		if *x < 0 {
			*variance += square(math.Min(-*x, v.Full/2))
			*x = 0
		}
	}
	empty(&f.s[sPaint], &f.p[sPaint][sPaint])
	empty(&f.since, &f.sinceVar)
}

func (f *filter) draw(v *Vessel, ml, variance, sittings, eo float64) {
	f.lose(ml, variance)
	if v.Water > 0 {
		f.lost = math.Min(f.lost+eo*f.a.WaterSitting*sittings/math.Max(f.s[sPaint], .05*v.Full), .9*v.Water)
	}
}

// drawByTables takes out what a job took by the tables and the hand; film and waste
// of one job scatter by jf and jw (sd of the log).
func (f *filter) drawByTables(v *Vessel, o *op, jf, jw, eo float64) {
	n := f.n
	fm, wm := o.film*math.Exp(f.mean[o.slot]+f.cov[o.slot*n+o.slot]/2+jf*jf/2), 0.0
	if o.waste > 0 {
		w := o.slot + 1
		wm = o.waste * math.Exp(f.mean[w]+f.cov[w*n+w]/2+jw*jw/2)
	}
	q := fm*fm*expm1(jf*jf) + wm*wm*expm1(jw*jw)/o.n
	f.draw(v, fm+wm, q, o.n, eo)
	f.d[sPaint][o.slot] -= fm
	f.sinceD[o.slot] -= fm
	f.d[sPaint][o.slot+1] -= wm
	f.sinceD[o.slot+1] -= wm
	f.jobs += q
}

func (f *filter) spillShare(share float64) {
	x := math.Max(f.s[sPaint], 0)
	keep := 1 - share
	for i := range states {
		f.p[sPaint][i] *= keep
	}
	for i := range states {
		f.p[i][sPaint] *= keep
	}
	f.s[sPaint] *= keep
	for i := range f.d[sPaint] {
		f.d[sPaint][i] *= keep
	}
	for i := range f.sinceD {
		f.sinceD[i] *= keep
	}
	f.since *= keep
	f.sinceVar *= keep * keep
	f.lose(0, square(share*f.a.Spill*x))
}

// pass lets time go by: somebody may use the pot without a word, and water
// leaves it. Below a quarter of a pot the silent use shrinks with the level.
func (f *filter) pass(v *Vessel, o *op, rate [3]float64, eo float64) {
	if f.gone {
		return
	}
	if !o.forgets {
		rate[2] = 0
	}
	r := o.watched*(rate[1]+rate[2]) + (1-o.watched)*rate[0]
	watched, forgotten := o.watched*rate[1]/r, o.watched*rate[2]/r
	x := f.s[sPaint]
	lt := r * v.Full * clip(x/(.25*v.Full), .05, 1) * o.months
	gone := math.Min(lt*f.s[sSilent], .8*math.Max(x, 0)+1e-3)
	for i := range states {
		f.p[sPaint][i] -= lt * f.p[sSilent][i]
	}
	for i := range states {
		f.p[i][sPaint] -= lt * f.p[i][sSilent]
	}
	f.p[sPaint][sPaint] += gone * (f.a.TouchUp*(1-forgotten) + f.a.ForgottenML*forgotten)
	if !f.bare {
		d, by := f.d[sPaint][:f.nk], f.d[sSilent][:f.nk]
		for k := range d {
			d[k] -= lt * by[k]
		}
	}
	f.d[sPaint][pUnwatched] -= (1 - watched - forgotten) * gone
	f.d[sPaint][pWatched] -= watched * gone
	if forgotten > 0 {
		f.d[sPaint][pForgotten] -= forgotten * gone / rate[2]
	}
	f.s[sPaint] -= gone
	f.silent[0] += (1 - watched - forgotten) * gone
	f.silent[1] += watched * gone
	f.silent[2] += forgotten * gone
	if v.Water > 0 {
		f.lost = math.Min(f.lost+eo*f.a.WaterMonth*v.Water*o.months, .9*v.Water)
	}
}

// positive is the mean and the variance of a normal quantity that is known to be
// above 0.
func positive(mean, variance float64) (float64, float64) {
	sd := sqrt(math.Max(variance, 1e-30))
	a := -mean / sd
	m := hazard(a)
	return math.Max(mean+sd*m, 0), variance * clip(1-m*(m-a), 0, 1)
}

func density(z float64) float64    { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
func cumulative(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
