package timetable

import (
	"context"
	"math/rand/v2"
	"slices"
)

// grain is what sittings are filled up by, in seconds.
const grain = 30

// filler lays work out sitting by sitting: of the mixes whose batches are ready it
// takes the one that fills what is left best, then the next. It goes over the
// whole calendar many times with other weights and keeps the best.
type filler struct {
	m       *model
	count   []int
	rel     []int32
	due     []int // latest end of each step for the end aimed at, by flat index
	open    []bool
	weights weights
	entries []Entry
	reach   []int16
	groups  [][]choice
	touched []int
	todo    []int // seconds of work left by mix
}

// weights say what a pass looks for.
type weights struct {
	setup, urgent, left float64
	whole               float64 // for mixes all of whose work is ready, which then need few openings
	list                bool    // the most urgent first, whatever it takes
}

func newFiller(m *model) *filler {
	return &filler{
		m:      m,
		count:  make([]int, len(m.b)),
		due:    make([]int, m.steps),
		open:   make([]bool, len(m.p.Mixes)),
		groups: make([][]choice, len(m.p.Mixes)),
		todo:   make([]int, len(m.p.Mixes)),
	}
}

// fill goes over the calendar a number of times and gives the best plan, nil where
// no pass came to an end.
func (m *model) fill(ctx context.Context, low, passes int) *Plan {
	f := newFiller(m)
	rng := rand.New(rand.NewPCG(1, 2))
	var best *Plan
	for i := range passes {
		if ctx.Err() != nil && best != nil {
			break
		}
		f.weights = weights{setup: 1, urgent: 0.3, left: 0.3, whole: 4, list: i%8 == 1}
		if i > 1 {
			f.weights.setup, f.weights.urgent = 2*rng.Float64(), 1.5*rng.Float64()*rng.Float64()
			f.weights.left = rng.Float64()
			f.weights.whole = 8 * rng.Float64()
			if i%4 == 2 {
				f.weights.whole = 0 // few batches seldom wait for each other
			}
		}
		aim := low
		last := len(m.sit) - 1
		if best != nil {
			last = best.Last
			aim = min(max(low, last-1), last)
		}
		if p := f.pass(aim, last); p != nil && (best == nil || better(p, best)) {
			best = p
		}
		if best != nil && best.Last == low && i > passes/4 {
			break // the rest is left to goals that a pass hardly moves
		}
	}
	return best
}

func better(a, b *Plan) bool {
	if a.Last != b.Last {
		return a.Last < b.Last
	}
	if a.Sittings != b.Sittings {
		return a.Sittings < b.Sittings
	}
	return a.Waste < b.Waste
}

// pass fills the calendar once; nil where the work is not done by sitting last.
func (f *filler) pass(aim, last int) *Plan {
	m := f.m
	clear(f.count)
	if !m.latestEnds(aim, f.due) {
		return nil
	}
	clear(f.todo)
	for b := range m.b {
		for _, s := range m.b[b].steps {
			f.todo[s.mix] += s.work
		}
	}
	f.rel = append(f.rel[:0], m.release()...)
	f.entries = f.entries[:0]
	left := m.steps
	for k := 0; k <= last && left > 0; k++ {
		left -= f.sitting(k)
	}
	if left > 0 {
		return nil
	}
	p := planOf(m.p, slices.Clone(f.entries))
	return &p
}

// sitting fills one sitting and says how many steps were done.
func (f *filler) sitting(k int) int {
	clear(f.open)
	now, end := int32(f.m.sit[k].Start), int32(f.m.sit[k].End)
	n := 0
	for {
		picked := f.pick(k, now, end)
		if len(picked) == 0 {
			return n
		}
		for _, c := range picked {
			now = f.do(k, now, c)
			n++
		}
	}
}

// do puts a step in its place and gives the time at its end.
func (f *filler) do(k int, now int32, c choice) int32 {
	bt := &f.m.b[c.slot]
	i := f.count[c.slot]
	st := bt.steps[i]
	need := int32(0)
	if !f.open[c.mix] {
		need = int32(f.m.p.Mixes[c.mix].Setup)
	}
	start := max(now+need, c.ready)
	f.entries = append(f.entries, Entry{
		Batch:   c.slot,
		Step:    i,
		Sitting: k,
		Start:   int(start),
		End:     int(start) + st.work,
		Opens:   !f.open[c.mix],
	})
	f.open[c.mix] = true
	f.todo[c.mix] -= st.work
	f.count[c.slot]++
	off := f.m.off[c.slot]
	for j := i + 1; j < len(bt.steps); j++ {
		f.rel[off+j] = max(f.rel[off+j], start+int32(st.work+bt.lag[i][j]))
	}
	return start + int32(st.work)
}

