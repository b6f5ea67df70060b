package exact

import (
	"cmp"
	"math"
	"slices"
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
