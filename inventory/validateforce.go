package inventory

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

func (k *checker) forces() {
	paths := k.ids("forces", len(k.cat.Forces), func(i int) string { return k.cat.Forces[i].ID })
	for i := range k.cat.Forces {
		k.force(paths[i], &k.cat.Forces[i])
	}
}

func (k *checker) force(at string, f *Force) {
	k.text(at+".name", f.Name)
	if len(f.Units) == 0 {
		k.add(at+".units", "nothing", "at least one unit with figures")
	}
	paths := k.ids(at+".units", len(f.Units), func(i int) string { return f.Units[i].ID })
	for i, u := range f.Units {
		k.text(paths[i]+".name", u.Name)
		if u.Figures < 1 || u.Figures > MaxFigures {
			k.add(paths[i]+".figures", strconv.Itoa(u.Figures), fmt.Sprintf("1 to %d figures", MaxFigures))
		}
		if u.Batch > u.Figures && u.Figures > 0 {
			k.add(paths[i]+".batch", strconv.Itoa(u.Batch),
				fmt.Sprintf("at most the %d figures of the unit", u.Figures))
		}
		if u.Batch < 0 {
			k.add(paths[i]+".batch", strconv.Itoa(u.Batch), "0 (all at once) or more figures at a sitting")
		}
		if u.Worth != nil && (*u.Worth < 0 || *u.Worth > 1_000_000_000) {
			k.add(paths[i]+".worth", strconv.Itoa(*u.Worth), "0 to 1000000000")
		}
		k.unitsBefore(paths[i]+".after", f, u)
		if u.Undercoat != "" {
			ref(k, paths[i]+".undercoat", "paint", u.Undercoat, k.idx.Paints)
		}
		figure, okFigure := ref(k, paths[i]+".figure", "figure type", u.Figure, k.idx.Figures)
		recipe, okRecipe := ref(k, paths[i]+".recipe", "recipe", u.Recipe, k.idx.Recipes)
		if okFigure && okRecipe {
			k.regionsOf(paths[i]+".recipe", figure, recipe)
		}
	}
	k.matches(at, f)
	k.work(at, f)
}

// unitsBefore checks what a unit comes after.
func (k *checker) unitsBefore(at string, f *Force, u Unit) {
	for i, id := range u.After {
		before, ok := k.unitRef(at, f, id)
		switch {
		case !ok:
		case id == u.ID:
			k.add(at, id+", the unit itself", "other units of the force")
		case slices.Contains(u.After[:i], id):
			k.add(at, id+" a second time", "each unit once")
		default:
			if chain := f.chain(before, u.ID, map[string]bool{}); chain != nil {
				k.add(at, fmt.Sprintf("%s after %s: a circle", u.ID, strings.Join(chain, " after ")),
					"units that do not wait for each other")
			}
		}
	}
}

// chain is the units from one back to another, by what they come after; nil
// where there is no way.
func (f *Force) chain(u Unit, to string, seen map[string]bool) []string {
	if u.ID == to {
		return []string{to}
	}
	if seen[u.ID] {
		return nil
	}
	seen[u.ID] = true
	for _, id := range u.After {
		if next, ok := f.Unit(id); ok {
			if rest := f.chain(next, to, seen); rest != nil {
				return append([]string{u.ID}, rest...)
			}
		}
	}
	return nil
}

