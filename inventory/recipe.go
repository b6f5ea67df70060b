package inventory

import (
	"sort"
	"strconv"
	"strings"
	"time"
)

// Recipe is an ordered list of painting steps.
type Recipe struct {
	ID    string
	Name  string
	Steps []Step
}

// Overnight is the wait that painters call so.
const Overnight = 12 * time.Hour

// Step is one pass over some regions of a figure.
type Step struct {
	ID      string // unique within the recipe
	Name    string
	Kind    StepKind // "": paint is put on
	Label   string   // what the step is about, for match rules ("straps"); may be empty
	Regions RegionSet
	// part of those regions the step reaches, 0 to 1; 0: the default of method and type
	Share        float64
	Method       Method        // "": the usual method of the first paint's type
	Mix          Mix           // what the recipe asks for; may be empty where Kind is set
	Thinning     *Thinning     // nil: as it comes
	Alternatives []Alternative // other ways the painter accepts
	NoStandIns   bool          // the catalogue's stand-ins are not to be used here
	Coats        int           // at least 1; 0 means 1
	CoatsOver    []CoatsOver   // other numbers of coats over certain undercoats
	Optional     bool
	WaitAfter    time.Duration // before the next step on these regions
	NextWithin   time.Duration // the next step must be begun by then, since this one dries or sets; 0: any time
	After        []string      // ids of earlier steps whose waits count for this one on other regions too
	PerItem      float64       // figures one item does, of what is counted by the piece; 0: the default
	Allow        []string      // rules of order not to be told of this step, see [OrderRules]
	FilmUM       float64       // wet film of one coat, um; 0: the default of method and type
	Loss         *float64      // part of the paint that never reaches the figure, 0 to below 1; nil: default
}

// RegionSet selects regions of a figure: named ones, all, or all but some.
type RegionSet struct {
	All    bool     // the whole figure with its base
	Names  []string // used where All is false
	Except []string // left out; used where All is true
}

// Mix is paints by parts. A single paint is a mix with one part.
type Mix []Part

// Part is one paint of a mix.
type Part struct {
	Paint string // paint id
	Parts float64
}

// Thinning is a medium stirred in: MediumParts of it to PaintParts of paint.
type Thinning struct {
	Medium      string  // paint id of the medium, which is drawn down and bought like a paint; "": water
	PaintParts  float64 // above 0
	MediumParts float64 // above 0
}

// Alternative is another way to do a step, which the painter accepts.
type Alternative struct {
	Label      string // why or when, in the painter's words; may be empty
	Mix        Mix
	Thinning   *Thinning // nil: as the step says
	Compromise int       // points: 0 is as good as the recipe's own, more is worse
}

// CoatsOver is the number of coats a step takes over one undercoat.
type CoatsOver struct {
	Undercoat string // paint id
	Coats     int
}

// Key identifies a mix by its paints and parts, whatever their order:
// "bone-tone", or "1:black+2:leather". Options of needs carry it as their id,
// so that matched units take the same mix.
func (m Mix) Key() string {
	if len(m) == 1 {
		return m[0].Paint
	}
	s := make([]string, len(m))
	for i, p := range m {
		s[i] = strconv.FormatFloat(p.Parts, 'g', -1, 64) + ":" + p.Paint
	}
	sort.Strings(s)
	return strings.Join(s, "+")
}

// Total is the sum of the parts.
func (m Mix) Total() float64 {
	sum := 0.0
	for _, p := range m {
		sum += p.Parts
	}
	return sum
}

// CoatsOn is the number of coats over an undercoat ("": not said).
func (s Step) CoatsOn(undercoat string) int {
	if undercoat != "" {
		for _, c := range s.CoatsOver {
			if c.Undercoat == undercoat {
				return c.Coats
			}
		}
	}
	return max(s.Coats, 1)
}

// Step finds a step by id.
func (r Recipe) Step(id string) (Step, bool) {
	for _, s := range r.Steps {
		if s.ID == id {
			return s, true
		}
	}
	return Step{}, false
}

// Way finds the mix and thinning of a step that a key names: the step's own,
// an alternative's, or a stand-in's by its parts.
func (s *Step) Way(key string) (Mix, *Thinning) {
	if key == "" || key == s.Mix.Key() {
		return s.Mix, s.Thinning
	}
	for _, a := range s.Alternatives {
		if a.Mix.Key() == key {
			if a.Thinning != nil {
				return a.Mix, a.Thinning
			}
			return a.Mix, s.Thinning
		}
	}
	return MixOfKey(key), s.Thinning
}

// MixOfKey undoes [Mix.Key]; nil for what is no key.
func MixOfKey(key string) Mix {
	var m Mix
	for _, part := range strings.Split(key, "+") {
		parts, paint, mixed := strings.Cut(part, ":")
		if !mixed {
			return Mix{{part, 1}}
		}
		n, err := strconv.ParseFloat(parts, 64)
		if err != nil {
			return nil
		}
		m = append(m, Part{paint, n})
	}
	return m
}

// Open lists the steps that some figures of a unit have not had, in order.
func (r *Recipe) Open(f Force, u Unit) []string {
	var left []string
	for _, s := range r.Steps {
		if f.DoneOn(u, s.ID) < u.Figures {
			left = append(left, s.ID)
		}
	}
	return left
}
