package exact

import (
	"cmp"
	"halfpot/optimize/internal/pseudocost"
	"math"
	"slices"
)

// candidate is a way to branch on a node: two decisions that leave no plan out.
type candidate struct {
	down, up decision
	guess    float64 // larger looks better
	tried    float64
	open     float64 // how far the averaged answer is from deciding it, 0 to 0.5
	doubt    float64 // the same by what is at stake
}

// branch picks the decision that the node is branched on by. Candidates in doubt by the
// averaged answer are tried out: both sides are bounded with a few steps, and
// the candidate whose weaker side rises most is taken. It returns nil where
// everything is decided. A side that holds no better plan is ruled out at once:
// what is left of such candidates is forced.
func (k *worker) branch(s *search, d *domain, cutoff float64) (children []child, forced []decision) {
	cands := k.candidates(s, d)
	if len(cands) > 0 {
		return k.strongBranch(s, d, cands, cutoff)
	}
	return k.undecided(d, s.m), nil
}

// child is one side of a branching, with a bound that is known of it.
type child struct {
	decision
	bound float64
}

func sides(down, up decision) []child {
	return []child{{down, math.Inf(-1)}, {up, math.Inf(-1)}}
}

// undecided branches on the first thing that is still open.
func (k *worker) undecided(d *domain, m *model) []child {
	if c := k.branchOption(d, m); c != nil {
		return c
	}
	for j := range m.price {
		if d.lo[j] < d.hi[j] {
			return sides(decision{offerAtMost, int32(j), d.lo[j]}, decision{offerAtLeast, int32(j), d.lo[j] + 1})
		}
	}
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		if d.closed[h] && m.shopStart[h+1] > m.shopStart[h] && k.anyOffer(d, m, h) {
			return sides(decision{shopShut, int32(h), 0}, decision{shopUsed, int32(h), 0})
		}
	}
	return nil
}

func (k *worker) candidates(s *search, d *domain) []candidate {
	m, r, a := s.m, &k.relax, k.volume
	out := k.cands[:0]
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		if d.closed[h] {
			if f := min(a.used[h], 1-a.used[h]); f > 0.02 {
				out = append(out, candidate{decision{shopShut, int32(h), 0}, decision{shopUsed, int32(h), 0}, 10 + f, 0, 0.5, 0})
			} else if a.used[h] > 0.5 && d.bandLo[h] < d.bandHi[h] {
				out = append(out, candidate{decision{shopShut, int32(h), 0}, decision{shopUsed, int32(h), 0}, 10, 0, 0.5, 0})
			}
			continue
		}
		if d.bandLo[h] < d.bandHi[h] {
			at := min(max(a.best.shop[h].band, d.bandLo[h]), d.bandHi[h]-1)
			out = append(out, candidate{decision{bandAtMost, int32(h), int32(at)}, decision{bandAtLeast, int32(h), int32(at) + 1}, 10, 0, 0.5, 0})
		}
	}
	k.cands = out
	if len(out) > 0 {
		return out
	}
	// Paints of which it is open whether any is bought.
	clear(a.count)
	for j := range r.offs {
		for c := r.conStart[j]; c < r.conStart[j+1]; c++ {
			a.count[r.conPaint[c]] += a.x[j] * r.conUnits[c]
		}
	}
	k.est.reset(r, a.best)
	k.doubt = k.doubt[:0]
	for q, p := range r.paints {
		if at, ok := k.splitAt(p, a.count[q]); ok {
			f := min(max(a.count[q]-float64(at), 0), 1)
			f = min(f, 1-f)
			k.doubt = append(k.doubt, doubt{int32(q), at, f, f * (a.best.worth[q] + a.best.base[q] + 1)})
		}
	}
	// Guessing takes time: where there are many, only those most in doubt.
	if len(k.doubt) > guessMost {
		slices.SortStableFunc(k.doubt, func(a, b doubt) int { return cmp.Compare(b.size, a.size) })
		k.doubt = k.doubt[:guessMost]
	}
	for _, c := range k.doubt {
		p := r.paints[c.paint]
		guess := 0.0
		switch {
		case r.steps[c.paint] > 0:
			guess = k.score(k.stepGuess(c))
		case c.at > 0:
			guess = k.score(a.best.worth[c.paint]*c.size, 0)
		default:
			guess = k.score(k.est.none(c.paint), k.est.some(c.paint))
		}
		out = append(out, candidate{decision{paintAtMost, p, c.at}, decision{paintAtLeast, p, c.at + 1}, guess, 0, c.open, c.size})
	}
	for i, o := range r.oneOpt {
		if v := min(a.yOne[i], 1-a.yOne[i]); r.oneStock[i] && v > 0.02 {
			left, taken := k.est.left(int32(i)), k.est.taken(int32(i))
			out = append(out, candidate{decision{optionLeft, o, 0}, decision{optionTaken, o, 0}, k.score(left, taken), 0, v, 0})
		}
	}
	for i, o := range r.anyOpt {
		if v := min(a.y[i], 1-a.y[i]); v > 0.1 {
			out = append(out, candidate{decision{optionLeft, o, 0}, decision{optionTaken, o, 0}, v * 1e-3, 0, v, 0})
		}
	}
	for j, orig := range r.offs {
		if d.lo[orig] >= d.hi[orig] || a.x[j] < 0.01 {
			continue
		}
		at := min(max(int32(math.Floor(a.x[j])), d.lo[orig]), d.hi[orig]-1)
		if a.x[j] > 0.99 && at > d.lo[orig] {
			at--
		}
		red := a.best.first[j] - a.best.shop[r.offShop[j]].nu*r.offPrice[j]
		out = append(out, candidate{decision{offerAtMost, orig, at}, decision{offerAtLeast, orig, at + 1},
			k.score(max(0, -red), max(0, red)), 0, min(a.x[j]-math.Floor(a.x[j]), math.Ceil(a.x[j])-a.x[j]), 0})
	}
	k.cands = out
	return out
}

