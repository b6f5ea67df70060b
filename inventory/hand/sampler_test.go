package hand

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// sampler is an independent way to the same posterior: Metropolis over every
// unknown of one pot (Metropolis et al. 1953; Gelman et al., Bayesian Data
// Analysis, chapter 11, from memory). It knows the model as a generative story
// and shares nothing with the filter: no derivative, no normal approximation.
// Two lumped effects stand for film and waste, as one pot can't tell more.
type sampler struct {
	rec    *Record
	a      Assumptions
	sdFilm float64
	sdWast float64
}

// story is the log density of everything at once: z are standard normals
// behind every unknown; the readings are compared with what follows.
func (s *sampler) story(z []float64, at *int) (logp, film, waste, left float64) {
	next := func() float64 {
		v := z[*at]
		*at++
		logp -= v * v / 2
		return v
	}
	*at = 0
	v := &s.rec.Pots[0]
	film, waste = s.sdFilm*next(), s.sdWast*next()
	shift, tilt := s.a.EyeShift*next(), s.a.EyeTilt*next()
	water := math.Exp(s.a.Water * next())
	l := ln(s.a.Silent) + s.a.SilentSD*next()
	watched, un := l+s.a.Watched+s.a.SplitSD*next(), l+s.a.Unwatched+s.a.SplitSD*next()
	x := v.Full + v.FillSD*next()
	tare, rho := v.Tare+v.TareSD*next(), v.Density*(1+s.a.Density*next())
	own := math.Max(.05, 1+s.a.PotSilent*next())
	dry, month, since := 0.0, 0.0, 0.0
	for i := range v.Events {
		e := &v.Events[i]
		if months := e.Month - month; months > 0 {
			// Every stretch of these histories has a logged use.
			w := clip((s.a.WatchedMonths-since)/months, 0, 1)
			mean := (w*math.Exp(watched) + (1-w)*math.Exp(un)) * own * v.Full * clip(x/(.25*v.Full),
				.05, 1) * months
			mean = math.Min(mean, .8*math.Max(x, 0)+1e-3)
			x -= mean + sqrt(s.a.TouchUp*mean)*next()
			dry += water * .003 * v.Water * months
			month, since = e.Month, since+months
		}
		switch e.Kind {
		case Draw:
			x -= e.Film*math.Exp(film+s.a.JobFilm*next()) + e.Waste*math.Exp(waste+s.a.JobWaste*next())
			dry = math.Min(.72, dry+water*.02/math.Max(x, .9))
			since = 0
		case Weigh:
			logp -= square((e.Value-tare-(rho-dry)*x)/s.a.Scale) / 2
		case Look:
			t := x * (1 - dry) / v.Full
			p := clip(t, 0, 1)
			sd := sqrt(square(s.a.Eye)*math.Max(.16, 4*p*(1-p)) + .05*.05/12)
			h := t + shift + tilt*(t-.5)
			switch {
			case e.Value >= .999:
				logp += ln(math.Max(cumulative((h-.975)/sd), 1e-300))
			case e.Value <= .001:
				logp += ln(math.Max(cumulative((.025-h)/sd), 1e-300))
			default:
				logp -= square((e.Value-h)/sd)/2 + ln(sd)
			}
		}
	}
	return logp, film, waste, x
}

// run draws, moving a few unknowns at a time with steps that adapt while it
// warms up.
func (s *sampler) run(n int, rng *rand.Rand) (film, filmSD, waste, wasteSD, left, leftSD float64) {
	z := make([]float64, 200)
	var dims int
	p, f, w, x := s.story(z, &dims)
	z = z[:dims]
	step := make([]float64, dims)
	for i := range step {
		step[i] = .5
	}
	var m, m2 [3]float64
	count := 0.0
	prop := make([]float64, dims)
	for it := range n {
		for i := range dims {
			copy(prop, z)
			prop[i] += step[i] * rng.NormFloat64()
			if rng.IntN(4) == 0 { // film and waste trade against each other
				d := .3 * rng.NormFloat64()
				prop[0] += d
				prop[1] -= d * rng.Float64() * 2
			}
			var used int
			pp, pf, pw, px := s.story(prop, &used)
			ok := ln(rng.Float64()) < pp-p
			if ok {
				copy(z, prop)
				p, f, w, x = pp, pf, pw, px
			}
			if it < n/4 {
				if ok {
					step[i] = math.Min(3, step[i]*1.05)
				} else {
					step[i] *= .97
				}
			}
		}
		if it >= n/4 {
			count++
			for k, v := range [3]float64{f, w, x} {
				d := v - m[k]
				m[k] += d / count
				m2[k] += d * (v - m[k])
			}
		}
	}
	return m[0], sqrt(m2[0] / count), m[1], sqrt(m2[1] / count), m[2], sqrt(m2[2] / count)
}

