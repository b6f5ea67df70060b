package likeness

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// Restatement is a recipe said anew with other paints, one line for each paint.
type Restatement struct {
	Lines []Line
	// ContrastGone tells that no choice keeps neighbouring regions as distinct as
	// the recipe has them, and OrderGone that none keeps light over dark within a
	// region; then they are let go, contrast first.
	ContrastGone, OrderGone bool
	// Proven tells that no other choice that keeps what is kept has fewer points.
	Proven bool
}

// Line is one paint of the recipe.
type Line struct {
	Paint      *inventory.Paint
	Steps      []string         // names of the steps that use it
	With       *inventory.Paint // what to paint it with, nil: left as it is
	Difference float64          // of With, NaN where only judged
	Points     int
	Nearest    *inventory.Paint // where it is left: the nearest there is, nil: none of its kin or of [insteadOf]
	Off        float64          // how far that one lies
	Mix        *Mix             // where it is left: a mix of two that comes close, nil: none
	Reason     string           // why it is left or how With came to stand, in words
	candidates []Twin
	spots      []spot
}

// spot is one place where a paint is put on: a region, and when.
type spot struct {
	step   int
	region inventory.RegionSet
}

// keepContrast is the part of the difference between two neighbouring regions
// that a restated recipe keeps at least. Assumption.
const keepContrast = 0.6

// Restate finds for each paint of the recipe one of the candidates of its kin so
// that the points add up to least, while the colours of a region keep their order
// from light to dark and neighbouring regions stay distinct; undercoats, washes and
// the like have no part in that. Paints for which nothing lies within
// OfferedWithin, and those that colour says nothing about, are left as they are.
// Which regions touch is not noted anywhere, so all regions of a figure count as
// neighbours. The search is a depth-first one with bounds; it gives up proving
// after many steps and says so.
func (c *Palette) Restate(r *inventory.Recipe, candidates []*inventory.Paint) *Restatement {
	out := &Restatement{}
	at := map[string]int{}
	for i, s := range r.Steps {
		for _, part := range s.Mix {
			j, known := at[part.Paint]
			if !known {
				j = len(out.Lines)
				at[part.Paint] = j
				out.Lines = append(out.Lines, c.newLine(c.paints[part.Paint], candidates))
			}
			l := &out.Lines[j]
			l.Steps = append(l.Steps, cmp.Or(s.Name, s.ID))
			if len(s.Mix) == 1 { // a part of a mix is not seen by itself
				l.spots = append(l.spots, spot{i, s.Regions})
			}
		}
	}
	for _, try := range []struct{ contrast, order bool }{{true, true}, {false, true}, {false, false}} {
		choice := c.newChooser(out.Lines, try.contrast, try.order)
		if choice.run() {
			out.ContrastGone, out.OrderGone, out.Proven = !try.contrast, !try.order, choice.steps < mostSteps
			break
		}
	}
	return out
}

func (c *Palette) newLine(p *inventory.Paint, candidates []*inventory.Paint) Line {
	l := Line{Paint: p, Difference: math.NaN(), Off: math.NaN()}
	n, err := c.Find(Ask{Paint: p, Candidates: candidates, Within: math.Inf(1)})
	if untold := (*Untold)(nil); errors.As(err, &untold) {
		l.Reason = untold.Reason
		n = &Near{}
	}
	if slices.ContainsFunc(candidates, func(q *inventory.Paint) bool { return q.ID == p.ID }) {
		l.candidates = append(l.candidates, Twin{Paint: p})
	}
	for _, t := range n.Twins {
		if t.Judged || t.Difference <= OfferedWithin {
			l.candidates = append(l.candidates, t)
		} else if l.Nearest == nil || t.Difference < l.Off {
			l.Nearest, l.Off = t.Paint, t.Difference
		}
	}
	if len(l.candidates) == 0 && len(n.Twins) > 1 {
		mixes, err := c.Find(Ask{Paint: p, Candidates: candidates, Within: OfferedWithin, MixOf: 2})
		if err == nil && len(mixes.Mixes) > 0 {
			l.Mix = &mixes.Mixes[0]
		}
	}
	switch {
	case l.Reason != "" || len(l.candidates) > 0:
	case l.Nearest == nil:
		kin := p.Type.Kin()
		l.Reason = "no " + string(kin) + " there"
		if other := insteadOf[kin]; other != "" {
			if l.Nearest, l.Off = c.nearestOf(other, p, candidates); l.Nearest != nil {
				l.Reason += "; of the " + string(other)
			}
		}
	default:
		l.Reason = "nothing comes close"
	}
	return l
}

// insteadOf is the kin to look among where there is none of a paint's own: an opaque
// paint covers what a one-coat paint stains, and any is dry-brushed. It is a hint and
// not taken by itself, since it goes on otherwise. Common practice, no source.
var insteadOf = map[inventory.Kin]inventory.Kin{
	inventory.Translucent: inventory.Opaques,
	inventory.DryBrushed:  inventory.Opaques,
}

// nearestOf is the candidate of the kin whose swatch comes nearest the paint's, nil
// where none has one.
func (c *Palette) nearestOf(
	kin inventory.Kin, p *inventory.Paint, candidates []*inventory.Paint,
) (nearest *inventory.Paint, off float64) {
	if !c.Told(p) {
		return nil, math.NaN()
	}
	off = math.Inf(1)
	for _, q := range candidates {
		if q.Type.Kin() != kin || !c.Told(q) {
			continue
		}
		if d := colour.DeltaE(c.masstone(p), c.masstone(q)); d < off {
			nearest, off = q, d
		}
	}
	return nearest, off
}

