package hand

import (
	"math"
	"slices"
)

// points is how many draws a chance is counted from: a power of two.
const points = 1024

// Draws are ways the truth may be, as the hand knows it: the same for every
// question asked of one hand. What it is asked for is told apart by name, so
// that one pot or one job is the same in every question.
type Draws struct {
	h     *Hand
	dense [][]float64 // by unknown, then point: deviation from the mean
	own   [][][]float64
	names map[string][]float64
}

// Draws makes the draws of a hand: scrambled Sobol points with a fixed seed.
func (h *Hand) Draws() *Draws {
	n := len(h.b.mean)
	d := &Draws{
		h:     h,
		dense: zeros(n, points),
		own:   make([][][]float64, len(h.b.own)),
		names: map[string][]float64{},
	}
	l := slices.Clone(h.b.v)
	cholesky(l, n)
	z := make([]float64, points)
	for j := range n {
		if j <= len(joeKuo) {
			sobol(j, hash32(uint32(j)+1), z)
		} else {
			padded(hash32(uint32(j)+1), z)
		}
		for k, u := range z {
			z[k] = normalQuantile(u)
		}
		for i := j; i < n; i++ {
			if c := l[i*n+j]; c != 0 {
				row := d.dense[i]
				for k, x := range z {
					row[k] += c * x
				}
			}
		}
	}
	return d
}

// Normal are the draws of a standard normal by name.
func (d *Draws) Normal(name string) []float64 {
	z := d.names[name]
	if z == nil {
		z = make([]float64, points)
		padded(seedOf(name), z)
		for k, u := range z {
			z[k] = normalQuantile(u)
		}
		d.names[name] = z
	}
	return z
}

// ownOf are the deviations of a paint's own unknowns: what they lean on, and
// the rest.
func (d *Draws) ownOf(paint int) [][]float64 {
	if d.own[paint] != nil {
		return d.own[paint]
	}
	o := &d.h.b.own[paint]
	out := zeros(len(o.mean), points)
	for i := range out {
		for j, c := range o.lean[i] {
			if c == 0 {
				continue
			}
			for k, x := range d.dense[j] {
				out[i][k] -= c * x
			}
		}
		for j := range i + 1 {
			if c := o.left[i][j]; c != 0 {
				z := d.Normal("paint " + itoa(paint) + " " + itoa(j))
				for k, x := range z {
					out[i][k] += c * x
				}
			}
		}
	}
	d.own[paint] = out
	return out
}

func itoa(i int) string {
	if i < 10 {
		return string(rune('0' + i))
	}
	return itoa(i/10) + string(rune('0'+i%10))
}

// deviations adds the deviations of a part to x, times a factor.
func (d *Draws) deviations(p part, paint int, factor float64, x []float64) {
	for _, i := range p.dense {
		for k, v := range d.dense[i] {
			x[k] += factor * v
		}
	}
	if p.own >= 0 {
		for k, v := range d.ownOf(paint)[p.own] {
			x[k] += factor * v
		}
	}
}

// Job gives the draws of what a job takes in ml. The name tells the job's own
// scatter, area the figure whose size it shares with other jobs.
func (d *Draws) Job(name, area string, w Work) []float64 {
	h := d.h
	f, wst := h.u.film(w.Way, w.Paint, late), h.u.waste(w.Way.Method)
	out := make([]float64, points)
	d.deviations(f, w.Paint, 1, out)
	jf, jw := h.a.JobFilm*h.b.noise.job, h.a.JobWaste*h.b.noise.job
	z := d.Normal("film " + name)
	size := d.Normal("area " + area)
	m := h.b.of(f, w.Paint)
	for k := range out {
		out[k] = w.Film * math.Exp(m+out[k]+jf*z[k]+w.FilmSD*size[k])
	}
	if w.Waste <= 0 {
		return out
	}
	waste := make([]float64, points)
	d.deviations(wst, w.Paint, 1, waste)
	// Several sittings average out.
	s2 := math.Log1p(expm1(jw*jw) / math.Max(1, w.Sittings))
	shift := h.b.of(wst, w.Paint) + jw*jw/2 - s2/2
	z, s := d.Normal("waste "+name), sqrt(s2)
	for k := range out {
		out[k] += w.Waste * math.Exp(shift+waste[k]+s*z[k])
	}
	return out
}

// Pot gives the draws of what a pot holds, in ml. The name tells its own
// uncertainty.
func (d *Draws) Pot(name string, l *Left) []float64 {
	out := make([]float64, points)
	if l.Gone {
		return out
	}
	for i, b := range l.bond {
		if b != 0 {
			d.deviations(l.parts[i], l.paint, b, out)
		}
	}
	z, sd := d.Normal("pot "+name), sqrt(l.scatter)
	var silent []float64
	if l.Silent > 1e-6 {
		// Silent use goes with the hand's rate and has a scatter of its own.
		b := d.h.b
		rate := make([]float64, points)
		var variance float64
		for i, share := range l.shares {
			p := l.parts[pUnwatched+i]
			d.deviations(p, l.paint, share, rate)
			for j, other := range l.shares {
				variance += share * other * b.cov(p, l.parts[pUnwatched+j], l.paint)
			}
		}
		tame := 1.0
		if variance > 1.5 {
			tame = sqrt(1.5 / variance)
		}
		r, s := d.Normal("silent "+name), sqrt(l.rateScale)
		for k := range rate {
			rate[k] = l.Silent * math.Exp(tame*rate[k]-math.Min(variance, 1.5)/2+s*r[k]-s*s/2)
		}
		silent = rate
	}
	for k := range out {
		x := l.Mean + out[k] + sd*z[k]
		if silent != nil {
			x -= silent[k]
		}
		out[k] = clip(x, 0, l.Top)
	}
	return out
}

