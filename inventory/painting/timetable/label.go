package timetable

import (
	"bytes"
	"slices"
)

// What the search by labels can hold. Larger problems are filled sitting by sitting.
const (
	maxSlots = 16
	maxMixes = 128
)

// counts is how many steps each slot has behind it.
type counts [maxSlots]int8

// label is what is done at the end of a sitting, and what may start when.
type label struct {
	count counts
	rel   []int32        // of the steps to come; nothing before the next sitting counts
	who   [maxSlots]int8 // which batch stands in a slot
	used  int
	waste int
	prev  *label
	tail  *moment // the last step of the sitting; nil: not used
	k     int     // the sitting

	late, left int // rank in a beam
}

// moment is one step done within a sitting.
type moment struct {
	key
	now    int32
	rel    []int32
	slot   int8
	start  int32
	opens  bool
	waste  int
	prev   *moment
	beaten bool
}

type key struct {
	count counts
	open  [maxMixes / 64]uint64
}

func (k *key) has(mix int) bool { return k.open[mix/64]&(1<<(mix%64)) != 0 }

// choice is a step that fits into what is left of a sitting.
type choice struct {
	slot             int
	start, end, need int32 // need: seconds to lay its mix out
	mix              int
	ready            int32
}

// walk goes through a sitting in every order worth it and gives the moments at
// which it may end. Costly: palettes are paid for, so a step may be left out to
// save one.
func (s *search) walk(l *label, k int, costly bool) []*moment {
	root := &moment{key: key{count: l.count}, now: int32(s.m.sit[k].Start), rel: slices.Clone(l.rel), slot: -1}
	for b := range s.m.b {
		s.settle(b, int(root.count[b]), s.slotReleases(root.rel, b), root.now, k)
	}
	level := []*moment{root}
	var ends []*moment
	for len(level) > 0 && !s.over {
		var next []*moment
		at := map[key]*front{}
		for _, n := range level {
			if n.beaten {
				continue
			}
			if s.stopped() {
				break
			}
			choices := s.choices(n, k)
			open := false
			for _, c := range choices {
				open = open || n.has(c.mix)
			}
			if len(choices) == 0 || costly && !open {
				ends = append(ends, n)
			}
			for i, c := range choices {
				if hurried(n, choices, i, costly) {
					continue
				}
				child := s.child(n, c, k)
				f := at[child.key]
				if f == nil {
					f = &front{}
					at[child.key] = f
				}
				if f.add(s, child) {
					next = append(next, child)
				}
			}
		}
		level = next
	}
	return ends
}

// choices lists the steps that fit now. Of identical slots in the same state
// only the first is looked at.
func (s *search) choices(n *moment, k int) []choice {
	m := s.m
	end := int32(m.sit[k].End)
	var out []choice
	for b := range m.b {
		i := int(n.count[b])
		if i == len(m.b[b].steps) || !m.freed(b, func(a int) int { return int(n.count[a]) }) ||
			s.sameAsBefore(n, b) {
			continue
		}
		st := m.b[b].steps[i]
		c := choice{slot: b, mix: st.mix, ready: n.rel[m.off[b]+i]}
		if !n.has(st.mix) {
			c.need = int32(m.p.Mixes[st.mix].Setup)
		}
		c.start = max(n.now+c.need, c.ready)
		if c.end = c.start + int32(st.work); c.end <= end {
			out = append(out, c)
		}
	}
	return out
}

func (s *search) sameAsBefore(n *moment, b int) bool {
	for a := s.m.twin[b]; a < b; a++ {
		if s.m.twin[a] == s.m.twin[b] && n.count[a] == n.count[b] && slices.Equal(s.rest(n, a), s.rest(n, b)) {
			return true
		}
	}
	return false
}

// rest is the releases of a slot's steps to come.
func (s *search) rest(n *moment, b int) []int32 {
	return n.rel[s.m.off[b]+int(n.count[b]) : s.m.off[b]+len(s.m.b[b].steps)]
}

// hurried reports whether another step fits before choice i without holding it
// up; then that one comes first. Where palettes are paid for it must have its open.
func hurried(n *moment, all []choice, i int, costly bool) bool {
	c := all[i]
	for j, o := range all {
		if j == i || costly && !n.has(o.mix) {
			continue
		}
		need := c.need
		if o.mix == c.mix {
			need = 0
		}
		if max(o.end+need, c.ready) <= c.start &&
			(o.end < c.end || j < i) { // of two that let each other pass, the first
			return true
		}
	}
	return false
}

