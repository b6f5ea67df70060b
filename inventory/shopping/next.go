package shopping

import (
	"context"
	"fmt"
	"slices"
	"sort"

	"halfpot/optimize"
)

// NextPlans gives the n best plans that differ in what they buy, the best
// first; fewer where there are no more. Where a limit stops the solver, they are
// the best it found. Each later plan lacks at least one box
// of each earlier one, so none is an earlier plan with something on top.
//
// The method is that of Lawler, "A procedure for computing the K best
// solutions to discrete optimization problems", Management Science 18(7),
// 1972: what remains after a plan is split by which of its boxes is missing,
// and each part is solved on its own.
func (q *Question) NextPlans(ctx context.Context, solve Solver, n int) ([]*Answer, error) {
	first, err := q.Solve(ctx, solve)
	if err != nil || !first.Found() {
		return nil, err
	}
	open := []part{{nil, first.Result}}
	tried := map[string]bool{}
	var out []*Answer
	for len(open) > 0 && len(out) < n {
		sort.SliceStable(open, func(i, j int) bool { return better(open[i].result, open[j].result) })
		best := open[0]
		open = open[1:]
		// Parts overlap: what this one found may hold an earlier plan. Then it is
		// split by that plan's boxes instead of being told again.
		split := best.result
		if i := slices.IndexFunc(out, func(a *Answer) bool { return contains(best.result, a.Result) }); i >= 0 {
			split = out[i].Result
		} else {
			out = append(out, &Answer{q, best.result})
		}
		if len(out) == n {
			break
		}
		for _, b := range split.Buy {
			limits := best.with(offerKey{b.Product, b.Shop}, b.Count-1)
			key := fmt.Sprint(sortedLimits(limits))
			if tried[key] {
				continue
			}
			tried[key] = true
			r, err := solve(ctx, limited(q.Problem, limits))
			if err != nil {
				return nil, err
			}
			if r.Totals != nil {
				open = append(open, part{limits, r})
			}
		}
	}
	return out, nil
}

// part is a piece of the plans there are: those within some limits, with the
// best of them.
type part struct {
	limits map[offerKey]int64
	result *optimize.Result
}

func (p part) with(k offerKey, limit int64) map[offerKey]int64 {
	m := map[offerKey]int64{k: limit}
	for o, l := range p.limits {
		if o != k {
			m[o] = l
		}
	}
	return m
}

func sortedLimits(m map[offerKey]int64) []string {
	var s []string
	for k, l := range m {
		s = append(s, fmt.Sprint(k.product, "@", k.shop, "<=", l))
	}
	sort.Strings(s)
	return s
}

// limited is the problem with lower limits on some offers.
func limited(p *optimize.Problem, limits map[offerKey]int64) *optimize.Problem {
	c := varied(p)
	for i, o := range c.Offers {
		if l, ok := limits[offerKey{o.Product, o.Shop}]; ok && (o.Limit == nil || l < *o.Limit) {
			c.Offers[i].Limit = &l
		}
	}
	return c
}

// better orders plans as the problem's objective does.
func better(a, b *optimize.Result) bool {
	x, y := a.Totals, b.Totals
	switch {
	case x.Worth != y.Worth:
		return x.Worth > y.Worth
	case x.Objective != y.Objective:
		return x.Objective < y.Objective
	case x.Points != y.Points:
		return x.Points < y.Points
	case x.Boxes != y.Boxes:
		return x.Boxes < y.Boxes
	}
	return x.ShopsUsed < y.ShopsUsed
}

// contains reports whether one plan buys all that another does.
func contains(more, less *optimize.Result) bool {
	for _, b := range less.Buy {
		if bought(more, b.Product, b.Shop) < b.Count {
			return false
		}
	}
	return true
}