// Enough is the chance that nothing runs short: short[i][k] is what is needed
// less what is there of paint i in draw k. It names the paint that is short
// most often (-1: none ever), and how often each is enough by itself.
func Enough(short [][]float64) (chance float64, least int, each []float64) {
	each = make([]float64, len(short))
	least = -1
	held := points
	for k := range points {
		for i := range short {
			if short[i][k] > 0 {
				held--
				break
			}
		}
	}
	most := 0
	for i := range short {
		n := 0
		for _, x := range short[i] {
			if x > 0 {
				n++
			}
		}
		each[i] = 1 - float64(n)/points
		if n > most {
			most, least = n, i
		}
	}
	return float64(held) / points, least, each
}

// spareFailures is the part of the draws that may fail which is left to paints
// that are there already.
const spareFailures = 0.7

// Spared are the paints that are sure enough as they are: buying more of them
// would buy what is there. They are the surest ones, as many as may run short,
// any of them, in half the draws that may fail at a chance; the others make up
// for it.
func Spared(short [][]float64, chance float64) []bool {
	_, _, each := Enough(short)
	order := make([]int, len(short))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmpFloat(each[b], each[a]) })
	out := make([]bool, len(short))
	failed, n := make([]bool, points), 0
	for _, i := range order {
		more := n
		for k, x := range short[i] {
			if x > 0 && !failed[k] {
				more++
			}
		}
		if float64(more) > spareFailures*(1-chance)*points {
			break
		}
		for k, x := range short[i] {
			failed[k] = failed[k] || x > 0
		}
		out[i], n = true, more
	}
	return out
}

// Cover is what must be there beyond what is, of every paint that is not
// spared, so that nothing runs short with a chance: each paint at one and the
// same level of its own shortfalls; a paint that is enough in a draw asks for
// nothing in it. It gives the level (0: nothing is missing) and the shortfalls
// there, in ml; below 0: that much to spare.
func Cover(short [][]float64, spared []bool, chance float64) (level float64, at []float64) {
	worst := make([]int, points)
	sorted := make([][]float64, len(short))
	order := make([]int, points)
	for i := range short {
		for k := range order {
			order[k] = k
		}
		slices.SortFunc(order, func(a, b int) int { return cmpFloat(short[i][a], short[i][b]) })
		sorted[i] = make([]float64, points)
		for rank, k := range order {
			sorted[i][rank] = short[i][k]
			switch {
			case short[i][k] <= 0: // what is enough anyway asks for nothing
			case spared[i]: // nothing that is bought mends this draw
				worst[k] = points - 1
			default:
				worst[k] = max(worst[k], rank)
			}
		}
	}
	slices.Sort(worst)
	n := int(clip(math.Ceil(chance*(points+1)), 1, points))
	rank := worst[n-1]
	at = make([]float64, len(short))
	for i := range at {
		if at[i] = sorted[i][rank]; spared[i] {
			at[i] = math.Min(at[i], 0)
		}
	}
	return (float64(rank) + .5) / points, at
}

// At is the value of draws not passed at a level (0 to 1).
func At(draws []float64, level float64) float64 {
	return ranked(slices.Clone(draws), rankAt(level))
}

// AtSorted is [At] of draws that are sorted.
func AtSorted(draws []float64, level float64) float64 { return draws[rankAt(level)] }

func rankAt(level float64) int { return int(clip(level*points, 0, points-1)) }

// ranked is what would stand at index k if s were sorted. It parts s around a value
// of it (quickselect, C. A. R. Hoare, Communications of the ACM 4 (1961), algorithm
// 65), since whole sorting took a fifth of a search for the cheapest pots.
func ranked(s []float64, k int) float64 {
	for len(s) > 12 {
		pivot := middle(s[0], s[len(s)/2], s[len(s)-1])
		i, j := 0, len(s)-1
		for i <= j {
			for s[i] < pivot {
				i++
			}
			for s[j] > pivot {
				j--
			}
			if i <= j {
				s[i], s[j] = s[j], s[i]
				i++
				j--
			}
		}
		switch { // s[:j+1] <= pivot <= s[i:], and between them is the pivot
		case k <= j:
			s = s[:j+1]
		case k >= i:
			s, k = s[i:], k-i
		default:
			return s[k]
		}
	}
	slices.Sort(s)
	return s[k]
}

// middle is the median of three.
func middle(a, b, c float64) float64 {
	return max(min(a, b), min(max(a, b), c))
}
