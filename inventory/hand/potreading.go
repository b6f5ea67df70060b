package hand

import "math"

// lookVar is the variance of a look at a pot that should be a share s full:
// the middle is hard to judge. It does not depend on what was read.
func (f *filter) lookVar(s float64, b *belief) float64 {
	s = clip(s, 0, 1)
	return square(f.a.Eye*b.noise.eye)*math.Max(.16, 4*s*(1-s)) + .05*.05/12
}

// overruled is by what share of a pot a look says more than is believed after it
// was taken in, 0 where an eye may err by that: an eye that is thought poor is
// hardly listened to, and its owner should hear so.
func (f *filter) overruled(v *Vessel, z float64) float64 {
	t := clip(f.s[sPaint]*(1-f.lost+f.stirred)/v.Full, 0, 1)
	if off := z - t; math.Abs(off) > muchOff*f.a.Eye*math.Max(.4, 2*sqrt(t*(1-t))) {
		return off
	}
	return 0
}

// muchOff is how many errors of a look as assumed, not as learned, are told.
const muchOff = 2.5

// read takes in a reading: what it says to the hand, and to the pot.
func (f *filter) read(p *ready, o *op, index int, b *belief) {
	k := o.read
	if p.jump[k] {
		f.p[sPaint][sPaint] += square(p.v.Full / 2)
	}
	if k >= f.first { // paint lost unseen before reading k
		f.d[sPaint][f.n+k-f.first] -= 1
	}
	j := f.jac[k*f.nk : (k+1)*f.nk]
	h, r := f.expect(p.v, o, b, j)
	if k >= f.first { // reading k itself off
		j[f.n+f.shock+k-f.first] = 1
	}
	nu, s, counted := o.value-h, f.spread(r), !p.out[k]
	if o.kind == opLook {
		nu, s, counted = endOfRange(o.value, h, nu, s, counted)
	}
	for i := range states {
		if c := f.hx[i]; c != 0 && !f.bare {
			d := f.d[i][:len(j)]
			for l := range j {
				j[l] += c * d[l]
			}
		}
	}
	f.seen = append(f.seen, seen{
		nu:      nu,
		s:       s,
		r:       r,
		job:     f.hx[sPaint] * f.hx[sPaint] * f.jobs,
		eye:     o.kind == opLook,
		counted: counted,
		jump:    p.jump[k],
		month:   o.month,
		op:      index,
	})
	if counted {
		f.tellHand(j, nu, s)
		f.tellPot(j, nu, s, k)
	}
}

// expect is what a reading should say and the variance of its own error; it leaves
// the derivatives by the state in hx, and in j those by the parts that are not the
// state's.
func (f *filter) expect(v *Vessel, o *op, b *belief, j []float64) (h, r float64) {
	x, dry := f.s[sPaint], f.lost-f.stirred
	f.hx = [states]float64{}
	if o.kind == opWeigh {
		h = f.s[sTare] + v.Density*(1+f.s[sDensity])*x - dry*x
		f.hx[sPaint], f.hx[sTare], f.hx[sDensity] = v.Density*(1+f.s[sDensity])-dry, 1, v.Density*x
		j[pWater] = -f.lost * x
		return h, square(f.a.Scale * b.noise.scale)
	}
	t := x * (1 - dry) / v.Full
	shift, tilt := f.mean[pShift], f.mean[pTilt]
	h = t + shift + tilt*(t-.5)
	f.hx[sPaint] = (1 - dry) * (1 + tilt) / v.Full
	j[pShift], j[pTilt], j[pWater] = 1, t-.5, -x*f.lost/v.Full*(1+tilt)
	return h, f.lookVar(t, b)
}

// spread is the variance of a reading about what is expected, with r its own.
func (f *filter) spread(r float64) float64 {
	for i := range states {
		f.ph[i] = 0
		for l := range states {
			f.ph[i] += f.p[i][l] * f.hx[l]
		}
		r += f.hx[i] * f.ph[i]
	}
	return r
}

// tellHand adds what a reading says of the parts, nu off with a variance of s.
func (f *filter) tellHand(j []float64, nu, s float64) {
	if f.bare {
		return
	}
	n := f.n
	for i := range n {
		w := j[i] / s
		if w == 0 {
			continue
		}
		row := f.info[i*n : i*n+n]
		for l := range row {
			row[l] += w * j[l]
		}
		f.push[i] += w * nu
	}
}

// tellPot moves the pot's state by reading k.
func (f *filter) tellPot(j []float64, nu, s float64, k int) {
	for i := range states {
		f.gain[i] = f.ph[i] / s
		f.s[i] += f.gain[i] * nu
		if g := f.gain[i]; g != 0 && !f.bare {
			d := f.d[i][:len(j)]
			for l := range j {
				d[l] -= g * j[l]
			}
		}
	}
	for i := range states {
		for l := range states {
			f.p[i][l] -= f.gain[i] * f.ph[l]
		}
	}
	f.since, f.sinceVar = f.s[sPaint], f.p[sPaint][sPaint]
	copy(f.sinceD, f.d[sPaint][:f.n])
	f.jobs, f.silent, f.lastRead = 0, [3]float64{}, k
	f.s[sSilent] = clip(f.s[sSilent], .05, 6)
}

// endOfRange turns a look of "full" or "empty" into what it says: at least
// 97.5 %, at most 2.5 %. Moments of the truncated normal (Minka 2001, from
// memory); one that says next to nothing does not count.
func endOfRange(z, h, nu, s float64, counted bool) (float64, float64, bool) {
	var c, sign float64
	switch {
	case z >= .999:
		c, sign = .975, 1
	case z <= .001:
		c, sign = .025, -1
	default:
		return nu, s, counted
	}
	root := sqrt(s)
	a := sign * (c - h) / root
	m := hazard(a)
	delta := math.Min(m*(m-a), 1-1e-9)
	if delta <= 1e-3 {
		return nu, s, false
	}
	return sign * root * m / delta, s / delta, counted
}

// hazard is phi(a) / (1 - Phi(a)) of the standard normal.
func hazard(a float64) float64 {
	if a > 8 {
		return a + 1/a
	}
	return density(a) / cumulative(-a)
}
