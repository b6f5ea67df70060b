package likeness

import (
	"cmp"
	"math"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// Pair is two paints that do one job.
type Pair struct {
	A, B       *inventory.Paint
	Difference float64 // CIEDE2000 of the colours; NaN where only judged
	Judged     bool    // by the painter, for at most a point
}

// Twins are the pairs among paints of one kin whose colours differ by no more than
// within (CIEDE2000), or that the painter has judged to be as good as the same,
// nearest first.
func (c *Palette) Twins(paints []*inventory.Paint, within float64) (out []Pair) {
	judged := map[[2]string]bool{}
	for _, s := range c.standIns {
		if s.Compromise <= 1 && !s.OtherKind {
			judged[[2]string{s.For, s.Use}], judged[[2]string{s.Use, s.For}] = true, true
		}
	}
	shades, told := make([]shade, len(paints)), make([]bool, len(paints))
	for i, p := range paints {
		s, err := c.shadeOf(p, nil)
		shades[i], told[i] = s, err == nil
	}
	for i, a := range paints {
		for j, b := range paints[:i] {
			p := Pair{A: b, B: a, Difference: math.NaN(), Judged: judged[[2]string{a.ID, b.ID}]}
			if told[i] && told[j] && shades[i].kin == shades[j].kin {
				p.Difference = colour.DeltaE(shades[i].lab, shades[j].lab)
			}
			if p.Judged || p.Difference <= within {
				out = append(out, p)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Pair) int { return cmp.Compare(a.Difference, b.Difference) })
	return out
}
