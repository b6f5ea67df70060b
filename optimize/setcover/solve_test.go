package setcover

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"halfpot/optimize/internal/testkit"
)

// instance is a random covering problem in the form that the solver takes.
func instance(rows [][]int, cost []int64) Problem {
	p := Problem{Cost: cost}
	for _, cols := range rows {
		row := make([]int32, len(cols))
		for k, j := range cols {
			row[k] = int32(j)
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}

// leastCover looks at all sets of columns: the least cost and, of that cost,
// the fewest columns.
func leastCover(rows [][]int, cost []int64) (money int64, columns int) {
	money = math.MaxInt64
	masks := make([]uint32, len(rows))
	for i, cols := range rows {
		for _, j := range cols {
			masks[i] |= 1 << j
		}
	}
	for set := range uint32(1) << len(cost) {
		if slices.ContainsFunc(masks, func(m uint32) bool { return m&set == 0 }) {
			continue
		}
		sum, n := int64(0), 0
		for j, c := range cost {
			if set>>j&1 == 1 {
				sum, n = sum+c, n+1
			}
		}
		if sum < money || sum == money && n < columns {
			money, columns = sum, n
		}
	}
	return money, columns
}

// costOf is the cost of an answer's columns; it fails where they leave a row open.
func costOf(t *testing.T, p Problem, a Answer) (sum int64) {
	t.Helper()
	for i, row := range p.Rows {
		if !slices.ContainsFunc(row, func(j int32) bool { return slices.Contains(a.Columns, j) }) {
			t.Fatalf("row %d is not covered", i)
		}
	}
	for _, j := range a.Columns {
		sum += p.Cost[j]
	}
	return sum
}

func TestSolveAgainstEverySet(t *testing.T) {
	for seed := range uint64(testkit.Few(1000, 20000)) {
		r := rand.New(rand.NewPCG(seed, 1))
		dearest := []int64{1, 3, 40, 5000}[seed%4]
		rows, cost := testkit.RandomCovering(seed, 1+r.IntN(9), 2+r.IntN(10), 0.1+0.4*r.Float64(), dearest)
		if seed%5 == 0 {
			cost[r.IntN(len(cost))] = 0
		}
		money, columns := leastCover(rows, cost)
		p := instance(rows, cost)
		a, ok := Solve(t.Context(), p, Options{Threads: 1})
		if !ok || a.Proven != BothProven || a.Bound != money || costOf(t, p, a) != money ||
			len(a.Columns) != columns {
			t.Fatalf("seed %d: %+v, want cost %d by %d columns", seed, a, money, columns)
		}
	}
}

// TestSolveAnotherWay has covers that take some branching: without linear
// relaxations, and with the cost proven alone, the answer is the same.
func TestSolveAnotherWay(t *testing.T) {
	branched := 0
	for seed := range uint64(testkit.Few(30, 300)) {
		r := rand.New(rand.NewPCG(seed, 5))
		rows, cost := testkit.RandomCovering(seed, 40+r.IntN(40), 40+r.IntN(40), 0.05+0.1*r.Float64(),
			[]int64{1, 4, 100}[seed%3])
		p := instance(rows, cost)
		want, ok := Solve(t.Context(), p, Options{})
		if !ok || want.Proven != BothProven {
			t.Fatalf("seed %d: %+v", seed, want)
		}
		if want.Nodes > 1 {
			branched++
		}
		got, ok := Solve(t.Context(), p, Options{bothNodes: 1})
		if !ok || got.Proven != BothProven || got.Bound != want.Bound || costOf(t, p, got) != want.Bound ||
			len(got.Columns) != len(want.Columns) {
			t.Errorf("seed %d: with the cost alone %+v, want %+v", seed, got, want)
		}
		c := &solver{Problem: p}
		w, s := c.both(1, nil)
		s.lpMost = 0
		if _, done := s.run(t.Context()); !done ||
			s.upper != float64(w.money*want.Bound+int64(len(want.Columns))) {
			t.Errorf("seed %d: without linear relaxations %v, want %+v", seed, s.upper, want)
		}
	}
	if branched == 0 {
		t.Error("no cover took any branching")
	}
}

// TestThreads has covers of which nodes are shared out: the plan and the
// nodes looked at are the same for all numbers of threads.
func TestThreads(t *testing.T) {
	shared := 0
	for seed := range uint64(testkit.Few(3, 13)) {
		p := instance(testkit.RandomCovering(seed+1, 100, 200, 0.08, 4))
		if seed >= 3 { // a long dose
			p = instance(testkit.RandomCovering(seed-2, 300, 3000, 0.05, 100))
		}
		var first Answer
		for threads := 1; threads <= 3; threads++ {
			a, _ := Solve(t.Context(), p, Options{Threads: threads})
			if threads == 1 {
				first = a
			}
			if a.Proven != BothProven || a.Nodes != first.Nodes || !slices.Equal(a.Columns, first.Columns) {
				t.Errorf("seed %d, %d threads: %+v, want %+v", seed, threads, a, first)
			}
		}
		if first.Nodes > firstNodes {
			shared++
		}
	}
	if shared == 0 {
		t.Error("no cover took so many nodes that parts were shared out")
	}
}

// TestStopped has a cover whose search is stopped: the bound is one.
func TestStopped(t *testing.T) {
	p := instance(testkit.RandomCovering(2, 400, 4000, 0.05, 100))
	for _, after := range []int{0, 1, 4} {
		ctx, stop := context.WithCancel(t.Context())
		if after == 0 {
			stop()
		}
		reports := 0
		a, ok := Solve(ctx, p, Options{Threads: 2, Progress: func(Answer) {
			if reports++; reports == after {
				stop()
			}
		}})
		stop()
		// 71 is what the whole search proves.
		if cost := costOf(t, p, a); !ok || a.Proven != NothingProven || cost < 71 || a.Bound > 71 ||
			after > 0 && a.Bound < 60 {
			t.Errorf("stopped after %d reports: cost %d, bound %d, proven %v; "+
				"want 71 between bound and cost", after, cost, a.Bound, a.Proven)
		}
	}
}

// BenchmarkSolve makes problems of the sizes of the OR-Library's classes.
func BenchmarkSolveCover(b *testing.B) {
	for _, c := range []struct {
		class      string
		rows, cols int
		share      float64
	}{
		{"4", 200, 1000, 0.02},
		{"5", 200, 2000, 0.02},
		{"6", 200, 1000, 0.05},
		{"A", 300, 3000, 0.02},
		{"B", 300, 3000, 0.05},
	} {
		for seed := range uint64(3) {
			b.Run(fmt.Sprintf("class=%s/seed=%d", c.class, seed), func(b *testing.B) {
				p := instance(testkit.RandomCovering(seed, c.rows, c.cols, c.share, 100))
				for b.Loop() {
					if a, ok := Solve(b.Context(), p, Options{Threads: 1}); !ok || a.Proven != BothProven {
						b.Fatal(a, ok)
					}
				}
			})
		}
	}
}