// doubt is how unsure the averaged answer is of a paint.
type doubt struct {
	paint int32
	at    int32 // units to branch at
	open  float64
	size  float64
}

// stepGuess guesses the rise with at most and with more than c.at units.
func (k *worker) stepGuess(c doubt) (down, up float64) {
	down, up = never, never
	for i, l := range k.relax.stepLosses(k.volume.best, int(c.paint)) {
		first, last := k.relax.stepRun(int(c.paint), i)
		sure := int32(k.relax.boxes[c.paint])
		if sure+first <= c.at {
			down = min(down, l.gain)
		}
		if sure+last > c.at {
			up = min(up, l.gain)
		}
	}
	k.est.begin()
	if s := k.est.a.slack(&k.relax, &k.est.p, c.paint); k.relax.boxes[c.paint]+k.volume.best.units[c.paint] <= float64(c.at) {
		up += s
	}
	return down, up
}

// guessMost is how many paints are guessed at.
const guessMost = 80

// reliable is the number of trials after which a candidate's pseudocost is trusted.
const reliable = 2

// strongBranch bounds both sides of the most promising candidates and picks one. A
// candidate that has been tried before is judged by what it brought then.
func (k *worker) strongBranch(s *search, d *domain, cands []candidate, cutoff float64) (children []child, forced []decision) {
	if len(cands) == 1 {
		return sides(cands[0].down, cands[0].up), nil
	}
	for i := range cands {
		c := &cands[i]
		if h := s.pseudocost(c.down); h != nil && h.Times(0) > 0 {
			c.tried = h.Times(0)
			past := k.score(h.Mean(0), h.Mean(1))
			if c.tried >= reliable {
				c.guess = past
			} else {
				c.guess = max(c.guess, past)
			}
		}
		c.guess *= c.weight()
	}
	slices.SortStableFunc(cands, func(a, b candidate) int { return cmp.Compare(b.guess, a.guess) })
	unsure := unsureFirst(cands)
	base := k.volume.best.value
	best, score := 0, -1.0
	none := math.Inf(-1)
	bounds := [2]float64{none, none} // of the best's sides
	tested, idle := 0, 0
	care := s.thorough()
	for i, c := range cands {
		if i >= unsure && (tested >= care.trials || idle >= care.idle || c.guess < 10 && c.guess <= score*0.3) || i > 0 && ended(k.volume.ctx) {
			break
		}
		v, known := c.guess, [2]float64{none, none}
		if c.tried < reliable || i < unsure {
			tested++
			known = [2]float64{k.trialBound(s, d, c.down, cutoff), k.trialBound(s, d, c.up, cutoff)}
			if known[0] > cutoff {
				forced = append(forced, c.up)
			}
			if known[1] > cutoff {
				forced = append(forced, c.down)
			}
			lo, hi := min(known[0], cutoff)-base, min(known[1], cutoff)-base
			k.observed = append(k.observed, observation{c.down, lo, hi})
			v = k.score(lo, hi) * c.weight()
		}
		idle++
		if v > score || v == score && c.down.kind == offerAtMost && cands[best].down.kind != offerAtMost {
			best, score, idle, bounds = i, v, 0, known
		}
	}
	if score <= k.score(0, 0) {
		// Nothing moves the bound: decide what is bought before who uses what,
		// since that settles the bill.
		for i, c := range cands {
			if c.down.kind == offerAtMost {
				best, bounds = i, [2]float64{none, none}
				break
			}
		}
	}
	return []child{{cands[best].down, bounds[0]}, {cands[best].up, bounds[1]}}, forced
}

// weight tells how much a candidate counts for: one that the averaged answer has
// decided leaves the bound of one side where it is, whatever it does to the other.
func (c *candidate) weight() float64 { return min(1, max(decidedWeight, c.open*openWeight)) }

const (
	decidedWeight = 0.01
	openWeight    = 10
)

// unsureMost is how many candidates are tried out because the averaged answer is
// unsure of them, whatever is guessed of them.
const unsureMost = 3

