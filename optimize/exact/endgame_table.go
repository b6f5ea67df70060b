package exact

import (
	"cmp"
	"context"
	"math"
	"math/bits"
	"slices"

	"halfpot/optimize/internal/flat"
)

// endTable goes through the components, those with most at stake first, and keeps
// the states worth going on from: what the columns taken so far weigh, and what
// they add to the orders held, up to the thresholds. A state goes where the
// least that the other components can weigh lifts it past the cutoff, at any of the
// discounts laid out, and where another weighs no more and adds no less
// (dynamic programming with bounds, as for knapsacks).
type endTable struct {
	order  []int32
	rest   []float64 // least that the components from each on weigh, at each of the grid's discounts
	sums   []sumSet  // what they can add to each order
	states []endState
	next   []endState
	trail  []endStep
	words  []uint64 // memory of the sums
	cut    bool     // the last run left states out
}

type endState struct {
	weight float64
	hope   float64 // least that a plan that comes of it can weigh
	goods  goods
	from   int32 // its last step in the trail; -1
	column int32
}

// endStep is one column taken, after those that the step from leads to.
type endStep struct{ from, column int32 }

// run goes through all components, with no more than width states after each: of
// more the most hopeful are kept. It says whether none was left out.
func (t *endTable) run(ctx context.Context, e *endgame, width int) (all bool) {
	t.plan(e)
	t.addSums(e)
	t.states = append(t.states[:0], endState{weight: e.base, from: -1})
	t.trail = t.trail[:0]
	all, e.unsettled = true, e.unsettled[:0]
	for k, i := range t.order {
		t.next = t.next[:0]
		for _, s := range t.states {
			for w := e.start[i]; w < e.start[i+1]; w++ {
				a := &e.columns[w]
				to := endState{weight: s.weight + a.weight, from: s.from, column: w}
				for h := range e.held {
					to.goods[h] = min(s.goods[h]+a.goods[h], e.from[h])
				}
				if t.hopeful(e, &to, k+1) {
					t.next = append(t.next, to)
				}
			}
			if len(t.next) > endCrowd {
				all = t.keep(width) && all
			}
			if ended(ctx) {
				return false
			}
		}
		all = t.keep(width) && all
		for j := range t.next {
			s := &t.next[j]
			t.trail = append(t.trail, endStep{s.from, s.column})
			s.from = int32(len(t.trail) - 1)
		}
		t.states, t.next = t.next, t.states
	}
	t.finish(e)
	t.cut = !all
	return all && len(e.unsettled) == 0
}

// endCrowd is how many states wait at most until those worth keeping are chosen.
const endCrowd = 1 << 16

// keep keeps the width most hopeful of the next states that none outdoes. It
// says whether these were all.
func (t *endTable) keep(width int) (all bool) {
	t.undominated()
	if len(t.next) <= width {
		return true
	}
	slices.SortFunc(t.next, func(a, b endState) int {
		return cmp.Or(cmp.Compare(a.hope, b.hope), cmp.Compare(a.from, b.from), cmp.Compare(a.column, b.column))
	})
	t.next = t.next[:width]
	return false
}

// plan puts the components in order and sums up what those from each on weigh.
func (t *endTable) plan(e *endgame) {
	n, g := len(e.start)-1, len(e.grid)
	stake := make([]float64, n)
	t.order = t.order[:0]
	for i := range n {
		t.order = append(t.order, int32(i))
		first, second := math.Inf(1), math.Inf(1)
		for k := e.start[i]; k < e.start[i+1]; k++ {
			if v := e.columns[k].at(&e.nu); v < first {
				first, second = v, first
			} else {
				second = min(second, v)
			}
		}
		stake[i] = second - first
	}
	slices.SortStableFunc(t.order, func(a, b int32) int { return cmp.Compare(stake[b], stake[a]) })
	t.rest = flat.Resize(t.rest, (n+1)*g)
	clear(t.rest[n*g:])
	for k := n - 1; k >= 0; k-- {
		i := t.order[k]
		for v := range e.grid {
			t.rest[k*g+v] = t.rest[(k+1)*g+v] + e.least(e.start[i], e.start[i+1], &e.grid[v])
		}
	}
}

