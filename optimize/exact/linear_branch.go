package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// linearSplit is a way to split a node by a term that the relaxation takes in part.
type linearSplit struct {
	down, up decision
	col      int32 // the column it moves, its bounds below and above
	at       int64
	value    float64
	open     float64
	rank     int  // shops and bands before paints before the rest
	loose    bool // the column's sides are not those of the split: trying proves nothing
	guess    float64
}

// whole is by how much a value may miss a whole number and still count as one.
const wholeTol = 1e-6

const (
	linearTries     = 16
	linearIdle      = 6    // tries without a better one until the best will do,
	linearPoor      = 1e-3 // where it scores more than this
	linearTryPivots = 60
)

// linearSplits lists what the relaxation takes in part.
func (k *worker) linearSplits(s *search, d *domain) []linearSplit {
	p, m := k.program, s.m
	l := p.l
	var out []linearSplit
	part := func(t int32) (floor int64, open float64, ok bool) {
		if l.col[t] < 0 {
			return 0, 0, false
		}
		v := p.v[t]
		f := math.Floor(v + wholeTol)
		open = min(v-f, f+1-v)
		return int64(f), open, open > wholeTol
	}
	add := func(t int32, down, up decision, at int64, open float64, rank int) {
		out = append(out, linearSplit{down: down, up: up, col: l.col[t], at: at, value: p.v[t], open: open, rank: rank})
	}
	for h := range m.bands {
		shop := l.shopAt + int32(h)
		if at, open, ok := part(shop); ok {
			add(shop, decision{shopShut, int32(h), 0}, decision{shopUsed, int32(h), 0}, at, open, 2)
			continue
		}
		if d.unused(h) || p.v[shop] < 0.5 {
			continue
		}
		for b := d.bandLo[h]; b < d.bandHi[h]; b++ {
			t := l.bandAt + l.bandOff[h] + int32(b)
			if at, open, ok := part(t); ok {
				add(t, decision{bandAtLeast, int32(h), int32(b) + 1}, decision{bandAtMost, int32(h), int32(b)}, at, open, 2)
				// The lower bands are on the upper side too, and a shop that need not be used on both.
				out[len(out)-1].loose = b > d.bandLo[h] || d.closed[h]
				break
			}
		}
	}
	for q := range m.have {
		t, units := l.unitTerm(int32(q))
		if at, open, ok := part(t); ok {
			add(t, decision{paintAtMost, int32(q), int32(at * units)}, decision{paintAtLeast, int32(q), int32(at*units) + 1}, at, open, 1)
			continue
		}
		some := l.someAt + int32(q)
		if at, open, ok := part(some); ok {
			add(some, decision{paintAtMost, int32(q), 0}, decision{paintAtLeast, int32(q), 1}, at, open, 1)
		}
	}
	for o := range m.optNeed {
		if at, open, ok := part(int32(o)); ok {
			add(int32(o), decision{optionLeft, int32(o), 0}, decision{optionTaken, int32(o), 0}, at, open, 0)
		}
	}
	for j := range m.price {
		t := l.xAt + int32(j)
		if at, open, ok := part(t); ok {
			add(t, decision{offerAtMost, int32(j), int32(at)}, decision{offerAtLeast, int32(j), int32(at) + 1}, at, open, 0)
		}
	}
	return out
}

// parts are how far the value lies from the sides of the split.
func (c *linearSplit) parts() (down, up float64) {
	down = min(max(c.value-float64(c.at), 0), 1)
	if c.loose {
		down = c.open
	}
	return down, 1 - down
}

// guessLinear guesses how good splits are, by what trying those of the same terms
// brought for each unit, or those of like terms where there is nothing else.
func (s *search) guessLinear(splits []linearSplit, gap float64) {
	var sum [3][2]float64
	var count [3]float64
	for i := range splits {
		c := &splits[i]
		if e := s.pseudocost(c.down); e != nil && e.Times(0) > 0 {
			sum[c.rank][0] += e.Mean(0)
			sum[c.rank][1] += e.Mean(1)
			count[c.rank]++
		}
	}
	for i := range splits {
		c := &splits[i]
		each := [2]float64{gap / 8, gap / 8}
		if n := count[c.rank]; n > 0 {
			each = [2]float64{sum[c.rank][0] / n, sum[c.rank][1] / n}
		}
		if e := s.pseudocost(c.down); e != nil && e.Times(0) > 0 {
			each = [2]float64{e.Mean(0), e.Mean(1)}
		}
		down, up := c.parts()
		c.guess = linearScore(each[0]*down, each[1]*up, gap)
		if c.rank == 2 && c.open > 0.01 {
			c.guess *= 8
		}
	}
}

