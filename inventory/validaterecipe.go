package inventory

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"halfpot/inventory/coverage"
)

func (k *checker) figures() {
	paths := k.ids("figures", len(k.cat.Figures), func(i int) string { return k.cat.Figures[i].ID })
	for i, f := range k.cat.Figures {
		at := paths[i]
		k.text(at+".name", f.Name)
		k.text(at+".note", f.Note)
		switch {
		case f.AreaCM2 != 0:
			if !(f.AreaCM2 > 0 && f.AreaCM2 <= coverage.MaxAreaCM2) {
				k.add(at+".area", fmt.Sprintf("%g cm2", f.AreaCM2),
					fmt.Sprintf("above 0 and at most %g cm2", coverage.MaxAreaCM2))
			}
		case f.Body == nil:
			k.add(at, "neither an area nor a stature with a scale", "one of them")
		default:
			for _, n := range []struct {
				name    string
				v, high float64
			}{{"kit", f.Body.Kit, 5}, {"heroic", f.Body.Heroic, 3}} {
				k.between(at+".body."+n.name, n.v, 0, n.high, "")
			}
			if _, _, err := f.Area(); err != nil {
				k.add(at+".body", err.Error(), "a person to scale")
			}
		}
		oneOf(k, at+".material", f.Material, Materials()...)
		sum := 0.0
		seen := map[string]bool{}
		for j, r := range f.Regions {
			reg := at + ".regions." + r.Name
			if !ValidID(r.Name) {
				reg = fmt.Sprintf("%s.regions.%d", at, j+1)
				k.add(reg+".name", Quoted(r.Name),
					"a name of lower-case letters, digits and single hyphens"+orSlug(r.Name))
			} else if seen[r.Name] {
				k.add(reg+".name", r.Name+" a second time", "each region once")
			}
			seen[r.Name] = true
			switch {
			case r.Share != 0 && r.AreaCM2 != 0:
				k.add(reg, "a share and an area", "one of them")
			case r.AreaCM2 != 0:
				k.between(reg+".area", r.AreaCM2, 0, coverage.MaxAreaCM2, "cm2")
			case !(r.Share > 0 && r.Share <= 1):
				k.add(reg+".share", fmt.Sprintf("%g %%", r.Share*100), "above 0 and at most 100 %")
			default:
				sum += r.Share
			}
		}
		if sum > 1+1e-9 {
			k.add(at+".regions", fmt.Sprintf("shares that sum to %.4g %%", sum*100), "at most 100 %")
		}
	}
}

func (k *checker) recipes() {
	paths := k.ids("recipes", len(k.cat.Recipes), func(i int) string { return k.cat.Recipes[i].ID })
	for i, r := range k.cat.Recipes {
		k.text(paths[i]+".name", r.Name)
		if len(r.Steps) == 0 {
			k.add(paths[i]+".steps", "nothing", "at least one step")
		}
		steps := k.ids(paths[i]+".steps", len(r.Steps), func(j int) string { return r.Steps[j].ID })
		for j := range r.Steps {
			k.step(steps[j], &r.Steps[j])
			k.follows(steps[j], &r, j)
		}
	}
}

