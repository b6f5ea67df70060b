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
	c := cheapening{b: b, levels: 4, bound: math.MaxInt64, cutter: b.cutter}
	t := b.try(ctx, b.st, true)
	a := b.hunt(ctx, t, nil)
	b.plan = a.best
	c.note(a)
	if len(b.know.groups) == 0 {
		return c.levels, c.bound
	}
	if b.p.Rules.CompromisePrice > 0 {
		c.cutter = b.pointsCutter()
	}
	c.cutOff(b.st)
	c.looked = map[string]bool{b.st.key(): true}
	c.open.add(make(state, len(b.st)), math.Inf(1), 0)
	for c.open.Len() > 0 {
		c.visit(ctx, c.open.take())
	}
	if c.levels > 0 {
		c.bound = b.plan.cost.money
	}
	return c.levels, c.bound
}

// cheapening is the search for the best plan of a set of the greatest worth.
type cheapening struct {
	b      *budgeter
	levels int   // proven for all sets so far
	bound  int64 // on the objective of all sets so far
	cutter *cutter
	cuts   []*cut
	looked map[string]bool // sets compared
	open   branches
}

// note takes in what is proven of one set.
func (c *cheapening) note(a answer) {
	known := a.proven
	if a.best == nil && a.done {
		known = 4
	}
	c.levels = min(c.levels, known)
	c.bound = min(c.bound, a.bound)
}

// giveUp notes that sets on which there is no more than a bound were left out.
func (c *cheapening) giveUp(least int64) { c.levels, c.bound = 0, min(c.bound, least) }

// cutOff makes a cut at a set, out of which comes a bound on others.
func (c *cheapening) cutOff(st state) {
	if c.cutter == nil || len(c.cuts) >= cutsMost {
		return
	}
	if made := c.cutter.cut(st, float64(c.b.plan.cost.money)*nuSteps*1.05+nuSteps); made != nil {
		c.cuts = append(c.cuts, made)
	}
}

// visit bounds the sets of a branch, and splits it or compares the only one.
func (c *cheapening) visit(ctx context.Context, x *branch) {
	b := c.b
	least := b.leastOf(c.cuts, x.st)
	switch {
	case least > b.plan.cost.money:
		return
	case ctx.Err() != nil:
		c.giveUp(least) // and go on: the bounds of the others count too
		return
	case float64(-least) < x.key:
		c.open.add(x.st, float64(-least), x.depth)
		return
	}
	split := -1
	for g, s := range x.st {
		if s == undecided && (split < 0 || b.know.groups[g].worth > b.know.groups[split].worth) {
			split = g
		}
	}
	if split >= 0 {
		c.open.split(x, split)
		return
	}
	if key := x.st.key(); !c.looked[key] {
		c.looked[key] = true
		c.compare(ctx, x.st, least)
	}
}

// compare looks for a better plan in a set, which costs at least so much.
func (c *cheapening) compare(ctx context.Context, st state, least int64) {
	b := c.b
	t := b.try(ctx, st, true)
	switch t.verdict {
	case tooDear:
		b.learn(ctx, st, t)
		return
	case unknown:
		c.giveUp(least)
		return
	}
	rival := b.plan.cost
	a := b.hunt(ctx, t, &rival)
	c.note(a)
	if a.best != nil && a.best.cost.less(rival) {
		b.st, b.plan = st, a.best
	}
	c.cutOff(st)
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
