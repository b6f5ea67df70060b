package exact

// shrinker makes a model of what a domain still allows.
type shrinker struct {
	m  *model // from this,
	d  *domain
	mu *multipliers

	s  *model // this
	e  *domain
	v  *multipliers
	at []int32 // place of each paint of m in s; -1 where nothing asks for it
}

// shrink makes a model of what a domain still allows, so that the search need
// not step over what is ruled out. Plans keep the model they belong to.
func (m *model) shrink(d *domain, mu *multipliers) (*model, *domain, *multipliers) {
	t := &shrinker{
		m:  m,
		d:  d,
		mu: mu,
		s: &model{
			prob:     m.prob,
			members:  m.members,
			cp:       m.cp,
			cap:      m.cap,
			maxShops: m.maxShops,
			bands:    m.bands,
			filler:   m.filler,
			fillers:  m.fillers,
			reach:    m.reach,
			topUps:   m.topUps,
		},
		e:  &domain{},
		v:  &multipliers{need: append([]float64(nil), mu.need...)},
		at: make([]int32, len(m.have)),
	}
	for q := range t.at {
		t.at[q] = -1
	}
	t.needs()
	t.offers()
	t.allow()
	return t.s, t.e, t.v
}

// paint is the place of a paint of m in s, where it gets one with its first use.
func (t *shrinker) paint(q int32) int32 {
	if t.at[q] < 0 {
		t.at[q] = int32(len(t.s.have))
		t.s.paintOrig = append(t.s.paintOrig, t.m.paintOrig[q])
		t.s.have = append(t.s.have, t.m.have[q])
		t.v.base = append(t.v.base, t.mu.base[q])
	}
	return t.at[q]
}

// needs takes over the options that are still allowed, and their paints.
func (t *shrinker) needs() {
	m, s := t.m, t.s
	s.optStart, s.useStart = []int32{0}, []int32{0}
	for n := range m.members {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if !t.d.alive[o] {
				continue
			}
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				s.usePaint = append(s.usePaint, t.paint(m.usePaint[u]))
				s.useUL = append(s.useUL, m.useUL[u])
				t.v.link = append(t.v.link, t.mu.link[u])
			}
			s.optNeed = append(s.optNeed, int32(n))
			s.optPts = append(s.optPts, m.optPts[o])
			s.optPick = append(s.optPick, m.optPick[o])
			s.useStart = append(s.useStart, int32(len(s.usePaint)))
		}
		s.optStart = append(s.optStart, int32(len(s.optNeed)))
	}
	// A box that must be bought for certain keeps its paint.
	for q, n := range t.d.atLeast {
		if n > 0 {
			t.paint(int32(q))
		}
	}
	s.sumMost()
}

// offers takes over the offers that may still be bought and hold a paint that is
// asked for.
func (t *shrinker) offers() {
	m, s := t.m, t.s
	s.sources = make([][]source, len(s.have))
	s.conStart, s.shopStart = []int32{0}, make([]int32, len(m.bands)+1)
	for h := range m.bands {
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			if t.d.hi[j] > 0 {
				t.offer(j, int32(h))
			}
		}
		s.shopStart[h+1] = int32(len(s.price))
	}
}

func (t *shrinker) offer(j, h int32) {
	m, s := t.m, t.s
	at := len(s.conPaint)
	for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
		if q := t.at[m.conPaint[k]]; q >= 0 {
			s.conPaint = append(s.conPaint, q)
			s.conUL = append(s.conUL, m.conUL[k])
			s.conUnits = append(s.conUnits, m.conUnits[k])
			s.sources[q] = append(s.sources[q], source{int32(len(s.price)), m.conUL[k], m.conUnits[k]})
		}
	}
	if len(s.conPaint) == at && t.d.lo[j] == 0 {
		return
	}
	s.offOrig = append(s.offOrig, m.offOrig[j])
	s.offShop = append(s.offShop, h)
	s.price = append(s.price, m.price[j])
	s.limit = append(s.limit, t.d.hi[j])
	s.conStart = append(s.conStart, int32(len(s.conPaint)))
	t.e.lo, t.e.hi = append(t.e.lo, t.d.lo[j]), append(t.e.hi, t.d.hi[j])
}

// allow makes the domain of s: that of m, with all it has ruled out left out.
func (t *shrinker) allow() {
	s, d, e := t.s, t.d, t.e
	e.alive = make([]bool, len(s.optNeed))
	for o := range e.alive {
		e.alive[o] = true
	}
	e.atLeast, e.atMost = make([]int32, len(s.have)), make([]int32, len(s.have))
	for q, k := range t.at {
		if k >= 0 {
			e.atLeast[k], e.atMost[k] = d.atLeast[q], d.atMost[q]
		}
	}
	e.closed = append(e.closed, d.closed...)
	e.bandLo, e.bandHi = append(e.bandLo, d.bandLo...), append(e.bandHi, d.bandHi...)
}

// size counts what a domain still allows.
func (d *domain) size() int {
	n := 0
	for _, a := range d.alive {
		if a {
			n++
		}
	}
	for _, hi := range d.hi {
		if hi > 0 {
			n++
		}
	}
	return n
}

// in is the plan in another model's indices; nil where that model has ruled
// part of it out.
func (s *solution) in(m *model) *solution {
	if s == nil || s.m == m {
		return s
	}
	offer := make(map[int32]int32, len(m.offOrig))
	for j, orig := range m.offOrig {
		offer[orig] = int32(j)
	}
	t := &solution{
		m:      m,
		x:      make([]int32, len(m.price)),
		choice: make([]int32, len(m.members)),
		fill:   s.fill,
		cost:   s.cost,
	}
	for j, x := range s.x {
		if x == 0 {
			continue
		}
		k, ok := offer[s.m.offOrig[j]]
		if !ok || x > m.limit[k] {
			return nil
		}
		t.x[k] = x
	}
	for n, o := range s.choice {
		t.choice[n] = -1
		for k := m.optStart[n]; k < m.optStart[n+1]; k++ {
			if m.optPick[k][0] == s.m.optPick[o][0] {
				t.choice[n] = k
			}
		}
		if t.choice[n] < 0 {
			return nil
		}
	}
	return t
}
