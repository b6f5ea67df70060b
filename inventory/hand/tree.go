package hand

import (
	"cmp"
	"math"
	"slices"
	"time"

	"halfpot/inventory"
)

// tree is the painter's hand as effects within effects: method, type, paint.
type tree struct {
	rules inventory.LearnRules
	idx   *inventory.Index
	nodes map[nodeKey]*node
}

type nodeKey struct {
	level  inventory.FactorLevel
	method inventory.Method
	key    string
}

// node is one effect: its own deviation about its parent, and what is known
// from below, as a precision and the sum of values weighted with it.
type node struct {
	key                nodeKey
	parent             *node
	children           []*node
	variance           float64 // of the effect about its parent
	precision, value   float64 // from below: children and observations
	sentPrec, sentVal  float64 // what of that the parent has
	shown              bool    // has a factor of its own; else it only lends to its method
	pinned             bool
	pinMean, pinSpread float64
	seen               int
	updated            time.Time
}

// path finds or makes the nodes of a paint put on by a method.
func (t *tree) path(m inventory.Method, typ inventory.PaintType, paint string) *node {
	usual := m == typ.UsualMethod()
	top := t.node(nodeKey{inventory.MethodLevel, m, string(m)}, nil, true)
	mid := t.node(nodeKey{inventory.TypeLevel, m, string(typ)}, top, usual)
	return t.node(nodeKey{inventory.PaintLevel, m, paint}, mid, usual)
}

func (t *tree) node(k nodeKey, parent *node, shown bool) *node {
	n := t.nodes[k]
	if n == nil {
		n = &node{key: k, variance: square(t.rules.SD(k.level, k.method)), shown: shown}
		t.nodes[k] = n
	}
	if n.parent == nil && parent != nil {
		n.parent = parent
		parent.children = append(parent.children, n)
		n.send()
	}
	return n
}

// add takes in an observation y with its variance.
func (n *node) add(y, variance float64) {
	n.precision += 1 / variance
	n.value += y / variance
	n.send()
}

// send tells the parent what is known from below: a mean with the variance of
// the effect on top. A pinned node says nothing.
func (n *node) send() {
	if n.parent == nil {
		return
	}
	var prec, val float64
	if n.precision > 1e-12 && !n.pinned { // below that it is the crumbs of sums
		prec = 1 / (1/n.precision + n.variance)
		val = prec * n.value / n.precision
	}
	p := n.parent
	p.precision += prec - n.sentPrec
	p.value += val - n.sentVal
	n.sentPrec, n.sentVal = prec, val
	p.send()
}

// posterior is mean and variance of the factor's log here: everything above,
// its brothers and what is below.
func (n *node) posterior() (mean, variance float64) {
	if n.pinned {
		return n.pinMean, square(n.pinSpread)
	}
	m, v := n.fromAbove()
	prec := 1/v + n.precision
	return (m/v + n.value) / prec, 1 / prec
}

// fromAbove is the prior that parent and brothers make for this node.
func (n *node) fromAbove() (mean, variance float64) {
	if n.parent == nil {
		return 0, n.variance
	}
	p := n.parent
	if p.pinned {
		return p.pinMean, square(p.pinSpread) + n.variance
	}
	m, v := p.fromAbove()
	prec := 1/v + math.Max(0, p.precision-n.sentPrec)
	return (m/v + p.value - n.sentVal) / prec, 1/prec + n.variance
}

// visible is the node itself or the nearest above it that has a factor.
func (n *node) visible() *node {
	for !n.shown && n.parent != nil {
		n = n.parent
	}
	return n
}

func (n *node) factor() inventory.Factor {
	m, v := n.posterior()
	return inventory.Factor{Level: n.key.level, Key: n.key.key, LogMean: m, LogSD: math.Sqrt(v), Observations: n.seen, Pinned: n.pinned, Updated: n.updated}
}

// forget drops all that was learned here and below.
func (n *node) forget() {
	for _, c := range n.children {
		c.forget()
	}
	n.seen, n.pinned, n.precision, n.value = 0, false, 0, 0
	n.send()
}

// setting pins or resets a factor.
func (t *tree) setting(c inventory.FactorChange) inventory.FactorChange {
	n := t.named(c.Factor)
	if c.Change == inventory.FactorPinned {
		n.pinned, n.pinMean, n.pinSpread = true, c.Factor.LogMean, c.Factor.LogSD
		n.send()
	} else {
		n.forget()
	}
	n.updated = c.Factor.Updated
	c.Factor = n.factor()
	return c
}

// named finds the node a factor speaks of.
func (t *tree) named(f inventory.Factor) *node {
	paint := t.idx.Paints[f.Key]
	switch {
	case f.Level == inventory.MethodLevel:
		return t.node(nodeKey{inventory.MethodLevel, inventory.Method(f.Key), f.Key}, nil, true)
	case f.Level == inventory.TypeLevel:
		return t.path(inventory.PaintType(f.Key).UsualMethod(), inventory.PaintType(f.Key), "").parent
	case paint == nil: // no longer in the catalogue
		return t.node(nodeKey{inventory.PaintLevel, "", f.Key}, nil, true)
	}
	return t.path(paint.Type.UsualMethod(), paint.Type, paint.ID)
}

// factors lists what has been learned or pinned.
func (t *tree) factors() inventory.Factors {
	var out inventory.Factors
	for _, n := range t.nodes {
		if n.shown && (n.seen > 0 || n.pinned) {
			out = append(out, n.factor())
		}
	}
	rank := map[inventory.FactorLevel]int{inventory.MethodLevel: 0, inventory.TypeLevel: 1, inventory.PaintLevel: 2}
	slices.SortFunc(out, func(a, b inventory.Factor) int {
		return cmp.Or(rank[a.Level]-rank[b.Level], cmp.Compare(a.Key, b.Key))
	})
	return out
}

func square(v float64) float64 { return v * v }
