package likeness

import (
	"cmp"
	"math"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// Substitute is a paint or a mix that may be used for another because its colour comes
// near.
type Substitute struct {
	Of         []*inventory.Paint
	Parts      []int
	Difference float64 // CIEDE2000, of a mix as predicted
	Error      float64 // of a mix: most lie nearer to the prediction than this
	Points     int     // of the difference, of a mix with its error
}

// Mix is the substitute as recipes write it.
func (w Substitute) Mix() inventory.Mix {
	var m inventory.Mix
	for i, p := range w.Of {
		m = append(m, inventory.Part{Paint: p.ID, Parts: float64(w.Parts[i])})
	}
	return m
}

const (
	// nearestForMixes is among how many paints, the nearest, two are looked for that
	// mix to a colour.
	nearestForMixes = 60
	// mostMixes is how many mixes are given, the best.
	mostMixes = 60
)

// Nearby lists the paints, and the mixes of two, among the candidates that come
// near a paint in colour for at most so many points, fewest first. See-through
// paints are compared over the ground, where one is given. It is an *Untold where
// the paint can't be compared; candidates that can't are left out.
func (c *Palette) Nearby(
	p *inventory.Paint, over *inventory.Colour, candidates []*inventory.Paint, points int,
) ([]Substitute, error) {
	want, err := c.shadeOf(p, over)
	if err != nil {
		return nil, err
	}
	var out []Substitute
	type one struct {
		shade
		off float64
	}
	var pool []one
	for _, q := range candidates {
		if q.ID == p.ID || q.Type.Kin() != want.kin {
			continue
		}
		s, err := c.shadeOf(q, over)
		if err != nil {
			continue
		}
		d := colour.DeltaE(s.lab, want.lab)
		pool = append(pool, one{s, d})
		if n := Points(d); n <= points {
			out = append(out, Substitute{Of: []*inventory.Paint{q}, Parts: []int{1}, Difference: d, Points: n})
		}
	}
	if mixable(want.kin) {
		slices.SortStableFunc(pool, func(a, b one) int { return cmp.Compare(a.off, b.off) })
		var near []*inventory.Paint
		for _, o := range pool[:min(len(pool), nearestForMixes)] {
			near = append(near, o.paint)
		}
		var made []Substitute
		if over == nil || !SeesThrough(want.kin) { // a trial was seen thick
			var shades []shade
			for _, o := range pool {
				shades = append(shades, o.shade)
			}
			for _, m := range c.tried(want.lab, shades, math.Inf(1)) {
				if n := Points(m.Difference); n <= points {
					made = append(made, Substitute{
						Of:         m.Of,
						Parts:      m.Parts,
						Difference: m.Difference,
						Points:     n,
					})
				}
			}
		}
		out = append(out, made...)
		out = append(out, slices.DeleteFunc(c.pairs(want, over, near, points), func(w Substitute) bool {
			return slices.ContainsFunc(made, func(m Substitute) bool {
				return m.Mix().Lowest().Key() == w.Mix().Lowest().Key()
			})
		})...)
	}
	slices.SortStableFunc(out, func(a, b Substitute) int {
		return cmp.Or(cmp.Compare(a.Points, b.Points), cmp.Compare(len(a.Of), len(b.Of)),
			cmp.Compare(a.Difference, b.Difference))
	})
	return out, nil
}

// pairs are the best mixes of two paints each, by the parts that bring them nearest.
func (c *Palette) pairs(want shade, over *inventory.Colour, near []*inventory.Paint, points int) []Substitute {
	as := make([]colour.Ingredient, len(near))
	alone := make([]int, len(near)) // points of each paint unmixed
	for i, p := range near {
		var err error
		if as[i], err = c.ingredient(p); err != nil {
			return nil // shadeOf has been through it
		}
		s, _ := c.shadeOf(p, over)
		alone[i] = Points(colour.DeltaE(s.lab, want.lab))
	}
	var out []Substitute
	for i := range near {
		for j := range i {
			of := []*inventory.Paint{near[j], near[i]}
			pair := []colour.Ingredient{as[j], as[i]}
			off := c.mixError(of, pair)
			most := min(points, alone[i]-1, alone[j]-1) // a mix must better both
			if Points(off) > most {
				continue
			}
			best := Substitute{Difference: math.Inf(1)}
			for _, parts := range pairParts {
				s, err := colour.Mix(pair, []float64{float64(parts[0]), float64(parts[1])})
				if err != nil {
					continue
				}
				lab := s.Lab()
				if over != nil && SeesThrough(want.kin) {
					if lab, err = c.seenOver(&s, want.kin, *over); err != nil {
						continue
					}
				}
				if d := colour.DeltaE(lab, want.lab); d < best.Difference {
					best = Substitute{
						Of:         of,
						Parts:      []int{parts[0], parts[1]},
						Difference: d,
						Error:      off,
						Points:     Points(d + off),
					}
				}
			}
			if best.Of != nil && best.Points <= most {
				out = append(out, best)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Substitute) int {
		return cmp.Or(cmp.Compare(a.Points, b.Points), cmp.Compare(a.Difference, b.Difference))
	})
	return out[:min(len(out), mostMixes)]
}

// pairParts are the ratios of two paints in small whole parts, lowest terms.
var pairParts = func() (out [][2]int) {
	for a := 1; a < maxParts; a++ {
		for b := 1; a+b <= maxParts; b++ {
			if x, y := max(a, b), min(a, b); y == 1 || x%y != 0 { // lowest terms, up to 6 in all
				out = append(out, [2]int{a, b})
			}
		}
	}
	return out
}()
