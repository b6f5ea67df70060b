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
	rank     int
	loose    bool // the column's sides are not those of the split: trying proves nothing
	guess    float64
}

// What splits are about, the most telling last.
const (
	restRank  = iota // options and offers
	paintRank        // units of a paint
	shopRank         // shops and bands
	ranks
)

// wholeTol is by how much a value may miss a whole number and still count as one.
const wholeTol = 1e-6

const (
	linearIdle = 6    // tries without a better one until the best will do,
	linearPoor = 1e-3 // where it scores more than this
	shopPivots = 4    // times as many pivots for splits on shops and bands

	// Much hangs on shops and bands: they count for more when it is guessed what is worth
	// trying, where they are open by that much, and when what was tried is compared.
	shopHope, shopScore = 8, 4
	shopOpen            = 0.01
	unknownRise         = 1. / 8 // share of the gap that a split of which nothing is known may lift the bound by
	partLeast           = 0.05   // of a unit that a split moves at least, for what each unit brings
)

// linearSplits lists what the relaxation takes in part.
func (k *worker) linearSplits(s *search, d *domain) []linearSplit {
	c := splitList{p: k.program, l: k.program.l, m: s.m}
	for h := range int32(len(c.m.bands)) {
		if !c.shop(h) && !d.unused(int(h)) && c.p.v[c.l.shopAt+h] >= 0.5 {
			c.bands(d, h)
		}
	}
	for q := range int32(len(c.m.have)) {
		c.paint(q)
	}
	for o := range int32(len(c.m.optNeed)) {
		if at, ok := c.part(o); ok {
			c.add(o, decision{optionLeft, o, 0}, decision{optionTaken, o, 0}, at, restRank)
		}
	}
	for j := range int32(len(c.m.price)) {
		t := c.l.xAt + j
		if at, ok := c.part(t); ok {
			c.add(t, decision{offerAtMost, j, int32(at)}, decision{offerAtLeast, j, int32(at) + 1}, at, restRank)
		}
	}
	return c.out
}

// splitList gathers splits of a program's terms.
type splitList struct {
	p   *program
	l   *linear
	m   *model
	out []linearSplit
}

// part says whether a term is taken in part, and the whole number below it.
func (c *splitList) part(t int32) (floor int64, ok bool) {
	if c.l.col[t] < 0 {
		return 0, false
	}
	f, open := wholeBelow(c.p.v[t])
	return int64(f), open > wholeTol
}

// wholeBelow is the whole number below a value, and how far it is from the next on either side.
func wholeBelow(v float64) (floor, open float64) {
	floor = math.Floor(v + wholeTol)
	return floor, min(v-floor, floor+1-v)
}

// add lists the split of term t at a whole number.
func (c *splitList) add(t int32, down, up decision, at int64, rank int) {
	v := c.p.v[t]
	_, open := wholeBelow(v)
	c.out = append(c.out, linearSplit{
		down: down, up: up,
		col: c.l.col[t], at: at,
		value: v, open: open,
		rank: rank,
	})
}

// shop lists the split on whether shop h is used, where that is in part.
func (c *splitList) shop(h int32) bool {
	t := c.l.shopAt + h
	at, ok := c.part(t)
	if ok {
		c.add(t, decision{shopShut, h, 0}, decision{shopUsed, h, 0}, at, shopRank)
	}
	return ok
}

// bands lists the split above the first band of shop h that is taken in part.
func (c *splitList) bands(d *domain, h int32) {
	for b := d.bandLo[h]; b < d.bandHi[h]; b++ {
		t := c.l.bandAt + c.l.bandOff[h] + int32(b)
		if at, ok := c.part(t); ok {
			c.add(t, decision{bandAtLeast, h, int32(b) + 1}, decision{bandAtMost, h, int32(b)}, at, shopRank)
			// The lower bands are on the upper side too, and a shop that need not be used on both.
			c.out[len(c.out)-1].loose = b > d.bandLo[h] || d.closed[h]
			return
		}
	}
}

// paint lists the split on how many units of paint q are bought, or on whether any are.
func (c *splitList) paint(q int32) {
	t, units := c.l.unitTerm(q)
	if at, ok := c.part(t); ok {
		most := int32(at * units)
		c.add(t, decision{paintAtMost, q, most}, decision{paintAtLeast, q, most + 1}, at, paintRank)
		return
	}
	some := c.l.someAt + q
	if at, ok := c.part(some); ok {
		c.add(some, decision{paintAtMost, q, 0}, decision{paintAtLeast, q, 1}, at, paintRank)
	}
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
	var sum [ranks][2]float64
	var count [ranks]float64
	for i := range splits {
		c := &splits[i]
		if e := s.pseudocost(c.down, true); e != nil && e.Times(0) > 0 {
			sum[c.rank][0] += e.Mean(0)
			sum[c.rank][1] += e.Mean(1)
			count[c.rank]++
		}
	}
	for i := range splits {
		c := &splits[i]
		each := [2]float64{unknownRise * gap, unknownRise * gap}
		if n := count[c.rank]; n > 0 {
			each = [2]float64{sum[c.rank][0] / n, sum[c.rank][1] / n}
		}
		if e := s.pseudocost(c.down, true); e != nil && e.Times(0) > 0 {
			each = [2]float64{e.Mean(0), e.Mean(1)}
		}
		down, up := c.parts()
		c.guess = linearScore(each[0]*down, each[1]*up, gap)
		if c.rank == shopRank && c.open > shopOpen {
			c.guess *= shopHope
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
	if s.endgames() && splits[0].rank < shopRank && !k.shopsSettled(d) {
		if children, forced = k.settleShops(s, d, cut); children != nil {
			return children, forced
		}
	}
	p := k.program
	sums := append(p.extraSplit(), p.sumSplits(s.linearCare().sums)...)
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
	t.run(splits[:min(len(splits), s.linearCare().tries)])
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
	if s.pseudocost(c.down, true) != nil {
		down, up := c.parts()
		k.observed = append(k.observed, observation{c.down, rise[0] / max(down, partLeast), rise[1] / max(up, partLeast)})
	}
	score = linearScore(rise[0], rise[1], gap)
	if c.rank == shopRank {
		score *= shopScore
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
	pivots := t.s.linearCare().tryPivots
	if c.rank == shopRank && !t.s.inner {
		pivots *= shopPivots
	}
	v := p.lp.Try(int(c.col), lo, hi, pivots, &proof) + base
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
