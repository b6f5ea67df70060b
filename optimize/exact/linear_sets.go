package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/internal/whole"
	"halfpot/optimize/lp"
)

// Set rows say how many pots a set of paints that stand in for one another takes
// at least, rounded up over all of them together. Every paint has a role: in the
// set, a carrier, or none. The needs looked at take at least their reference
// amount from the set; an option that takes less is a way out and makes good for
// the difference, by itself, or, where it must buy a box of a carrier, all such
// options together by that paint being bought at all:
//
//	sum of volumes * pots + sum of (m - a) * y + sum of A * some
//	                                        >= sum of m - what is at hand,
//
// with m the reference of a need, a what an option takes, A the most that can leave
// by a carrier. That is rounded by the size of a pot (lp.Rounding).
//
// Where little is short, all coefficients count as that little: some need must go
// elsewhere, or a box be bought.
//
// Separation grows the set from each paint bought in part, and from each that runs out
// on the shelf, by the paint and role that break the row most.

// setSeparator looks for broken set rows.
type setSeparator struct {
	l *linear
	v []float64

	role  []role
	paths []float64 // flow out of the set by each paint
	near  []int32
	state setState
	best  setState

	needs   []setNeed
	ways    []setWay
	mark    []int32 // needs seen, by stamp
	stamp   int32
	sizes   []int64
	sets    []int32
	seen    map[uint64]bool
	carried []int64
}

type role uint8

const (
	noRole role = iota
	inSet
	carrier
)

// setState is a choice of roles with the best row found for it.
type setState struct {
	paints   []int32
	roles    []role
	score    float64
	prefix   int
	size     int64
	violated float64
}

// setNeed is a need that can take from the set.
type setNeed struct {
	need  int32
	ref   int64
	key   float64
	start int32 // ways[start:end]
	end   int32
}

// setWay is an option of such a need: what it takes from the set, and the
// carrier it leaves by, or -1.
type setWay struct {
	opt    int32
	takes  int64
	leaves int32
}

func newSetSeparator(l *linear) *setSeparator {
	return &setSeparator{l: l, role: make([]role, len(l.m.have)), paths: make([]float64, len(l.m.have)),
		mark: make([]int32, len(l.m.members)), carried: make([]int64, len(l.m.have))}
}

const (
	setMost  = 10   // paints with a role
	setPart  = 1e-5 // by which what is bought or taken in part must miss a whole number
	setTaken = 0.05 // share of a need that an option must take for its amount to be the reference
	setSizes = 4    // divisors tried, beside that of a set with something at hand
)

// rows lists broken set rows at the values v.
func (s *setSeparator) rows(v []float64, out []*linearRow) []*linearRow {
	l, m := s.l, s.l.m
	s.v, s.seen = v, map[uint64]bool{}
	for q := range int32(len(m.have)) {
		bought := 0.0
		part := false
		for c := l.potStart[q]; c < l.potStart[q+1]; c++ {
			x := v[l.pot(c)]
			bought += x
			part = part || math.Abs(x-math.Round(x)) > setPart
		}
		if (bought < setPart || !part) && !s.runsOut(q) {
			continue
		}
		out = s.grow(q, out)
	}
	return out
}

// runsOut says whether all that is at hand of paint q is taken, by some need in part.
func (s *setSeparator) runsOut(q int32) bool {
	l, m := s.l, s.l.m
	if m.have[q] == 0 {
		return false
	}
	left, part := float64(m.have[q]), false
	for _, pu := range m.byPaint[q] {
		v := s.v[pu.opt]
		left -= float64(m.useUL[pu.use]) * v
		part = part || v > setPart && v < 1-setPart
	}
	for c := l.potStart[q]; c < l.potStart[q+1]; c++ {
		left += float64(l.potUL[c]) * s.v[l.pot(c)]
	}
	return part && left < 1
}

// grow looks for the set around paint q whose row is broken most.
func (s *setSeparator) grow(q int32, out []*linearRow) []*linearRow {
	s.role[q] = inSet
	s.state.paints, s.state.roles = append(s.state.paints[:0], q), append(s.state.roles[:0], inSet)
	s.value(&s.state)
	s.best.copyFrom(&s.state)
	for worse := 0; len(s.state.paints) < setMost && worse <= setPatience; {
		s.neighbours()
		at, as := int32(-1), noRole
		top := setState{score: math.Inf(-1)}
		size := len(s.state.paints)
		for _, z := range s.near {
			for _, r := range [...]role{inSet, carrier} {
				if r == inSet && s.l.potStart[z] == s.l.potStart[z+1] {
					continue
				}
				s.role[z] = r
				s.state.paints, s.state.roles = append(s.state.paints, z), append(s.state.roles, r)
				s.value(&s.state)
				if s.state.score > top.score || at < 0 {
					at, as = z, r
					top = s.state
				}
				s.state.paints, s.state.roles = s.state.paints[:size], s.state.roles[:size]
				s.role[z] = noRole
			}
		}
		if at < 0 {
			break
		}
		s.role[at] = as
		top.paints, top.roles = append(s.state.paints, at), append(s.state.roles, as)
		s.state = top
		if s.state.score > s.best.score {
			s.best.copyFrom(&s.state)
			worse = 0
		} else {
			worse++
		}
	}
	for _, p := range s.state.paints {
		s.role[p] = noRole
	}
	if s.best.violated > 0 && s.best.score > setLeast {
		for i, p := range s.best.paints {
			s.role[p] = s.best.roles[i]
		}
		if r := s.row(&s.best); r != nil {
			if h := r.hash(); !s.seen[h] {
				s.seen[h] = true
				out = append(out, r)
			}
		}
		for _, p := range s.best.paints {
			s.role[p] = noRole
		}
	}
	return out
}

// setLeast is by how much of the row's size it must be broken.
const setLeast = 1e-3

func (a *setState) copyFrom(b *setState) {
	a.paints, a.roles = append(a.paints[:0], b.paints...), append(a.roles[:0], b.roles...)
	a.score, a.prefix, a.size, a.violated = b.score, b.prefix, b.size, b.violated
}

// neighbours lists the paints without a role by which most leaves the set.
func (s *setSeparator) neighbours() {
	s.gather(&s.state)
	m := s.l.m
	s.near = s.near[:0]
	for _, n := range s.needs {
		for _, w := range s.ways[n.start:n.end] {
			if w.takes >= n.ref || s.v[w.opt] < 1e-6 {
				continue
			}
			for u := m.useStart[w.opt]; u < m.useStart[w.opt+1]; u++ {
				if z := m.usePaint[u]; s.role[z] == noRole {
					if s.paths[z] == 0 {
						s.near = append(s.near, z)
					}
					s.paths[z] += s.v[w.opt]
				}
			}
		}
	}
	slices.SortStableFunc(s.near, func(a, b int32) int { return cmp.Compare(s.paths[b], s.paths[a]) })
	for _, z := range s.near {
		s.paths[z] = 0
	}
	if len(s.near) > nearMost {
		s.near = s.near[:nearMost]
	}
}

const nearMost = 6

// setPatience is for how many steps a set grows without its row being broken more.
const setPatience = 2

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
