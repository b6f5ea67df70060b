package exact

import (
	"context"
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// A search whose root the Lagrangian bound leaves too far from the best plan goes
// on with the linear relaxation and its rounded rows. Every node then carries the
// rows that were of use to its parent and the basis to start from. What a node
// does depends on the node alone and not on which thread takes it, so that the
// answer does not depend on the number of threads.

// linearNode is what a node's relaxation starts from.
type linearNode struct {
	form  *linear // nil: to be laid out
	was   *linear // the form that the rows belong to then
	rows  []*linearRow
	basis *lp.Basis // nil: from nothing
	fresh int       // the last so many rows came after the basis
}

// with is the node with one more row.
func (n *linearNode) with(r *linearRow) *linearNode {
	out := *n
	out.rows = append(slices.Clone(n.rows), r)
	out.fresh++
	return &out
}

const (
	linearLimit = 100000 // iterations of one solve
	reformShare = 0.65   // share of a form's columns: fewer open ones, and a smaller form pays
)

// linearCare is how much work goes into relaxations.
type linearCare struct {
	rootGain      float64 // share of all that rows gained so far, and of the gap, that must be gained
	rootPatience  int     // in so many rounds,
	againGain     float64 // and the same where the search begins again, with the rows it had
	againPatience int
	linkGain      float64 // share of the gap that rows of the form must close to come in by themselves again
	clusterRounds int     // rounds of rows of clusters at the root
	anneals       int     // at the root
	aroundNodes   int64   // nodes of a search near a plan
	aroundShare   float64 // of all effort that such searches may take
	aroundMost    float64 // of it, what one may take; 0: no limit
	tries, sums   int     // splits tried out in a node: on terms, on sums
	tryPivots     int     // in each side of these
	probePivots   int     // on each side of a shop or band at the root; 0: not tried
}

// linearCare tells how much. A small problem is mostly over after some dozens of nodes:
// what saves a few of them at the root is not worth it.
func (s *search) linearCare() *linearCare {
	if s.small && s.nodes < fewNodes {
		return &smallCare
	}
	return &wholeCare
}

var (
	wholeCare = linearCare{
		rootGain: 0.01, rootPatience: 5, againGain: 0.01, againPatience: 2, clusterRounds: 8,
		anneals: len(warmths), aroundNodes: 40, aroundShare: 0.5, tries: 16, sums: 8, tryPivots: 60,
	}
	smallCare = linearCare{
		rootGain: 0.05, rootPatience: 3, againGain: 0.1, againPatience: 1, linkGain: 0.005,
		anneals: 1, aroundNodes: 15, aroundShare: 0.2, aroundMost: 0.1, tries: 8, sums: 4, tryPivots: 15,
		probePivots: 100,
	}
)

// Rows of the tableau that are looked at in a round.
const (
	basisRoot  = 100
	basisInner = 40 // at other nodes, but for large problems, whose trees stay small
	basisSmall = 15 // of a small problem, once its shops are settled
)

// basisTries tells how many. A small problem's are long and make every pivot dear, and
// while shops are open a split on one of them brings more.
func (k *worker) basisTries(s *search, d *domain, root bool) int {
	switch {
	case !s.small && (root || len(s.m.members) > manyNeeds):
		return basisRoot
	case !s.small:
		return basisInner
	case k.shopsSettled(d):
		return basisSmall
	}
	return 0
}

// promising says whether the linear relaxation should take the search over at
// the root, where the best plan weighs best and the Lagrangian bound came to bound:
// where many paints may take several pots, the bound by single paints can't see that
// pots are rounded up over paints which stand in for one another.
func (s *search) promising(r *relax, best, bound float64) bool {
	if !s.mayTurn || best == 0 {
		return false
	}
	if linearForced {
		return true
	}
	return len(s.m.members) >= fewNeeds && best-bound > linearGap*math.Abs(best) && r.potShare() > linearPots
}

// wanting says whether the linear relaxation should take a large search over once plans
// have been looked for at the root: where its rows alone close much of what the Lagrangian
// bound leaves open there, that will stand still for long.
func (k *worker) wanting(ctx context.Context, s *search, d *domain, best, bound float64) bool {
	if !s.mayTurn || ended(ctx) || len(s.m.members) <= manyNeeds || best-bound <= largeGap*math.Abs(best) {
		return false
	}
	ph := s.m.weighing(0, nil, 1) // the cost alone, as the search would go on
	best, bound = best/s.w.money*ph.w.money, bound/s.w.money*ph.w.money
	t := newWorker(s.m, ph.w)
	sub := &search{m: s.m, w: ph.w, grain: ph.grain, upper: best, linear: true, moneyMost: noCap}
	n := &node{parent: d, mu: k.mu, bound: math.Inf(-1), lin: &linearNode{}}
	v := &linearVisit{k: t, s: sub, n: n, d: d.clone(), cutoff: best, beat: best}
	v.out.bound = bound
	if !t.settleDomain(sub, v.d) || !v.begin(ctx) {
		return false
	}
	v.p.lp.Limit(math.Inf(1), v.p.stop)
	v.bound(v.newRounds(0))
	return v.out.bound-bound > largeShare*(best-bound)
}

// potShare is how many pots beyond one a paint may take on average.
func (r *relax) potShare() float64 {
	pots := 0
	for _, n := range r.steps {
		pots += int(n)
	}
	return float64(pots) / float64(len(r.paints))
}

// linearGap is the share of the best plan's weight that the Lagrangian bound must leave
// open at the root for the linear relaxation to be worth its time, linearPots the share
// of pots beyond one. A small problem is mostly over sooner without it: it goes over
// where so many nodes were not enough, or fewer that left much open: lateOpen is nodes
// times the share of the best plan's weight.
const (
	linearGap  = 0.01
	linearPots = 0.13
	smallPots  = 0.08 // of a small problem
	lateNodes  = 100
	lateOpen   = 1.5
	fewNodes   = 64 // of a small problem's search by the linear relaxation

	linearAhead = 0.2   // share of what is open that it must close at its root there
	largeGap    = 0.001 // the same of a large problem, after plans,
	largeShare  = 0.32  // and the share of the gap that the relaxation's root must close there
)

// late says whether a small problem turns out to be one for the linear relaxation.
func (s *search) late() bool {
	if !s.mayTurn || s.turned || s.potShare <= smallPots || len(s.m.members) >= fewNeeds || s.open.Len() == 0 {
		return false
	}
	return s.nodes >= lateNodes || float64(s.nodes)*(s.upper-s.open.lower()) > lateOpen*math.Abs(s.upper)
}

// For tests: whether the linear relaxation is never, or always, used, what looks on each
// time that one is solved and its bound has ruled out what it can in d, and what makes
// another status of a solve's.
var (
	linearOff, linearForced bool
	linearWatch             func(s *search, p *program, d *domain, cut float64)
	linearFault             func(st lp.Status) lp.Status
)

// Where relaxations give out so often, and at more than that share of the nodes, the
// Lagrangian bound does better alone.
const (
	troubleMost  = 16
	troubleShare = 0.5
)

// troubled says whether a search by the linear relaxation is to be left for that.
func (s *search) troubled() bool {
	n := s.troubles.Load()
	return s.linear && !s.inner && n >= troubleMost && float64(n) > troubleShare*float64(s.nodes)
}

// A search begins again at the root once the best plan leaves no more than this
// share of the gap there was: then much more can be ruled out there, for all nodes.
const (
	restartShare = 0.6
	restartNodes = 16 // nodes to be looked at before
	restartOpen  = 16 // and still to be: fewer are soon done with
)

// noteRoot keeps what is needed to begin again; true where the search does so at once.
func (s *search) noteRoot(o *outcome) bool {
	if s.inner || s.moneyMost != noCap {
		return false
	}
	s.root = &node{parent: o.domain, mu: o.mu, bound: o.bound, lin: &linearNode{was: o.lin.form, rows: o.lin.rows}}
	s.rootNodes = s.nodes
	guessed := s.guessFirst()
	s.rootUpper = s.cutoff() + s.grain
	if guessed {
		s.restart()
	}
	return guessed
}

func (s *search) worthRestart() bool {
	return s.root != nil && s.nodes-s.rootNodes >= restartNodes && s.open.Len() >= restartOpen &&
		s.cutoff()+s.grain-s.root.bound < restartShare*(s.rootUpper-s.root.bound)
}

// restart drops all open nodes for the root.
func (s *search) restart() {
	s.open = queue{nodes: []*node{s.root}, deep: s.inner}
	s.root = nil
	if s.ties != nil {
		*s.ties = (*s.ties)[:0]
	}
}

// narrow takes the node over to the form of a part of what its own is of.
func (n *linearNode) narrow(form *linear) *linearNode {
	was := n.form
	if was == nil {
		was = n.was
	}
	out := &linearNode{form: form, rows: n.rows}
	if n.basis == nil {
		return out
	}
	at := make(map[int32]int, len(was.core))
	for i := range was.core {
		at[was.core[i].key] = i
	}
	cols, rows := make([]int, len(form.cols)), make([]int, 0, len(form.core)+len(n.rows))
	for c, t := range form.term {
		cols[c] = int(was.col[t])
	}
	for i := range form.core {
		from, ok := at[form.core[i].key]
		if !ok {
			from = -1
		}
		rows = append(rows, from)
	}
	for i := range n.rows {
		rows = append(rows, len(was.core)+i)
	}
	out.basis = n.basis.Select(cols, rows)
	return out
}

// openColumns counts the columns that are not settled.
func (p *program) openColumns() (n int) {
	for c := range p.l.term {
		if col := p.lp.Column(c); col.Lower < col.Upper {
			n++
		}
	}
	return n
}

// load makes the program that of the node: its domain, rows and basis.
func (p *program) load(n *linearNode, d *domain, f *facts) bool {
	p.lp.KeepRows(func(i int) bool { return i < p.core })
	p.rows, p.idle = p.rows[:0], p.idle[:0]
	p.bound = math.Inf(-1)
	if !p.setBounds(d, f) {
		return false
	}
	from := make([]int, 0, p.core+len(n.rows))
	for i := range p.core {
		from = append(from, i)
	}
	for i, r := range n.rows {
		if p.put([]*linearRow{r}) == 0 {
			continue
		}
		if i >= len(n.rows)-n.fresh {
			from = append(from, -1)
		} else {
			from = append(from, p.core+i)
		}
	}
	if n.basis != nil {
		p.lp.Load(n.basis.Select(nil, from))
	}
	return true
}

// setBounds takes the domain's bounds over; false where one has nothing left.
func (p *program) setBounds(d *domain, f *facts) bool {
	for c, t := range p.l.term {
		lo, hi := p.l.bounds(d, f, t)
		if lo > hi {
			return false
		}
		p.lp.SetBounds(c, lo, hi)
	}
	return true
}

// settleDomain works out what follows in a domain; false where nothing is left.
func (k *worker) settleDomain(s *search, d *domain) bool {
	if !s.m.propagate(d, k.facts) {
		return false
	}
	k.relax.build(s.m, s.w, d, k.facts)
	if s.ties != nil && s.m.cp == 0 {
		return true // options that cost as much may be better in the later levels
	}
	for k.relax.settle() {
		if !s.m.propagate(d, k.facts) {
			return false
		}
		k.relax.build(s.m, s.w, d, k.facts)
	}
	return true
}

// tieCutoff is the bound from which on a node holds no plan that weighs as little as
// what cutoff asks to be beaten: where later levels are to follow, plans of the same
// cost are kept for them.
func (s *search) tieCutoff(cutoff float64) float64 {
	if s.ties == nil {
		return cutoff
	}
	return cutoff + s.grain
}

// wholePlan is the plan that the relaxation's answer is, where it is whole.
func (k *worker) wholePlan(s *search, d *domain) (*solution, float64) {
	p, m := k.program, s.m
	x, choice := make([]int32, len(m.price)), make([]int32, len(m.members))
	for j := range x {
		x[j] = int32(math.Round(p.v[p.l.xAt+int32(j)]))
	}
	for n := range choice {
		choice[n] = -1
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if p.v[o] > 0.5 {
				choice[n] = o
			}
		}
		if choice[n] < 0 {
			return nil, 0
		}
	}
	if !m.enough(x, choice) {
		return nil, 0
	}
	return s.worthOf(x, choice)
}
