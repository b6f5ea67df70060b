package shelf

import (
	"math"
	"time"

	"halfpot/inventory"
)

const (
	month = 730.485 * float64(time.Hour) // a twelfth of a Julian year
	aDrop = 0.05                         // ml: the least that can be stirred in
)

// filter is a Kalman filter over the events of one pot. Its state is the
// paint in the pot x with variance p, in ml at the strength it was sold, so
// that water lost is kept apart. A second state, the paint gone since the last
// weighing u, lets two weighings tell what was used where nobody knows what
// the empty pot weighs; it is the augmented state of the textbook. Source:
// Gelb (ed.), Applied Optimal Estimation, 1974, chapter 4 (discrete filter:
// prediction adds the variance of the process, a reading z of variance r moves
// x by p/(p+r) of the difference and leaves p (1 - p/(p+r))), from memory.
type filter struct {
	r     *LevelRules
	m     paintModel
	pot   *inventory.Pot
	tare  Tare
	full  float64 // paint in a full pot, ml
	scale float64 // nominal volume in ml, that fractions are of

	x, p     float64 // paint there, ml, and its variance
	u, vu, c float64 // gone since the last weighing, its variance, covariance with x
	drawn    float64 // drawn by the estimate and not yet told by a reading: its error is one
	dried    float64 // water lost, ml for each ml of paint there; below 0: stirred in beyond that
	gross    float64 // last weighing, g; 0: none
	grossDry float64 // water lost by then, likewise
	absolute bool    // a weighing with a known empty weight has been taken in
	known    bool    // there is a starting point
	logged   bool
	started  bool
	last     time.Time
	opened   time.Time // zero: sealed

	measured  time.Time
	by, gone  inventory.EventKind
	came      time.Time // when it was bought
	doubts    int
	overruled int
	overdrawn bool
}

func newFilter(b *LevelBook, p *inventory.Pot, m paintModel, events []inventory.PotEvent) filter {
	f := filter{r: &b.Rules, m: m, pot: p, scale: p.Nominal.ML(), full: p.Nominal.ML() * m.content}
	if m.liquid {
		f.tare = b.Tares.of(p, events)
	}
	if p.Opened != nil {
		f.opened = *p.Opened
	}
	// Until something is known: full as sold where it is still sealed, anything
	// from empty to full where it is not. The first reading alone then counts.
	f.fill()
	if p.Opened != nil {
		f.x, f.p = f.full/2, f.full*f.full/12
	}
	f.known = false
	return f
}

// fill is a pot as it comes from the shop.
func (f *filter) fill() {
	sd := f.full*f.r.LabelSD + f.scale*f.m.contentSD
	if !f.m.liquid && f.m.contentSD == 0 { // a pencil is one pencil
		sd = 0
	}
	f.x, f.p, f.known = f.full, sd*sd, true
}

// event takes one event in.
func (f *filter) event(e *inventory.PotEvent) {
	f.advance(e.At)
	switch e.Kind {
	case inventory.Bought:
		pot, r, m, tare, full, scale, opened := f.pot, f.r, f.m, f.tare, f.full, f.scale, f.opened
		*f = filter{
			pot:     pot,
			r:       r,
			m:       m,
			tare:    tare,
			full:    full,
			scale:   scale,
			opened:  opened,
			started: true,
			last:    e.At,
			came:    e.At,
		}
		f.fill()
		if z, ok := f.reading(e); ok {
			f.known = false
			f.read(z, f.eyeVariance(z), e)
		}
	case inventory.Opened:
		f.open(e.At)
	case inventory.Judged:
		if z, ok := f.reading(e); ok {
			f.revive()
			// The eye sees what is there; paint that lost water takes less room.
			f.read(z/(1-f.dried), f.eyeVariance(z), e)
		}
	case inventory.Weighed:
		if f.m.liquid && e.GrossGrams > 0 && f.tells(e) {
			f.revive()
			f.weigh(e)
		}
	case inventory.Used:
		if e.Volume != nil {
			f.open(e.At)
			f.logged = true
			f.use(e.Volume.ML(), e.Estimated)
		}
	case inventory.Spilled:
		f.open(e.At)
		f.spill(e)
	case inventory.Thinned:
		if f.m.liquid {
			f.open(e.At)
			f.thin(e)
		}
	case inventory.DriedOut, inventory.GivenAway:
		f.gone = e.Kind
	}
}

