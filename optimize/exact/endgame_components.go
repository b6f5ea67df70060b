package exact

import (
	"cmp"
	"slices"

	"halfpot/optimize/internal/flat"
	"halfpot/optimize/internal/whole"
)

// components splits what is open into components that share no need, paint or box.
type components struct {
	lacks     []int64 // volume of each paint that is missing beside what is certain
	short     []bool  // whether the paint can be short
	alone     []bool  // whether it takes the same boxes whatever the needs take of it: a component by itself
	root      []int32 // of the paint's component, as it grows (union-find)
	component []int32 // of each root, in list; -1
	place     []int32 // of the paint in its component
	list      []component
}

// component is what hangs together.
type component struct {
	needs  []int32 // that have more than one option
	paints []int32
	sets   []int32 // offers that serve several of the paints
}

func (p *component) size() int { return len(p.needs) + len(p.sets) }

// brief says that a search may come to its end soon without large endgames.
func (s *search) brief() bool { return len(s.m.members) < fewNeeds && s.nodes < 256 }

// Components up to these sizes are gone through, the smaller ones in a brief search.
const (
	endSize  = 128
	endBrief = 10
)

// split finds the components and their columns; false where these are too many.
func (e *endgame) split(m *model, f *facts, past *tough) bool {
	u := &e.components
	u.layOut(e, m, f)
	most := endSize
	if e.s.brief() {
		most = endBrief
	}
	if len(u.list) > 0 && (u.list[0].size() > most || !less(u.list[0].size(), past.component)) {
		return false
	}
	e.plans = e.plans[:0]
	for i := range e.plansOf {
		e.plansOf[i] = e.plansOf[i][:0]
	}
	if e.byPots {
		return e.discount(f, past)
	}
	if !e.list(f, past) {
		return false
	}
	// The columns were chosen for plans that lose no more than from the bound that
	// the node came with. It holds for the components too, but for rounding of nu.
	return e.value(e.nu) >= e.begun
}

// largest is the size of the largest component of a domain.
func (e *endgame) largest(s *search, d *domain, r *relax, f *facts) int {
	e.s, e.d, e.r = s, d, r
	u := &e.components
	u.layOut(e, s.m, f)
	if len(u.list) == 0 {
		return 0
	}
	return u.list[0].size()
}

// layOut lists the components, the largest first: it is the one that may be too much.
func (u *components) layOut(e *endgame, m *model, f *facts) {
	u.begin(e, m, f)
	for _, need := range e.r.needs {
		first := int32(-1)
		e.paintsOf(f, need, func(q int32) { first = u.join(first, q) })
	}
	for j := range m.price {
		if e.d.lo[j] < e.d.hi[j] {
			first := int32(-1)
			e.servedBy(int32(j), func(q int32) { first = u.join(first, q) })
		}
	}
	u.collect(e, m, f)
	slices.SortStableFunc(u.list, func(a, b component) int { return cmp.Compare(b.size(), a.size()) })
}

// list lists the columns of all components; false where there are too many.
func (e *endgame) list(f *facts, past *tough) bool {
	u := &e.components
	e.start, e.columns, e.book = append(e.start[:0], 0), e.columns[:0], e.book[:0]
	e.walk.begin(e, f)
	for i := range u.list {
		if !e.walk.component(&u.list[i]) {
			past.component = u.list[i].size()
			return false
		}
	}
	return true
}

// begin finds out what can be short, with each paint a component by itself.
func (u *components) begin(e *endgame, m *model, f *facts) {
	n := len(m.have)
	u.lacks, u.short, u.alone = flat.Resize(u.lacks, n), flat.Resize(u.short, n), flat.Resize(u.alone, n)
	u.root, u.component, u.place = flat.Resize(u.root, n), flat.Resize(u.component, n), flat.Resize(u.place, n)
	for q := range m.have {
		u.lacks[q] = f.demand[q] - m.have[q]
		for _, src := range m.sources[q] {
			u.lacks[q] -= whole.SatMul(int64(e.d.lo[src.off]), src.ul)
		}
		u.short[q] = u.lacks[q]+f.most[q]-f.demand[q] > 0
		u.root[q], u.component[q] = int32(q), -1
	}
	for q := range m.have {
		u.alone[q] = u.short[q] && e.sureBoxes(m, q, f.most[q]-f.demand[q])
	}
}

