package painting

import (
	"slices"
	"strings"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// elsewhere stands for what of a figure no region names.
const elsewhere = "the rest"

// pass is a step as the rules see it.
type pass struct {
	step    *inventory.Step
	number  int // in the recipe, from 1
	paint   *inventory.Paint
	typ     inventory.PaintType
	method  inventory.Method
	family  family
	regions map[string]bool
	share   float64 // part of its regions that it reaches
	figure  float64 // part of the figure it reaches; 0: not known
	wait    time.Duration
	given   bool // the recipe says how long
	at      time.Time
}

// mainPaint is the paint with the most parts, the first among equals. A medium is
// it only where there is nothing else: a colour let down with two parts of thinner
// is still that colour.
func mainPaint(idx *inventory.Index, m inventory.Mix) *inventory.Paint {
	var best *inventory.Paint
	most, thins := 0.0, true
	for _, part := range m {
		p := idx.Paints[part.Paint]
		if p == nil {
			continue
		}
		medium := p.Type == inventory.Medium
		if best == nil || thins && !medium || thins == medium && part.Parts > most {
			best, most, thins = p, part.Parts, medium
		}
	}
	return best
}

// regionNames are the regions of a figure, or without one those the recipe names.
func regionNames(r *inventory.Recipe, fig *inventory.FigureType) []string {
	var names []string
	add := func(list []string) {
		for _, n := range list {
			if !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	whole := 0.0
	if fig != nil {
		for _, reg := range fig.Regions {
			add([]string{reg.Name})
			whole += reg.Share
		}
	}
	for _, s := range r.Steps {
		if fig == nil {
			add(s.Regions.Names)
			add(s.Regions.Except)
		}
	}
	if fig == nil || whole < 0.999 {
		add([]string{elsewhere})
	}
	return names
}

// passes are the steps of a recipe on a figure type, which may be nil.
func passes(r *inventory.Recipe, fig *inventory.FigureType, idx *inventory.Index) []pass {
	names := regionNames(r, fig)
	out := make([]pass, 0, len(r.Steps))
	for i := range r.Steps {
		out = append(out, newPass(&r.Steps[i], i+1, names, fig, idx))
	}
	return out
}

func newPass(
	s *inventory.Step, number int, names []string, fig *inventory.FigureType, idx *inventory.Index,
) pass {
	p := pass{step: s, number: number, method: s.Method, regions: map[string]bool{}, share: s.Share}
	if p.paint = mainPaint(idx, s.Mix); p.paint != nil {
		p.typ = p.paint.Type
		if p.method == "" {
			p.method = p.typ.UsualMethod()
		}
	}
	if s.Kind == "" {
		p.family = familyOf(p.typ, p.method)
	}
	for _, n := range names {
		in := slices.Contains(s.Regions.Names, n)
		if s.Regions.All {
			in = !slices.Contains(s.Regions.Except, n)
		}
		if in {
			p.regions[n] = true
		}
	}
	if p.share == 0 {
		p.share = 1
		if p.typ == inventory.Highlight {
			p.share = 0.15
		}
	}
	if fig != nil {
		if part, _, err := fig.Cover(s.Regions); err == nil {
			p.figure = part * p.share
		}
	} else if s.Regions.All {
		p.figure = p.share
	}
	p.wait, p.given = s.WaitAfter, s.WaitAfter > 0
	if !p.given {
		p.wait = DefaultWait(s.Kind, p.typ, p.method)
	}
	return p
}

func (p *pass) usual() time.Duration { return DefaultWait(p.step.Kind, p.typ, p.method) }

func (p *pass) paints() bool { return p.step.Kind == "" && p.paint != nil }

// wash tells washes and inks, which pool and stay soft.
func (p *pass) wash() bool {
	return p.step.Kind == "" && (p.typ == inventory.Wash || p.typ == inventory.Ink) && p.family == sheer
}

func (p *pass) finish() inventory.Finish {
	if p.paint == nil {
		return ""
	}
	return p.paint.Finish
}

// light is L* of CIELAB, and whether it is known.
func (p *pass) light() (float64, bool) {
	if p.paint == nil {
		return 0, false
	}
	switch p.paint.Tone {
	case inventory.Light:
		return 80, true
	case inventory.Middle:
		return 55, true
	case inventory.Dark:
		return 25, true
	}
	if p.paint.Colour == nil {
		return 0, false
	}
	return colour.SRGB(*p.paint.Colour).Lab().L, true
}

// binds is whether a's wait counts for b, later in the recipe: they touch the same
// region, or the recipe says that b comes after a.
func binds(a, b *pass) bool {
	return overlap(a, b) || slices.Contains(b.step.After, a.step.ID)
}

// overlap is whether two passes touch the same region.
func overlap(a, b *pass) bool {
	for n := range a.regions {
		if b.regions[n] {
			return true
		}
	}
	return false
}

// within is whether a's regions all lie in b's.
func within(a, b *pass) bool {
	for n := range a.regions {
		if !b.regions[n] {
			return false
		}
	}
	return len(a.regions) > 0
}

// isBase tells a region of the base by its own area or, without a figure, its name.
func isBase(name string, fig *inventory.FigureType) bool {
	if fig != nil {
		if reg, ok := fig.Region(name); ok {
			return reg.Share == 0
		}
	}
	return name == "base" || strings.HasPrefix(name, "base-")
}