// regionsOf reports the regions a recipe paints that the figure does not have.
func (k *checker) regionsOf(at string, f *FigureType, r *Recipe) {
	pair := [2]string{f.ID, r.ID}
	if k.fits[pair] {
		return
	}
	var names []string
	known := map[string]bool{}
	for _, g := range f.Regions {
		names = append(names, g.Name)
		known[g.Name] = true
	}
	before := len(k.faults)
	defer func() {
		if k.fits == nil {
			k.fits = map[[2]string]bool{}
		}
		k.fits[pair] = len(k.faults) == before || before > mostFaults
	}()
	regions := fmt.Sprintf("a region of figure %s (%s)", f.ID, cmp.Or(someOf(names), "it has none"))
	for _, s := range r.Steps {
		missing := false
		for _, n := range slices.Concat(s.Regions.Names, s.Regions.Except) {
			if known[n] {
				continue
			}
			missing = true
			k.faults = append(k.faults, Fault{
				Path:     at,
				Found:    fmt.Sprintf("region %s in step %s of recipe %s", n, s.ID, r.ID),
				Expected: regions,
				Nearest:  Near(n, names),
			})
		}
		if s.Regions.All && !missing {
			if _, _, err := f.Cover(s.Regions); err != nil {
				k.add(at, "step "+s.ID+" of recipe "+r.ID+": all but every region",
					"a region left to paint on figure "+f.ID)
			}
		}
	}
}

// mostFaults is after how many faults the same one is not told again for each
// unit, and mostNames how many names a message lists.
const (
	mostFaults = 1000
	mostNames  = 12
)

// someOf lists names, and says how many more there are.
func someOf(names []string) string {
	if more := len(names) - mostNames; more > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:mostNames], ", "), more)
	}
	return strings.Join(names, ", ")
}

func (k *checker) matches(at string, f *Force) {
	seen := map[string]bool{}
	names := k.stepNames(f)
	for i, m := range f.Match {
		path := fmt.Sprintf("%s.match.%d", at, i+1)
		if strings.TrimSpace(m.Label) == "" {
			k.add(path+".label", "nothing", "a name for what must look alike")
		} else if seen[m.Label] {
			k.add(path+".label", m.Label+" a second time", "each label once")
		}
		seen[m.Label] = true
		k.text(path+".label", m.Label)
		for _, id := range m.Units {
			k.unitRef(path+".units", f, id)
		}
		if len(m.Steps) == 0 {
			k.add(path+".steps", "nothing", "at least one step or step label")
		}
		for _, s := range m.Steps {
			if _, ok := slices.BinarySearch(names, s); !ok {
				k.faults = append(k.faults, Fault{Path: path + ".steps", Found: s,
					Expected: "a step or step label of the units' recipes", Nearest: Near(s, names)})
			}
		}
	}
}

func (k *checker) work(at string, f *Force) {
	for i, w := range f.Done {
		path := fmt.Sprintf("%s.done.%d", at, i+1)
		u, ok := k.unitRef(path+".unit", f, w.Unit)
		if w.Figures < 1 {
			k.add(path+".figures", strconv.Itoa(w.Figures), "at least 1 figure")
		}
		r := k.idx.Recipes[u.Recipe]
		if !ok || r == nil {
			continue
		}
		if _, found := r.Step(w.Step); !found {
			k.faults = append(k.faults, Fault{Path: path + ".step", Found: Quoted(w.Step),
				Expected: "a step of recipe " + r.ID, Nearest: Near(w.Step, r.stepIDs())})
		}
	}
}

func (k *checker) unitRef(path string, f *Force, id string) (Unit, bool) {
	u, ok := f.Unit(id)
	if !ok {
		k.faults = append(k.faults, Fault{
			Path:     path,
			Found:    Quoted(id),
			Expected: "a unit of the force",
			Nearest: func() []string {
				var names []string
				for _, u := range f.Units {
					names = append(names, u.ID)
				}
				return Nearest(id, names, 3)
			},
		})
	}
	return u, ok
}

// stepNames lists the step ids and labels of all recipes a force uses.
func (k *checker) stepNames(f *Force) []string {
	var names []string
	for _, u := range f.Units {
		if r := k.idx.Recipes[u.Recipe]; r != nil {
			names = append(names, r.stepIDs()...)
			for _, s := range r.Steps {
				if s.Label != "" {
					names = append(names, s.Label)
				}
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

func (r *Recipe) stepIDs() []string {
	ids := make([]string, len(r.Steps))
	for i, s := range r.Steps {
		ids[i] = s.ID
	}
	return ids
}