// child does a step.
func (s *search) child(n *moment, c choice, k int) *moment {
	s.expanded++
	m := s.m
	bt := &m.b[c.slot]
	i := int(n.count[c.slot])
	child := &moment{
		key:   n.key,
		now:   c.end,
		rel:   slices.Clone(n.rel),
		slot:  int8(c.slot),
		start: c.start,
		prev:  n,
		waste: n.waste,
	}
	child.count[c.slot]++
	if !n.has(c.mix) {
		child.open[c.mix/64] |= 1 << (c.mix % 64)
		child.opens = true
		child.waste += m.p.Mixes[c.mix].Waste
	}
	off := m.off[c.slot]
	child.rel[off+i] = 0
	for j := i + 1; j < len(bt.steps); j++ {
		child.rel[off+j] = max(child.rel[off+j], c.end+int32(bt.lag[i][j]))
	}
	for b := range m.b {
		s.settle(b, int(child.count[b]), s.slotReleases(child.rel, b), child.now, k)
	}
	return child
}

// closeSitting makes the label that a sitting ends with.
func (s *search) closeSitting(l *label, n *moment, k int) *label {
	m := s.m
	out := &label{
		count: n.count,
		rel:   slices.Clone(n.rel),
		who:   l.who,
		used:  l.used,
		waste: l.waste + n.waste,
		prev:  l,
		k:     k,
	}
	if n.slot >= 0 {
		out.tail = n
		out.used++
	}
	next := int32(MaxTime)
	if k+1 < len(m.sit) {
		next = int32(m.sit[k+1].Start)
	}
	for b := range m.b {
		for j := range m.b[b].steps {
			at := m.off[b] + j
			if j < int(out.count[b]) {
				out.rel[at] = 0
			} else if out.rel[at] < next {
				out.rel[at] = next
			}
		}
	}
	s.sortTwins(out)
	return out
}

// sortTwins puts identical batches in one order, so that labels that differ by
// their names only become the same.
func (s *search) sortTwins(l *label) {
	for b := range s.m.b {
		for a := b; a > 0; a-- {
			p := a - 1
			for p >= 0 && s.m.twin[p] != s.m.twin[b] {
				p--
			}
			if p < 0 || s.inOrder(l, p, a) {
				break
			}
			s.swap(l, p, a)
			a = p + 1
		}
	}
}

func (s *search) slotRel(l *label, b int) []int32 { return s.slotReleases(l.rel, b) }

// slotReleases is the part of a flat list of releases that belongs to a slot.
func (s *search) slotReleases(rel []int32, b int) []int32 {
	return rel[s.m.off[b] : s.m.off[b]+len(s.m.b[b].steps)]
}

func (s *search) inOrder(l *label, a, b int) bool {
	if l.count[a] != l.count[b] {
		return l.count[a] > l.count[b]
	}
	return slices.Compare(s.slotRel(l, a), s.slotRel(l, b)) <= 0
}

func (s *search) swap(l *label, a, b int) {
	l.count[a], l.count[b] = l.count[b], l.count[a]
	l.who[a], l.who[b] = l.who[b], l.who[a]
	x, y := s.slotRel(l, a), s.slotRel(l, b)
	for i := range x {
		x[i], y[i] = y[i], x[i]
	}
}

// outdoes reports whether whatever can follow b can follow a too, no later and
// no dearer. a may have more behind it: what b has still to do is not done before
// the next sitting starts.
func (s *search) outdoes(a, b *label, next int32, costly bool) bool {
	if costly && (a.used > b.used || a.used == b.used && a.waste > b.waste) {
		return false
	}
	for i := range s.m.b {
		if a.count[i] < b.count[i] {
			return false
		}
	}
	for i := range s.m.b {
		off := s.m.off[i]
		bt := &s.m.b[i]
		for j := int(a.count[i]); j < len(bt.steps); j++ {
			ra, rb := a.rel[off+j], b.rel[off+j]
			for d := int(b.count[i]); ra > rb && d < int(a.count[i]); d++ {
				rb = max(rb, next+int32(bt.steps[d].work+bt.lag[d][j]))
			}
			if ra > rb {
				return false
			}
		}
	}
	return true
}

// thin drops labels that others outdo.
func (s *search) thin(all []*label, k int, costly bool) []*label {
	next := int32(MaxTime)
	if k+1 < len(s.m.sit) {
		next = int32(s.m.sit[k+1].Start)
	}
	total := func(l *label) (n int) {
		for _, c := range l.count {
			n += int(c)
		}
		return n
	}
	slices.SortStableFunc(all, func(a, b *label) int {
		if d := total(b) - total(a); d != 0 {
			return d
		}
		if d := a.used - b.used; d != 0 && costly {
			return d
		}
		if d := a.waste - b.waste; d != 0 && costly {
			return d
		}
		if d := bytes.Compare(s8(b.count[:]), s8(a.count[:])); d != 0 {
			return d
		}
		return slices.Compare(a.rel, b.rel)
	})
	kept := all[:0]
	for _, l := range all {
		beaten := false
		for _, o := range kept {
			if s.outdoes(o, l, next, costly) {
				beaten = true
				break
			}
		}
		if !beaten {
			kept = append(kept, l)
		}
		if s.compared += len(kept); s.compared > 100*s.limit {
			s.over = true
			return all
		}
	}
	return kept
}

func s8(c []int8) []byte {
	out := make([]byte, len(c))
	for i, x := range c {
		out[i] = byte(x)
	}
	return out
}
