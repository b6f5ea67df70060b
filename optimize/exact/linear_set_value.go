package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// Which needs a set row looks at, and by how much it is broken; what set rows are stands in
// linear_sets.go.

// gather lists the needs that can take from the set, those that leave it least first.
func (s *setSeparator) gather(st *setState) {
	l, m := s.l, s.l.m
	s.stamp++
	s.needs, s.ways = s.needs[:0], s.ways[:0]
	for i, p := range st.paints {
		if st.roles[i] != inSet {
			continue
		}
		for _, pu := range m.byPaint[p] {
			if l.col[pu.opt] < 0 && l.value[pu.opt] == 0 {
				continue
			}
			n := m.optNeed[pu.opt]
			if s.mark[n] == s.stamp {
				continue
			}
			s.mark[n] = s.stamp
			s.addNeed(n)
		}
	}
	slices.SortFunc(s.needs, func(a, b setNeed) int {
		return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.need, b.need))
	})
}

func (s *setSeparator) addNeed(n int32) {
	l, m := s.l, s.l.m
	sn := setNeed{need: n, start: int32(len(s.ways)), ref: math.MaxInt64, key: math.Inf(1)}
	for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
		if l.col[o] < 0 && l.value[o] == 0 {
			continue
		}
		takes := int64(0)
		leaves := int32(-1)
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			z := m.usePaint[u]
			switch s.role[z] {
			case inSet:
				takes += m.useUL[u]
			case carrier:
				if l.short[u] && (leaves < 0 || s.v[l.someAt+z] < s.v[l.someAt+leaves]) {
					leaves = z
				}
			}
		}
		s.ways = append(s.ways, setWay{o, takes, leaves})
		if takes > 0 && takes < sn.ref && s.v[o] > setTaken {
			sn.ref = takes
		}
	}
	sn.end = int32(len(s.ways))
	if sn.ref == math.MaxInt64 {
		sn.ref = 0
	} else {
		out := 0.0
		for _, w := range s.ways[sn.start:sn.end] {
			if w.takes < sn.ref && w.leaves < 0 {
				out += float64(sn.ref-w.takes) * s.v[w.opt]
			}
		}
		sn.key = out / float64(sn.ref)
	}
	s.needs = append(s.needs, sn)
}

// value finds the divisor and the needs for which the state's row is broken most.
func (s *setSeparator) value(st *setState) {
	l, m := s.l, s.l.m
	s.gather(st)
	st.score, st.violated = math.Inf(-1), 0
	have := int64(0)
	s.sizes = s.sizes[:0]
	for i, p := range st.paints {
		if st.roles[i] != inSet {
			s.carried[p] = 0
			continue
		}
		have += m.have[p]
		for c := l.potStart[p]; c < l.potStart[p+1]; c++ {
			if l.topOf(c) && !slices.Contains(s.sizes, l.potUL[c]) {
				s.sizes = append(s.sizes, l.potUL[c])
			}
		}
	}
	if len(s.sizes) > setSizes {
		slices.Sort(s.sizes)
		s.sizes = append(s.sizes[:setSizes-1], s.sizes[len(s.sizes)-1])
	}
	if have > 0 {
		largest := slices.Max(append(s.sizes, 0))
		for _, n := range s.needs {
			largest = max(largest, n.ref)
		}
		s.sizes = append(s.sizes, largest+1)
	}
	side := -have
	for k, n := range s.needs {
		if n.ref == 0 {
			break
		}
		side += n.ref
		for i, p := range st.paints {
			if st.roles[i] == carrier {
				most := int64(0)
				for _, w := range s.ways[n.start:n.end] {
					if w.leaves == p {
						most = max(most, n.ref-w.takes)
					}
				}
				s.carried[p] += most
			}
		}
		if side <= 0 {
			continue
		}
		for _, d := range s.sizes {
			s.measure(st, k+1, side, d)
		}
	}
}

// topOf says whether any box of class c can be bought.
func (l *linear) topOf(c int32) bool {
	t := l.pot(c)
	return l.col[t] >= 0 || l.value[t] > 0
}

// measure works out by how much the row of the first needs, rounded by d, is broken.
func (s *setSeparator) measure(st *setState, prefix int, side, d int64) {
	l := s.l
	r, ok := lp.NewRounding(side, d)
	if !ok {
		return
	}
	left := float64(r.Side)
	norm := 0.0
	add := func(coef int64, v float64) {
		c := float64(coef)
		left -= c * v
		norm += c * c
	}
	for i, p := range st.paints {
		if st.roles[i] == carrier {
			if a := s.carried[p]; a > 0 {
				add(r.Whole(a), s.v[l.someAt+p])
			}
			continue
		}
		for c := l.potStart[p]; c < l.potStart[p+1]; c++ {
			add(r.Whole(l.potUL[c]), s.v[l.pot(c)])
		}
	}
	if left <= 0 {
		return
	}
	for k, n := range s.needs {
		ref := n.ref
		if k >= prefix {
			ref = 0
		}
		for _, w := range s.ways[n.start:n.end] {
			if w.takes == ref || ref > w.takes && w.leaves >= 0 {
				continue
			}
			if c := r.Whole(ref - w.takes); c != 0 {
				add(c, s.v[w.opt])
			}
		}
		if left <= 0 {
			return
		}
	}
	if score := left / math.Sqrt(norm); score > st.score {
		st.score, st.prefix, st.size, st.violated = score, prefix, d, left
	}
}
