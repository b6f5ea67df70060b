package hand

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// A simulated painter: a hand, an eye and a scale that the test knows and the
// model does not. Every job takes a batch of figures through eight paints.
type scene struct {
	name        string
	film, waste float64 // the hand over the tables; 0: drawn from the prior
	jobs        int
	batch       [2]int
	read        func(job int, last bool, rng *rand.Rand) EventKind // after a job, of each pot; Draw: none
	eye         float64                                            // bias, share of a pot
	tilt        float64
	look        float64 // error of a look; 0: as assumed
	scale       float64 // g; 0: as assumed
	scatter     float64 // of jobs, times the assumed; 0: 1
	forget      float64 // chance that a job is not logged, though it is painted
	lent        float64 // chance that a third of a pot is lent out before a reading, unlogged
	spill, swap bool
	silent      float64 // share of a pot a month; 0: drawn from the prior where the hand is, else the assumed
	dry         float64 // water lost over the assumed; 0: drawn from the prior where the hand is, else 1; below 0: none
	after       float64 // months without a word at the end
	heavy       bool    // scatter of jobs and of looks with Student's t tails (3 degrees)
	drift       float64 // the film grows by this much, in logs, over all jobs
	area        float64 // error of the figure's area, sd of the log, the same for all jobs
	logsAt      float64 // figures logged over figures painted; 0: 1
	held        float64 // share of next jobs that the 90 % range must hold; 0: a known limit
	levels      float64 // the same of levels, and of "at least" at 90 %; 0: 0.80
	more        float64 // error after beyond that before, at most; 0: 0.01, and 0.9 of it where the hand is not the tables'
}

type truth struct {
	film, waste [8]float64
	rng         *rand.Rand
	sc          *scene
	rate        float64
	water       float64
}

// steps are the eight paints: share of 9 cm2, cover, film um, reach, waste ml,
// method, type.
var simSteps = [8]struct {
	film, waste  float64
	method, kind int
}{
	{9 * .42 * 60e-4 / .75, .20, 0, 0}, {9 * .16 * 60e-4 / .75, .20, 0, 0},
	{9 * .10 * 60e-4 / .75, .20, 0, 0}, {9 * .08 * 60e-4 / .75, .20, 0, 0},
	{9 * .15 * 35e-4 / .75, .20, 0, 1}, {9 * .05 * 35e-4 / .75, .20, 0, 1},
	{9 * .83 * 70e-4 / .70, .20, 1, 2}, {9 * .60 * .2 * 17e-4 / .12, .15, 2, 3},
}

var simHand = []float64{.42, .42, .60}
var simTypes = []int{0, 0, 1, 2}

func student(rng *rand.Rand, df float64) float64 {
	s := 0.0
	for range int(df) {
		s += square(rng.NormFloat64())
	}
	return rng.NormFloat64() / math.Sqrt(s/df)
}

func newTruth(sc *scene, rng *rand.Rand) *truth {
	a := Assumed()
	t := &truth{rng: rng, sc: sc}
	var m [3]float64
	var wm [3]float64
	var ty [4]float64
	for i := range m {
		m[i] = simHand[i] * math.Sqrt(a.Parts[0]) * student(rng, 4)
		wm[i] = a.WasteMethod * rng.NormFloat64()
	}
	for i := range ty {
		ty[i] = simHand[simTypes[i]] * math.Sqrt(a.Parts[1]) * rng.NormFloat64()
	}
	w := a.Waste * student(rng, 4)
	area := sc.area * rng.NormFloat64()
	for c, s := range simSteps {
		own := simHand[s.method] * math.Sqrt(a.Parts[2]) * rng.NormFloat64()
		if sc.film > 0 {
			t.film[c], t.waste[c] = sc.film, sc.waste
		} else {
			t.film[c], t.waste[c] = math.Exp(m[s.method]+ty[s.kind]+own), math.Exp(w+wm[s.method])
		}
		t.film[c] *= math.Exp(area)
	}
	switch t.water = sc.dry; {
	case sc.dry < 0:
		t.water = 0
	case sc.dry == 0 && sc.film == 0:
		t.water = math.Exp(a.Water * rng.NormFloat64())
	case sc.dry == 0:
		t.water = 1
	}
	switch t.rate = sc.silent; {
	case sc.silent == 0 && sc.film == 0:
		t.rate = a.Silent * math.Exp(a.SilentSD*rng.NormFloat64())
	case sc.silent == 0:
		t.rate = a.Silent
	}
	return t
}

