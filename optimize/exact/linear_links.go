package exact

import "halfpot/optimize/lp"

// Rows that are part of the form, but so many that only those broken are put in:
//
//	y[o] <= some[q]           where the option takes more of q than is at hand
//	some[q] <= sum over the shops of shop[h] or the boxes there that hold q,
//	                          for each shop whichever is less
//	x[j] <= limit * shop[h]
//
// The second says that a paint bought at a shop counts that shop once, whether
// in a pot or in a set.

// broken is by how much a row must be broken to be put in.
const broken = 1e-8

// links lists the rows of the form that the values v of the terms break.
func (l *linear) links(v []float64, out []*linearRow) []*linearRow {
	m := l.m
	for o := range m.optNeed {
		if v[o] < broken {
			continue
		}
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			some := l.someAt + m.usePaint[u]
			if l.short[u] && v[o] > v[some]+broken {
				r := &linearRow{lower: 0, upper: lp.Inf, kind: linkRow}
				r.add(some, 1)
				r.add(int32(o), -1)
				out = append(out, r)
			}
		}
	}
	for q := range m.have {
		some := l.someAt + int32(q)
		if v[some] < broken {
			continue
		}
		sum := -v[some]
		for h := range m.bands {
			boxes, _ := l.boxesAt(v, q, h)
			sum += min(v[l.shopAt+int32(h)], boxes)
		}
		if sum > -broken {
			continue
		}
		r := &linearRow{lower: 0, upper: lp.Inf, kind: linkRow}
		r.add(some, -1)
		for h := range m.bands {
			shop := l.shopAt + int32(h)
			boxes, any := l.boxesAt(v, q, h)
			if !any {
				continue
			}
			if v[shop] < boxes {
				r.add(shop, 1)
				continue
			}
			for _, s := range m.sources[q] {
				if int(m.offShop[s.off]) == h {
					r.add(l.xAt+s.off, 1)
				}
			}
		}
		out = append(out, r)
	}
	for j, h := range m.offShop {
		x, shop := l.xAt+int32(j), l.shopAt+h
		if l.col[x] < 0 || l.col[shop] < 0 {
			continue
		}
		if most := float64(l.top[j]); v[x] > most*v[shop]+broken {
			r := &linearRow{lower: 0, upper: lp.Inf, kind: linkRow}
			r.add(shop, int64(l.top[j]))
			r.add(x, -1)
			out = append(out, r)
		}
	}
	return out
}

// boxesAt is how many boxes are bought at shop h that hold paint q; any says whether
// it sells such at all.
func (l *linear) boxesAt(v []float64, q, h int) (sum float64, any bool) {
	m := l.m
	for _, s := range m.sources[q] {
		if int(m.offShop[s.off]) == h {
			sum += v[l.xAt+s.off]
			any = true
		}
	}
	return sum, any
}