// linearBranch splits a node on the term or sum whose two sides raise the bound most, as
// far as a few pivots show. What trying proves to hold nothing better is forced. There
// are no children where the relaxation's answer is whole.
func (k *worker) linearBranch(s *search, d *domain, cut float64) (children []child, forced []decision) {
	splits := k.linearSplits(s, d)
	if len(splits) == 0 {
		return nil, nil
	}
	p := k.program
	sums := p.sumSplits()
	rows := p.lp.Rows()
	defer p.lp.KeepRows(func(i int) bool { return i < rows })
	for i := range sums {
		if p.lp.AddRow(sums[i].row) != nil {
			sums = sums[:i]
			break
		}
	}
	s.guessLinear(splits, cut-p.bound)
	slices.SortStableFunc(splits, func(a, b linearSplit) int { return cmp.Compare(b.guess, a.guess) })
	if !p.lp.Mark() {
		return splits[0].children([2]float64{math.Inf(-1), math.Inf(-1)}), nil
	}
	// Sums first: where one is good, fewer terms need trying.
	sides, topSum := k.trySums(s, sums, rows, cut)
	t := linearTrials{k: k, s: s, cut: cut, top: topSum}
	t.run(splits[:min(len(splits), linearTries)])
	if sides != nil && t.top <= topSum {
		return sides, t.forced
	}
	return splits[t.best].children(t.bounds), t.forced
}

// children are the two sides of the split, with what is known of their bounds.
func (c *linearSplit) children(bounds [2]float64) []child {
	return []child{{decision: c.down, bound: bounds[0]}, {decision: c.up, bound: bounds[1]}}
}

// linearTrials tries splits of a node.
type linearTrials struct {
	k      *worker
	s      *search
	cut    float64
	best   int // the split that scores most, its score and the bounds proven
	top    float64
	bounds [2]float64
	forced []decision
}

// run tries splits in turn, until many come to nothing better than a fair one.
func (t *linearTrials) run(splits []linearSplit) {
	idle := 0
	for i := range splits {
		score, known := t.try(&splits[i])
		if score > t.top {
			t.best, t.top, t.bounds, idle = i, score, known, 0
		} else if idle++; idle >= linearIdle && t.top > linearPoor {
			return
		}
	}
}

// try scores a split, and notes what it proves and what it brought. Known are the bounds
// of its sides that are proven to pass the cut.
func (t *linearTrials) try(c *linearSplit) (score float64, known [2]float64) {
	k, s := t.k, t.s
	gap := t.cut - k.program.bound
	var rise [2]float64
	for side := range 2 {
		rise[side], known[side] = t.trySide(c, side)
	}
	if known[0] > s.tieCutoff(t.cut) {
		t.forced = append(t.forced, c.up)
	}
	if known[1] > s.tieCutoff(t.cut) {
		t.forced = append(t.forced, c.down)
	}
	if s.pseudocost(c.down) != nil {
		down, up := c.parts()
		k.observed = append(k.observed, observation{c.down, rise[0] / max(down, 0.05), rise[1] / max(up, 0.05)})
	}
	score = linearScore(rise[0], rise[1], gap)
	if c.rank == 2 {
		score *= 4
	}
	return score, known
}

// trySide makes a few pivots on one side of a split: by how much the bound rises, and the
// bound where it is proven to pass the cut.
func (t *linearTrials) trySide(c *linearSplit, side int) (rise, known float64) {
	p := t.k.program
	base := float64(p.l.base)
	col := p.lp.Column(int(c.col))
	lo, hi := col.Lower, c.at
	if side == 1 {
		lo, hi = c.at+1, col.Upper
	}
	var proof lp.Certificate
	v := p.lp.Try(int(c.col), lo, hi, linearTryPivots, &proof) + base
	rise = max(0, min(v, t.cut+t.s.grain)-p.bound)
	if v > t.cut && !c.loose {
		if b := proof.Bound() + base; b > t.cut {
			return rise, b
		}
	}
	return rise, math.Inf(-1)
}

// linearScore values a split by how far it lifts both sides towards the gap.
func linearScore(down, up, gap float64) float64 {
	few := 1e-4*gap + 1e-9
	return max(min(down, gap), few) * max(min(up, gap), few) / (gap*gap + 1e-9)
}