// pick chooses what is done next: steps of one mix.
func (f *filler) pick(k int, now, end int32) []choice {
	m := f.m
	for _, mix := range f.touched {
		f.groups[mix] = f.groups[mix][:0]
	}
	f.touched = f.touched[:0]
	wait := choice{slot: -1}
	for b := range m.b {
		i := f.count[b]
		if i == len(m.b[b].steps) || !m.freed(b, func(a int) int { return f.count[a] }) {
			continue
		}
		st := m.b[b].steps[i]
		c := choice{slot: b, mix: st.mix, ready: f.rel[m.off[b]+i]}
		if !f.open[st.mix] {
			c.need = int32(m.p.Mixes[st.mix].Setup)
		}
		c.start = max(now+c.need, c.ready)
		if c.end = c.start + int32(st.work); c.end > end {
			continue
		}
		if c.start > now+c.need { // it would have to be waited for
			if wait.slot < 0 || c.start < wait.start {
				wait = c
			}
			continue
		}
		if len(f.groups[st.mix]) == 0 {
			f.touched = append(f.touched, st.mix)
		}
		f.groups[st.mix] = append(f.groups[st.mix], c)
	}
	if len(f.touched) == 0 {
		if wait.slot < 0 {
			return nil
		}
		return []choice{wait}
	}
	return f.best(k, now, end)
}

// dueOf is the latest end of the step a choice is about.
func (f *filler) dueOf(c choice) int { return f.due[f.m.off[c.slot]+f.count[c.slot]] }

// best weighs the mixes by how well they fill what is left of the sitting.
func (f *filler) best(k int, now, end int32) []choice {
	var found []choice
	top := 0.0
	for _, mix := range f.touched {
		group := f.groups[mix]
		slices.SortStableFunc(group, func(a, b choice) int { return f.dueOf(a) - f.dueOf(b) })
		if f.weights.list {
			if found == nil || f.dueOf(group[0]) < f.dueOf(found[0]) {
				found = group[:1]
			}
			continue
		}
		need := group[0].need
		room := int(end - now - need)
		chosen, filled := f.subset(group, room)
		urgent := 0.0
		for _, c := range chosen {
			slack := float64(f.dueOf(c) - int(c.end))
			urgent += 1 / (1 + max(0, slack)/86400)
		}
		length := float64(f.m.sit[k].End - f.m.sit[k].Start)
		score := (float64(filled) - f.weights.setup*float64(need) - f.weights.left*float64(room-filled)) / length
		score += f.weights.urgent * urgent / float64(len(chosen))
		if f.weights.whole > 0 {
			ready := 0
			for _, c := range group {
				ready += f.work(c)
			}
			score += f.weights.whole * float64(ready) / float64(max(1, f.todo[mix]))
		}
		if found == nil || score > top {
			found, top = chosen, score
		}
	}
	return slices.Clone(found)
}

// subset chooses steps of one mix that fill the room best (subset sum), among
// the dozen most urgent.
func (f *filler) subset(group []choice, room int) ([]choice, int) {
	group = group[:min(len(group), 14)]
	units := room / grain
	if cap(f.reach) < units+1 {
		f.reach = make([]int16, units+1)
	}
	reach := f.reach[:units+1]
	for i := range reach {
		reach[i] = -1
	}
	reach[0] = int16(len(group))
	top := 0
	size := func(c choice) int { return (f.work(c) + grain - 1) / grain }
	for i, c := range group {
		w := size(c)
		for u := min(units, top+w); u >= w; u-- {
			if w > 0 && reach[u] < 0 && reach[u-w] >= 0 {
				reach[u] = int16(i)
				top = max(top, u)
			}
		}
	}
	var chosen []choice
	filled := 0
	for u := top; u > 0; {
		c := group[reach[u]]
		chosen = append(chosen, c)
		filled += f.work(c)
		u -= size(c)
	}
	if len(chosen) == 0 {
		return group[:1], f.work(group[0]) // fits to the second but not to the grain
	}
	slices.Reverse(chosen)
	return chosen, filled
}

func (f *filler) work(c choice) int { return f.m.b[c.slot].steps[f.count[c.slot]].work }
