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
	out := Make{Full: full, FillSD: full*b.Rules.LabelSD + n*m.contentSD, Dead: m.dead * n, DeadSD: m.deadSD * n, Content: m.content}
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

var silentZ = func() (z [silentSlices]float64) {
	for i := range z {
		z[i] = coverage.Normal((float64(i) + .5) / silentSlices)
	}
	return z
}()

// used are the middles of slices of equal probability of the silent use.
func (h held) used() (u [silentSlices]float64) {
	s2 := math.Log1p(square(h.silentSD / h.silent))
	median, s := h.silent*math.Exp(-s2/2), math.Sqrt(s2)
	for i, z := range silentZ {
		u[i] = median * math.Exp(s*z)
	}
	return u
}

func (h held) quiet() bool { return h.silent <= 1e-6 }

func (h held) quantile(p float64) float64 {
	if h.quiet() {
		return h.normal.quantile(p)
	}
	u := h.used()
	z := coverage.Normal(p)
	sd := math.Max(h.sd, 1e-6)
	// Newton's steps from the normal with the same moments, kept in a bracket
	// that always holds the answer.
	lo, hi := h.mean+sd*z-u[silentSlices-1]-1e-9, h.mean+sd*z-u[0]+1e-9
	x := math.Min(math.Max(h.mean-h.silent+math.Hypot(sd, h.silentSD)*z, lo), hi)
	for range 40 {
		c, slope := 0.0, 0.0
		for _, v := range u {
			y := (x - h.mean + v) / sd
			c += cdf(y)
			slope += phi(y)
		}
		c, slope = c/silentSlices, slope/silentSlices/sd
		if c < p {
			lo = x
		} else {
			hi = x
		}
		next := x - (c-p)/math.Max(slope, 1e-300)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
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
	sum := 0.0
	for _, u := range h.used() {
		sum += normal{h.mean - u, h.sd}.above(v)
	}
	return sum / silentSlices
}

func (h held) chance(need coverage.Estimate) float64 {
	if h.quiet() {
		return h.normal.chance(need)
	}
	sum := 0.0
	for _, u := range h.used() {
		sum += normal{h.mean - u, h.sd}.chance(need)
	}
	return sum / silentSlices
}

func (h held) clamped(top float64) normal {
	if h.quiet() {
		return h.normal.clamped(top)
	}
	var mean, squares float64
	for _, u := range h.used() {
		n := normal{h.mean - u, h.sd}.clamped(top)
		mean += n.mean
		squares += n.mean*n.mean + n.sd*n.sd
	}
	mean /= silentSlices
	return normal{mean, math.Sqrt(math.Max(0, squares/silentSlices-mean*mean))}
}
