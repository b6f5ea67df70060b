package exact

// shrink makes a model of what a domain still allows, so that the search need
// not step over what is ruled out. Plans keep the model they belong to.
func (m *model) shrink(d *domain, mu *multipliers) (*model, *domain, *multipliers) {
	s := &model{prob: m.prob, members: m.members, cp: m.cp, cap: m.cap, maxShops: m.maxShops,
		bands: m.bands, filler: m.filler, fillers: m.fillers, reach: m.reach, topUps: m.topUps}
	paintAt := make([]int32, len(m.have))
	for q := range paintAt {
		paintAt[q] = -1
	}
	v := &multipliers{need: append([]float64(nil), mu.need...)}
	paint := func(q int32) int32 {
		if paintAt[q] < 0 {
			paintAt[q] = int32(len(s.have))
			s.paintOrig = append(s.paintOrig, m.paintOrig[q])
			s.have = append(s.have, m.have[q])
			v.base = append(v.base, mu.base[q])
		}
		return paintAt[q]
	}
	s.optStart, s.useStart = []int32{0}, []int32{0}
	for n := range m.members {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if !d.alive[o] {
				continue
			}
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				s.usePaint = append(s.usePaint, paint(m.usePaint[u]))
				s.useUL = append(s.useUL, m.useUL[u])
				v.link = append(v.link, mu.link[u])
			}
			s.optNeed = append(s.optNeed, int32(n))
			s.optPts = append(s.optPts, m.optPts[o])
			s.optPick = append(s.optPick, m.optPick[o])
			s.useStart = append(s.useStart, int32(len(s.usePaint)))
		}
		s.optStart = append(s.optStart, int32(len(s.optNeed)))
	}
	// A box that must be bought for certain keeps its paint.
	for q, n := range d.atLeast {
		if n > 0 {
			paint(int32(q))
		}
	}
	s.sumMost()
	s.sources = make([][]source, len(s.have))
	s.conStart, s.shopStart = []int32{0}, make([]int32, len(m.bands)+1)
	e := &domain{}
	for h := range m.bands {
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			if d.hi[j] == 0 {
				continue
			}
			at := len(s.conPaint)
			for k := m.conStart[j]; k < m.conStart[j+1]; k++ {
				if q := paintAt[m.conPaint[k]]; q >= 0 {
					s.conPaint, s.conUL, s.conUnits = append(s.conPaint, q), append(s.conUL, m.conUL[k]), append(s.conUnits, m.conUnits[k])
					s.sources[q] = append(s.sources[q], source{int32(len(s.price)), m.conUL[k], m.conUnits[k]})
				}
			}
			if len(s.conPaint) == at && d.lo[j] == 0 {
				continue
			}
			s.offOrig, s.offShop = append(s.offOrig, m.offOrig[j]), append(s.offShop, int32(h))
			s.price, s.limit = append(s.price, m.price[j]), append(s.limit, d.hi[j])
			s.conStart = append(s.conStart, int32(len(s.conPaint)))
			e.lo, e.hi = append(e.lo, d.lo[j]), append(e.hi, d.hi[j])
		}
		s.shopStart[h+1] = int32(len(s.price))
	}
	e.alive = make([]bool, len(s.optNeed))
	for o := range e.alive {
		e.alive[o] = true
	}
	e.atLeast, e.atMost = make([]int32, len(s.have)), make([]int32, len(s.have))
	for q, k := range paintAt {
		if k >= 0 {
			e.atLeast[k], e.atMost[k] = d.atLeast[q], d.atMost[q]
		}
	}
	e.closed = append(e.closed, d.closed...)
	e.bandLo, e.bandHi = append(e.bandLo, d.bandLo...), append(e.bandHi, d.bandHi...)
	return s, e, v
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