// unsureFirst puts those first, and tells how many.
func unsureFirst(cands []candidate) int {
	n := 0
	for ; n < unsureMost; n++ {
		best := -1
		for i := n; i < len(cands); i++ {
			if c := &cands[i]; c.doubt > 0 && c.open > 0.02 && (best < 0 || c.doubt > cands[best].doubt) {
				best = i
			}
		}
		if best < 0 {
			break
		}
		c := cands[best]
		copy(cands[n+1:best+1], cands[n:best])
		cands[n] = c
	}
	return n
}

// observation is what a trial has shown: the rise of the bound on both sides.
type observation struct {
	split    decision
	down, up float64
}

// pseudocost is that of the candidate that c belongs to; nil where none is kept.
func (s *search) pseudocost(c decision) *pseudocost.Cost {
	switch c.kind {
	case paintAtMost:
		return &s.paintCosts[c.index]
	case optionLeft:
		return &s.optionCosts[c.index]
	case offerAtMost:
		return &s.offerCosts[c.index]
	}
	return nil
}

// resetPseudocosts begins them anew.
func (s *search) resetPseudocosts() {
	m := s.m
	s.paintCosts, s.optionCosts, s.offerCosts = make([]pseudocost.Cost, len(m.have)), make([]pseudocost.Cost, len(m.optNeed)), make([]pseudocost.Cost, len(m.price))
}

// score values a candidate by how far it lifts the bound on both sides.
func (k *worker) score(down, up float64) float64 {
	few := 1e-6 * math.Abs(k.volume.best.value)
	gap := math.Abs(k.goal - k.volume.best.value)
	return max(min(down, gap), few) / (gap + few) * max(min(up, gap), few) / (gap + few) * 4
}

// trialBound bounds one side with a few steps, or until the bound exceeds cut.
func (k *worker) trialBound(s *search, d *domain, c decision, cutoff float64) float64 {
	m := s.m
	t := d.clone()
	c.apply(m, t)
	if !m.propagate(t, k.trialFacts) {
		return math.Inf(1)
	}
	k.trialRelax.build(m, s.w, t, k.trialFacts)
	k.trialVolume.run(&k.trialRelax, k.mu, s.thorough().trialSteps, k.goal, cutoff)
	return k.trialVolume.best.value
}

func (k *worker) anyOffer(d *domain, m *model, h int) bool {
	for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
		if d.hi[j] > 0 {
			return true
		}
	}
	return false
}

// splitAt is the number of units of paint p to branch at, nearest to the
// averaged answer's; false where the number is settled.
func (k *worker) splitAt(p int32, mean float64) (int32, bool) {
	lo, hi := k.facts.boxes[p], k.facts.boxes[p]+k.facts.room[p]
	if hi <= lo {
		return 0, false
	}
	at := lo
	if steps := k.relax.steps[k.relax.paintAt[p]]; steps > 0 {
		at = min(max(int32(math.Floor(mean+0.02)), lo), lo+steps-1)
		if mean-float64(at) < 0.02 && at > lo {
			at--
		}
	} else if f := k.facts; f.most[p]-f.demand[p] <= f.slack[p] {
		return 0, false // what is sure to be bought is enough
	}
	return at, true
}

// branchOption branches on the first need that still has a choice.
func (k *worker) branchOption(d *domain, m *model) []child {
	for n := range m.members {
		first, count := int32(-1), 0
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if d.alive[o] {
				if first < 0 {
					first = o
				}
				count++
			}
		}
		if count > 1 {
			return sides(decision{optionTaken, first, 0}, decision{optionLeft, first, 0})
		}
	}
	return nil
}

// leaf values a domain in which everything is decided.
func (k *worker) leaf(s *search, d *domain) (*solution, float64) {
	m := s.m
	choice := make([]int32, len(m.members))
	for n := range choice {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if d.alive[o] {
				choice[n] = o
			}
		}
	}
	if !m.enough(d.lo, choice) {
		return nil, 0
	}
	return s.worthOf(d.lo, choice)
}

// enough says whether the boxes x cover what the choices take.
func (m *model) enough(x, choice []int32) bool {
	left := append([]int64(nil), m.have...)
	for j := range x {
		for c := m.conStart[j]; x[j] > 0 && c < m.conStart[j+1]; c++ {
			left[m.conPaint[c]] += int64(x[j]) * m.conUL[c]
		}
	}
	for _, o := range choice {
		for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
			left[m.usePaint[u]] -= m.useUL[u]
		}
	}
	for _, l := range left {
		if l < 0 {
			return false
		}
	}
	return true
}

// worthOf values boxes and choices and weighs them; nil where a shop would not
// take the order or too many shops are used.
func (s *search) worthOf(x, choice []int32) (*solution, float64) {
	sol, ok := s.m.value(x, choice)
	if !ok || sol.cost.shops > int64(s.m.maxShops) {
		return nil, 0
	}
	return sol, s.weight(sol.cost)
}
