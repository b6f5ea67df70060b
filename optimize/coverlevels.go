package optimize

import (
	"context"
	"math"
)

// covers solves a cover: the cost, in whole units of all prices, and the number
// of boxes among the cheapest plans, both at once. Where that takes long, the
// cost is proven alone before. The other two levels are the same for all plans.
// ok is false where the sums would not stay exact.
func (h *hunt) covers(ctx context.Context, c *cover) (a answer, ok bool) {
	return h.coversBy(ctx, c, bothNodes)
}

// coversBy is covers where both at once may take so many nodes.
func (h *hunt) coversBy(ctx context.Context, c *cover, limit int64) (a answer, ok bool) {
	if len(c.rows) == 0 {
		best := c.solution(nil)
		return answer{best: best, proven: 4, bound: best.cost.money, done: true}, true
	}
	a.bound = c.fee
	unit, alike := int64(0), true
	for _, p := range c.price {
		unit = gcd(unit, p)
		alike = alike && p == c.price[0]
	}
	cost := coverWeights{unit: max(unit, 1), money: 1}
	var alone *coverSearch
	if alike {
		if alone = c.search(cost, nil); alone == nil {
			return a, false
		}
		if !h.cover(ctx, c, cost, alone, &a) {
			return a, true
		}
		a.proven = 1
		if c.price[0] > 0 {
			a.proven = 4 // as many boxes as the cost says
			return a, true
		}
	}
	both, s := c.both(cost.unit, nil)
	if s == nil {
		if a.proven > 0 {
			return a, true
		}
		if alone = c.search(cost, nil); alone == nil {
			return a, false
		}
		if h.cover(ctx, c, cost, alone, &a) {
			a.proven = 1
		}
		return a, true
	}
	if s.ub < float64(coarse*both.money) {
		s.limit = limit
	}
	if h.cover(ctx, c, both, s, &a) {
		a.proven = 4
		return a, true
	}
	if s.limit == 0 || ctx.Err() != nil {
		return a, true
	}
	if alone = c.search(cost, s.best); !h.cover(ctx, c, cost, alone, &a) {
		return a, true
	}
	a.proven = 1
	if both, s = c.both(cost.unit, alone.best); h.cover(ctx, c, both, s, &a) {
		a.proven = 4
	}
	return a, true
}

// bothNodes are the nodes after which the cost is proven alone.
const bothNodes = 20000

// both is a search for the cheapest plan with the fewest boxes. It is nil where
// its sums would not stay exact.
func (c *cover) both(unit int64, start []int32) (coverWeights, *coverSearch) {
	// No more boxes than needs, or one of them is needless.
	w := coverWeights{unit: unit, box: 1, most: int64(len(c.rows))}
	// Eight times what is needed, where sums allow: the less boxes weigh beside
	// the cost, the closer the search is to one for the cost alone.
	w.money = 8 * (w.most + 1)
	s := c.search(w, start)
	if s == nil {
		w.money = w.most + 1
		s = c.search(w, start)
	}
	return w, s
}

// cover runs one search and puts what it finds into the answer.
func (h *hunt) cover(ctx context.Context, c *cover, w coverWeights, s *coverSearch, a *answer) (done bool) {
	before := h.nodes
	s.threads = h.threads
	s.report = func(lower float64) {
		h.nodes = before + s.nodes
		if h.report != nil {
			h.report(c.solution(s.best), max(a.bound, c.moneyBound(w, lower)), h.nodes)
		}
	}
	lower, done := s.run(ctx)
	h.nodes = before + s.nodes
	a.best = c.solution(s.best)
	a.bound = max(a.bound, c.moneyBound(w, lower))
	if done {
		a.done, a.bound = true, a.best.cost.money
	}
	return done
}

// coverWeights say what a column weighs: money for each unit of its price, and
// box for being one. A plan has at most most boxes where box is not 0.
type coverWeights struct {
	unit, money, box, most int64
}

// search is nil where its sums would not stay exact.
func (c *cover) search(w coverWeights, start []int32) *coverSearch {
	weight := make([]float64, len(c.price))
	for j, p := range c.price {
		v := satAdd(satMul(p/w.unit, w.money), w.box)
		if v >= exactLimit {
			return nil
		}
		weight[j] = float64(v)
	}
	return newCoverSearch(c.rows, weight, start)
}

// moneyBound turns a bound on the weight into one on the money.
func (c *cover) moneyBound(w coverWeights, lower float64) int64 {
	units := math.Ceil((lower - float64(w.box*w.most)) / float64(w.money))
	if !(units > 0) {
		return c.fee
	}
	return int64(units)*w.unit + c.fee
}
