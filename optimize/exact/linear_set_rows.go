package exact

import (
	"slices"

	"halfpot/optimize/internal/whole"
	"halfpot/optimize/lp"
)

// Set rows written out; what they are stands in linear_sets.go.

// row writes the state's row out.
func (s *setSeparator) row(st *setState) *linearRow {
	s.gather(st)
	r, ok := lp.NewRounding(s.side(st), st.size)
	if !ok {
		return nil
	}
	out := &linearRow{lower: r.Side, upper: lp.Inf, kind: cutRow}
	s.rowPots(st, &r, out)
	s.rowSets(&r, out)
	for k, n := range s.needs {
		ref := n.ref
		if k >= st.prefix {
			ref = 0
		}
		for _, w := range s.ways[n.start:n.end] {
			if w.takes == ref || ref > w.takes && w.leaves >= 0 {
				continue
			}
			if c := r.Whole(ref - w.takes); c != 0 {
				out.merge(w.opt, c)
			}
		}
	}
	out.reduce()
	return out
}

// side is what the state's needs take at least beside what is at hand, with what can
// leave by each carrier in carried.
func (s *setSeparator) side(st *setState) int64 {
	side := int64(0)
	for i, p := range st.paints {
		s.carried[p] = 0
		if st.roles[i] == inSet {
			side -= s.l.m.have[p]
		}
	}
	for _, n := range s.needs[:st.prefix] {
		side += n.ref
		for i, p := range st.paints {
			most := int64(0)
			for _, w := range s.ways[n.start:n.end] {
				if st.roles[i] == carrier && w.leaves == p {
					most = max(most, n.ref-w.takes)
				}
			}
			s.carried[p] += most
		}
	}
	return side
}

// rowPots puts the carriers and the pots of the set into the row, and lists the boxes
// of several paints that hold some of these.
func (s *setSeparator) rowPots(st *setState, r *lp.Rounding, out *linearRow) {
	l, m := s.l, s.l.m
	add := func(t int32, c int64) {
		if c != 0 {
			out.merge(t, c)
		}
	}
	s.sets = s.sets[:0]
	for i, p := range st.paints {
		if st.roles[i] == carrier {
			add(l.someAt+p, r.Whole(s.carried[p]))
			continue
		}
		for c := l.potStart[p]; c < l.potStart[p+1]; c++ {
			add(l.pot(c), r.Whole(l.potUL[c]))
			for _, j := range l.potOffs[c] {
				if m.conStart[j+1]-m.conStart[j] > 1 {
					s.sets = append(s.sets, j)
				}
			}
		}
	}
	slices.Sort(s.sets)
	s.sets = slices.Compact(s.sets)
}

// rowSets rounds a box with several paints of the set whole.
func (s *setSeparator) rowSets(r *lp.Rounding, out *linearRow) {
	m := s.l.m
	for _, j := range s.sets {
		whole, parts := int64(0), int64(0)
		for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
			if s.role[m.conPaint[k]] == inSet {
				whole += m.conUL[k]
				parts += r.Whole(m.conUL[k])
			}
		}
		if c := r.Whole(whole) - parts; c != 0 {
			out.merge(s.l.xAt+j, c)
		}
	}
}

// merge adds to a term's coefficient.
func (r *linearRow) merge(term int32, coef int64) {
	if k := slices.Index(r.terms, term); k >= 0 {
		r.coefs[k] += coef
		return
	}
	r.add(term, coef)
}

// reduce divides a row by what divides all of it.
func (r *linearRow) reduce() {
	g := int64(0)
	for _, a := range r.coefs {
		g = whole.GCD(g, max(a, -a))
	}
	if g > 1 {
		for k := range r.coefs {
			r.coefs[k] /= g
		}
		r.lower = ceilDivAny(r.lower, g)
	}
}

// ceilDivAny is a/b rounded up, for b > 0 and any a.
func ceilDivAny(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}

// hash tells rows apart.
func (r *linearRow) hash() uint64 {
	h := uint64(14695981039346656037) ^ uint64(r.lower)
	for k, t := range r.terms {
		h = (h ^ uint64(t)) * 1099511628211
		h = (h ^ uint64(r.coefs[k])) * 1099511628211
	}
	return h
}
