package estimate

import (
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
	OnShelf inventory.Volume  // usable, as likely as not
	Short   inventory.Volume  // what must be bought to be that sure, at least 0: need and shelf weighed together
	Steps   []string          // "unit/step" in the order of the force
}

// EstimateForce sums needs up by paint, in the order in which the paints come
// up. The steps' errors are taken to go together, as they rest on the same
// figures and the same hand, so the range is wide rather than narrow. Takes is
// what is reckoned with for a use by a need, stock what the shelf is reckoned to
// hold against it.
func EstimateForce(
	n *Needs, stock inventory.Stock, takes func(need string, u PaintUse) inventory.Volume,
) []PaintEstimate {
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
			out[j].NeedAt += takes(need.ID(), u)
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
	Likely  int     // figures, at the median, spoken of in two digits
	AtLeast int     // figures, with the chance asked for
	AtMost  int     // figures, with the same chance not passed
	Batch   int     // figures a sitting it is reckoned for
	Assumed bool    // no unit says how many sit together: ten are taken
	Wasted  float64 // part of the paint that is palette waste, 0 to 1
}

// Servings says for how many figures a usable volume of a paint (ml, or items)
// is enough, for each step that takes it, alone. Figure types are those that
// the forces pair with the recipe, or all that have the regions where no force
// does. A confidence of 0 is DefaultConfidence. Batch is the number of figures a sitting; 0: that of the units
// painted so, else UsualBatch.
func (e *Estimator) Servings(
	c *inventory.Catalogue, paint string, usable coverage.Estimate, batch int, confidence float64,
) ([]Serving, error) {
	if confidence == 0 {
		confidence = DefaultConfidence
	}
	var out []Serving
	for i := range c.Recipes {
		r := &c.Recipes[i]
		for _, fig := range e.figuresOf(c, r) {
			for j := range r.Steps {
				more, err := e.stepServings(c, r, &r.Steps[j], fig, paint, usable, batch, confidence)
				if err != nil {
					return nil, err
				}
				out = append(out, more...)
			}
		}
	}
	return out, nil
}

// UsualBatch is how many figures sit together where nobody says. Common
// practice, no source.
const UsualBatch = 10

// batchOf is the batch of the largest unit that has one, painted by a recipe
// on a figure type; else UsualBatch.
func batchOf(c *inventory.Catalogue, recipe, figure string) (batch int, assumed bool) {
	most := 0
	for _, f := range c.Forces {
		for _, u := range f.Units {
			if u.Recipe != recipe || u.Figure != figure {
				continue
			}
			if u.Batch > 0 && u.Figures > most {
				batch, most = min(u.Batch, u.Figures), u.Figures
			}
		}
	}
	if batch > 0 {
		return batch, false
	}
	return UsualBatch, true
}

func (e *Estimator) stepServings(
	c *inventory.Catalogue,
	r *inventory.Recipe,
	s *inventory.Step,
	figure, paint string,
	usable coverage.Estimate,
	batch int,
	confidence float64,
) ([]Serving, error) {
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
	assumed := false
	if batch == 0 {
		batch, assumed = batchOf(c, r.ID, figure)
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
		sv := Serving{
			Recipe:  r.ID,
			Step:    s.ID,
			Figure:  figure,
			Kind:    w.Kind,
			Mix:     w.Mix,
			Batch:   batch,
			Assumed: assumed,
		}
		n, wasted := coverage.PotFigures(usable, one.Scale(share), sum.WasteOfSitting().Scale(share), sv.Batch)
		z := coverage.Normal(confidence) * n.LogSD
		sv.Wasted = wasted
		for to, v := range map[*int]float64{
			&sv.Likely:  n.Median,
			&sv.AtLeast: n.Median * math.Exp(-z),
			&sv.AtMost:  n.Median * math.Exp(z),
		} {
			*to = coverage.TwoFigures(v)
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
	film, _, _, err := s.parts()
	return film.Scale(1 / float64(max(1, s.Step.Figures))), err
}

// WasteOfSitting is what one sitting wastes, in ml.
func (s StepSum) WasteOfSitting() coverage.Estimate {
	if s.PerItem > 0 {
		return coverage.Estimate{}
	}
	one := s
	one.Step.Figures, one.Step.Batch = 1, 1
	_, waste, _, err := one.parts()
	if err != nil {
		return coverage.Estimate{}
	}
	return waste
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