// reading is the paint an event says is there, in ml.
func (f *filter) reading(e *inventory.PotEvent) (float64, bool) {
	switch {
	case e.Volume != nil:
		return e.Volume.ML() * f.m.content, true
	case e.Fraction != nil:
		return *e.Fraction * f.full, true
	}
	return 0, false
}

// eyeVariance is the variance of a level of z ml judged by eye. The middle of
// a pot is hard to judge, a nearly full or nearly empty one less so: like the
// deviation of a share, and never below two fifths of that of a half. An empty pot
// is mistaken by nobody: what clings to it is left open, common practice, no source.
func (f *filter) eyeVariance(z float64) float64 {
	if z <= 0 {
		return square(seenEmpty * f.full)
	}
	s := math.Min(1, math.Max(0, z/math.Max(f.full, 1e-9)))
	return square(f.r.EyeSD*f.full) * math.Max(0.16, 4*s*(1-s))
}

// seenEmpty is how far a pot said to be empty may be from it, of a full one.
const seenEmpty = 0.02

func (f *filter) open(at time.Time) {
	if f.opened.IsZero() || at.Before(f.opened) {
		f.opened = at
	}
}

// revive takes a pot that was said to be gone as one nothing is known of.
func (f *filter) revive() {
	if f.gone != "" {
		f.gone, f.known, f.gross, f.absolute = "", false, 0, false
	}
}

// tells reports whether a weighing says anything of the paint. Of a pot said to
// be gone only an empty weight tells that there is some again, and nothing
// tells dried paint from wet on a scale.
func (f *filter) tells(e *inventory.PotEvent) bool {
	return f.gone == "" || f.gone != inventory.DriedOut && f.tareOf(e).Grams > 0
}

// advance is the prediction: time passes, water leaves an opened pot, and
// somebody may use it without a word.
func (f *filter) advance(to time.Time) {
	from := f.last
	if !f.started || f.opened.IsZero() || !to.After(from) {
		if !f.started || to.After(from) {
			f.started, f.last = true, to
		}
		return
	}
	f.last = to
	if from.Before(f.opened) {
		from = f.opened
	}
	months := float64(to.Sub(from)) / month
	if months <= 0 {
		return
	}
	rate := f.r.DriftSilent
	if f.logged {
		rate = f.r.DriftLogged
	}
	// Who reaches into a nearly empty pot unseen takes little.
	f.gonePaint(0, square(rate*math.Min(f.full, 4*f.x))*months)
	if most := f.full * f.full / 12; f.p > most { // nothing is known less than "anything"
		f.set(f.x, most)
	}
	if f.m.liquid {
		f.dry(f.r.WaterMonth * f.m.water * months)
	}
}

// dry lets water go, ml for each ml of paint, but never the last tenth of it.
func (f *filter) dry(part float64) {
	f.dried = math.Min(f.dried+part, 0.9*f.m.water)
}

// thin stirs water in, at most as much as there is paint beyond what was lost.
func (f *filter) thin(e *inventory.PotEvent) {
	if e.Volume == nil {
		f.dried = 0
		return
	}
	f.dried = math.Max(-1, f.dried-e.Volume.ML()/math.Max(f.x, aDrop))
}

// gonePaint takes v ml with variance q out of the pot.
func (f *filter) gonePaint(v, q float64) {
	f.x -= v
	f.p += q
	f.u += v
	f.vu += q
	f.c -= q
}

// set makes x and p what they are found to be, and carries over to u what that
// says of it.
func (f *filter) set(x, p float64) {
	if f.p > 0 {
		g := f.c / f.p
		f.u += g * (x - f.x)
		f.vu = math.Max(0, f.vu-g*g*(f.p-p))
		f.c = g * p
	}
	f.x, f.p = x, p
}

