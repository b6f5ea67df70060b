package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize"
)

// cutter makes cuts: lower bounds on what sets of groups cost.
//
// Its model holds the needs of all groups, each with one option more: to be
// skipped, at a price that no plan within the budget would pay. The relaxation
// of bound.go then gives, for any multipliers,
//
//	cost >= rest + sum over needs of their multiplier
//
// where rest does not depend on which needs are met: without a need its multiplier
// falls away, and what the shops could earn by it only makes rest too low. So
// one set of multipliers, made for one set of groups, bounds all sets.
//
// Needs of one match label are kept apart here; that loosens the bound and
// keeps it valid, also when only some of them are met.
type cutter struct {
	m       *model
	w       weights
	groupOf []int32 // group of each need of the model
	skip    float64 // weight of skipping a need
	groups  []openGroup
	k       *worker
}

const cutSteps = 300

// newCutter makes the model. points says whether compromise counts, at the
// problem's price. skip is an amount of money that no plan of interest costs.
func newCutter(p *optimize.Problem, groups []openGroup, points bool, skip int64) (*cutter, error) {
	c := &cutter{groups: groups}
	paintOf := make(map[string]int32, len(p.Paints))
	for i, pt := range p.Paints {
		paintOf[pt.ID] = int32(i)
	}
	shared := sharedOptions(p)
	var needs []mergedNeed
	for u, group := range groups {
		for _, n := range group.needs {
			mn := mergedNeed{members: []int32{int32(n)}}
			for oi, o := range p.Needs[n].Options {
				if !shared.allows(p.Needs[n], o) {
					continue
				}
				mo := mergedOption{uses: flatUses(o, paintOf), pick: []int32{int32(oi)}}
				if points {
					mo.points = o.Compromise * p.Rules.CompromisePrice
				}
				mn.options = append(mn.options, mo)
			}
			needs = append(needs, mn)
			c.groupOf = append(c.groupOf, int32(u))
		}
	}
	if err := reduceNeeds(p, needs, totalSupply(p, paintOf)); err != nil {
		return nil, err
	}
	for n := range needs {
		needs[n].options = append(needs[n].options, mergedOption{points: skip, pick: []int32{-1}})
	}
	// Options count in money here, so that skipping has its price without a rule.
	c.m = &model{prob: p, topUps: &topUps{}, cp: 1, cap: noCap, maxShops: len(p.Shops)}
	if p.Rules.MaxShops != nil {
		c.m.maxShops = int(min(*p.Rules.MaxShops, int64(len(p.Shops))))
	}
	c.m.addNeeds(p, needs)
	c.m.addOffers(p, paintOf)
	c.m.addReach()
	c.w = weights{money: nuSteps, quantum: quantumFor(nuSteps * c.m.mostMoney())}
	c.skip = float64(skip) * nuSteps
	c.k = newWorker(c.m, c.w)
	return c, nil
}

// exact says whether the cuts' sums stay exact.
func (c *cutter) exact() bool { return nuSteps*c.m.mostMoney() < exactLimit }

// cut makes the cut that is strongest near the finished groups of st. goal is
// about what they cost.
func (c *cutter) cut(st state, goal float64) *cut {
	m, k := c.m, c.k
	d := newDomain(m)
	for n, u := range c.groupOf {
		if st[u] != finished {
			for o := m.optStart[n]; o < m.optStart[n+1]-1; o++ {
				d.alive[o] = false
			}
		}
	}
	out := &cut{share: make([]float64, len(c.groups))}
	if !m.propagate(d, k.facts) {
		return nil // can't be: every need can be skipped
	}
	s := &search{m: m, w: c.w, grain: 1, upper: math.Inf(1)}
	k.rootStart(s, d)
	k.relax.build(m, c.w, d, k.facts)
	k.volume.run(&k.relax, k.mu, cutSteps, goal, math.Inf(1))
	p := k.volume.best
	out.base = p.value
	open := make([]bool, len(m.members))
	for i, n := range k.relax.needs {
		open[n] = true
		// Where the multiplier passes the price of skipping, skipping was taken.
		out.share[c.groupOf[n]] += p.need[i]
		out.base -= min(p.need[i], c.skip)
	}
	for n, u := range c.groupOf {
		if !open[n] { // skipped for certain
			out.base -= c.skip
			if st[u] == finished {
				out.share[u] += c.skip
			}
		}
	}
	for g := range c.groups {
		out.order = append(out.order, int32(g))
	}
	slices.SortStableFunc(out.order, func(a, b int32) int {
		return cmp.Compare(out.share[a]*float64(c.groups[b].worth), out.share[b]*float64(c.groups[a].worth))
	})
	return out
}
