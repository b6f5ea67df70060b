package painting

import (
	"slices"
	"time"

	"halfpot/inventory"
)

// Severity is how much a broken rule matters.
type Severity string

// The severities.
const (
	Wrong   Severity = "error"   // it will go wrong
	Risky   Severity = "warning" // it often goes wrong
	Mention Severity = "hint"    // worth knowing
)

// Rule is a rule of order of the trade. All are common practice with no source,
// except: a water-borne varnish's data sheet gives recoat after 2 h and cure after
// 7 d, and ISO 8502-4 asks for a surface 3 C above the dew point (both from memory).
type Rule struct {
	ID     string
	Reason string // one plain sentence
}

// Rules lists them in the order of a paint job.
var Rules = []Rule{
	{"clean-first", "wash the parts first: grease keeps primer off"},
	{"primer-first", "paint rubs off a bare figure"},
	{"light-below", "see-through paint only darkens; it needs a light ground"},
	{"white-below", "white dry-brushed over it looks chalky; do it before"},
	{"rub-dry", "leave it overnight: rubbing lifts a soft film"},
	{"wash-dry", "leave it overnight, or the varnish lifts and streaks it"},
	{"wash-over-light", "the wash dulls the highlight"},
	{"wash-strays", "the wash stains what it should spare"},
	{"hidden", "this coat is never seen: a later one covers it"},
	{"metal-dulled", "the shine goes; touch metal with pencil or paint again after"},
	{"coats-dry", "the brush drags a coat that is still wet"},
	{"highlight-last", "the base coat covers the highlight"},
	{"dust-smeared", "a wet brush smears pencil and pigment"},
	{"dust-loose", "loose pigment comes off in the hand; seal it"},
	{"transfer-gloss", "over a matt coat trapped air shows silver; gloss varnish first"},
	{"transfer-sealed", "unsealed, its edges lift; varnish over it"},
	{"transfer-set", "leave it overnight: the softened film marks"},
	{"varnish-dry", "let the paint dry for a day, or the varnish clouds and cracks"},
	{"matt-last", "gloss over matt undoes it; matt comes last"},
	{"tuft-last", "paint and varnish mat it together"},
	{"spray-weather", "cold, heat or damp make a spray cloud or turn grainy"},
	{"solvent-over", "solvent may bite into the film; varnish between and wait a day"},
	{"set-already", "by then it has dried or set, and the step comes too late"},
	{"wait-missing", "the recipe does not say how long to wait; the usual wait is taken"},
}

// Reason is what a rule says in one sentence; "" for an unknown id.
func Reason(id string) string {
	for _, r := range Rules {
		if r.ID == id {
			return r.Reason
		}
	}
	return ""
}

// Finding is a rule that a recipe, or work done, breaks.
type Finding struct {
	Rule     string
	Severity Severity
	Step     string // the step it is about
	After    string // the earlier step it clashes with; ""
	Regions  []string
	Wait     time.Duration // from one to the other, where the rule asks for one
	Needs    time.Duration
	Without  bool // only where optional steps are left out
}

// Reason is the rule's sentence.
func (f Finding) Reason() string { return Reason(f.Rule) }

// Air is the weather a spray meets.
type Air struct {
	Celsius  float64
	Humidity float64  // relative, percent
	Surface  *float64 // of the figures, C; nil: as the air
}

// Check holds a recipe against the rules, on one of the figure types it is used
// on (nil: any), with its optional steps and without.
func Check(r *inventory.Recipe, fig *inventory.FigureType, idx *inventory.Index) []Finding {
	all := passes(r, fig, idx)
	out := (&checker{fig: fig, list: all, nominal: true}).run()
	var must []pass
	for _, p := range all {
		if !p.step.Optional {
			must = append(must, p)
		}
	}
	if len(must) < len(all) {
		for _, f := range (&checker{fig: fig, list: must, nominal: true}).run() {
			same := func(o Finding) bool {
				return o.Rule == f.Rule && o.Step == f.Step && o.After == f.After && o.Severity == f.Severity
			}
			if !slices.ContainsFunc(out, same) {
				f.Without = true
				if f.Severity == Wrong && f.Needs > 0 {
					f.Severity = Risky // the painter who leaves the step out can still wait
				}
				out = append(out, f)
			}
		}
	}
	order := map[string]int{}
	for i := range r.Steps {
		order[r.Steps[i].ID] = i
	}
	rank := map[Severity]int{Wrong: 0, Risky: 1, Mention: 2}
	slices.SortStableFunc(out, func(a, b Finding) int {
		if d := rank[a.Severity] - rank[b.Severity]; d != 0 {
			return d
		}
		return order[a.Step] - order[b.Step]
	})
	return out
}

// Wet is how long at least goes by after a step before a later one on the same
// regions: the recipe's wait or the usual one, or longer where a rule asks.
func wet(a, b *pass, between []pass) time.Duration {
	w := a.wait
	switch {
	case a.wash() && b.family == varnished:
		w = max(w, Overnight)
	case a.family == solid && b.family == varnished:
		w = max(w, DryDay)
	case a.family == sheer && b.family == rubbed && !sealed(between, a):
		w = max(w, Overnight)
	case a.step.Kind == inventory.Setting:
		w = max(w, Overnight)
	}
	return w
}

// sealed is whether something between varnishes a's regions.
func sealed(between []pass, a *pass) bool {
	for i := range between {
		if between[i].family == varnished && within(a, &between[i]) {
			return true
		}
	}
	return false
}

// LongWait is a night or more that must go by between two steps.
type LongWait struct {
	From, To string // step ids
	Wait     time.Duration
}

// LongWaits are the waits of a night and more between the steps of a recipe that
// meet on the same regions: for each step to the first later one that asks for
// it. What follows from a wait between is left out.
func LongWaits(r *inventory.Recipe, fig *inventory.FigureType, idx *inventory.Index) []LongWait {
	all := passes(r, fig, idx)
	var out []LongWait
	for i := range all {
		for j := i + 1; j < len(all); j++ {
			if w := wet(&all[i], &all[j], all[i+1:j]); binds(&all[i], &all[j]) && w >= Overnight {
				out = append(out, LongWait{all[i].step.ID, all[j].step.ID, w})
				break
			}
		}
	}
	return out
}
