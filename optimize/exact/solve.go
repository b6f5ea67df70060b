package exact

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"

	"halfpot/optimize"
)

// Options tune a solve; the zero value is ready to use. A time limit is
// the context's deadline.
type Options struct {
	// goroutines that search, 8 at most; 0 means one for each core. The answer does not depend on it.
	Threads  int
	Progress func(optimize.Progress) // called from time to time with what is known so far; nil: not called
}

// mostThreads is how many threads can have work at once: as many as the parts
// that a round of the covering search is shared out in.
const mostThreads = 8

// Solve finds a plan of least objective and proves it. When the context ends
// first, the status is Feasible or Unsolved. It returns an error only for a
// problem that Validate refuses, or when its own answer fails Check.
func Solve(ctx context.Context, p *optimize.Problem, opt Options) (*optimize.Result, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if opt.Threads <= 0 {
		opt.Threads = runtime.GOMAXPROCS(0)
	}
	opt.Threads = min(opt.Threads, mostThreads)
	solve := solveWhole
	if p.Rules.Budget != nil {
		solve = solveBudget
	}
	res, err := solve(ctx, p, opt)
	if err != nil {
		return nil, err
	}
	if res.Status == optimize.Feasible || res.Status == optimize.Unsolved {
		res.Stop = optimize.ByPrecision
		if ctx.Err() != nil {
			res.Stop = optimize.ByLimit
		}
	}
	if res.Status == optimize.Optimal || res.Status == optimize.Feasible {
		if err := optimize.Check(p, res); err != nil {
			return nil, fmt.Errorf("internal error: the plan found does not pass its own check: %w", err)
		}
	}
	return res, nil
}

// solveWhole solves a problem without a budget.
func solveWhole(ctx context.Context, p *optimize.Problem, opt Options) (*optimize.Result, error) {
	m, err := compile(p, nil)
	var none impossible
	if errors.As(err, &none) {
		return infeasible(ctx, p), nil
	}
	if err != nil {
		return nil, err
	}
	h := hunt{m: m, threads: opt.Threads}
	if opt.Progress != nil {
		h.report = func(best *solution, bound, nodes int64) {
			pr := optimize.Progress{Bound: bound, Nodes: nodes, Troubles: h.troubles}
			if best != nil {
				pr.Best, pr.Found = best.cost.money, true
			}
			opt.Progress(pr)
		}
	}
	a := h.run(ctx)
	switch {
	case a.best == nil && a.done:
		return infeasible(ctx, p), nil
	case a.best == nil:
		return &optimize.Result{Status: optimize.Unsolved, Currency: p.Currency}, nil
	}
	res := a.best.m.result(a.best)
	res.ProvenLevels = a.proven
	res.Status = optimize.Feasible
	if a.proven == 4 {
		res.Status = optimize.Optimal
	}
	res.Totals.Bound = min(a.bound, res.Totals.Objective)
	return res, nil
}

// hunt looks for the best plan of one model, level by level of the objective.
type hunt struct {
	m       *model
	threads int
	seed    *solution // where set, a plan to start from
	rival   *vector   // where set, only plans that beat it are wanted
	report  func(best *solution, bound, nodes int64)

	nodes    int64
	troubles int64 // see optimize.Progress
}

// answer is what a hunt brings back.
type answer struct {
	best   *solution // nil: no plan is known (that beats the rival)
	proven int       // levels of the objective
	bound  int64     // proven lower bound on the money
	// nothing better than best exists in the levels proven; without best: there is no plan (that beats
	// the rival)
	done bool
}

func (h *hunt) run(ctx context.Context) answer {
	if h.seed == nil && h.rival == nil {
		if c := h.m.covering(); c != nil {
			if a, ok := h.covers(ctx, c); ok {
				return a
			}
		}
	}
	a := answer{best: h.seed, bound: h.m.leastMoney()}
	only := 0
	if h.coarse(a.best) {
		only = 1
	}
	for a.proven < 4 {
		ph, ok := h.m.next(a.proven, a.best, only)
		only = 0
		if !ok {
			break
		}
		if !h.search(ctx, h.m.bestTilt(ph), &a) {
			break
		}
	}
	return a
}

// coarse says whether plans cost so few grains of money that the cost is best
// proven alone at first.
func (h *hunt) coarse(seed *solution) bool {
	if seed == nil {
		seed = h.m.quickPlan()
	}
	if seed == nil {
		return false
	}
	grain, _ := h.m.moneyGrain()
	return seed.cost.money/grain < coarseGrains
}

