package exact

import (
	"context"
	"errors"
	"slices"

	"halfpot/optimize"
)

// A problem with a budget is solved in two searches over sets of groups. The
// first finds the greatest worth: best-first, with cuts (see cutter) that
// bound what sets cost, and the search of one model to say whether a set that
// passes them can be bought within the budget. Cost never falls when a group
// more is finished, so no set that holds one found too dear is looked at again.
// The second compares the sets of just that worth on the other levels.
//
// A need belongs to the group it names; needs of groups that are not listed,
// of no group, and of groups without worth are never met: meeting them brings
// nothing and saves nothing. A listed group without needs is always finished.
type budgeter struct {
	p       *optimize.Problem
	threads int
	report  func(optimize.Progress)

	know   knowledge
	cutter *cutter // nil where its sums would not be exact
	cap    int64
	off    int64 // money off that can be had at most

	free  int64 // worth of the groups without needs
	tried map[string]*trial

	st    state
	plan  *solution
	worth int64 // of st, without free
	bound int64 // no set within the budget is worth more, without free
	nodes int64
}

// trial is a set of groups that was tried.
type trial struct {
	m       *model    // nil where the set can't be had
	plan    *solution // within the budget
	verdict verdict
	atOnce  bool // the bound alone shows that it is too dear
}

type verdict int8

const (
	unknown verdict = iota
	affordable
	tooDear
)

// solveBudget solves a problem with a budget. The result is never Infeasible:
// to finish nothing is a plan. While the greatest worth is not proven,
// Totals.Bound is a bound on the objective of any plan at all.
func solveBudget(ctx context.Context, p *optimize.Problem, opt Options) (*optimize.Result, error) {
	b, err := newBudgeter(p, opt)
	if err != nil {
		return nil, err
	}
	proven, bound := 0, -b.off
	if b.raise(ctx) {
		proven = 1
		var levels int
		levels, bound = b.cheapen(ctx)
		proven += levels
	}
	res := b.plan.m.result(b.plan)
	res.ProvenLevels = proven
	res.Status = optimize.Feasible
	if proven == 5 {
		res.Status = optimize.Optimal
	}
	res.Finished = b.finished()
	res.Totals.Worth, res.Totals.WorthBound = b.worth+b.free, b.bound+b.free
	res.Totals.Bound = min(bound, res.Totals.Objective)
	return res, nil
}

func newBudgeter(p *optimize.Problem, opt Options) (*budgeter, error) {
	b := &budgeter{
		p:       p,
		threads: opt.Threads,
		report:  opt.Progress,
		cap:     *p.Rules.Budget,
		tried:   map[string]*trial{},
	}
	needs := map[string][]int{}
	for n, need := range p.Needs {
		needs[need.Group] = append(needs[need.Group], n)
	}
	for g, group := range p.Groups {
		of := needs[group.ID]
		if len(of) == 0 {
			b.free += group.Worth
			continue
		}
		if group.Worth == 0 {
			continue
		}
		u := openGroup{g, group.Worth, of}
		if _, err := compile(p, b.keep([]openGroup{u}, state{finished})); err == nil {
			b.know.groups = append(b.know.groups, u)
		}
	}
	b.st = make(state, len(b.know.groups))
	for g := range b.st {
		b.st[g] = leftOut
	}
	m, err := compile(p, b.keep(nil, nil))
	if err != nil {
		return nil, err
	}
	b.off = -m.leastMoney()
	plan, ok := m.value(make([]int32, len(m.price)), nil)
	if !ok {
		return nil, errors.New("internal error: not even buying nothing is a plan")
	}
	b.plan = plan
	b.bound = b.know.worth(make(state, len(b.st)), undecided)
	b.know.cap = float64(b.cap) * nuSteps
	if len(b.know.groups) > 0 {
		if b.cutter, err = newCutter(p, b.know.groups, false, b.cap+b.off+1); err != nil {
			return nil, err
		}
		if !b.cutter.exact() {
			b.cutter = nil
		}
	}
	return b, nil
}

