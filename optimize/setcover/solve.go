package setcover

import (
	"context"
	"math"
	"slices"

	"halfpot/optimize/internal/whole"
)

// Problem asks for columns that together cover every row, of the least
// cost in all and, among the cheapest, the fewest.
type Problem struct {
	Rows [][]int32 // the columns that cover each row: each at most once, at least one
	Cost []int64   // of each column, >= 0
}

// Options tune a solve; the zero value is ready to use.
type Options struct {
	Threads  int          // goroutines that search, at least 1; the answer does not depend on it
	Progress func(Answer) // called from time to time with what is known so far; nil: not called

	bothNodes int64 // nodes after which the cost is proven alone; 0: as many as is usual
}

// Answer is what a solve knows.
type Answer struct {
	Columns []int32 // the best cover known
	Proven  Proof
	Bound   int64 // proven lower bound on the cost; equal to it once that is proven
	Nodes   int64 // nodes looked at
}

// Proof says what of an answer is proven.
type Proof int

const (
	NothingProven Proof = iota
	CostProven          // no cover costs less
	BothProven          // and none of that cost has fewer columns
)

// Solve finds the best cover and proves it. When the context ends first,
// the answer has the best cover found and a bound. ok is false where the sums
// of the costs would not stay exact; then there is no answer.
func Solve(ctx context.Context, p Problem, opt Options) (a Answer, ok bool) {
	if len(p.Rows) == 0 {
		return Answer{Proven: BothProven}, true
	}
	if opt.bothNodes == 0 {
		opt.bothNodes = bothNodes
	}
	c := &solver{Problem: p, opt: opt}
	ok = c.run(ctx)
	return c.a, ok
}

// bothNodes are the nodes after which the cost is proven alone.
const bothNodes = 20000

// coarse is the number of units of money up to which the cost alone is
// hardly easier to prove than cost and number at once.
const coarse = 1000

// solver proves the cost, in whole grains of all costs, and the number of
// columns among the cheapest covers, both at once. Where that takes long, the
// cost is proven alone before.
type solver struct {
	Problem
	opt Options
	a   Answer
}

func (c *solver) run(ctx context.Context) (ok bool) {
	grain, alike := int64(0), true
	for _, p := range c.Cost {
		grain = whole.GCD(grain, p)
		alike = alike && p == c.Cost[0]
	}
	cost := weights{grain: max(grain, 1), money: 1}
	if alike {
		alone := c.search(cost, nil)
		if alone == nil {
			return false
		}
		if !c.prove(ctx, cost, alone) {
			return true
		}
		c.a.Proven = CostProven
		if c.Cost[0] > 0 {
			c.a.Proven = BothProven // as many columns as the cost says
			return true
		}
	}
	return c.solveBoth(ctx, cost)
}

// solveBoth proves cost and number, at once if that does not take too long.
func (c *solver) solveBoth(ctx context.Context, cost weights) (ok bool) {
	both, s := c.both(cost.grain, nil)
	if s == nil {
		if c.a.Proven > NothingProven {
			return true
		}
		alone := c.search(cost, nil)
		if alone == nil {
			return false
		}
		if c.prove(ctx, cost, alone) {
			c.a.Proven = CostProven
		}
		return true
	}
	if s.upper < float64(coarse*both.money) {
		s.limit = c.opt.bothNodes
	}
	if c.prove(ctx, both, s) {
		c.a.Proven = BothProven
		return true
	}
	if s.limit == 0 || ctx.Err() != nil {
		return true
	}
	alone := c.search(cost, s.incumbent)
	if !c.prove(ctx, cost, alone) {
		return true
	}
	c.a.Proven = CostProven
	if both, s = c.both(cost.grain, alone.incumbent); c.prove(ctx, both, s) {
		c.a.Proven = BothProven
	}
	return true
}

// both is a search for the cheapest cover with the fewest columns. It is nil
// where its sums would not stay exact.
func (c *solver) both(grain int64, start []int32) (weights, *search) {
	// No more columns than rows, or one of them is needless.
	w := weights{grain: grain, column: 1, most: int64(len(c.Rows))}
	// Eight times what is needed, where sums allow: the less columns weigh
	// beside the cost, the closer the search is to one for the cost alone.
	w.money = 8 * (w.most + 1)
	s := c.search(w, start)
	if s == nil {
		w.money = w.most + 1
		s = c.search(w, start)
	}
	return w, s
}

// prove runs one search and puts what it finds into the answer.
func (c *solver) prove(ctx context.Context, w weights, s *search) (done bool) {
	before := c.a.Nodes
	s.threads = c.opt.Threads
	s.report = func(lower float64) {
		c.a.Nodes = before + s.nodes
		if c.opt.Progress != nil {
			c.opt.Progress(Answer{
				Columns: slices.Clone(s.incumbent),
				Proven:  c.a.Proven,
				Bound:   max(c.a.Bound, c.costBound(w, lower)),
				Nodes:   c.a.Nodes,
			})
		}
	}
	lower, done := s.run(ctx)
	c.a.Nodes = before + s.nodes
	c.a.Columns = s.incumbent
	c.a.Bound = max(c.a.Bound, c.costBound(w, lower))
	if done {
		c.a.Bound = c.cost(s.incumbent)
	}
	return done
}

func (c *solver) cost(columns []int32) (sum int64) {
	for _, j := range columns {
		sum += c.Cost[j]
	}
	return sum
}

// weights say what a column weighs: money for each unit of its cost, and
// column for being one. A cover has at most most columns where column is not 0.
type weights struct {
	grain, money, column, most int64
}

// exactLimit is the largest weight at which sums of whole multiples of the
// quantum stay exact.
const exactLimit = 1 << 43

// search is nil where its sums would not stay exact.
func (c *solver) search(w weights, start []int32) *search {
	weight := make([]float64, len(c.Cost))
	for j, p := range c.Cost {
		v := whole.SatAdd(whole.SatMul(p/w.grain, w.money), w.column)
		if v >= exactLimit {
			return nil
		}
		weight[j] = float64(v)
	}
	return newSearch(c.Rows, weight, start)
}

// costBound turns a bound on the weight into one on the cost.
func (c *solver) costBound(w weights, lower float64) int64 {
	units := math.Ceil((lower - float64(w.column*w.most)) / float64(w.money))
	if !(units > 0) {
		return 0
	}
	return int64(units) * w.grain
}