// quickPlan is a plan made in little time; nil where none comes easily.
func (m *model) quickPlan() *solution {
	ph := m.weighing(0, nil, 1)
	s := &search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1)}
	k := newWorker(m, ph.w)
	d := newDomain(m)
	if !m.propagate(d, k.facts) {
		return nil
	}
	k.rootStart(s, d)
	best, _ := k.construct(s, d, nil, false)
	return best
}

// phaseSearch makes the search of a phase; only plans that weigh less than limit are wanted.
func (h *hunt) phaseSearch(ph phase, a *answer) (s *search, limit float64) {
	s = &search{m: h.m, w: ph.w, grain: ph.grain, upper: math.Inf(1), mayTurn: h.mayTurn(ph, a), moneyMost: noCap}
	needs := len(h.m.members)
	s.mayPass = s.mayTurn && (passForced || fewNeeds <= needs && needs <= manyNeeds)
	s.workers = make([]*worker, h.threads)
	limit = math.Inf(1)
	if h.rival != nil {
		limit = s.weight(*h.rival)
		if ph.levels < 4 {
			limit += ph.grain // a plan as good so far may be better later
		}
	}
	if a.best != nil {
		s.incumbent, s.upper = a.best, min(s.weight(a.best.cost), limit)
	}
	return s, limit
}

// search runs one phase and says whether the next one can follow.
func (h *hunt) search(ctx context.Context, ph phase, a *answer) bool {
	s, limit := h.phaseSearch(ph, a)
	inner, stop := context.WithCancel(ctx)
	defer stop()
	beaten := false // no plan weighs less than the limit
	before, troubles := h.nodes, h.troubles
	s.report = func(lower float64) {
		s.upper = min(s.upper, limit)
		if lower > limit-ph.grain {
			beaten = true
			stop()
		}
		h.nodes, h.troubles = before+s.nodes, troubles+s.troubles.Load()
		if h.report != nil {
			h.report(s.incumbent, max(a.bound, ph.moneyBound(lower)), h.nodes)
		}
	}
	lower, done := s.run(inner)
	h.nodes = before + s.nodes
	if s.turned {
		a.bound = max(a.bound, ph.moneyBound(lower))
		proven, worth := h.searchLinear(ctx, s, a)
		if worth {
			return proven
		}
		before = h.nodes - s.nodes
		s.mayTurn, s.mayPass, s.turned = false, false, false
		if s.open.Len() > 0 {
			lower, done = s.goOn(inner)
		} else {
			lower, done = s.run(inner) // it turned at its root
		}
		h.nodes = before + s.nodes
	}
	if math.IsInf(lower, -1) && !done && s.incumbent != nil { // stopped before the first bound
		lower = h.m.rootBound(ph, s.weight(s.incumbent.cost))
	}
	a.best = s.incumbent
	return h.conclude(s, ph, limit, lower, done, beaten, a)
}

// conclude takes into the answer what a search for plans below a limit has come to: the
// bound lower, the whole problem done with, or all plans of that limit beaten.
func (h *hunt) conclude(s *search, ph phase, limit, lower float64, done, beaten bool, a *answer) (proven bool) {
	rough := h.m.rough() || s.m.rough()
	if !rough && (!done && !beaten || !ph.exact) {
		a.bound = max(a.bound, ph.moneyBound(lower))
	}
	if !done && !beaten {
		if h.rival != nil && a.best != nil && !a.best.cost.less(*h.rival) {
			a.best = nil
		}
		if ph.exact && !rough && h.rival == nil && a.best != nil && a.bound >= a.best.cost.money {
			a.proven = max(a.proven, 1) // what is open can only be better in the later levels
		}
		return false
	}
	if h.rival != nil && a.best != nil && s.weight(a.best.cost) >= limit {
		a.best = nil
	}
	if !ph.exact || rough {
		// Nothing is proven but what follows from having looked everywhere.
		a.done = a.best == nil && !rough && h.rival == nil
		return false
	}
	a.done = true
	if a.best == nil {
		return false
	}
	a.proven, a.bound = ph.levels, a.best.cost.money
	return true
}

// leastMoney is what no plan can cost less than: the money off that can be had.
func (m *model) leastMoney() int64 {
	sum := int64(0)
	for h := range m.bands {
		least := int64(0)
		for _, b := range m.bands[h] {
			least = min(least, b.From+b.Fee)
		}
		sum += least
	}
	return sum
}