func (t *truth) use(c int, figures float64, job, jobs int) float64 {
	k := t.sc.scatter
	if k == 0 {
		k = 1
	}
	z := func() float64 {
		if t.sc.heavy {
			return student(t.rng, 3) / math.Sqrt(3)
		}
		return t.rng.NormFloat64()
	}
	s := &simSteps[c]
	grown := math.Exp(t.sc.drift * float64(job) / float64(max(1, jobs)))
	return figures*s.film*t.film[c]*grown*math.Exp(.2*k*z()) + s.waste*t.waste[c]*math.Exp(.4*k*z())
}

// sim is one painter's year: pots of 18 ml, replaced when they run out.
type sim struct {
	t     *truth
	rec   Record
	x     [8]float64 // truly there
	v     [8]int     // pot in use
	tare  [8]float64
	dense [8]float64
	dead  [8]float64
	dry   [8]float64 // water lost, ml for each ml of paint
	month float64
}

func newSim(sc *scene, rng *rand.Rand) *sim {
	s := &sim{t: newTruth(sc, rng), rec: Record{Methods: simHand, Types: simTypes}}
	for c := range simSteps {
		s.rec.Paints = append(s.rec.Paints, Way{simSteps[c].method, simSteps[c].kind})
		s.open(c)
	}
	return s
}

func (s *sim) open(c int) {
	rng := s.t.rng
	v := usualPot(fmt.Sprintf("%d-%03d", c, len(s.rec.Pots)), c)
	v.Events = []Event{{Kind: Fresh, Month: s.month}, {Kind: Unseal, Month: s.month}}
	s.v[c], s.dry[c] = len(s.rec.Pots), 0
	s.x[c], s.tare[c] = 18*(1+.03*rng.NormFloat64()), 15+.3*rng.NormFloat64()
	s.dense[c], s.dead[c] = 1.1*(1+.03*rng.NormFloat64()), 18*(.03+.009*rng.NormFloat64())
	s.rec.Pots = append(s.rec.Pots, v)
}

func (s *sim) event(c int, e Event) {
	e.Month = s.month
	v := &s.rec.Pots[s.v[c]]
	v.Events = append(v.Events, e)
}

func (s *sim) reading(c int, kind EventKind) {
	sc, rng := s.t.sc, s.t.rng
	switch kind {
	case Look:
		share := s.x[c] * (1 - s.dry[c]) / 18
		sd := sc.look
		if sd == 0 {
			sd = .08
		}
		z := rng.NormFloat64()
		if sc.heavy {
			z = student(rng, 3) / math.Sqrt(3)
		}
		p := clip(share, 0, 1)
		seen := share + sc.eye + sc.tilt*(share-.5) + sd*math.Max(.4, 2*math.Sqrt(p*(1-p)))*z
		s.event(c, Event{Kind: Look, Value: math.Round(clip(seen, 0, 1)*20) / 20})
	case Weigh:
		sd := sc.scale
		if sd == 0 {
			sd = .1
		}
		s.event(c, Event{Kind: Weigh, Value: s.tare[c] + (s.dense[c]-s.dry[c])*s.x[c] + sd*rng.NormFloat64()})
	}
}

func (s *sim) pass(months float64) {
	rng := s.t.rng
	s.month += months
	for c := range simSteps {
		s.dry[c] = math.Min(.7, s.dry[c]+s.t.water*.003*.8*months)
		// Touch-ups of 0.4 ml or so, a Poisson number of them.
		mean := s.t.rate * 18 * months / .4
		for l := math.Exp(-mean); ; {
			if l *= 1 / math.Max(rng.Float64(), 1e-12); l >= 1 {
				break
			}
			s.x[c] = math.Max(0, s.x[c]-.4*math.Exp(.3*rng.NormFloat64()))
		}
	}
}