// hopeful says whether a plan that is wanted may come of a state before component at.
func (t *endTable) hopeful(e *endgame, s *endState, at int) bool {
	var lacks goods
	for h := range e.held {
		if lacks[h] = e.from[h] - s.goods[h]; e.hard && lacks[h] > 0 {
			sum, ok := t.sums[at*len(e.held)+h].atLeast(int64(lacks[h] / e.w.money))
			if !ok {
				return false
			}
			lacks[h] = max(lacks[h], float64(sum)*e.w.money)
		}
	}
	g := len(e.grid)
	s.hope = math.Inf(-1)
	for v, rest := range t.rest[at*g : at*g+g] {
		if s.hope = max(s.hope, s.weight+rest+lacks.at(&e.grid[v])); s.hope > e.cutoff {
			return false
		}
	}
	return true
}

// endLook is how many states a state is compared with.
const endLook = 64

// undominated leaves out states than which one near them weighs no more and
// adds no less.
func (t *endTable) undominated() {
	slices.SortFunc(t.next, func(a, b endState) int {
		return cmp.Or(slices.Compare(b.goods[:], a.goods[:]),
			cmp.Compare(a.weight, b.weight), cmp.Compare(a.from, b.from), cmp.Compare(a.column, b.column))
	})
	out := t.next[:0]
next:
	for _, s := range t.next {
		for k := len(out) - 1; k >= max(0, len(out)-endLook); k-- {
			if o := &out[k]; o.weight <= s.weight && o.goods.noLess(&s.goods) {
				continue next
			}
		}
		out = append(out, s)
	}
	t.next = out
}

// finish values the plans of the last states, the best first.
func (t *endTable) finish(e *endgame) {
	total := func(s *endState) float64 {
		w := s.weight
		for h := range e.held {
			w += e.from[h] - s.goods[h]
		}
		return w
	}
	slices.SortStableFunc(t.states, func(a, b endState) int { return cmp.Compare(total(&a), total(&b)) })
	for i := range t.states {
		s := &t.states[i]
		if total(s) > e.cutoff {
			break
		}
		var columns []int32
		for k := s.from; k >= 0; k = t.trail[k].from {
			columns = append(columns, t.trail[k].column)
		}
		e.try(columns)
	}
}

// sumSet is the sums that can be added to an order, bit by bit in units of
// money, as far as they matter; nil: any.
type sumSet []uint64

// endSpan is how many units of money sums are worked out for.
const endSpan = 1 << 16

// addSums works out which sums the components from each on can add to each order. A
// threshold is reached with whole boxes only: what 40 cents are lacking for costs
// three euros, and that the bound by itself does not see.
func (t *endTable) addSums(e *endgame) {
	n, dims := len(e.start)-1, len(e.held)
	t.sums = flat.Resize(t.sums, (n+1)*dims)
	clear(t.sums)
	t.words = t.words[:0]
	for h := range dims {
		span := e.from[h]
		for k := range e.columns {
			span = max(span, e.from[h]+e.columns[k].goods[h])
		}
		if !e.hard || span/e.w.money >= endSpan {
			continue
		}
		words := int(span/e.w.money)/64 + 1
		for k := n; k >= 0; k-- {
			t.words = append(t.words, make([]uint64, words)...)
			set := sumSet(t.words[len(t.words)-words : len(t.words) : len(t.words)])
			t.sums[k*dims+h] = set
			if k == n {
				set[0] = 1
				continue
			}
			rest := t.sums[(k+1)*dims+h]
			for w := e.start[t.order[k]]; w < e.start[t.order[k]+1]; w++ {
				orShifted(set, rest, int(e.columns[w].goods[h]/e.w.money))
			}
		}
	}
}

// atLeast is the least sum that is no less than v; false without one.
func (s sumSet) atLeast(v int64) (int64, bool) {
	if s == nil {
		return v, true
	}
	w := v / 64
	word := s[w] >> (v % 64) << (v % 64)
	for word == 0 {
		if w++; w == int64(len(s)) {
			return 0, false
		}
		word = s[w]
	}
	return w*64 + int64(bits.TrailingZeros64(word)), true
}
