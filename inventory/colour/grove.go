package colour

import (
	"math"
	"sort"
)

// grove is a binary tree over paints, split by what they do to the target's colour;
// a node knows the lowest and highest strength times K/S of its paints in each band.
type grove struct {
	nodes  []node
	leaves []leaf // as they stand in the tree, left to right
}

// leaf is a paint as it mixes.
type leaf struct {
	ks       Spectrum // strength times K/S
	strength float64
	paint    int32
}

type node struct {
	lo, hi             Spectrum // strength times K/S
	weakest, strongest float64
	spread             float64 // how far the node's paints differ, to choose what to split
	left, right        int32   // -1: a leaf
	from, to           int32   // its leaves
}

// pulled is how many parts of the target a paint is mixed into to see what it does.
const pulled = 3

func plant(target Lab, paints []Ingredient) *grove {
	g := &grove{nodes: make([]node, 0, 2*len(paints)), leaves: make([]leaf, len(paints))}
	labs := make([][3]float64, len(paints))
	goal, told := nearSpectrum(target)
	for i := range paints {
		p := &paints[i]
		g.leaves[i] = leaf{absorption(&p.Spectrum), p.Strength, int32(i)}
		for b := range g.leaves[i].ks {
			g.leaves[i].ks[b] *= p.Strength
		}
		s := p.Spectrum
		if told {
			s, _ = Mix([]Ingredient{{goal, 1}, *p}, []float64{pulled, 1})
		}
		l := s.Lab()
		labs[i] = [3]float64{l.L, l.A, l.B}
	}
	if len(paints) > 0 {
		g.grow(labs, 0, int32(len(paints)))
	}
	return g
}

// nearSpectrum is a smooth spectrum of the target, or of a duller colour of its hue
// where no surface looks like the target.
func nearSpectrum(l Lab) (Spectrum, bool) {
	for range 30 {
		if s, err := Smooth(l.XYZ()); err == nil {
			return s, true
		}
		l.A, l.B = .9*l.A, .9*l.B
	}
	return Spectrum{}, false
}

func (g *grove) grow(labs [][3]float64, from, to int32) int32 {
	at := g.leaves[from:to]
	if len(at) == 1 {
		p := &at[0]
		n := node{
			lo:        p.ks,
			hi:        p.ks,
			weakest:   p.strength,
			strongest: p.strength,
			left:      -1,
			right:     -1,
			from:      from,
			to:        to,
		}
		g.nodes = append(g.nodes, n)
		return int32(len(g.nodes) - 1)
	}
	axis, wide, spread := 0, -1.0, 0.0
	for c := range 3 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range at {
			v := labs[at[i].paint][c]
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		spread += hi - lo
		if hi-lo > wide {
			axis, wide = c, hi-lo
		}
	}
	sort.SliceStable(at, func(i, j int) bool { return labs[at[i].paint][axis] < labs[at[j].paint][axis] })
	half := from + int32(len(at)/2)
	l, r := g.grow(labs, from, half), g.grow(labs, half, to)
	a, b := &g.nodes[l], &g.nodes[r]
	n := node{weakest: math.Min(a.weakest, b.weakest), strongest: math.Max(a.strongest, b.strongest),
		spread: spread, left: l, right: r, from: from, to: to}
	for i := range n.lo {
		n.lo[i], n.hi[i] = math.Min(a.lo[i], b.lo[i]), math.Max(a.hi[i], b.hi[i])
	}
	g.nodes = append(g.nodes, n)
	return int32(len(g.nodes) - 1)
}