// sureBoxes says whether paint q takes the same boxes whatever options are
// taken, which take up to more of it.
func (e *endgame) sureBoxes(m *model, q int, more int64) bool {
	lacks, ul := e.components.lacks[q], int64(0)
	if lacks <= 0 {
		return false
	}
	for _, src := range m.sources[q] {
		if e.d.lo[src.off] == e.d.hi[src.off] {
			continue
		}
		one := lacks+more <= src.ul && (ul == 0 || lacks+more <= ul) // one of either is enough
		if whole.CeilDiv(lacks, src.ul) != whole.CeilDiv(lacks+more, src.ul) || ul != 0 && ul != src.ul && !one {
			return false
		}
		ul = src.ul
	}
	return true
}

// paintsOf yields the paints of a need's options that tie it to others.
func (e *endgame) paintsOf(f *facts, need int32, yield func(q int32)) {
	m, u := e.s.m, &e.components
	for o := m.optStart[need]; o < m.optStart[need+1]; o++ {
		for k := m.useStart[o]; e.d.alive[o] && k < m.useStart[o+1]; k++ {
			if q := m.usePaint[k]; u.short[q] && !u.alone[q] && f.extra[k] > 0 {
				yield(q)
			}
		}
	}
}

// servedBy yields the paints in a box that can be short.
func (e *endgame) servedBy(j int32, yield func(q int32)) {
	m := e.s.m
	for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
		if q := m.conPaint[k]; e.components.short[q] {
			yield(q)
		}
	}
}

// serves counts them.
func (e *endgame) serves(j int32) (n int) {
	e.servedBy(j, func(int32) { n++ })
	return n
}

func (u *components) find(q int32) int32 {
	for u.root[q] != q {
		u.root[q] = u.root[u.root[q]]
		q = u.root[q]
	}
	return q
}

// join puts q into the component of with, if there is such, and returns one of the two.
func (u *components) join(with, q int32) int32 {
	if with >= 0 {
		u.root[u.find(q)] = u.find(with)
	}
	return q
}

// collect lists what belongs to each component.
func (u *components) collect(e *endgame, m *model, f *facts) {
	u.list = u.list[:0]
	for q := range m.have {
		if u.short[q] {
			p := u.of(int32(q))
			u.place[q] = int32(len(p.paints))
			p.paints = append(p.paints, int32(q))
		}
	}
	for _, need := range e.r.needs {
		any := int32(-1)
		e.paintsOf(f, need, func(q int32) { any = q })
		p := u.of(any)
		p.needs = append(p.needs, need)
	}
	for j := range m.price {
		if e.d.lo[j] == e.d.hi[j] || e.serves(int32(j)) < 2 {
			continue
		}
		any := int32(-1)
		e.servedBy(int32(j), func(q int32) { any = q })
		p := u.of(any)
		p.sets = append(p.sets, int32(j))
	}
}

// of is the component of paint q; a new one where q is -1.
func (u *components) of(q int32) *component {
	if q >= 0 {
		q = u.find(q)
		if u.component[q] >= 0 {
			return &u.list[u.component[q]]
		}
		u.component[q] = int32(len(u.list))
	}
	if len(u.list) == cap(u.list) {
		u.list = append(u.list, component{})
	} else {
		u.list = u.list[:len(u.list)+1] // and its memory
	}
	p := &u.list[len(u.list)-1]
	p.needs, p.paints, p.sets = p.needs[:0], p.paints[:0], p.sets[:0]
	return p
}