// mostSteps is how many choices are looked at before a restatement goes unproven.
const mostSteps = 2_000_000

// chooser takes one candidate for each line.
type chooser struct {
	lines    []Line
	order    []int // lines in the order they are decided
	rest     []int // least points of the lines from here on
	contrast bool
	light    bool
	old      []colour.Lab
	told     []bool // the line's colour is known
	main     []bool // it gives a region its colour: no undercoat, wash or the like
	shades   [][]colour.Lab
	known    [][]bool // the candidate's colour is
	chosen   []int
	best     []int
	least    int
	steps    int
}

func (p *Palette) newChooser(lines []Line, contrast, light bool) *chooser {
	c := &chooser{lines: lines, contrast: contrast, light: light, least: math.MaxInt,
		old:    make([]colour.Lab, len(lines)),
		told:   make([]bool, len(lines)),
		main:   make([]bool, len(lines)),
		chosen: make([]int, len(lines))}
	for i := range lines {
		if s, err := p.shadeOf(lines[i].Paint, nil); err == nil {
			c.old[i], c.told[i] = s.lab, true
			c.main[i] = s.kin == inventory.Opaques || s.kin == inventory.Translucent
		}
		c.order = append(c.order, i)
		labs, known := make([]colour.Lab, len(lines[i].candidates)), make([]bool, len(lines[i].candidates))
		for k, t := range lines[i].candidates {
			if s, err := p.shadeOf(t.Paint, nil); err == nil {
				labs[k], known[k] = s.lab, true
			}
		}
		c.shades, c.known = append(c.shades, labs), append(c.known, known)
	}
	slices.SortStableFunc(c.order, func(x, y int) int {
		return cmp.Compare(len(lines[x].candidates), len(lines[y].candidates))
	})
	c.rest = make([]int, len(lines)+1)
	for k := len(lines) - 1; k >= 0; k-- {
		c.rest[k] = c.rest[k+1]
		if t := lines[c.order[k]].candidates; len(t) > 0 {
			c.rest[k] += slices.MinFunc(t, func(x, y Twin) int { return cmp.Compare(x.Points, y.Points) }).Points
		}
	}
	return c
}

// run chooses and writes the choice into the lines; false where none fits.
func (c *chooser) run() bool {
	c.decide(0, 0)
	if c.best == nil {
		return false
	}
	for i, k := range c.best {
		l := &c.lines[i]
		if k < 0 {
			continue
		}
		t := l.candidates[k]
		l.With, l.Difference, l.Points, l.Nearest, l.Reason = t.Paint, t.Difference, t.Points, nil, t.Note
	}
	return true
}

func (c *chooser) decide(k, points int) {
	if points+c.rest[k] >= c.least || c.steps >= mostSteps {
		return
	}
	if k == len(c.order) {
		c.least, c.best = points, slices.Clone(c.chosen)
		return
	}
	i := c.order[k]
	if len(c.lines[i].candidates) == 0 {
		c.chosen[i] = -1
		if c.fits(k, i) {
			c.decide(k+1, points)
		}
		return
	}
	for t := range c.lines[i].candidates {
		c.steps++
		c.chosen[i] = t
		if c.fits(k, i) {
			c.decide(k+1, points+c.lines[i].candidates[t].Points)
		}
	}
}

// new is the colour that a line has as chosen, false where it is not known.
func (c *chooser) new(i int) (colour.Lab, bool) {
	if c.chosen[i] < 0 {
		return c.old[i], c.told[i]
	}
	return c.shades[i][c.chosen[i]], c.known[i][c.chosen[i]]
}

// fits compares line i as chosen with those decided before it.
func (c *chooser) fits(k, i int) bool {
	mine, ok := c.new(i)
	if !ok || !c.told[i] || !c.main[i] {
		return true
	}
	for _, j := range c.order[:k] {
		theirs, ok := c.new(j)
		if !ok || !c.told[j] || !c.main[j] || c.chosen[i] < 0 && c.chosen[j] < 0 {
			continue
		}
		same, apart := meet(c.lines[i].spots, c.lines[j].spots)
		if d := c.old[i].L - c.old[j].L; c.light && same && d != 0 && (mine.L-theirs.L)*d <= 0 {
			return false
		}
		if c.contrast && apart && colour.DeltaE(mine, theirs) < keepContrast*colour.DeltaE(c.old[i], c.old[j]) {
			return false
		}
	}
	return true
}

// meet says whether two paints are put on one region somewhere, and whether
// each is the main colour of a region that the other leaves alone.
func meet(a, b []spot) (same, apart bool) {
	for _, x := range a {
		for _, y := range b {
			if overlap(x.region, y.region) {
				same = true
			} else {
				apart = true
			}
		}
	}
	return same, apart
}

// overlap says whether two region sets share a region, as far as their names tell.
func overlap(a, b inventory.RegionSet) bool {
	if a.All && b.All {
		return true
	}
	if a.All {
		a, b = b, a
	}
	return slices.ContainsFunc(a.Names, func(n string) bool {
		if b.All {
			return !slices.Contains(b.Except, n)
		}
		return slices.Contains(b.Names, n)
	})
}
