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

// linkLeast is by how much a row must be broken to be put in.
const linkLeast = 1e-8

// links lists the rows of the form that the values v of the terms break.
func (l *linear) links(v []float64, out []*linearRow) []*linearRow {
	for o := range int32(len(l.m.optNeed)) {
		out = l.optionLinks(v, o, out)
	}
	for q := range l.m.have {
		if r := l.paintLink(v, q); r != nil {
			out = append(out, r)
		}
	}
	for j, h := range l.m.offShop {
		x, shop := l.xAt+int32(j), l.shopAt+h
		if l.col[x] < 0 || l.col[shop] < 0 {
			continue
		}
		if most := float64(l.top[j]); v[x] > most*v[shop]+linkLeast {
			r := newLink()
			r.add(shop, int64(l.top[j]))
			r.add(x, -1)
			out = append(out, r)
		}
	}
	return out
}

// newLink is a link without terms, which come to no less than 0.
func newLink() *linearRow { return &linearRow{lower: 0, upper: lp.Inf, kind: linkRow} }

// optionLinks adds those of option o with each paint that is short for it.
func (l *linear) optionLinks(v []float64, o int32, out []*linearRow) []*linearRow {
	m := l.m
	if v[o] < linkLeast {
		return out
	}
	for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
		some := l.someAt + m.usePaint[u]
		if l.short[u] && v[o] > v[some]+linkLeast {
			r := newLink()
			r.add(some, 1)
			r.add(o, -1)
			out = append(out, r)
		}
	}
	return out
}

// paintLink is that of paint q with the shops and boxes which sell it; nil where it holds.
func (l *linear) paintLink(v []float64, q int) *linearRow {
	m := l.m
	some := l.someAt + int32(q)
	if v[some] < linkLeast {
		return nil
	}
	sum := -v[some]
	for h := range m.bands {
		boxes, _ := l.boxesAt(v, q, h)
		sum += min(v[l.shopAt+int32(h)], boxes)
	}
	if sum > -linkLeast {
		return nil
	}
	r := newLink()
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
	return r
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
