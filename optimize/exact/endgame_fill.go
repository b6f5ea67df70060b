package exact

import (
	"cmp"
	"math"
	"slices"
)

// fill adds a column for each choice of boxes that fills the paints up.
func (w *endWalk) fill(weight float64, g goods) bool {
	e := w.e
	last := int32(-1)
	for _, what := range w.taken {
		last = e.note(last, what)
	}
	w.states = append(w.states[:0], column{weight, g, last, w.plan})
	for i, lacks := range w.lacks {
		if lacks <= 0 {
			continue
		}
		w.next, w.filled = w.next[:0], w.filled[:0]
		if !w.fillPaint(i, 0, lacks, 0, goods{}) {
			return false
		}
		w.steps -= len(w.next) / 4
		w.states, w.next = w.worthwhile(w.next), w.states
		if len(w.states) > endFills {
			return false
		}
	}
	for _, s := range w.states {
		v := s.at(&e.nu)
		w.best = min(w.best, v)
		if v <= w.best+e.room {
			e.columns = append(e.columns, s)
		}
	}
	if len(e.columns)-w.first > endColumns {
		if w.thinOut(); len(e.columns)-w.first > endColumns/2 {
			return false
		}
	}
	return len(e.book) <= endBook
}

// fillPaint joins the states with all choices of boxes, from box k on, that
// fill paint i up.
func (w *endWalk) fillPaint(i, k int, lacks int64, weight float64, g goods) bool {
	if lacks <= 0 {
		for _, s := range w.states {
			last := s.last
			for _, j := range w.filled {
				last = w.e.note(last, j)
			}
			w.next = append(w.next, column{s.weight + weight, s.goods.plus(&g), last, s.plan})
		}
		return len(w.next) <= 2*endFills
	}
	if len(w.filled) == endBoxes {
		return false
	}
	for ; k < len(w.boxes[i]); k++ {
		b := &w.boxes[i][k]
		taken := int32(0)
		for _, j := range w.filled {
			if j == b.off {
				taken++
			}
		}
		if taken == b.most {
			continue
		}
		w.filled = append(w.filled, b.off)
		ok := w.fillPaint(i, k, lacks-b.ul, weight+b.weight, g.plus(&b.goods))
		w.filled = w.filled[:len(w.filled)-1]
		if !ok {
			return false
		}
	}
	return true
}

// thinOut keeps of the component's columns those that are worth while.
func (w *endWalk) thinOut() {
	w.e.columns = w.e.columns[:w.first+len(w.worthwhile(w.e.columns[w.first:]))]
}

// worthwhile drops columns that lose more than the room against the best, and those
// than which another weighs no more and adds no less to every order held.
func (w *endWalk) worthwhile(columns []column) []column {
	nu, best := &w.e.nu, math.Inf(1)
	for i := range columns {
		best = min(best, columns[i].at(nu))
	}
	slices.SortStableFunc(columns, func(a, b column) int {
		return cmp.Or(cmp.Compare(a.weight, b.weight), slices.Compare(b.goods[:], a.goods[:]))
	})
	out := columns[:0]
next:
	for _, a := range columns {
		if a.at(nu) > best+w.e.room {
			continue
		}
		for i := range out {
			// What weighs a bound only outdoes nothing but its like.
			if o := &out[i]; (o.plan == noPlan || o.plan == a.plan) && o.goods.noLess(&a.goods) {
				continue next
			}
		}
		out = append(out, a)
	}
	return out
}