func (k *checker) step(at string, s *Step) {
	k.text(at+".name", s.Name)
	k.text(at+".label", s.Label)
	k.regionSet(at+".regions", s.Regions)
	if s.Method != "" && !ValidMethod(s.Method) {
		k.add(at+".method", Quoted(string(s.Method)), "one of "+methodList())
	}
	k.between(at+".share", s.Share, 0, 1, "")
	k.between(at+".film", s.FilmUM, 0, coverage.MaxFilmUM, "um")
	if s.Loss != nil {
		k.between(at+".loss", *s.Loss, 0, coverage.MaxLoss, "")
	}
	k.between(at+".coats", float64(s.Coats), 0, MaxCoats, "")
	k.between(at+".wait-after", s.WaitAfter.Hours(), 0, (366 * 24 * time.Hour).Hours(), "hours")
	for j, c := range s.CoatsOver {
		over := fmt.Sprintf("%s.coats-over.%d", at, j+1)
		ref(k, over+".undercoat", "paint", c.Undercoat, k.idx.Paints)
		k.between(over+".coats", float64(c.Coats), 0, MaxCoats, "")
	}
	k.handwork(at, s)
	if len(s.Mix) > 0 || s.Kind == "" {
		k.mix(at+".mix", s.Mix, s.Method)
	}
	k.thinning(at+".thinning", s.Thinning, s.Mix)
	seen := map[string]bool{s.Mix.Key(): true}
	for j, a := range s.Alternatives {
		alt := fmt.Sprintf("%s.alternatives.%d", at, j+1)
		k.text(alt+".label", a.Label)
		k.mix(alt+".mix", a.Mix, s.Method)
		k.thinning(alt+".thinning", a.Thinning, a.Mix)
		k.between(alt+".compromise", float64(a.Compromise), 0, MaxPoints, "points")
		if key := a.Mix.Key(); len(a.Mix) > 0 && seen[key] {
			k.add(alt+".mix", key+" a second time", "a way the step does not have yet")
		} else {
			seen[key] = true
		}
	}
}

// follows checks what a step comes after, and what must come soon after it.
func (k *checker) follows(at string, r *Recipe, i int) {
	s := &r.Steps[i]
	for j, id := range s.After {
		n := slices.IndexFunc(r.Steps, func(o Step) bool { return o.ID == id })
		switch {
		case n < 0:
			k.faults = append(k.faults, Fault{
				Path:     at + ".after",
				Found:    Quoted(id),
				Expected: "an earlier step of the recipe",
				Nearest:  Near(id, r.stepIDs()),
			})
		case n == i:
			k.add(at+".after", id+", the step itself", "an earlier step of the recipe")
		case n > i && slices.Contains(r.Steps[n].After, s.ID):
			k.add(at+".after", fmt.Sprintf("%s, which itself comes after %s: a circle", id, s.ID),
				"steps that do not wait for each other")
		case n > i:
			k.add(at+".after", id+", which stands later in the recipe: they would wait for each other",
				"an earlier step, or the steps in the order of work")
		case slices.Contains(s.After[:j], id):
			k.add(at+".after", id+" a second time", "each step once")
		}
	}
	k.between(at+".next-within", s.NextWithin.Hours(), 0, 24, "hours")
	switch {
	case s.NextWithin <= 0:
	case s.WaitAfter > s.NextWithin:
		k.add(at+".next-within",
			fmt.Sprintf("%s, less than the wait of %s: a wait that never ends",
				waitText(s.NextWithin), waitText(s.WaitAfter)),
			"at least the wait-after")
	case i+1 == len(r.Steps):
		k.add(at+".next-within", waitText(s.NextWithin)+" on the last step", "a step that follows")
	}
}

func waitText(d time.Duration) string {
	if d%time.Hour == 0 {
		return fmt.Sprintf("%d h", d/time.Hour)
	}
	return fmt.Sprintf("%.4g min", d.Minutes())
}

// handwork checks what a step is, beside its paint.
func (k *checker) handwork(at string, s *Step) {
	if !s.Kind.Valid() {
		k.add(at+".kind", Quoted(string(s.Kind)),
			"one of "+strings.Join(words(StepKinds()), ", ")+", or none for paint")
	}
	if s.Kind != "" && len(s.Mix) == 0 && (s.Thinning != nil || len(s.Alternatives) > 0) {
		k.add(at+".kind", string(s.Kind)+" without paint but with thinning or alternatives",
			"paint too, or neither")
	}
	k.between(at+".per-item", s.PerItem, 0, MaxFigures, "figures")
	for i, id := range s.Allow {
		if !slices.Contains(OrderRules, id) {
			k.faults = append(k.faults, Fault{
				Path:     at + ".allow",
				Found:    Quoted(id),
				Expected: "the id of a rule of order",
				Nearest:  Near(id, OrderRules),
			})
		} else if slices.Contains(s.Allow[:i], id) {
			k.add(at+".allow", id+" a second time", "each rule once")
		}
	}
}