func (f *filter) use(v float64, estimated bool) {
	q := square(f.r.UseSD * v)
	if estimated {
		// The estimates err the same way, so their deviations add, not their
		// variances.
		q = square(f.m.estimateSD)*(square(f.drawn+v)-square(f.drawn)) + square(f.r.JobSD*v)
		f.drawn += v
	}
	f.take(v, q)
	if f.m.liquid {
		f.dry(f.r.WaterSitting / math.Max(f.x, 0.05*f.full))
	}
}

// take is gonePaint with the knowledge that no pot holds less than nothing.
func (f *filter) take(v, q float64) {
	f.gonePaint(v, q)
	if f.x+2*math.Sqrt(f.p) < 0 {
		f.overdrawn = true
	}
	if f.x < 4*math.Sqrt(f.p) || f.x < 0 {
		n := normal{f.x, math.Sqrt(f.p)}.atLeastZero()
		f.set(n.mean, square(n.sd))
	}
}

func (f *filter) spill(e *inventory.PotEvent) {
	switch {
	case e.Volume != nil:
		v := e.Volume.ML() * f.m.content
		f.take(v, square(f.r.SpillSD*v))
	case e.Fraction != nil:
		s := *e.Fraction
		q := square(s * f.r.SpillSD * f.x)
		f.u += s * f.x
		f.vu += 2*s*f.c + s*s*f.p
		f.c = (1-s)*f.c + s*(1-s)*f.p
		f.x, f.p = (1-s)*f.x, square(1-s)*f.p
		f.gonePaint(0, q)
	}
}

// read takes in a reading z of x with variance r. One that lies too far from
// the record is believed over it: something happened that nobody logged. That
// raises doubts only where uses are logged, or where there is more than before.
func (f *filter) read(z, r float64, e *inventory.PotEvent) {
	// How full it was when it came is said by a reading at that very time.
	first := !f.known || (f.measured.IsZero() && !f.logged && e.At.Equal(f.came))
	if y := z - f.x; first || square(y) > square(f.r.Doubt)*(f.p+r) {
		if !first {
			f.overruled++
			if f.logged || y > 0 {
				f.doubts++
			}
			f.gross, f.absolute = 0, false // what was used since is not known either
		}
		f.x, f.p, f.c, f.drawn, f.known = z, r, 0, 0, true
		if z < f.full*(1-f.r.EyeSD) && e.Kind != inventory.Bought {
			f.open(e.At) // sealed pots are full
		}
	} else {
		k := 0.0
		if f.p > 0 {
			k = f.p / (f.p + r)
		}
		f.set(f.x+k*y, f.p*(1-k))
		f.drawn *= 1 - k // what is left of the estimates' common error
	}
	f.overdrawn, f.measured, f.by = false, e.At, e.Kind
}

// level reads the result off.
func (f *filter) level() Level {
	l := Level{
		Pot:      f.pot.ID,
		Paint:    f.pot.Paint,
		Nominal:  f.pot.Nominal,
		Measured: f.measured,
		By:       f.by,
		Gone:     f.gone,
		Opened: !f.opened.IsZero() &&
			!f.opened.After(f.last),
		Doubts:    f.doubts,
		Overdrawn: f.overdrawn,
		overruled: f.overruled,
		topML:     f.full - f.m.dead*f.scale,
	}
	if l.Opened {
		l.OpenSince = f.opened
	}
	if f.gone != "" {
		return l
	}
	l.usable = held{normal: normal{f.x - f.m.dead*f.scale, math.Hypot(math.Sqrt(f.p), f.m.deadSD*f.scale)}}
	l.Thicken = math.Max(0, f.dried)
	l.WaterML = l.Thicken * math.Max(0, f.x)
	l.ThinDue = l.Thicken >= f.r.ThinAt && l.WaterML >= aDrop
	return l
}

func square(v float64) float64 { return v * v }
