package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/internal/pseudocost"
)

// Reliability branching: candidates are tried out (strong branching) until enough is
// known of them to trust their pseudocosts; see the package comment.

// reliable is the number of trials after which a candidate's pseudocost is trusted.
const reliable = 2

// strongBranch bounds both sides of the most promising candidates and picks one. A
// candidate that has been tried before is judged by its pseudocost.
func (k *worker) strongBranch(
	s *search, d *domain, cands []candidate, cutoff float64,
) (children []child, forced []decision) {
	if len(cands) == 1 {
		return cands[0].sides(), nil
	}
	k.rank(s, cands)
	unsure := unsureFirst(cands)
	unknown := [2]float64{math.Inf(-1), math.Inf(-1)}
	best, score, bounds := 0, -1.0, unknown
	tested, idle := 0, 0
	care := s.thorough()
	for i, c := range cands {
		hopeless := c.guess < 10 && c.guess <= score*0.3
		if i >= unsure && (tested >= care.trials || idle >= care.idle || hopeless) ||
			i > 0 && ended(k.volume.ctx) {
			break
		}
		v, known := c.guess, unknown
		if c.tried < reliable || i < unsure {
			tested++
			known = [2]float64{k.trialBound(s, d, c.down, cutoff), k.trialBound(s, d, c.up, cutoff)}
			if known[0] > cutoff {
				forced = append(forced, c.up)
			}
			if known[1] > cutoff {
				forced = append(forced, c.down)
			}
			base := k.volume.best.value
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
		if i := slices.IndexFunc(cands, func(c candidate) bool { return c.down.kind == offerAtMost }); i >= 0 {
			best, bounds = i, unknown
		}
	}
	return []child{
		{decision: cands[best].down, bound: bounds[0]},
		{decision: cands[best].up, bound: bounds[1]},
	}, forced
}

// rank puts the candidates that are guessed, or known, to raise the bound most first.
func (k *worker) rank(s *search, cands []candidate) {
	for i := range cands {
		c := &cands[i]
		if h := s.pseudocost(c.down, false); h != nil && h.Times(0) > 0 {
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

// splitCosts are pseudocosts of splits.
type splitCosts struct{ paint, option, offer []pseudocost.Cost }

// pseudocost is that of the candidate that c belongs to, of the linear relaxation or of
// the Lagrangian bound; nil where none is kept.
func (s *search) pseudocost(c decision, linear bool) *pseudocost.Cost {
	costs := &s.costs[0]
	if linear {
		costs = &s.costs[1]
	}
	switch c.kind {
	case paintAtMost:
		return &costs.paint[c.index]
	case optionLeft:
		return &costs.option[c.index]
	case offerAtMost:
		return &costs.offer[c.index]
	}
	return nil
}

// resetPseudocosts begins them anew.
func (s *search) resetPseudocosts() {
	m := s.m
	for i := range s.costs {
		s.costs[i] = splitCosts{
			make([]pseudocost.Cost, len(m.have)),
			make([]pseudocost.Cost, len(m.optNeed)),
			make([]pseudocost.Cost, len(m.price)),
		}
	}
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
