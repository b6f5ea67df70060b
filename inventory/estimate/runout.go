package estimate

import (
	"fmt"
	"slices"
	"sort"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// RunOuts says for each paint that the recipes' own ways take after how many
// figures of the force it is used up, when the units are painted one after
// the other in the force's order. The paint that stops the painter first comes
// first, then the others by figures and id. To ask what a single pot, or one
// not owned yet, does for the force, give its level alone and look at its
// paint. Confidence is 0.5 to below 1; 0 is DefaultConfidence.
func (e *Estimator) RunOuts(
	f *inventory.Force, levels []shelf.Level, rules NeedRules, confidence float64,
) ([]RunOut, error) {
	if confidence == 0 {
		confidence = DefaultConfidence
	}
	if !(confidence >= 0.5 && confidence < 1) {
		return nil, inventory.Fault{
			Path:     "confidence",
			Found:    fmt.Sprint(confidence),
			Expected: "0.5 to below 1",
		}
	}
	byPaint := map[string]*RunOut{}
	for i, q := range []float64{confidence, 0.5, 1 - confidence} {
		g, err := newFinisher(e, f, levels, rules, q)
		if err != nil {
			return nil, err
		}
		of := 0
		for _, u := range g.units {
			of += u.left
		}
		for _, id := range g.ownPaints() {
			r := byPaint[id]
			if r == nil {
				r = &RunOut{Paint: id, Of: of}
				byPaint[id] = r
			}
			n, unit, step, err := g.lasts(g.paint[id])
			if err != nil {
				return nil, err
			}
			switch i {
			case 0:
				r.AtLeast, r.Unit, r.Step = n, unit, step
			case 1:
				r.Likely = n
			case 2:
				r.AtMost = n
			}
		}
	}
	var out []RunOut
	for _, r := range byPaint {
		out = append(out, *r)
	}
	slices.SortFunc(out, func(a, b RunOut) int {
		for _, d := range []int{a.AtLeast - b.AtLeast, a.Likely - b.Likely} {
			if d != 0 {
				return d
			}
		}
		if a.Paint < b.Paint {
			return -1
		}
		return 1
	})
	return out, nil
}

// ownPaints are the paints of the recipes' own ways, in order.
func (g *finisher) ownPaints() []string {
	var out []string
	seen := map[string]bool{}
	for _, u := range g.units {
		for _, s := range u.steps {
			for _, p := range s.options[0].Uses {
				if !seen[p.Paint] {
					seen[p.Paint] = true
					out = append(out, p.Paint)
				}
			}
		}
	}
	return out
}

// lasts is how many figures of the force a paint lasts for, and where it runs
// out.
func (g *finisher) lasts(paint int) (figures int, unit, step string, err error) {
	left := g.stock[paint]
	takes := func(u *finishUnit, n int) int64 {
		sum := int64(0)
		for _, s := range u.steps {
			ways, e := g.needs(u, s, n)
			if e != nil {
				err = e
				return 0
			}
			sum += amountOf(ways[0], paint)
		}
		return sum
	}
	for _, u := range g.units {
		if all := takes(u, u.left); all <= left {
			left -= all
			figures += u.left
			continue
		}
		n := sort.Search(u.left, func(n int) bool { return takes(u, n+1) > left })
		return figures + n, u.unit.ID, g.stepThatFails(u, n+1, paint, left), err
	}
	return figures, "", "", err
}

// stepThatFails is the first step of the unit's next n figures that a volume
// of a paint does not reach for.
func (g *finisher) stepThatFails(u *finishUnit, n, paint int, left int64) string {
	for _, s := range u.steps {
		ways, err := g.needs(u, s, n)
		if err != nil {
			return ""
		}
		if left -= amountOf(ways[0], paint); left < 0 {
			return s.step.ID
		}
	}
	return ""
}
