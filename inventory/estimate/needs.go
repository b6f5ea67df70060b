package estimate

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// Needs is what is left to paint of a force, step by step, in the order of
// its units and their recipes.
type Needs struct {
	Force string
	List  []Need
}

// Need is one step on the figures of one unit that have not had it yet.
type Need struct {
	Unit    string
	Step    string
	Figures int      // still to be done, at least 1
	Match   string   // needs with the same label take options of the same id; "": free
	Options []Option // at least one; the recipe's own first, then by compromise
}

// ID names the need in a purchase problem: "rifles/jacket".
func (n Need) ID() string { return n.Unit + "/" + n.Step }

// Steps are the step ids there are, in the order they come up.
func (n *Needs) Steps() []string {
	var out []string
	for _, need := range n.List {
		if !slices.Contains(out, need.Step) {
			out = append(out, need.Step)
		}
	}
	return out
}

// Only is what is left of one step of the recipes.
func (n *Needs) Only(step string) *Needs {
	return &Needs{n.Force, slices.DeleteFunc(slices.Clone(n.List), func(x Need) bool { return x.Step != step })}
}

// Units is the number of units with something left to do.
func (n *Needs) Units() int {
	units := map[string]bool{}
	for _, need := range n.List {
		units[need.Unit] = true
	}
	return len(units)
}

// OptionKind says where an option comes from.
type OptionKind string

// Where options come from.
const (
	OwnOption     OptionKind = "recipe"      // exactly what the recipe asks for
	AlternativeOf OptionKind = "alternative" // the recipe names it
	StandInFor    OptionKind = "stand-in"    // the catalogue's stand-ins, judged by the painter
	ByColour      OptionKind = "by colour"   // measured to come near, judged by nobody yet
	PaintersOwn   OptionKind = "own choice"  // begun with by the painter, though the recipe does not name it
)

// Option is one way to do a need.
type Option struct {
	ID         string // key of the mix, with another medium than the step's behind "~"
	Kind       OptionKind
	Label      string // of an alternative
	Mix        inventory.Mix
	Thinning   *inventory.Thinning
	Compromise int
	Difference float64    // CIEDE2000 from what is asked, of a way by colour; 0: not known
	Uses       []PaintUse // each paint once, in the order of the mix, the medium last
}

// PaintUse is how much of one paint an option takes, in ml (counted paints: items).
type PaintUse struct {
	Paint  string
	Amount coverage.Estimate
}

// NeedRules narrow what is worked out; the zero value does every step every
// way the catalogue allows.
type NeedRules struct {
	SkipOptional bool // leave optional steps out
	// Nearby gives the paints and mixes that by colour may be used for a paint over
	// an undercoat ("": not known), least compromise first; nil: none are. Steps
	// that forbid stand-ins take none, and the painter's own judgement of a pair
	// goes before what was measured.
	Nearby func(paint, undercoat string) []Nearby
}

// Nearby is a paint or a mix that comes near another in colour.
type Nearby struct {
	Mix        inventory.Mix
	Difference float64 // CIEDE2000, predicted
	Compromise int     // points
}

// maxOptions bounds the ways of one need that were judged, and maxNearby those by
// colour: beyond these, the ones with the most compromise are left out.
const (
	maxOptions = 24
	maxNearby  = 400
)

// ErrNothingLeft says that every step of every unit has been done.
var ErrNothingLeft = errors.New("every step of every unit is done")

// ForceNeeds works out what a force still takes. The catalogue must pass
// [inventory.Catalogue.Validate]. It returns ErrNothingLeft where nothing does.
func ForceNeeds(
	c *inventory.Catalogue, f *inventory.Force, learned inventory.Factors, rules NeedRules,
) (*Needs, error) {
	return NewEstimator(c, learned).Needs(f, rules)
}

// Needs is [ForceNeeds] with the look-ups made once.
func (e *Estimator) Needs(f *inventory.Force, rules NeedRules) (*Needs, error) {
	labels := newMatcher(f, e.Index)
	done := doneBySteps(f)
	out := &Needs{Force: f.ID}
	for _, u := range f.Units {
		r := e.Index.Recipes[u.Recipe]
		if r == nil || e.Index.Figures[u.Figure] == nil {
			return nil, fmt.Errorf("unit %s: its recipe or figure type is not in the catalogue", u.ID)
		}
		for i := range r.Steps {
			s := &r.Steps[i]
			left := u.Figures - done[unitStep{u.ID, s.ID}]
			if left <= 0 || len(s.Mix) == 0 || s.CoatsOn(u.Undercoat) == 0 ||
				(s.Optional && rules.SkipOptional) {
				continue
			}
			n := Need{Unit: u.ID, Step: s.ID, Figures: left, Match: labels.label(unitStep{u.ID, s.ID})}
			options, err := e.options(u, s, left, rules.Nearby)
			if err != nil {
				return nil, err
			}
			if n.Options, err = e.keepBegun(u, s, options, labels.mix(unitStep{u.ID, s.ID}), left); err != nil {
				return nil, err
			}
			out.List = append(out.List, n)
		}
	}
	if len(out.List) == 0 {
		return nil, ErrNothingLeft
	}
	return out, nil
}

