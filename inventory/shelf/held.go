package shelf

import (
	"math"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// Content is what a pot holds as far as anybody can tell, in ml: a normal
// quantity less a lognormal one, the use since the last reading that nobody
// logged, held between nothing and Top.
type Content struct {
	Mean, SD         float64
	Silent, SilentSD float64 // mean and standard deviation
	Top              float64
}

// Quantile is the volume in ml not passed with chance p (above 0, below 1).
func (c Content) Quantile(p float64) float64 {
	h := held{normal{c.Mean, c.SD}, c.Silent, c.SilentSD}
	return math.Min(math.Max(h.quantile(p), 0), c.Top)
}

// Holding is the level with another content, that of a model that knows more
// than the record of the pot by itself.
func (l Level) Holding(c Content) Level {
	l.usable, l.topML = held{normal{c.Mean, c.SD}, c.Silent, c.SilentSD}, c.Top
	return l
}

// Dried is the level with the water lost since, ml for each ml of paint, likewise.
// An empty pot needs none.
func (l Level) Dried(lost float64, rules LevelRules) Level {
	l.Thicken = math.Max(0, lost)
	l.WaterML = l.Thicken * math.Max(0, l.usable.mean-l.usable.silent)
	l.ThinDue = l.Thicken >= rules.ThinAt && l.WaterML >= aDrop
	return l
}

// Make is what is reckoned with of a pot of some paint.
type Make struct {
	Full, FillSD float64 // paint in a full pot and its deviation, ml
	Dead, DeadSD float64 // never comes out, ml
	Density      float64 // g/ml; 0: cannot be weighed
	Water        float64 // fraction of the paint; 0: does not dry
	Content      float64 // paint in the volume on the label, fraction
	Tare         Tare
}

// MakeOf is what is reckoned with of a pot.
func (b *LevelBook) MakeOf(p *inventory.Pot) Make {
	m, ok := b.models[p.Paint]
	if !ok {
		m = b.other
	}
	n := p.Nominal.ML()
	full := n * m.content
	out := Make{
		Full:    full,
		FillSD:  full*b.Rules.LabelSD + n*m.contentSD,
		Dead:    m.dead * n,
		DeadSD:  m.deadSD * n,
		Content: m.content,
	}
	if !m.liquid && m.contentSD == 0 { // a pencil is one pencil
		out.FillSD = 0
	}
	if m.liquid {
		out.Density, out.Water = m.density, m.water
		out.Tare = b.Tares.of(p, p.InOrder())
	}
	return out
}

// held is a normal quantity less a lognormal one.
type held struct {
	normal
	silent, silentSD float64
}

const silentSlices = 24

// silentZ are the middles of slices of equal probability of a standard normal.
var silentZ = func() (z [silentSlices]float64) {
	for i := range z {
		z[i] = coverage.Normal((float64(i) + .5) / silentSlices)
	}
	return z
}()

// gaussZ and gaussWeight are the rule of seven points of Gauss and Hermite, for a
// standard normal. Source: Abramowitz and Stegun, Handbook of Mathematical
// Functions, table 25.10, from memory; a test holds it against the moments.
var (
	gaussZ = [...]float64{-3.750439717725742, -2.366759410734541, -1.154405394739968, 0,
		1.154405394739968, 2.366759410734541, 3.750439717725742}
	gaussWeight = [...]float64{0.000548268855972219, 0.0307571239675865, 0.240123178605013, 0.457142857142857,
		0.240123178605013, 0.0307571239675865, 0.000548268855972219}
)

// silence is the silent use as points with weights that sum to 1.
type silence struct {
	n          int
	ml, weight [silentSlices]float64
}

// used are the points of the silent use: seven where the rest is smooth enough
// (0.001 of the whole deviation off in the mean, slices 0.008), else slices.
func (h held) used() (u silence) {
	s2 := math.Log1p(square(h.silentSD / h.silent))
	median, s := h.silent*math.Exp(-s2/2), math.Sqrt(s2)
	if h.silentSD <= h.sd {
		u.n = len(gaussZ)
		for i, z := range gaussZ {
			u.ml[i], u.weight[i] = median*math.Exp(s*z), gaussWeight[i]
		}
		return u
	}
	u.n = silentSlices
	for i, z := range silentZ {
		u.ml[i], u.weight[i] = median*math.Exp(s*z), 1./silentSlices
	}
	return u
}

func (h held) quiet() bool { return h.silent <= 1e-6 }

func (h held) quantile(p float64) float64 {
	if h.quiet() {
		return h.normal.quantile(p)
	}
	u := h.used()
	return h.quantileIn(p, &u)
}

// quantileIn is quantile with the slices worked out before. Halley's steps, from
// where the first three moments put it (Cornish and Fisher 1938, from memory), in
// a bracket that always holds the answer: one or two do.
func (h held) quantileIn(p float64, u *silence) float64 {
	z := coverage.Normal(p)
	sd := math.Max(h.sd, 1e-6)
	lo, hi := h.mean+sd*z-u.ml[u.n-1]-1e-9, h.mean+sd*z-u.ml[0]+1e-9
	spread := math.Hypot(sd, h.silentSD)
	c2 := square(h.silentSD / h.silent) // of a lognormal: skewness (3 + c2) sqrt(c2)
	skew := math.Max(-.8, -(3+c2)*math.Sqrt(c2)*math.Pow(h.silentSD/spread, 3))
	x := math.Min(math.Max(h.mean-h.silent+spread*(z+skew*(z*z-1)/6), lo), hi)
	for range 40 {
		c, slope, bend := 0.0, 0.0, 0.0
		for i, v := range u.ml[:u.n] {
			y := (x - h.mean + v) / sd
			c += u.weight[i] * cdf(y)
			d := u.weight[i] * phi(y)
			slope += d
			bend -= y * d
		}
		off, slope, bend := c-p, slope/sd, bend/(sd*sd)
		if off < 0 {
			lo = x
		} else {
			hi = x
		}
		step := off / math.Max(slope, 1e-300)
		next := x - step/math.Min(math.Max(1-step*bend/(2*math.Max(slope, 1e-300)), .5), 1.5)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		} else if math.Abs(step) < .02*sd {
			return next // the error is of the third order
		}
		if math.Abs(next-x) < 3e-4 {
			return next
		}
		x = next
	}
	return x
}

func (h held) above(v float64) float64 {
	if h.quiet() {
		return h.normal.above(v)
	}
	return h.overSilence(func(n normal) float64 { return n.above(v) })
}

func (h held) chance(need coverage.Estimate) float64 {
	if h.quiet() {
		return h.normal.chance(need)
	}
	return h.overSilence(func(n normal) float64 { return n.chance(need) })
}

// overSilence is the mean of something over the silent use.
func (h held) overSilence(of func(normal) float64) (sum float64) {
	u := h.used()
	for i, ml := range u.ml[:u.n] {
		sum += u.weight[i] * of(normal{h.mean - ml, h.sd})
	}
	return sum
}

func (h held) clamped(top float64) normal {
	if h.quiet() {
		return h.normal.clamped(top)
	}
	var mean, squares float64
	u := h.used()
	for i, ml := range u.ml[:u.n] {
		n := normal{h.mean - ml, h.sd}.clamped(top)
		mean += u.weight[i] * n.mean
		squares += u.weight[i] * (n.mean*n.mean + n.sd*n.sd)
	}
	return normal{mean, math.Sqrt(math.Max(0, squares-mean*mean))}
}