func (s *sim) job(j, jobs int) {
	sc, rng := s.t.sc, s.t.rng
	s.pass(.25)
	figures := float64(sc.batch[0] + rng.IntN(sc.batch[1]-sc.batch[0]+1))
	for c := range simSteps {
		forgotten := rng.Float64() < sc.forget
		logged := figures
		if sc.logsAt > 0 {
			logged *= sc.logsAt
		}
		use := s.t.use(c, figures, j, jobs)
		if !forgotten {
			st := &simSteps[c]
			s.event(c, Event{
				Kind:     Draw,
				Film:     logged * st.film,
				Waste:    st.waste,
				Sittings: 1,
				Way:      s.rec.Paints[c],
			})
		}
		if use > s.x[c] { // the rest comes from a new pot; the bench knows an empty pot when it sees one
			s.event(c, Event{Kind: Look, Value: 0})
			s.x[c] = 0
			s.open(c)
		} else {
			s.x[c] -= use
		}
		s.dry[c] = math.Min(.7, s.dry[c]+s.t.water*.02/math.Max(s.x[c], .9))
		if sc.spill && c == 2 && j == jobs/2 {
			s.x[c] = math.Max(0, s.x[c]-4)
		}
		if sc.lent > 0 && rng.Float64() < sc.lent {
			s.x[c] *= 2. / 3
		}
		if kind := sc.read(j, j == jobs-1, rng); kind != Draw {
			s.reading(c, kind)
		}
	}
	if sc.swap && j == jobs/2 { // two readings written down against the wrong pot
		a, b := s.rec.Pots[s.v[0]].Events, s.rec.Pots[s.v[1]].Events
		x, y := &a[len(a)-1], &b[len(b)-1]
		if (x.Kind == Look || x.Kind == Weigh) && x.Kind == y.Kind {
			x.Value, y.Value = y.Value, x.Value
		}
	}
}

func every(k EventKind) func(int, bool, *rand.Rand) EventKind {
	return func(int, bool, *rand.Rand) EventKind { return k }
}

func sometimes(k EventKind, each int) func(int, bool, *rand.Rand) EventKind {
	return func(j int, _ bool, _ *rand.Rand) EventKind {
		if j%each == each-1 {
			return k
		}
		return Draw
	}
}

func eyeThenScale(j int, _ bool, _ *rand.Rand) EventKind {
	if j < 5 {
		return Look
	}
	return Weigh
}

func byChance(k EventKind, p float64) func(int, bool, *rand.Rand) EventKind {
	return func(_ int, _ bool, rng *rand.Rand) EventKind {
		if rng.Float64() < p {
			return k
		}
		return Draw
	}
}