// keepBegun leaves only the way the work was begun with, where that is known:
// the figures of a unit, and all that must match them, get the same.
func (e *Estimator) keepBegun(
	u inventory.Unit, s *inventory.Step, options []Option, mix string, figures int,
) ([]Option, error) {
	if mix == "" {
		return options, nil
	}
	var kept []Option
	for _, o := range options {
		if o.Mix.Key() == mix {
			kept = append(kept, o)
		}
	}
	if len(kept) == 0 { // begun with something the recipe does not know
		own, err := e.ownWay(u, s, mix, figures)
		if own == nil {
			return options, err
		}
		kept = append(kept, *own)
	}
	return kept, nil
}

// ownWay is a step done with a mix that the painter has chosen, whatever the
// recipe says of it: the painter's choice, so no compromise. It is nil where a
// paint of the mix is not known or another kind of paint than the step's.
func (e *Estimator) ownWay(u inventory.Unit, s *inventory.Step, mix string, figures int) (*Option, error) {
	o := Option{ID: mix, Kind: PaintersOwn, Mix: inventory.MixOfKey(mix), Thinning: s.Thinning}
	main := e.MainPaint(s.Mix)
	if main == nil || len(o.Mix) == 0 || !mixes(o.Mix, o.Thinning) {
		return nil, nil
	}
	for _, p := range o.Mix {
		if known := e.Index.Paints[p.Paint]; known == nil || known.Type.Kin() != main.Type.Kin() ||
			!(p.Parts > 0) {
			return nil, nil
		}
	}
	sum, err := e.Sum(u, s, o.Mix, o.Thinning, figures)
	if err != nil {
		return nil, err
	}
	o.Uses = sum.Uses(o.Mix, o.Thinning)
	return &o, nil
}

// options lists the ways to do a step with what they take.
func (e *Estimator) options(
	u inventory.Unit, s *inventory.Step, figures int, nearby func(paint, undercoat string) []Nearby,
) ([]Option, error) {
	out := e.Ways(u, s, nearby)
	for i := range out {
		sum, err := e.Sum(u, s, out[i].Mix, out[i].Thinning, figures)
		if err != nil {
			return nil, err
		}
		out[i].Uses = sum.Uses(out[i].Mix, out[i].Thinning)
	}
	return out, nil
}

// Ways lists how a step may be done: as the recipe asks, its alternatives, the
// painter's stand-ins, and what is nearby, least compromise first after the recipe's
// own. What they take is not worked out.
func (e *Estimator) Ways(
	u inventory.Unit, s *inventory.Step, nearby func(paint, undercoat string) []Nearby,
) []Option {
	ways := []Option{{Kind: OwnOption, Mix: s.Mix, Thinning: s.Thinning}}
	for _, a := range s.Alternatives {
		th := a.Thinning
		if th == nil {
			th = s.Thinning
		}
		ways = append(ways, Option{
			Kind:       AlternativeOf,
			Label:      a.Label,
			Mix:        a.Mix,
			Thinning:   th,
			Compromise: a.Compromise,
		})
	}
	named := slices.Clone(ways)
	if !s.NoStandIns {
		for _, w := range named {
			ways = append(ways, e.standInWays(w)...)
		}
	}
	slices.SortStableFunc(ways[1:], func(a, b Option) int { return a.Compromise - b.Compromise })
	if nearby != nil && !s.NoStandIns {
		ways = append(ways, e.nearbyWays(u, named, nearby)...)
	}
	seen := map[string]bool{}
	judged, measured := 0, 0
	var out []Option
	for _, o := range ways {
		o.ID = o.Mix.Key()
		if o.Thinning != nil && s.Thinning != nil && o.Thinning.Medium != s.Thinning.Medium {
			o.ID += "~" + o.Thinning.Medium
		}
		count, most := &judged, maxOptions
		if o.Kind == ByColour {
			count, most = &measured, maxNearby
		}
		if seen[o.ID] || *count == most {
			continue
		}
		seen[o.ID] = true
		*count++
		out = append(out, o)
	}
	return out
}

// Uses splits what is applied among the paints of a mix and its medium.
func (s StepSum) Uses(m inventory.Mix, th *inventory.Thinning) []PaintUse {
	paint, medium := s.Applied, coverage.Estimate{}
	if s.Thinner > 0 {
		paint = s.Applied.Scale(1 / (1 + s.Thinner))
		medium = s.Applied.Scale(s.Thinner / (1 + s.Thinner))
	}
	total := m.Total()
	out := make([]PaintUse, 0, len(m)+1)
	for _, p := range m {
		out = append(out, PaintUse{p.Paint, paint.Scale(p.Parts / total)})
	}
	if th != nil && th.Medium != "" && medium.Median > 0 {
		out = append(out, PaintUse{th.Medium, medium})
	}
	return out
}

// UL is the quantile p of an amount in whole microlitres, rounded up.
func (u PaintUse) UL(p float64) inventory.Volume {
	if u.Amount.Median <= 0 {
		return 0
	}
	// A hair below the next whole number is a rounding crumb of floating point.
	return inventory.CeilUL(math.Max(0, u.Amount.Quantile(p)*1000-1e-6))
}

// DefaultConfidence is the chance of having enough of each paint that a plan
// is made for where the painter does not say.
const DefaultConfidence = 0.9
