package exact

import (
	"context"
	"math"

	"halfpot/optimize"
)

// cheapen compares the sets of the greatest worth on the other levels of the
// objective. It returns how many of these levels are proven, and a bound on
// the objective.
func (b *budgeter) cheapen(ctx context.Context) (levels int, bound int64) {
	levels, bound = 4, math.MaxInt64
	note := func(a answer) {
		known := a.proven
		if a.best == nil && a.done {
			known = 4
		}
		levels = min(levels, known)
		bound = min(bound, a.bound)
	}
	t := b.try(ctx, b.st, true)
	a := b.hunt(ctx, t, nil)
	b.plan = a.best
	note(a)
	if len(b.know.groups) == 0 {
		return levels, bound
	}
	cutter := b.cutter
	if b.p.Rules.CompromisePrice > 0 {
		cutter = b.pointsCutter()
	}
	var cuts []*cut
	add := func(st state) {
		if cutter != nil && len(cuts) < cutsMost {
			if c := cutter.cut(st, float64(b.plan.cost.money)*nuSteps*1.05+nuSteps); c != nil {
				cuts = append(cuts, c)
			}
		}
	}
	add(b.st)
	looked := map[string]bool{b.st.key(): true}
	var q branches
	q.add(make(state, len(b.st)), math.Inf(1), 0)
	for q.Len() > 0 {
		x := q.take()
		least := b.leastOf(cuts, x.st)
		if least > b.plan.cost.money {
			continue
		}
		if ctx.Err() != nil {
			levels, bound = 0, min(bound, least)
			continue // the bounds of the others count too
		}
		if float64(-least) < x.key {
			q.add(x.st, float64(-least), x.depth)
			continue
		}
		split := -1
		for g, s := range x.st {
			if s == undecided && (split < 0 || b.know.groups[g].worth > b.know.groups[split].worth) {
				split = g
			}
		}
		if split >= 0 {
			q.split(x, split)
			continue
		}
		if looked[x.st.key()] {
			continue
		}
		looked[x.st.key()] = true
		t := b.try(ctx, x.st, true)
		switch t.verdict {
		case tooDear:
			b.learn(ctx, x.st, t)
			continue
		case unknown:
			levels, bound = 0, min(bound, least)
			continue
		}
		rival := b.plan.cost
		a := b.hunt(ctx, t, &rival)
		note(a)
		if a.best != nil && a.best.cost.less(rival) {
			b.st, b.plan = x.st, a.best
		}
		add(x.st)
	}
	if levels > 0 {
		bound = b.plan.cost.money
	}
	return levels, bound
}

// pointsCutter makes cuts for the objective, with what compromise is worth.
func (b *budgeter) pointsCutter() *cutter {
	points := int64(0)
	for _, n := range b.p.Needs {
		for _, o := range n.Options {
			points = max(points, o.Compromise)
		}
	}
	c, err := newCutter(b.p, b.know.groups, true, b.cap+b.off+1+points*b.p.Rules.CompromisePrice)
	if err != nil || !c.exact() {
		return nil
	}
	return c
}

// leastOf is a bound on the objective of the sets of the greatest worth that
// st allows, which it tightens; MaxInt64 where there is none.
func (b *budgeter) leastOf(cuts []*cut, st state) int64 {
	if !b.know.propagate(st) {
		return math.MaxInt64
	}
	need := b.worth - b.know.worth(st, finished)
	if need < 0 || need > b.know.worth(st, undecided) {
		return math.MaxInt64
	}
	for g, s := range st {
		if s == undecided && b.know.groups[g].worth > need {
			st[g] = leftOut
		}
	}
	least := -b.off
	for _, c := range cuts {
		v := c.atLeast(st) + c.reach(b.know.groups, st, need)
		if math.IsInf(v, 1) {
			return math.MaxInt64
		}
		// Shares taken in part are rounded; the margin is far above that.
		least = max(least, int64(math.Ceil((v-1)/nuSteps)))
	}
	return least
}

// hunt looks for the best plan of a set, or for one that beats the rival.
func (b *budgeter) hunt(ctx context.Context, t *trial, rival *vector) answer {
	h := hunt{m: t.m, threads: b.threads, seed: t.plan, rival: rival}
	before := b.nodes
	h.report = func(best *solution, bound, nodes int64) {
		b.nodes = before + nodes
		if b.report == nil {
			return
		}
		if best == nil || rival != nil && !best.cost.less(*rival) {
			best = b.plan
		}
		b.report(optimize.Progress{Best: best.cost.money, Found: true, Bound: -b.off, Nodes: b.nodes,
			Worth: b.worth + b.free, WorthBound: b.bound + b.free})
	}
	return h.run(ctx)
}