func scenes() []scene {
	usual := [2]int{5, 15}
	good, mild := .84, .80
	return []scene{
		{name: "from the prior, weighed", jobs: 10, batch: usual, read: every(Weigh), held: good},
		{name: "from the prior, by eye", jobs: 10, batch: usual, read: every(Look), held: good},
		{name: "from the prior, eye then scale", jobs: 10, batch: usual, read: eyeThenScale, held: good},
		{name: "from the prior, 2 jobs", jobs: 2, batch: usual, read: every(Weigh), held: good},
		{name: "from the prior, a look every fifth job", jobs: 10, batch: usual,
			read: sometimes(Look, 5), held: good},
		{name: "from the prior, looks now and then, 6 silent months", jobs: 10, batch: usual,
			read: byChance(Look, .4), after: 6, held: good},
		{name: "tables right, weighed", film: 1, waste: 1, jobs: 10, batch: usual,
			read: every(Weigh), held: good},
		{name: "film x0.5", film: .5, waste: 1, jobs: 10, batch: usual, read: every(Weigh), held: good},
		{name: "film x2, waste x3", film: 2, waste: 3, jobs: 10, batch: usual, read: every(Weigh), held: good},
		{name: "film x3, waste x2", film: 3, waste: 2, jobs: 10, batch: usual, read: every(Weigh), held: good},
		{name: "2 to 3 figures a job", film: 1, waste: 1, jobs: 10, batch: [2]int{2, 3},
			read: every(Weigh), held: good},
		{name: "40 figures a job", film: 1, waste: 1, jobs: 10, batch: [2]int{40, 40},
			read: every(Weigh), held: good},
		{name: "1 to 40 figures a job, waste x2", film: 1, waste: 2, jobs: 10, batch: [2]int{1, 40},
			read: every(Weigh), held: good},
		{name: "by eye after each job", film: 1, waste: 1, jobs: 10, batch: usual,
			read: every(Look), held: good},
		{name: "eye +10 %", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Look), eye: .10, held: good},
		{name: "eye -10 %", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Look), eye: -.10, held: good},
		{name: "scale errs by 0.5 g, untold", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Weigh),
			scale: .5, held: good},
		{name: "4 ml spilt, weighed", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Weigh),
			spill: true, held: good},
		{name: "4 ml spilt, by eye", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Look),
			spill: true, held: good},
		{name: "two readings swapped", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Weigh),
			swap: true, held: good},
		// From here the model's assumptions do not hold.
		{name: "job scatter x1.75", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Weigh),
			scatter: 1.75, held: mild},
		{name: "heavy tails in jobs and looks", film: 1, waste: 1, jobs: 10, batch: usual,
			read: every(Look), heavy: true, held: mild},
		{name: "a third forgotten, weighed", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Weigh),
			forget: 1. / 3, held: mild},
		{name: "a third forgotten, 3 looks", film: 1, waste: 1, jobs: 10, batch: usual,
			read: sometimes(Look, 3), forget: 1. / 3, held: mild, more: .02},
		{name: "a third of a pot lent now and then", film: 1, waste: 1, jobs: 10, batch: usual,
			read: every(Weigh), lent: .05, held: mild},
		{name: "a hand that grows heavier by half", film: 1, waste: 1, jobs: 10, batch: usual,
			read: every(Weigh), drift: .4, held: mild},
		{name: "logs one figure in five too few", film: 1, waste: 1, jobs: 10, batch: usual,
			read: every(Weigh), logsAt: .8, held: mild},
		{name: "looks twice as rough, tilted", film: 1, waste: 1, jobs: 10, batch: usual, read: every(Look),
			look: .16, tilt: .2, held: mild},
		{name: "2 % silent a month, then 6 months", film: 1, waste: 1, jobs: 10, batch: usual,
			read: every(Weigh), silent: .02, after: 6, held: mild},
		// Not used to choose what the model assumes.
		{name: "film x0.8, waste x2, 4 to 12 figures, eye -6 %, looks now and then", film: .8, waste: 2,
			jobs: 14, batch: [2]int{4, 12}, read: byChance(Look, .4), eye: -.06, held: mild, more: .001},
		{name: "tables right, 3 to 30 figures, one in ten forgotten, eye +5 %, rough", film: 1, waste: 1,
			jobs: 12, batch: [2]int{3, 30}, read: byChance(Look, .6), eye: .05, look: .12, forget: .1,
			held: mild},
		{name: "film x1.5, waste x0.7, 10 to 20 figures, scatter x1.3, scale errs by 0.3 g", film: 1.5,
			waste: .7, jobs: 7, batch: [2]int{10, 20}, read: every(Weigh), scale: .3, scatter: 1.3,
			held: mild, more: .001},
		{name: "tables right, 2 jobs, by eye", film: 1, waste: 1, jobs: 2, batch: usual,
			read: every(Look), held: good},
		{name: "tables right, figures one fifth larger or smaller than thought, by eye", film: 1, waste: 1,
			jobs: 10, batch: usual, read: every(Look), area: .2, held: mild},
		{name: "film x1.3, waste x1.3, by eye", film: 1.3, waste: 1.3, jobs: 10, batch: usual,
			read: every(Look), held: good, more: .001},
		// Unlike those the model was chosen by.
		{name: "tables right, 1 job, weighed", film: 1, waste: 1, jobs: 1, batch: usual, read: every(Weigh),
			held: good, more: .015},
		{name: "tables right, 1 to 3 figures, by eye", film: 1, waste: 1, jobs: 12, batch: [2]int{1, 3},
			read: every(Look), held: good},
		{name: "tables right, half forgotten, by eye", film: 1, waste: 1, jobs: 12, batch: usual,
			read: every(Look), forget: .5, held: mild},
		{name: "tables right, a third forgotten, 2 weighings", film: 1, waste: 1, jobs: 10, batch: usual,
			read: sometimes(Weigh, 5), forget: 1. / 3, held: mild, more: .02},
		{name: "film x2, 3 jobs, weighed", film: 2, waste: 1, jobs: 3, batch: usual,
			read: every(Weigh), held: good},
		{name: "film x1.5, waste x1.5, 3 jobs, weighed", film: 1.5, waste: 1.5, jobs: 3, batch: usual,
			read: every(Weigh), held: good},
		{name: "film x0.6, waste x0.6, by eye", film: .6, waste: .6, jobs: 10, batch: usual,
			read: every(Look), held: good},
		{name: "film x0.6, waste x0.6, rough looks now and then", film: .6, waste: .6, jobs: 10,
			batch: usual, read: byChance(Look, .4), look: .14, held: mild, levels: .75},
		{name: "waste x3, weighed", film: 1, waste: 3, jobs: 10, batch: usual, read: every(Weigh), held: good},
		{name: "from the prior, a third forgotten, looks now and then", jobs: 10, batch: usual,
			read: byChance(Look, .4), forget: 1. / 3, held: mild},
		// Known limits.
		{name: "film x2, waste x3, a third forgotten, 2 weighings", film: 2, waste: 3, jobs: 10,
			batch: usual, read: sometimes(Weigh, 5), forget: 1. / 3, held: 0},
		{name: "film x3, waste x2, eye +10 %, 3 looks", film: 3, waste: 2, jobs: 10, batch: usual,
			read: sometimes(Look, 3), eye: .10, held: 0},
	}
}

