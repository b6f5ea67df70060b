package timetable

import (
	"context"
	"slices"
)

// search runs labels from sitting to sitting.
type search struct {
	m        *model
	ctx      context.Context
	limit    int // moments to look at
	expanded int
	compared int  // labels with each other
	held     int  // moments held against each other
	over     bool // stopped by the limit

	groups [][]int         // by batch and steps done: least sittings for the rest
	forced [][]map[int]int // the same for each mix
}

// perMoment is how many comparisons a moment looked at may cost on average: where
// so many ways lie side by side, a search through all of them is lost anyhow.
const perMoment = 1000

func (s *search) stopped() bool {
	if s.expanded > s.limit || s.held > perMoment*s.limit || s.expanded&1023 == 0 && s.ctx.Err() != nil {
		s.over = true
	}
	return s.over
}

func (s *search) start() *label {
	l := &label{rel: s.m.release(), k: -1}
	for i := range s.m.b {
		l.who[i] = int8(i)
	}
	return l
}

func (s *search) done(l *label) bool {
	for i := range s.m.b {
		if int(l.count[i]) < len(s.m.b[i].steps) {
			return false
		}
	}
	return true
}

// remains is what a label has before it.
type remains struct {
	late     int // sitting in which the slowest batch by itself ends, -1: calendar too short
	lates    int // those sittings summed up
	work     int // hands-on seconds with the least for laying out
	sittings int // least number of sittings by waits
	waste    int // least ul
}

func (s *search) remains(l *label, k int, costly bool) remains {
	m := s.m
	r := remains{late: k}
	mixWork := make([]int, len(m.p.Mixes))
	for b := range m.b {
		c := int(l.count[b])
		if c == len(m.b[b].steps) {
			continue
		}
		end := m.alone(b, c, k+1, s.slotRel(l, b), nil)
		if end < 0 {
			return remains{late: -1}
		}
		r.late = max(r.late, end)
		r.lates += end
		for _, st := range m.b[b].steps[c:] {
			mixWork[st.mix] += st.work + 1 // 1: a step without work counts too
			r.work += st.work
		}
		if costly {
			r.sittings = max(r.sittings, s.groups[b][c])
		}
	}
	for i, w := range mixWork {
		if w == 0 {
			continue
		}
		mix := m.p.Mixes[i]
		open := 1
		if room := m.longest - mix.Setup; room > 0 {
			// The count of steps is in w too; taking it off again keeps the bound.
			open = max(1, (w-m.steps+room-1)/room)
		}
		if costly {
			for b := range m.b {
				open = max(open, s.forced[b][l.count[b]][i])
			}
		}
		r.work += open * mix.Setup
		r.waste += open * mix.Waste
	}
	return r
}

// fitsBy reports whether the work left may fit into sittings k+1 to last.
func (s *search) fitsBy(r remains, k, last int) bool {
	if r.late < 0 || r.late > last {
		return false
	}
	room := 0
	for i := k + 1; i <= last; i++ {
		room += s.m.sit[i].End - s.m.sit[i].Start
	}
	return r.work <= room
}

// finish looks for the least last sitting, at most last; nil where there is none
// or the search was cut. A width above 0 keeps that many labels a sitting.
func (s *search) finish(last, width int) *label {
	labels := []*label{s.start()}
	for k := 0; k <= last; k++ {
		var next []*label
		for _, l := range labels {
			for _, n := range s.walk(l, k, false) {
				out := s.closeSitting(l, n, k)
				if s.done(out) {
					return out
				}
				r := s.remains(out, k, false)
				if s.fitsBy(r, k, last) {
					out.late, out.left = r.late*1000+r.lates, r.work
					next = append(next, out)
				}
			}
			if s.stopped() {
				return nil
			}
		}
		if labels = s.narrow(next, k, width, false); s.over {
			return nil
		}
	}
	return nil
}

// narrow thins labels out, and cuts them down to a beam's width.
func (s *search) narrow(labels []*label, k, width int, costly bool) []*label {
	rank := func() {
		slices.SortStableFunc(labels, func(a, b *label) int {
			if a.late != b.late {
				return a.late - b.late
			}
			return a.left - b.left
		})
	}
	if width > 0 && len(labels) > 8*width {
		rank()
		labels = labels[:8*width]
	}
	labels = s.thin(labels, k, costly)
	if width > 0 && len(labels) > width {
		rank()
		labels = labels[:width]
	}
	return labels
}

// cheapest looks for the fewest sittings and then the least waste among plans
// that end with sitting last or before. It returns nil where none beats best
// (which may be nil) or the search was cut.
func (s *search) cheapest(last, width int, best *label) *label {
	found := (*label)(nil)
	worse := func(used, waste int) bool {
		return best != nil && (used > best.used || used == best.used && waste >= best.waste)
	}
	labels := []*label{s.start()}
	for k := 0; k <= last; k++ {
		var next []*label
		keep := func(out *label) {
			if worse(out.used, out.waste) {
				return
			}
			if s.done(out) {
				best, found = out, out
				return
			}
			r := s.remains(out, k, true)
			if !s.fitsBy(r, k, last) {
				return
			}
			used := out.used + max(r.sittings, s.fewest(r.work, k+1, last))
			if worse(used, out.waste+r.waste) {
				return
			}
			out.late, out.left = used, out.waste+r.waste+r.work/64
			next = append(next, out)
		}
		for _, l := range labels {
			unused := false
			for _, n := range s.walk(l, k, true) {
				unused = unused || n.slot < 0
				keep(s.closeSitting(l, n, k))
			}
			if !unused {
				keep(s.closeSitting(l, &moment{key: key{count: l.count}, rel: l.rel, slot: -1}, k))
			}
			if s.stopped() {
				return found
			}
		}
		if labels = s.narrow(next, k, width, true); s.over {
			return found
		}
	}
	return found
}

// fewest is how many of the sittings from k to last hold so much work, the longest first.
func (s *search) fewest(work, k, last int) int {
	var lengths []int
	for i := k; i <= last; i++ {
		lengths = append(lengths, s.m.sit[i].End-s.m.sit[i].Start)
	}
	slices.SortFunc(lengths, func(a, b int) int { return b - a })
	n := 0
	for _, l := range lengths {
		if work <= 0 {
			break
		}
		work -= l
		n++
	}
	return n
}

func newSearch(ctx context.Context, m *model, limit int) *search {
	s := &search{m: m, ctx: ctx, limit: limit}
	for b := range m.b {
		bt := &m.b[b]
		n := len(bt.steps)
		groups, forced := make([]int, n+1), make([]map[int]int, n+1)
		for c := n; c >= 0; c-- {
			groups[c] = bt.groups(c, m.longest, func(int) bool { return true })
			forced[c] = map[int]int{}
			for _, st := range bt.steps[c:] {
				if forced[c][st.mix] == 0 {
					forced[c][st.mix] = bt.groups(c, m.longest, func(x int) bool { return x == st.mix })
				}
			}
		}
		s.groups, s.forced = append(s.groups, groups), append(s.forced, forced)
	}
	return s
}

// entries reads a plan back from its last label.
func (s *search) entries(l *label) []Entry {
	var out []Entry
	for ; l != nil; l = l.prev {
		if l.tail == nil {
			continue
		}
		for n := l.tail; n.slot >= 0; n = n.prev {
			b := int(l.prev.who[n.slot])
			out = append(out, Entry{
				Batch:   b,
				Step:    int(n.count[n.slot]) - 1,
				Sitting: l.k,
				Start:   int(n.start),
				End:     int(n.now),
				Opens:   n.opens,
			})
		}
	}
	slices.Reverse(out)
	return out
}