// Twenty histories of one pot each: hand and level agree with the sampler.
func TestAgainstSampler(t *testing.T) {
	histories, n, slack := 2, 20000, 1.5 // a small dose leaves the sampler itself unsure
	if os.Getenv("HALFPOT_LONG") != "" {
		histories, n, slack = 20, 40000, 1
	}
	worstFilm, worstLevel := 0.0, 0.0
	for i := range histories {
		rng := rand.New(rand.NewPCG(77, uint64(i)))
		film, waste := math.Exp(.4*rng.NormFloat64()), math.Exp(.5*rng.NormFloat64())
		v := usualPot("a", 0)
		v.Events = []Event{{Kind: Fresh}, {Kind: Unseal}}
		way := Way{0, 0}
		x, dry := 18*(1+.03*rng.NormFloat64()), 0.0
		tare := 15 + .3*rng.NormFloat64()
		jobs := 3 + i%5
		for j := range jobs {
			month := .25 * float64(j+1)
			f, w := .3+1.2*rng.Float64(), .3
			v.Events = append(v.Events, Event{
				Kind:     Draw,
				Month:    month,
				Film:     f,
				Waste:    w,
				Sittings: 1,
				Way:      way,
			})
			x -= f*film*math.Exp(.2*rng.NormFloat64()) + w*waste*math.Exp(.4*rng.NormFloat64())
			dry += .02 / math.Max(x, .9)
			if i%2 == 0 {
				v.Events = append(v.Events, Event{
					Kind:  Weigh,
					Month: month,
					Value: tare + (1.1-dry)*x + .1*rng.NormFloat64(),
				})
			} else {
				z := math.Round(clip(x/18+.05*rng.NormFloat64(), 0, 1)*20) / 20
				v.Events = append(v.Events, Event{Kind: Look, Month: month, Value: z})
			}
		}
		rec := &Record{Methods: []float64{.42}, Types: []int{0}, Paints: []Way{way}, Pots: []Vessel{v}}
		a := Assumed()
		a.Forgotten, a.Forgets = 0, 0
		a.Far = nil                                                                        // one spread, as the sampler has it
		a.Tails, a.FlagFrom, a.WorthEye, a.WorthScale, a.WorthJob = 1e9, 99, 1e9, 1e9, 1e9 // normal priors and known errors, as the sampler has them
		h := newHand(rec, a, late)
		for r := range a.Rounds {
			if r == 3 { // the search for the size of errors
				r = 2
			}
			h.round(r)
		}
		s := &sampler{rec: rec, a: a, sdFilm: .42, sdWast: math.Hypot(a.Waste, a.WasteMethod)}
		sf, sfd, sw, swd, sx, sxd := s.run(n, rng)
		f, w := h.Film(way, 0), h.Waste(0)
		l := h.Left(&rec.Pots[0], v.Events[len(v.Events)-1].Month)
		t.Logf("%2d: film %+.3f (%.3f), sampler %+.3f (%.3f); waste %+.3f (%.3f), sampler %+.3f (%.3f); "+
			"left %.2f (%.2f), sampler %.2f (%.2f)",
			i, f.Mean, f.SD, sf, sfd, w.Mean, w.SD, sw, swd, l.Mean+.54, sqrt(l.SD*l.SD-.162*.162), sx, sxd)
		worstFilm = math.Max(worstFilm, math.Abs(f.Mean-sf)/sfd)
		worstLevel = math.Max(worstLevel, math.Abs(l.Mean+.54-sx)/sxd)
		if r := f.SD / sfd; math.Abs(f.Mean-sf) > .35*slack*sfd || r < .75 || r > 1.3 {
			t.Errorf("history %d: film %.3f (%.3f), sampler %.3f (%.3f)", i, f.Mean, f.SD, sf, sfd)
		}
		if r := w.SD / swd; math.Abs(w.Mean-sw) > .35*slack*swd || r < .75 || r > 1.3 {
			t.Errorf("history %d: waste %.3f (%.3f), sampler %.3f (%.3f)", i, w.Mean, w.SD, sw, swd)
		}
		if math.Abs(l.Mean+.54-sx) > .45*slack*sxd {
			t.Errorf("history %d: left %.2f, sampler %.2f (%.2f)", i, l.Mean+.54, sx, sxd)
		}
	}
	t.Logf("furthest off: film %.2f, level %.2f of the sampler's own deviation", worstFilm, worstLevel)
}
