package exact

import "math"

// What the bound of a relaxation rules out: each column raises it by so much for each unit, and
// beyond what a plan worth having leaves room for, it is taken from the domain.

// fix narrows the domain to what can be part of a plan that weighs no more than
// cut, by the proven bound and what each column adds to it.
func (p *program) fix(d *domain, cut float64) (changed bool) {
	l := p.l
	room := cut - (p.cert.Bound() + float64(l.base))
	if math.IsInf(room, 0) || math.IsNaN(room) || room < 0 {
		return false
	}
	for c, t := range l.term {
		rise := p.cert.Rise(c)
		if rise == 0 {
			continue
		}
		col := p.lp.Column(c)
		if col.Lower == col.Upper {
			continue
		}
		steps := int64(math.Floor(room/math.Abs(rise)*(1+1e-12))) + 1 // more than can be afforded
		// From its bound it can go steps-1 units at most.
		if room < math.Abs(rise) {
			steps = 1
		}
		if steps-1 >= col.Upper-col.Lower {
			continue
		}
		lo, hi := col.Lower, col.Lower+steps-1
		if rise < 0 {
			lo, hi = col.Upper-steps+1, col.Upper
		}
		if l.narrow(d, t, lo, hi) {
			changed = true
		}
	}
	return changed
}

// narrow keeps a term within bounds in the domain, as far as it knows it.
func (l *linear) narrow(d *domain, t int32, lo, hi int64) (changed bool) {
	switch {
	case t < l.xAt:
		return d.narrowOption(l.m, t, lo, hi)
	case t < l.someAt:
		j := t - l.xAt
		up, down := raise(&d.lo[j], lo), lessen(&d.hi[j], hi)
		return up || down
	case t < l.potAt:
		q := t - l.someAt
		if hi == 0 {
			changed = lessen(&d.atMost[q], 0)
		}
		if lo == 1 && raise(&d.atLeast[q], 1) {
			changed = true
		}
		return changed
	case t < l.unitAt:
		return false
	case t < l.shopAt:
		q := t - l.unitAt
		up, down := raise(&d.atLeast[q], lo), lessen(&d.atMost[q], hi)
		return up || down
	case t < l.bandAt:
		return d.narrowShop(l.m, int(t-l.shopAt), lo, hi)
	case t < l.extraAt:
		h := l.shopOfBand(t)
		return d.narrowBand(h, int16(t-l.bandAt-l.bandOff[h]), lo, hi)
	}
	return false
}

// raise makes v at least lo and tells whether it was less.
func raise(v *int32, lo int64) bool {
	if int64(*v) >= lo {
		return false
	}
	*v = int32(lo)
	return true
}

// lessen makes v at most hi and tells whether it was more.
func lessen(v *int32, hi int64) bool {
	if int64(*v) <= hi {
		return false
	}
	*v = int32(hi)
	return true
}

// narrowOption leaves option o out, or all others of its need, where bounds of 0 and 1
// on it say so.
func (d *domain) narrowOption(m *model, o int32, lo, hi int64) (changed bool) {
	if hi == 0 && d.alive[o] {
		d.alive[o] = false
		changed = true
	}
	if lo == 1 {
		n := m.optNeed[o]
		for other := m.optStart[n]; other < m.optStart[n+1]; other++ {
			if other != o && d.alive[other] {
				d.alive[other] = false
				changed = true
			}
		}
	}
	return changed
}

// narrowShop shuts shop h or opens it.
func (d *domain) narrowShop(m *model, h int, lo, hi int64) (changed bool) {
	if hi == 0 && !d.unused(h) {
		d.shut(m, h)
		changed = true
	}
	if lo == 1 && d.closed[h] {
		d.closed[h] = false
		changed = true
	}
	return changed
}

// narrowBand takes band b of shop h from the ends of what is open there, or leaves nothing
// but it.
func (d *domain) narrowBand(h int, b int16, lo, hi int64) (changed bool) {
	if hi == 0 && !d.unused(h) {
		switch {
		case d.bandLo[h] == b && d.bandHi[h] > b:
			d.bandLo[h]++
			changed = true
		case d.bandHi[h] == b && d.bandLo[h] < b:
			d.bandHi[h]--
			changed = true
		}
	}
	if lo == 1 && (d.closed[h] || d.bandLo[h] < b || d.bandHi[h] > b) {
		d.closed[h] = false
		d.bandLo[h], d.bandHi[h] = max(d.bandLo[h], b), min(d.bandHi[h], b)
		changed = true
	}
	return changed
}
