package timetable

import "slices"

// model is a problem as flat numbers. Batches are looked at by slot: identical
// ones are interchangeable, so a slot is not tied to one of them.
type model struct {
	p       *Problem
	b       []mbatch
	sit     []Sitting
	longest int
	steps   int   // all batches
	off     []int // of a batch's steps in a flat list
	twin    []int // the first batch that is identical; itself where none is
	order   []int // batches, each behind those it comes after
}

type mbatch struct {
	n     int
	steps []mstep
	lag   [][]int // lag[i][j]: from the end of i to the start of j, j > i

	after, before []int // batches that come first, and that come later; sorted
}

type mstep struct {
	work, mix, ready int
}

func newModel(p *Problem) *model {
	m := &model{p: p, sit: p.Sittings}
	for _, s := range p.Sittings {
		m.longest = max(m.longest, s.End-s.Start)
	}
	for i := range p.Batches {
		m.b = append(m.b, newBatch(&p.Batches[i]))
	}
	m.chain()
	for i := range p.Batches {
		m.off = append(m.off, m.steps)
		m.steps += len(p.Batches[i].Steps)
		m.twin = append(m.twin, i)
		for j := range i {
			if identical(&m.b[i], &m.b[j]) {
				m.twin[i] = j
				break
			}
		}
	}
	return m
}

// chain joins the batches that come after others. Where those could end at the
// earliest, each by itself, is when the next are ready: a step of theirs sooner
// than that is no part of any plan.
func (m *model) chain() {
	m.order, _ = m.p.inOrder() // Validate has said what is wrong with it
	ends := make([]int, len(m.b))
	for _, i := range m.order {
		b := &m.b[i]
		for _, a := range m.p.Batches[i].After {
			if !slices.Contains(b.after, a) {
				b.after = append(b.after, a)
				m.b[a].before = append(m.b[a].before, i)
			}
		}
		slices.Sort(b.after)
		from := -MaxTime
		for _, a := range b.after {
			from = max(from, ends[a])
		}
		if len(b.steps) == 0 {
			ends[i] = from
			continue
		}
		b.steps[0].ready = max(b.steps[0].ready, from)
		starts := make([]int, len(b.steps))
		ends[i] = MaxTime
		rel := make([]int32, len(b.steps))
		for j, s := range b.steps {
			rel[j] = int32(s.ready)
		}
		if m.alone(i, 0, 0, rel, starts) >= 0 {
			last := len(starts) - 1
			ends[i] = starts[last] + b.steps[last].work
		}
	}
	for i := range m.b {
		slices.Sort(m.b[i].before)
	}
}

// freed is whether all batches that b comes after are finished.
func (m *model) freed(b int, done func(a int) int) bool {
	for _, a := range m.b[b].after {
		if done(a) < len(m.b[a].steps) {
			return false
		}
	}
	return true
}

func newBatch(b *Batch) mbatch {
	out := mbatch{n: b.Figures, steps: make([]mstep, len(b.Steps)), lag: make([][]int, len(b.Steps))}
	for i, s := range b.Steps {
		out.steps[i] = mstep{s.Each * b.Figures, s.Mix, s.Ready}
		out.lag[i] = make([]int, len(b.Steps))
		for j, w := range s.Waits {
			overlap := (b.Figures - 1) * min(s.Each, b.Steps[i+1+j].Each)
			out.lag[i][i+1+j] = max(0, w-overlap)
		}
	}
	return out
}

// identical batches take the same time, mixes, waits, beginnings and neighbours.
func identical(a, b *mbatch) bool {
	if a.n != b.n || len(a.steps) != len(b.steps) || !slices.Equal(a.after, b.after) ||
		!slices.Equal(a.before, b.before) {
		return false
	}
	for i := range a.steps {
		if a.steps[i] != b.steps[i] {
			return false
		}
		for j := i + 1; j < len(a.steps); j++ {
			if a.lag[i][j] != b.lag[i][j] {
				return false
			}
		}
	}
	return true
}

// release starts the list of times before which a batch's steps can't start.
func (m *model) release() []int32 {
	out := make([]int32, 0, m.steps)
	for _, b := range m.b {
		for _, s := range b.steps {
			out = append(out, int32(max(s.ready, -MaxTime)))
		}
	}
	return out
}

// alone is the sitting in which batch b ends if it had the bench to itself from
// sitting k on, with count steps done and the given releases; -1 where the
// calendar is too short. Where ends is given it gets the end of each step. Doing
// each step as early as it goes is best for a chain by itself.
func (m *model) alone(b, count, k int, rel []int32, starts []int) int {
	bt := &m.b[b]
	if count == len(bt.steps) {
		return k - 1
	}
	var buf [64]int32
	r := append(buf[:0], rel...)
	if k >= len(m.sit) {
		return -1
	}
	now := m.sit[k].Start
	for i := count; i < len(bt.steps); i++ {
		s := bt.steps[i]
		at := max(now, int(r[i]))
		for at+s.work > m.sit[k].End {
			if k++; k == len(m.sit) {
				return -1
			}
			at = max(m.sit[k].Start, int(r[i]))
		}
		if starts != nil {
			starts[i] = at
		}
		now = at + s.work
		for j := i + 1; j < len(bt.steps); j++ {
			r[j] = max(r[j], int32(now+bt.lag[i][j]))
		}
	}
	return k
}

// groups is in how many sittings at least the steps of a batch from count on
// must be done for which use is true: waits push them apart.
func (b *mbatch) groups(count, longest int, use func(mix int) bool) int {
	n, first := 0, -1
	start := make([]int, len(b.steps)) // earliest start after the group's first step
	for i := count; i < len(b.steps); i++ {
		if !use(b.steps[i].mix) {
			if first >= 0 {
				start[i] = b.earliest(start, first, i)
			}
			continue
		}
		if first >= 0 {
			start[i] = b.earliest(start, first, i)
			if start[i]+b.steps[i].work <= longest {
				continue
			}
		}
		first, n = i, n+1
		start[i] = 0
	}
	return n
}

func (b *mbatch) earliest(start []int, first, i int) int {
	at := 0
	for j := first; j < i; j++ {
		at = max(at, start[j]+b.steps[j].work+b.lag[j][i])
	}
	return at
}
