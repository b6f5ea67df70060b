package setcover

import (
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"halfpot/optimize/internal/pseudocost"
)

const (
	firstNodes = 64  // looked at before open nodes are shared out
	taskNodes  = 250 // looked at below a node before what is left of it is shared out again
	taskParts  = 8   // shared out at a time, whatever the number of threads
)

// openNode is a node left for later, and the basis its relaxation starts from.
type openNode struct {
	node  *subproblem
	depth int
	basis basis
}

// observation is what branching on a column has done to the bound.
type observation struct {
	id   int32
	side int
	gain float64
}

// leave puts the node, as it is, aside.
func (s *search) leave(p *subproblem, depth int) {
	t := openNode{node: p, depth: depth}
	if s.lp != nil {
		t.basis = s.bases[depth].clone()
	}
	clear(p.state)
	clear(p.drop)
	s.left = append(s.left, t)
}

// lower is the bound of all that is not yet done.
func (s *search) lower() float64 {
	lower := s.upper
	for _, t := range s.left {
		lower = min(lower, t.node.bound)
	}
	return lower
}

// run searches until all is proven, the limit is reached or the context ends.
// Parts are shared out in rounds; what a round finds is put together in the
// order of its nodes, so that the answer is the same for all numbers of threads.
func (s *search) run(ctx context.Context) (lower float64, done bool) {
	s.ctx = ctx
	p := s.get()
	if !p.build(s.root, s) {
		return s.upper, true
	}
	s.pseudocosts = make([]pseudocost.Cost, len(s.cost))
	s.small = s.grain / 1000
	s.budget = firstNodes
	if s.limit > 0 {
		s.budget = min(s.budget, s.limit)
	}
	s.explore(p, 0)
	slices.Reverse(s.left)
	for len(s.left) > 0 && !s.done() && (s.limit == 0 || s.nodes < s.limit) {
		if s.report != nil {
			s.report(s.lower())
		}
		s.shareOut()
	}
	return s.lower(), len(s.left) == 0
}

// shareOut searches the nodes left last, each for a while.
func (s *search) shareOut() {
	cut := len(s.left) - min(taskParts, len(s.left))
	nodes := slices.Clone(s.left[cut:])
	s.left = s.left[:cut]
	for len(s.crew) < max(1, min(s.threads, len(nodes))) {
		s.crew = append(s.crew, s.fellow())
	}
	found := make([]search, len(nodes))
	var next atomic.Int32
	var all sync.WaitGroup
	for _, f := range s.crew {
		all.Go(func() {
			for {
				// The last node left is the first to be looked at.
				k := len(nodes) - int(next.Add(1))
				if k < 0 {
					return
				}
				f.take(s, nodes[k])
				found[k] = search{
					incumbent: f.incumbent,
					upper:     f.upper,
					nodes:     f.nodes,
					left:      f.left,
					observed:  f.observed,
				}
			}
		})
	}
	all.Wait()
	for k := range found {
		f := &found[k]
		slices.Reverse(f.left)
		s.left = append(s.left, f.left...)
	}
	for k := len(found) - 1; k >= 0; k-- {
		f := &found[k]
		if f.upper < s.upper {
			s.incumbent, s.upper = f.incumbent, f.upper
		}
		s.nodes += f.nodes
		for _, n := range f.observed {
			s.observe(n.id, n.side, n.gain)
		}
	}
	s.observed = nil
	s.left = slices.DeleteFunc(s.left, func(t openNode) bool { return t.node.bound > s.cutoff() })
}

// fellow is a search that can take over nodes.
func (s *search) fellow() *search {
	f := &search{
		cost: s.cost, grain: s.grain, guess: s.guess, quantum: s.quantum, perQuantum: s.perQuantum, ctx: s.ctx,
		small: s.small, lpCol: s.lpCol, before: s.before, budget: taskNodes,
	}
	if s.lp != nil {
		f.lp = s.lp.fellow()
		f.lp.stop = f.done
	}
	return f
}

// take searches a node for a while, with what s knows.
func (f *search) take(s *search, n openNode) {
	f.incumbent, f.upper, f.nodes = s.incumbent, s.upper, 0
	f.pseudocosts = append(f.pseudocosts[:0], s.pseudocosts...)
	f.left, f.observed = nil, nil
	f.value = math.Inf(-1)
	if f.lp != nil {
		for len(f.bases) <= n.depth {
			f.bases = append(f.bases, basis{})
		}
		f.bases[n.depth] = n.basis
	}
	f.explore(n.node, n.depth)
}
