package timetable

import (
	"container/heap"
	"slices"
)

// lowerBound is a sitting before which no plan can end, or -1 where the calendar
// is too short for any. It is the largest of four:
//
//   - hands-on time and the least time for laying mixes out, against the time there is;
//   - the same with each mix's work weighed by what a sitting must spend on it;
//   - each batch by itself behind those it comes after, without laying out: the
//     critical path;
//   - all steps as interruptible work between the earliest start and the latest end
//     that their batch by itself allows (earliest deadline first is exact for that).
func (m *model) lowerBound() int {
	low := 0
	rel := m.release()
	for b := range m.b {
		k := m.alone(b, 0, 0, rel[m.off[b]:m.off[b]+len(m.b[b].steps)], nil)
		if k < 0 {
			return -1
		}
		low = max(low, k)
	}
	low = max(low, m.byWork(m.openings()))
	low = max(low, m.byWeight())
	for low < len(m.sit) && !m.preemptive(low) {
		low++
	}
	if low == len(m.sit) {
		return -1
	}
	return low
}

// openings is how often each mix must be laid out at least.
func (m *model) openings() []int {
	work := make([]int, len(m.p.Mixes))
	open := make([]int, len(m.p.Mixes))
	for b := range m.b {
		if m.twin[b] == b {
			seen := map[int]bool{}
			for _, s := range m.b[b].steps {
				if !seen[s.mix] {
					seen[s.mix] = true
					open[s.mix] = max(open[s.mix],
						m.b[b].groups(0, m.longest, func(x int) bool { return x == s.mix }))
				}
			}
		}
		for _, s := range m.b[b].steps {
			work[s.mix] += s.work
		}
	}
	for i, w := range work {
		if room := m.longest - m.p.Mixes[i].Setup; w > 0 && room > 0 {
			open[i] = max(open[i], (w+room-1)/room)
		}
	}
	return open
}

// byWork is the first sitting by whose end there has been time enough.
func (m *model) byWork(open []int) int {
	need := 0
	for i, o := range open {
		need += o * m.p.Mixes[i].Setup
	}
	for _, b := range m.b {
		for _, s := range b.steps {
			need += s.work
		}
	}
	for k, s := range m.sit {
		if need -= s.End - s.Start; need <= 0 {
			return k
		}
	}
	return len(m.sit)
}

// byWeight weighs a mix's work by v = R/(R-setup). A sitting of length L has room for
// work and setups; what it can hold of weighed work is at most the best of v(L-setup),
// because v x/(x+setup) grows with x. R may be any length above the setups.
func (m *model) byWeight() int {
	work := make([]float64, len(m.p.Mixes))
	for _, b := range m.b {
		for _, s := range b.steps {
			work[s.mix] += float64(s.work)
		}
	}
	var lengths []int
	for _, s := range m.sit {
		lengths = append(lengths, s.End-s.Start)
	}
	slices.Sort(lengths)
	best := 0
	for _, r := range slices.Compact(lengths) {
		total, fits := 0.0, true
		for i, w := range work {
			if w > 0 {
				fits = fits && r > m.p.Mixes[i].Setup
				total += w * float64(r) / float64(max(1, r-m.p.Mixes[i].Setup))
			}
		}
		if fits {
			best = max(best, m.weighed(work, float64(r), total))
		}
	}
	return best
}

func (m *model) weighed(work []float64, r, total float64) int {
	total *= 1 - 1e-9 // crumbs of floating point must not lift the bound
	for k, s := range m.sit {
		hold := 0.0
		for i, w := range work {
			if setup := float64(m.p.Mixes[i].Setup); w > 0 {
				hold = max(hold, r/(r-setup)*(float64(s.End-s.Start)-setup))
			}
		}
		if total -= hold; total <= 0 {
			return k
		}
	}
	return len(m.sit)
}

// openClock turns a moment into seconds spent at the bench before it.
type openClock struct {
	sit    []Sitting
	before []int
}

func newClock(sit []Sitting) openClock {
	c := openClock{sit, make([]int, len(sit)+1)}
	for i, s := range sit {
		c.before[i+1] = c.before[i] + s.End - s.Start
	}
	return c
}