// keep marks the needs of the finished groups.
func (b *budgeter) keep(groups []openGroup, st state) []bool {
	keep := make([]bool, len(b.p.Needs))
	for g, s := range st {
		if s == finished {
			for _, n := range groups[g].needs {
				keep[n] = true
			}
		}
	}
	return keep
}

func (b *budgeter) finished() (ids []string) {
	done := map[int]bool{}
	for g, s := range b.st {
		done[b.know.groups[g].index] = s == finished
	}
	needs := map[string]bool{}
	for _, n := range b.p.Needs {
		needs[n.Group] = true
	}
	for g, group := range b.p.Groups {
		if done[g] || !needs[group.ID] {
			ids = append(ids, group.ID)
		}
	}
	return ids
}

// raise looks for the greatest worth and says whether it is proven.
func (b *budgeter) raise(ctx context.Context) bool {
	k := &b.know
	all := make(state, len(k.groups))
	var q branches
	q.add(slices.Clone(all), float64(b.bound), 0)
	for g := range all {
		all[g] = finished
	}
	b.addCut(all)
	loose, repaired := int64(0), false
	for q.Len() > 0 {
		x := q.take()
		b.bound = max(int64(x.key), loose)
		b.tell()
		if ctx.Err() != nil || int64(x.key) <= b.worth {
			break
		}
		if !k.propagate(x.st) {
			continue
		}
		bound, split, guess := k.most(x.st)
		if bound < int64(x.key) {
			q.add(x.st, float64(bound), x.depth)
			continue
		}
		if k.worth(guess, finished) < bound || !k.allowed(guess) {
			if split >= 0 {
				q.split(x, split)
			}
			continue
		}
		switch t := b.try(ctx, guess, true); {
		case t.verdict == affordable:
			b.st, b.plan, b.worth = guess, t.plan, bound
		case t.verdict == unknown && ctx.Err() != nil:
			return false
		default:
			if t.verdict == unknown {
				loose = max(loose, bound)
			}
			b.learn(ctx, guess, t)
			if !repaired {
				b.repair(ctx, guess)
				repaired = true
			}
			if ctx.Err() != nil {
				return false
			}
		}
		q.add(x.st, x.key, x.depth)
	}
	if ctx.Err() != nil && b.bound > b.worth {
		return false
	}
	b.bound = max(b.worth, loose)
	return b.bound == b.worth
}

func (b *budgeter) tell() {
	if b.report != nil {
		b.report(optimize.Progress{Best: b.plan.cost.money, Found: true, Bound: -b.off, Nodes: b.nodes,
			Worth: b.worth + b.free, WorthBound: max(b.bound, b.worth) + b.free})
	}
}

// cutsMost is how many cuts are kept at most.
const cutsMost = 200

func (b *budgeter) addCut(st state) {
	if b.cutter == nil || len(b.know.cuts) >= cutsMost {
		return
	}
	if c := b.cutter.cut(st, b.know.cap*1.05+nuSteps); c != nil {
		b.know.cuts = append(b.know.cuts, c)
	}
}

// repair leaves groups out of a set that is too dear, those of least worth for
// their share first, until it can be had: a plan to hold on to.
func (b *budgeter) repair(ctx context.Context, from state) {
	if len(b.know.cuts) == 0 {
		return
	}
	var order []int32
	for _, g := range b.know.cuts[len(b.know.cuts)-1].order {
		if from[g] == finished {
			order = append(order, g)
		}
	}
	first := func(n int) state {
		st := slices.Clone(b.st)
		for g := range st {
			st[g] = leftOut
		}
		for _, g := range order[:n] {
			st[g] = finished
		}
		return st
	}
	lo, hi := 0, len(order) // the first lo can be had
	for hi-lo > 1 && ctx.Err() == nil {
		mid := (lo + hi) / 2
		st := first(mid)
		if t := b.try(ctx, st, false); t.verdict == affordable {
			lo = mid
			if w := b.know.worth(st, finished); w > b.worth {
				b.st, b.plan, b.worth = st, t.plan, w
			}
		} else {
			hi = mid
		}
	}
}
