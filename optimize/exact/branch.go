package exact

import (
	"math"
)

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
	row   *linearRow // where set, the side of a split on a sum, and no decision
}

// sides are the children of a branching, of which nothing is known.
func (b branching) sides() []child {
	return []child{{decision: b.down, bound: math.Inf(-1)}, {decision: b.up, bound: math.Inf(-1)}}
}

// undecided branches on the first thing that is still open.
func (k *worker) undecided(d *domain, m *model) []child {
	if c := k.branchOption(d, m); c != nil {
		return c
	}
	for j := range m.price {
		if d.lo[j] < d.hi[j] {
			return onOffer(int32(j), d.lo[j]).sides()
		}
	}
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		if d.closed[h] && m.shopStart[h+1] > m.shopStart[h] && k.anyOffer(d, m, h) {
			return onShop(h).sides()
		}
	}
	return nil
}

func (k *worker) anyOffer(d *domain, m *model, h int) bool {
	for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
		if d.hi[j] > 0 {
			return true
		}
	}
	return false
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
			b := onOption(first)
			return branching{b.up, b.down}.sides()
		}
	}
	return nil
}