func (c openClock) at(t int) int {
	k, _ := slices.BinarySearchFunc(c.sit, t, func(s Sitting, t int) int { return s.End - t })
	if k == len(c.sit) {
		return c.before[k]
	}
	return c.before[k] + max(0, t-c.sit[k].Start)
}

type windowJob struct{ from, to, work int }

// preemptive reports whether all work fits up to the end of sitting last if it
// could be interrupted at will; false is a proof that no plan ends there.
func (m *model) preemptive(last int) bool {
	clock := newClock(m.sit[:last+1])
	rel := m.release()
	var jobs []windowJob
	due := make([]int, len(m.p.Mixes))
	for i := range due {
		due[i] = -1
	}
	all := make([]int, m.steps)
	if !m.latestEnds(last, all) {
		return false
	}
	for b := range m.b {
		bt := &m.b[b]
		starts := make([]int, len(bt.steps))
		if m.alone(b, 0, 0, rel[m.off[b]:m.off[b]+len(bt.steps)], starts) > last {
			return false
		}
		ends := all[m.off[b] : m.off[b]+len(bt.steps)]
		for i, s := range bt.steps {
			jobs = append(jobs, windowJob{clock.at(starts[i]), clock.at(ends[i]), s.work})
			if d := clock.at(ends[i] - s.work); due[s.mix] < 0 || d < due[s.mix] {
				due[s.mix] = d
			}
		}
	}
	for i, d := range due {
		if d >= 0 {
			jobs = append(jobs, windowJob{0, d, m.p.Mixes[i].Setup})
		}
	}
	return feasible(jobs)
}

// latestEnds fills in, by flat index, the latest end of each step with which its
// batch by itself, and those that come after it, could still end with sitting
// last; false where none could.
func (m *model) latestEnds(last int, ends []int) bool {
	for i := len(m.order) - 1; i >= 0; i-- {
		b := m.order[i]
		limit := m.sit[last].End
		for _, c := range m.b[b].before {
			if len(m.b[c].steps) > 0 {
				limit = min(limit, ends[m.off[c]]-m.b[c].steps[0].work)
			}
		}
		if !m.latest(b, last, limit, ends[m.off[b]:m.off[b]+len(m.b[b].steps)]) {
			return false
		}
	}
	return true
}

func (m *model) latest(b, k, limit int, ends []int) bool {
	bt := &m.b[b]
	for i := len(bt.steps) - 1; i >= 0; i-- {
		s := bt.steps[i]
		end := limit
		for j := i + 1; j < len(bt.steps); j++ {
			end = min(end, ends[j]-bt.steps[j].work-bt.lag[i][j])
		}
		for {
			end = min(end, m.sit[k].End)
			if end-s.work >= m.sit[k].Start {
				break
			}
			if k--; k < 0 {
				return false
			}
		}
		ends[i] = end
		limit = end - s.work
	}
	return true
}

type dueHeap []windowJob

func (h dueHeap) Len() int           { return len(h) }
func (h dueHeap) Less(i, j int) bool { return h[i].to < h[j].to }
func (h dueHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *dueHeap) Push(x any)        { *h = append(*h, x.(windowJob)) }
func (h *dueHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

// feasible runs earliest deadline first with interruption, which fails only if
// every order does (Jackson's rule with heads).
func feasible(jobs []windowJob) bool {
	slices.SortFunc(jobs, func(a, b windowJob) int { return a.from - b.from })
	var h dueHeap
	now, next := 0, 0
	for next < len(jobs) || h.Len() > 0 {
		if h.Len() == 0 {
			now = max(now, jobs[next].from)
		}
		for next < len(jobs) && jobs[next].from <= now {
			heap.Push(&h, jobs[next])
			next++
		}
		run := h[0].work
		if next < len(jobs) {
			run = min(run, jobs[next].from-now)
		}
		h[0].work -= run
		now += run
		if h[0].work == 0 {
			if now > h[0].to {
				return false
			}
			heap.Pop(&h)
		}
	}
	return true
}