type tally struct{ n, before, after, level, atLeast, errBefore, errAfter, bias, biasBefore, flags, reads float64 }

// play runs painters through a scene.
func play(sc *scene, painters int, seed uint64) tally {
	var y tally
	for i := range painters {
		rng := rand.New(rand.NewPCG(seed, uint64(i)))
		s := newSim(sc, rng)
		none := FromRecord(&Record{Methods: simHand, Types: simTypes, Paints: s.rec.Paints}, Assumed(), late)
		for j := range sc.jobs {
			s.job(j, sc.jobs)
		}
		if sc.after > 0 {
			s.pass(sc.after)
		}
		h := FromRecord(&s.rec, Assumed(), s.month)
		y.flags += float64(len(h.Flags))
		y.reads += float64(h.Reads)
		// The next job: ten figures.
		for c, st := range simSteps {
			w := Work{
				Way:      s.rec.Paints[c],
				Paint:    c,
				Film:     10 * st.film,
				Waste:    st.waste,
				Sittings: 1,
				FilmSD:   sc.area,
			}
			use := s.t.use(c, 10, sc.jobs, sc.jobs)
			if sc.logsAt > 0 { // what the books will call ten figures
				use = s.t.use(c, 10/sc.logsAt, sc.jobs, sc.jobs)
			}
			y.n++
			for k, hand := range []*Hand{none, h} {
				m, sd := hand.Next(w)
				dev := math.Log(use / m)
				held := 0.0
				if math.Abs(dev) <= 1.6449*sd {
					held = 1
				}
				if k == 0 {
					y.before, y.errBefore, y.biasBefore = y.before+held, y.errBefore+math.Abs(dev), y.biasBefore-dev
				} else {
					y.after, y.errAfter, y.bias = y.after+held, y.errAfter+math.Abs(dev), y.bias-dev
				}
			}
			l := h.Left(&s.rec.Pots[s.v[c]], s.month)
			usable := clip(s.x[c]-s.dead[c], 0, l.Top)
			if lo, hi := l.Quantile(.05), l.Quantile(.95); lo-.005 <= usable && usable <= hi+.005 {
				y.level++
			}
			if l.Quantile(.10) <= usable+.005 {
				y.atLeast++
			}
		}
	}
	for _, x := range []*float64{
		&y.before, &y.after, &y.level, &y.atLeast, &y.errBefore, &y.errAfter, &y.bias, &y.biasBefore,
	} {
		*x /= y.n
	}
	return y
}

// Simulated painters, 200 of each kind with HALFPOT_LONG=1: the 90 % range of
// the next job and of what is left hold, and the estimate errs less after
// learning than before.
func TestSimulatedHands(t *testing.T) {
	painters, slack := 25, .10
	if os.Getenv("HALFPOT_LONG") != "" {
		painters, slack = 200, 0
	}
	all := scenes()
	if os.Getenv("HALFPOT_LONG") == "" {
		t.Logf("a small dose: %d painters a scene; 200 with HALFPOT_LONG=1", painters)
	}
	t.Logf("%-74s %6s %6s %6s %6s %6s %6s %6s %6s",
		"painters", "before", "after", "level", "least", "error", "after", "bias", "flags")
	for i := range all {
		sc := &all[i]
		y := play(sc, painters, 1)
		t.Logf("%-74s %6.0f %6.0f %6.0f %6.0f %6.3f %6.3f %+6.2f %6.1f", sc.name, 100*y.before, 100*y.after,
			100*y.level, 100*y.atLeast, y.errBefore, y.errAfter, y.bias, 100*y.flags/y.reads)
		if y.after < sc.held-slack {
			t.Errorf("%s: the range of the next job held %.1f %%, want %.0f", sc.name, 100*y.after, 100*sc.held)
		}
		if sc.levels == 0 {
			sc.levels = .80
		}
		if sc.held > 0 && (y.level < sc.levels-slack || y.atLeast < sc.levels-slack) {
			t.Errorf("%s: levels held %.1f %%, at least %.1f %%, want %.0f",
				sc.name, 100*y.level, 100*y.atLeast, 100*sc.levels)
		}
		// One who paints by the tables can't be told better than by the tables, and
		// is told as well within what twenty readings of a scattering hand can say.
		most := y.errBefore + .01
		switch {
		case sc.more > 0:
			most = y.errBefore + sc.more
		case sc.film != 1:
			most = .9 * y.errBefore
		}
		if y.errAfter > most+slack/5 {
			t.Errorf("%s: error %.3f before, %.3f after", sc.name, y.errBefore, y.errAfter)
		}
	}
}
