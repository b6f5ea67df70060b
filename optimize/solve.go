package optimize

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
)

// SolveOptions tune a solve; the zero value is ready to use. A time limit is
// the context's deadline.
type SolveOptions struct {
	Threads  int            // goroutines that search; 0 means one for each core. The answer does not depend on it.
	Progress func(Progress) // called from time to time with what is known so far; nil: not called
}

// Progress is what a running solve knows.
type Progress struct {
	Best  int64 // objective of the best plan so far
	Found bool  // whether there is one
	Bound int64 // proven lower bound
	Nodes int64 // parts of the search looked at
}

// Solve finds a plan of least objective and proves it. When the context ends
// first, the status is Feasible or Unsolved. It returns an error only for a
// problem that Validate refuses, or when its own answer fails Check.
func Solve(ctx context.Context, p *Problem, opt SolveOptions) (*Result, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if opt.Threads <= 0 {
		opt.Threads = runtime.GOMAXPROCS(0)
	}
	res, err := solveWhole(ctx, p, opt)
	if err != nil {
		return nil, err
	}
	if res.Status == Optimal || res.Status == Feasible {
		if err := Check(p, res); err != nil {
			return nil, fmt.Errorf("internal error: the plan found does not pass its own check: %w", err)
		}
	}
	return res, nil
}

// solveWhole solves a problem without a budget.
func solveWhole(ctx context.Context, p *Problem, opt SolveOptions) (*Result, error) {
	m, err := compile(p, nil)
	var none impossible
	if errors.As(err, &none) {
		return infeasible(ctx, p), nil
	}
	if err != nil {
		return nil, err
	}
	var best *solution
	proven, bound := 0, int64(math.MinInt64)
	for _, ph := range m.phases() {
		s := &search{m: m, w: ph.w, unit: ph.unit, ub: math.Inf(1)}
		if best != nil {
			s.best, s.ub = best, s.weight(best.cost)
		}
		for range opt.Threads {
			s.workers = append(s.workers, newWorker(m, ph.w))
		}
		if opt.Progress != nil {
			s.report = func(lower float64) {
				pr := Progress{Bound: max(bound, ph.moneyBound(lower)), Nodes: s.nodes}
				if s.best != nil {
					pr.Best, pr.Found = s.best.cost.money, true
				}
				opt.Progress(pr)
			}
		}
		lower, done := s.run(ctx)
		best = s.best
		if !done {
			bound = max(bound, ph.moneyBound(lower))
			break
		}
		if best == nil {
			return infeasible(ctx, p), nil
		}
		bound = best.cost.money
		if m.rough {
			break
		}
		proven = ph.levels
	}
	if best == nil {
		return &Result{Status: Unsolved, Currency: p.Currency}, nil
	}
	res := m.result(best)
	res.ProvenLevels = proven
	res.Status = Feasible
	if proven == 4 {
		res.Status = Optimal
	}
	res.Totals.Bound = min(bound, res.Totals.Objective)
	return res, nil
}

// phase is one search with one set of weights: it proves the objective's
// first levels.
type phase struct {
	w      weights
	unit   float64
	levels int
	rest   float64 // the most that the levels after money can weigh
}

// moneyBound turns a bound on the weight into one on the money.
func (ph phase) moneyBound(lower float64) int64 {
	if math.IsInf(lower, 0) || math.IsNaN(lower) {
		return math.MinInt64
	}
	return int64(math.Ceil((lower - ph.rest) / ph.w.money))
}

// exactLimit is the largest weight at which sums of whole multiples of the
// quantum stay exact with room to spare.
const exactLimit = 1 << 43

// phases decides whether all levels can be searched at once, each outweighing
// the later ones, or whether the numbers are too large for that.
func (m *model) phases() []phase {
	points, boxes, shops := m.largest()
	most := m.mostMoney()
	boxW := shops + 1
	pointW := boxW*boxes + shops + 1
	moneyW := pointW*points + boxW*boxes + shops + 1
	moneyW = math.Ceil(moneyW/nuSteps) * nuSteps
	if moneyW*most < exactLimit {
		w := weights{moneyW, pointW, boxW, 1, quantumFor(moneyW * most)}
		return []phase{{w, 1, 4, pointW*points + boxW*boxes + shops}}
	}
	first := phase{weights{money: 1, quantum: quantumFor(most)}, 1, 1, 0}
	return []phase{first}
}

// quantumFor is the power of two that leaves room for sums 2^9 times as large
// as the weight of a plan.
func quantumFor(weight float64) float64 {
	e := math.Ceil(math.Log2(weight+1)) + 9 - 52
	return math.Exp2(math.Max(-20, e))
}

// largest bounds what a best plan can have of points, boxes and shops.
func (m *model) largest() (points, boxes, shops float64) {
	for n := range m.members {
		most := int64(0)
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			most = max(most, m.optPts[o])
		}
		points += float64(most)
	}
	for q := range m.have {
		least := int64(math.MaxInt64)
		for _, s := range m.sources[q] {
			least = min(least, s.ul)
		}
		if len(m.sources[q]) > 0 && m.most[q] > m.have[q] {
			boxes += float64(ceilDiv(m.most[q]-m.have[q], least))
		}
	}
	for h := range m.bands {
		least := int64(math.MaxInt64)
		for _, f := range m.fillers[h] {
			if f.price > 0 {
				least = min(least, f.price)
			}
		}
		if m.filler[h] {
			boxes += 1 + float64(m.bands[h][len(m.bands[h])-1].From)/float64(least)
		}
	}
	return points, math.Ceil(boxes), float64(min(m.maxShops, len(m.bands)))
}

// mostMoney bounds what a sensible plan costs: every paint from its dearest
// offer, every shop's charge, every option's points.
func (m *model) mostMoney() float64 {
	sum := 1.0
	for q := range m.have {
		most := 0.0
		for _, s := range m.sources[q] {
			most = max(most, float64(m.price[s.off])*float64(ceilDiv(max(0, m.most[q]-m.have[q]), s.ul)))
		}
		sum += most
	}
	for h := range m.bands {
		fee := 0.0
		for _, b := range m.bands[h] {
			fee = max(fee, math.Abs(float64(b.Fee)))
		}
		sum += fee + float64(m.bands[h][len(m.bands[h])-1].From)
	}
	for n := range m.members {
		most := int64(0)
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			most = max(most, m.optPts[o])
		}
		sum += float64(most) * float64(m.cp)
	}
	return sum
}

// infeasible says that no plan exists and why.
func infeasible(ctx context.Context, p *Problem) *Result {
	return &Result{Status: Infeasible, Currency: p.Currency}
}
