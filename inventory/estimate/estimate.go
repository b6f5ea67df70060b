package estimate

import (
	"fmt"
	"math"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// PaintEstimate is what a force still takes of one paint when every step is
// done as its recipe asks.
type PaintEstimate struct {
	Paint   string
	Need    coverage.Estimate // ml (counted paints: items)
	NeedAt  inventory.Volume  // at the confidence: what a purchase reckons with
	OnShelf inventory.Volume  // usable, at the confidence
	Short   inventory.Volume  // NeedAt - OnShelf, at least 0
	Steps   []string          // "unit/step" in the order of the force
}

// EstimateForce sums needs up by paint, in the order in which the paints come
// up. The steps' errors are taken to go together, as they rest on the same
// figures and the same hand, so the range is wide rather than narrow.
func EstimateForce(n *Needs, stock inventory.Stock, confidence float64) []PaintEstimate {
	var out []PaintEstimate
	var parts [][]coverage.Estimate
	at := map[string]int{}
	for i := range n.List {
		need := &n.List[i]
		for _, u := range need.Options[0].Uses {
			j, ok := at[u.Paint]
			if !ok {
				j = len(out)
				at[u.Paint] = j
				out = append(out, PaintEstimate{Paint: u.Paint, OnShelf: stock[u.Paint]})
				parts = append(parts, nil)
			}
			out[j].NeedAt += u.UL(confidence)
			out[j].Steps = append(out[j].Steps, need.ID())
			parts[j] = append(parts[j], u.Amount)
		}
	}
	for j := range out {
		out[j].Need = coverage.Sum(1, parts[j]...)
		out[j].Short = max(0, out[j].NeedAt-out[j].OnShelf)
	}
	return out
}

// Serving is how many figures a volume of one paint does for one step.
type Serving struct {
	Recipe  string
	Step    string
	Figure  string     // figure type id
	Kind    OptionKind // the recipe's own way, or an alternative
	Mix     inventory.Mix
	Likely  int // figures, at the median
	AtLeast int // figures, with the chance asked for
	AtMost  int // figures, with the same chance not passed
}

// Servings says for how many figures a usable volume of a paint (ml, or items)
// is enough, for each step that takes it, alone. Figure types are those that
// the forces pair with the recipe, or all that have the regions where no force
// does. A confidence of 0 is DefaultConfidence. Batch is the number of figures a sitting; 0: all at once.
func (e *Estimator) Servings(c *inventory.Catalogue, paint string, usable coverage.Estimate, batch int, confidence float64) ([]Serving, error) {
	if confidence == 0 {
		confidence = DefaultConfidence
	}
	var out []Serving
	for i := range c.Recipes {
		r := &c.Recipes[i]
		for _, fig := range e.figuresOf(c, r) {
			for j := range r.Steps {
				more, err := e.stepServings(r, &r.Steps[j], fig, paint, usable, batch, confidence)
				if err != nil {
					return nil, err
				}
				out = append(out, more...)
			}
		}
	}
	return out, nil
}

func (e *Estimator) stepServings(r *inventory.Recipe, s *inventory.Step, figure, paint string, usable coverage.Estimate, batch int, confidence float64) ([]Serving, error) {
	if len(s.Mix) == 0 {
		return nil, nil
	}
	ways := []Option{{Kind: OwnOption, Mix: s.Mix, Thinning: s.Thinning}}
	for _, a := range s.Alternatives {
		th := a.Thinning
		if th == nil {
			th = s.Thinning
		}
		ways = append(ways, Option{Kind: AlternativeOf, Mix: a.Mix, Thinning: th})
	}
	var out []Serving
	for _, w := range ways {
		sum, err := e.Sum(inventory.Unit{ID: r.ID, Figure: figure, Batch: batch}, s, w.Mix, w.Thinning, 1)
		if err != nil {
			return nil, err
		}
		share := sum.shareOf(paint, w.Mix, w.Thinning)
		if share == 0 || s.CoatsOn("") == 0 {
			continue
		}
		one, err := sum.PerFigure()
		if err != nil {
			return nil, err
		}
		sv := Serving{Recipe: r.ID, Step: s.ID, Figure: figure, Kind: w.Kind, Mix: w.Mix}
		// Usable over needed is lognormal: both errors in one spread.
		spread := math.Exp(coverage.Normal(confidence) * math.Hypot(one.LogSD, usable.LogSD))
		for _, q := range []struct {
			to     *int
			factor float64
		}{{&sv.Likely, 1}, {&sv.AtLeast, spread}, {&sv.AtMost, 1 / spread}} {
			*q.to, err = coverage.Figures(usable.Median, one.Median*share*q.factor, sum.Step.WasteML.Median*share*q.factor, batch)
			if err != nil {
				return nil, fmt.Errorf("recipe %s, step %s: %w", r.ID, s.ID, err)
			}
		}
		out = append(out, sv)
	}
	return out, nil
}

// figuresOf lists the figure types a recipe is used on.
func (e *Estimator) figuresOf(c *inventory.Catalogue, r *inventory.Recipe) []string {
	var out []string
	seen := map[string]bool{}
	for _, f := range c.Forces {
		for _, u := range f.Units {
			if u.Recipe == r.ID && !seen[u.Figure] {
				seen[u.Figure] = true
				out = append(out, u.Figure)
			}
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, f := range c.Figures {
		fits := true
		for _, s := range r.Steps {
			if _, _, err := f.Cover(s.Regions); err != nil {
				fits = false
			}
		}
		if fits {
			out = append(out, f.ID)
		}
	}
	return out
}

// PerFigure is what one figure takes of everything applied, without the waste
// of the sitting, in ml (counted paints: items).
func (s StepSum) PerFigure() (coverage.Estimate, error) {
	if s.PerItem > 0 {
		one := s.Applied.Scale(1 / float64(max(1, s.Step.Figures)))
		return one, nil
	}
	step := s.Step
	if s.Learned != nil {
		for _, n := range []*coverage.Estimate{&step.AreaCM2, &step.Share, &step.Cover, &step.WetUM, &step.Efficiency} {
			n.LogSD = 0
		}
	}
	one, err := step.PerFigure()
	if s.Learned != nil {
		return one.Times(s.Learned.Estimate()).Times(s.areaSpread()), err
	}
	return one.Times(oneJob), err
}

// shareOf is the part of what is applied that is one paint, 0 where it is not
// in it.
func (s StepSum) shareOf(paint string, m inventory.Mix, th *inventory.Thinning) float64 {
	if th != nil && th.Medium == paint && paint != "" {
		return s.Thinner / (1 + s.Thinner)
	}
	for _, p := range m {
		if p.Paint == paint {
			return p.Parts / m.Total() / (1 + s.Thinner)
		}
	}
	return 0
}
