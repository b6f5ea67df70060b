package colour

import (
	"math"
	"sort"
)

// grove is a binary tree over paints, split by colour; a node knows the lowest
// and highest strength times K/S of its paints in each band.
type grove struct{ nodes []node }

type node struct {
	lo, hi             Spectrum // strength times K/S
	weakest, strongest float64
	spread             float64 // how far the node's paints differ, to choose what to split
	left, right        int32   // -1: a leaf
	paint              int32   // of a leaf
}

func plant(paints []Ingredient) *grove {
	g := &grove{nodes: make([]node, 0, 2*len(paints))}
	at := make([]int32, len(paints))
	labs := make([][3]float64, len(paints))
	for i := range paints {
		at[i] = int32(i)
		l := paints[i].Spectrum.Lab()
		labs[i] = [3]float64{l.L, l.A, l.B}
	}
	if len(at) > 0 {
		g.grow(paints, labs, at)
	}
	return g
}

func (g *grove) grow(paints []Ingredient, labs [][3]float64, at []int32) int32 {
	if len(at) == 1 {
		p := &paints[at[0]]
		n := node{weakest: p.Strength, strongest: p.Strength, left: -1, right: -1, paint: at[0]}
		n.lo = absorption(&p.Spectrum)
		for i := range n.lo {
			n.lo[i] *= p.Strength
		}
		n.hi = n.lo
		g.nodes = append(g.nodes, n)
		return int32(len(g.nodes) - 1)
	}
	axis, wide := 0, -1.0
	for c := range 3 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, i := range at {
			lo, hi = math.Min(lo, labs[i][c]), math.Max(hi, labs[i][c])
		}
		if hi-lo > wide {
			axis, wide = c, hi-lo
		}
	}
	sort.SliceStable(at, func(i, j int) bool { return labs[at[i]][axis] < labs[at[j]][axis] })
	half := len(at) / 2
	l, r := g.grow(paints, labs, at[:half]), g.grow(paints, labs, at[half:])
	a, b := &g.nodes[l], &g.nodes[r]
	n := node{weakest: math.Min(a.weakest, b.weakest), strongest: math.Max(a.strongest, b.strongest), left: l, right: r, paint: -1}
	for i := range n.lo {
		n.lo[i], n.hi[i] = math.Min(a.lo[i], b.lo[i]), math.Max(a.hi[i], b.hi[i])
		n.spread += (weights[i][0] + weights[i][1] + weights[i][2]) * math.Abs(OpaqueReflectance(n.lo[i])-OpaqueReflectance(n.hi[i]))
	}
	g.nodes = append(g.nodes, n)
	return int32(len(g.nodes) - 1)
}

// walk goes through the mixes of one ratio, node by node.
type walk struct {
	target  Lab
	goal    goal
	t       *grove
	k       int
	parts   [3]int
	stop    func() bool
	stopped bool
	steps   int
	box     box // around the target, within best
	best    float64
	found   bool
	of      [3]int32
	in      [3]int // parts of the best
	orders  [4][][3]int
}

func (w *walk) visit(at [3]int32) {
	if w.stop != nil && w.asked() {
		return
	}
	split, most := -1, -1.0
	for i := range w.k {
		n := &w.t.nodes[at[i]]
		if n.left < 0 {
			for j := range i {
				if at[j] == at[i] {
					return // a paint is not mixed with itself
				}
			}
			continue
		}
		if v := float64(w.parts[i]) * n.spread; v > most {
			split, most = i, v
		}
	}
	if split < 0 {
		w.try(at)
		return
	}
	if b := w.reach(at); !w.box.meets(&b) || w.goal.least(&b) > w.best+slack {
		return
	}
	// Slots of equal parts that hold the same node are the same choice in
	// another order: the first few go left, the others right.
	var same []int
	for i := range w.k {
		if at[i] == at[split] && w.parts[i] == w.parts[split] {
			same = append(same, i)
		}
	}
	n := &w.t.nodes[at[split]]
	for left := 0; left <= len(same); left++ {
		next := at
		for j, i := range same {
			next[i] = n.right
			if j < left {
				next[i] = n.left
			}
		}
		w.visit(next)
	}
}

// reach holds the colours of all mixes of the nodes' paints by the walk's parts.
func (w *walk) reach(at [3]int32) box {
	var lo, hi Spectrum // K/S, then reflectance
	var weakest, strongest float64
	for i := range w.k {
		n, p := &w.t.nodes[at[i]], float64(w.parts[i])
		weakest += p * n.weakest
		strongest += p * n.strongest
		for band := range lo {
			lo[band] += p * n.lo[band]
			hi[band] += p * n.hi[band]
		}
	}
	for band := range lo { // more absorption is less reflectance
		bright, dim := OpaqueReflectance(lo[band]/strongest), OpaqueReflectance(hi[band]/weakest)
		lo[band], hi[band] = dim, bright
	}
	l := between(&lo, &hi)
	return l.lab()
}

// try works one mix out.
func (w *walk) try(at [3]int32) {
	l := w.seen(&at, &w.parts, w.k)
	if !w.box.holds(l) {
		return
	}
	if d := DeltaE(l, w.target); d < w.best || d == w.best && !w.found {
		w.best, w.found, w.in = d, true, w.parts
		for i := range w.k {
			w.of[i] = w.t.nodes[at[i]].paint
		}
		w.box = around(w.target, d)
	}
}

// mix is the best that was found.
func (w *walk) mix(paints []Ingredient) *NearMix {
	m := &NearMix{Difference: w.best}
	var of []Ingredient
	var parts []float64
	for i := range w.k {
		m.Of = append(m.Of, int(w.of[i]))
		m.Parts = append(m.Parts, w.in[i])
		of, parts = append(of, paints[w.of[i]]), append(parts, float64(w.in[i]))
	}
	m.Spectrum, _ = Mix(of, parts)
	return m
}
