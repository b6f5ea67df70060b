package exact

import "math"

const (
	strandedSets  = 3 // sets bought for what a round has stranded, at most
	strandedLeast = 3 // needs that must be stranded for a set to be looked for
	strandedEvery = 3 // rounds of which one looks for sets
)

// buySets buys the sets that save most on the stranded needs of a small problem, beside
// meeting each at what that costs now: one by one, no need would pay for a set. Plans of
// large problems became a little dearer by it.
func (a *annealer) buySets() {
	if len(a.sets) == 0 || len(a.mark) >= fewNeeds || len(a.needs) < strandedLeast || a.rng.IntN(strandedEvery) > 0 {
		return
	}
	b := a.b
	for range strandedSets {
		a.listGains()
		best, most := int32(-1), 0.0
		for _, j := range a.gained {
			if g := a.gain[j]*(0.7+0.5*a.rng.Float64()) - b.cost[j]; g > most {
				best, most = j, g
			}
			a.gain[j], a.seen[j] = 0, 0
		}
		if a.gained = a.gained[:0]; best < 0 {
			return
		}
		b.buy(best, 1)
	}
}

// listGains adds up, for each set on offer, what it saves on the stranded needs.
func (a *annealer) listGains() {
	b, m := a.b, a.b.m
	for i, n := range a.needs {
		if b.choice[n] >= 0 {
			continue
		}
		cost := math.Inf(1)
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if b.d.alive[o] {
				cost = min(cost, b.optionNow(o, cost))
			}
		}
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if !b.d.alive[o] || m.useStart[o+1] != m.useStart[o]+1 {
				continue
			}
			saved := cost - b.optionCost(o)
			if !(saved > 0) || math.IsInf(saved, 1) {
				continue
			}
			for _, s := range m.sources[m.usePaint[m.useStart[o]]] {
				j := s.off
				if m.conStart[j+1]-m.conStart[j] < 2 || a.seen[j] == int32(i)+1 || b.x[j] >= b.d.hi[j] ||
					b.open != nil && !b.open[m.offShop[j]] || math.IsInf(b.cost[j], 1) {
					continue
				}
				if a.gain[j] == 0 {
					a.gained = append(a.gained, j)
				}
				a.gain[j] += saved
				a.seen[j] = int32(i) + 1
			}
		}
	}
}
