package exact

import (
	"container/heap"
	"math"
)

// node is a subproblem that is still open: its parent's domain, one
// decision on top of it, and a bound.
type node struct {
	parent   *domain
	mu       *multipliers
	decision decision
	bound    float64
	depth    int
	serial   int64
	tough    tough
	lin      *linearNode // where the linear relaxation bounds it
	best     *solution   // where set, it holds no better plan than this
	row      *linearRow  // where set, the decision: the side of a split on a sum
}

// decision narrows a domain by one step.
type decision struct {
	kind  decisionKind
	index int32
	value int32
}

type decisionKind uint8

const (
	noDecision decisionKind = iota // no decision
	shopShut                       // the shop is not used
	shopUsed                       // it is
	bandAtMost                     // its band is at most value
	bandAtLeast
	paintAtMost // at most value units of the paint
	paintAtLeast
	offerAtMost // at most value boxes of the offer
	offerAtLeast
	optionTaken
	optionLeft
)

// ofShop says whether a decision is about the use of a shop or its band.
func (k decisionKind) ofShop() bool { return shopShut <= k && k <= bandAtLeast }

func (k decision) apply(m *model, d *domain) {
	switch k.kind {
	case shopShut:
		d.shut(m, int(k.index))
	case shopUsed:
		d.closed[k.index] = false
	case bandAtMost:
		d.bandHi[k.index] = min(d.bandHi[k.index], int16(k.value))
	case bandAtLeast:
		d.bandLo[k.index] = max(d.bandLo[k.index], int16(k.value))
	case paintAtMost:
		d.atMost[k.index] = min(d.atMost[k.index], k.value)
	case paintAtLeast:
		d.atLeast[k.index] = max(d.atLeast[k.index], k.value)
	case offerAtMost:
		d.hi[k.index] = min(d.hi[k.index], k.value)
	case offerAtLeast:
		d.lo[k.index] = max(d.lo[k.index], k.value)
	case optionTaken:
		n := m.optNeed[k.index]
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if o != k.index {
				d.alive[o] = false
			}
		}
	case optionLeft:
		d.alive[k.index] = false
	}
}

// queue is a heap of the open nodes: the least bound first, or in a search
// near a plan, and where there are too many for memory, the deepest.
type queue struct {
	nodes []*node
	deep  bool
}

func (q *queue) Len() int { return len(q.nodes) }
func (q *queue) Less(i, j int) bool {
	a, b := q.nodes[i], q.nodes[j]
	if q.deep && a.depth != b.depth {
		return a.depth > b.depth
	}
	if a.bound != b.bound {
		return a.bound < b.bound
	}
	return a.serial > b.serial
}
func (q *queue) Swap(i, j int) { q.nodes[i], q.nodes[j] = q.nodes[j], q.nodes[i] }
func (q *queue) Push(x any)    { q.nodes = append(q.nodes, x.(*node)) }
func (q *queue) Pop() any {
	last := len(q.nodes) - 1
	n := q.nodes[last]
	q.nodes[last] = nil
	q.nodes = q.nodes[:last]
	return n
}

// lower is the least bound of an open node.
func (q *queue) lower() float64 {
	if !q.deep {
		return q.nodes[0].bound
	}
	least := math.Inf(1)
	for _, n := range q.nodes {
		least = min(least, n.bound)
	}
	return least
}

// keepSmall goes for the deepest nodes while there are more than most, which
// soon end, and back to the least bound at half of that.
func (q *queue) keepSmall(most int) {
	if deep := len(q.nodes) > most || q.deep && len(q.nodes) > most/2; deep != q.deep {
		q.deep = deep
		heap.Init(q)
	}
}

// openMemory is about how many bytes the open nodes may take.
const openMemory = 400 << 20

// mostOpen is how many open nodes that are; two share a domain and multipliers.
func (m *model) mostOpen() int {
	each := 8*(len(m.members)+len(m.useUL)+2*len(m.have)+len(m.price)) + len(m.optNeed)
	return max(1000, 2*openMemory/(each+100))
}