func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, w := range list {
		out[i] = string(w)
	}
	return out
}

// oneOf reports a word that is none of a list; an empty one is fine.
func oneOf[T ~string](k *checker, path string, found T, list ...T) {
	if found != "" && !slices.Contains(list, found) {
		k.add(path, Quoted(string(found)), "one of "+strings.Join(words(list), ", "))
	}
}

func (k *checker) regionSet(at string, r RegionSet) {
	switch {
	case r.All && len(r.Names) > 0:
		k.add(at, "all and "+strings.Join(r.Names, ", "), "all, all but some, or named regions")
	case !r.All && len(r.Except) > 0:
		k.add(at, "exceptions without all", "all but "+strings.Join(r.Except, ", "))
	case !r.All && len(r.Names) == 0:
		k.add(at, "nothing", "at least one region, or all")
	}
	for _, list := range [][]string{r.Names, r.Except} {
		for i, name := range list {
			if slices.Contains(list[:i], name) {
				k.add(at, name+" a second time", "each region once")
			}
		}
	}
}

func (k *checker) mix(at string, m Mix, method Method) {
	if len(m) == 0 {
		k.add(at, "nothing", "at least one paint")
	}
	seen := map[string]bool{}
	for i, p := range m {
		part := fmt.Sprintf("%s.%d", at, i+1)
		paint, ok := ref(k, part+".paint", "paint", p.Paint, k.idx.Paints)
		if seen[p.Paint] && ok {
			k.add(part+".paint", p.Paint+" a second time", "each paint of a mix once")
		}
		seen[p.Paint] = true
		if !(p.Parts > 0 && p.Parts <= MaxParts) {
			k.add(part+".parts", fmt.Sprintf("%g", p.Parts),
				fmt.Sprintf("above 0 and at most %d parts", MaxParts))
		}
		if !ok {
			continue
		}
		if paint.Type.Counted() && len(m) > 1 {
			k.add(part+".paint", p.Paint+", a "+paint.Type.Words(), "paints that can be mixed by volume")
		}
		if method != "" && method.Counted() != paint.Type.Counted() {
			k.add(part+".paint",
				fmt.Sprintf("%s, a %s, put on with %s", p.Paint, paint.Type.Words(), method),
				"a method that fits the type")
		}
	}
}

func (k *checker) thinning(at string, t *Thinning, m Mix) {
	if t == nil {
		return
	}
	if t.Medium != "" { // "" is water, which nobody buys
		medium, ok := ref(k, at+".medium", "medium", t.Medium, k.idx.Paints)
		if ok && (medium.Type.Counted() || medium.Type.Aerosol()) {
			k.add(at+".medium", t.Medium+", a "+medium.Type.Words(), "something to thin with")
		}
		for _, p := range m {
			if p.Paint == t.Medium {
				k.add(at+".medium", t.Medium+", which is in the mix already",
					"the medium as a part of the mix or as thinning, not both")
			}
		}
	}
	if !(t.PaintParts > 0) || !(t.MediumParts > 0) || t.MediumParts/t.PaintParts > coverage.MaxThinner {
		k.add(at, fmt.Sprintf("%g parts of paint to %g of medium", t.PaintParts, t.MediumParts),
			"parts above 0, at most "+strconv.Itoa(int(coverage.MaxThinner))+" of medium to one of paint")
	}
	if len(m) > 0 {
		if p := k.idx.Paints[m[0].Paint]; p != nil && (p.Type.Counted() || p.Type.Aerosol()) {
			k.add(at, "thinning of "+p.Type.Words(), "no thinning")
		}
	}
}

func methodList() string {
	var s []string
	for _, m := range coverage.Methods() {
		s = append(s, string(m))
	}
	return strings.Join(s, ", ")
}
