package desk

import (
	"math"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/estimate"
	"halfpot/inventory/hand"
)

// Ask is a question about what a force takes.
type Ask struct {
	Force      inventory.Force
	Rules      estimate.NeedRules
	Step       string  // only this step of the recipes; "": all
	Confidence float64 // 0.5 to 0.999
	Sums       bool    // how each number comes about too
	Batch      int     // figures a sitting, whatever the units say; 0: as they say
}

// Estimate is what a force takes, and how far the shelf goes.
type Estimate struct {
	Paints     []estimate.PaintEstimate
	HangsOn    []estimate.PaintInfluences
	WeighFirst []estimate.Influence
	Finishing  *estimate.Finishing // nil where one step was asked about: it finishes no figure
	Sums       []Sum
	Instead    []Instead // what by colour could stand in for paints that are short, of the shelf
}

// Instead is what the shelf has in place of a paint that is short.
type Instead struct {
	Paint string
	estimate.Nearby
	Left inventory.Volume // of the paint, of a mix of what there is least of for its parts
}

// instead finds the best way by colour for each paint that is short.
func (d *Desk) instead(
	paints []estimate.PaintEstimate,
	stock inventory.Stock,
	nearby func(paint, undercoat string) []estimate.Nearby,
) (out []Instead) {
	for _, p := range paints {
		if p.Short == 0 {
			continue
		}
		for _, n := range nearby(p.Paint, "") {
			left := inventory.Volume(math.MaxInt64)
			for _, part := range n.Mix {
				left = min(left, inventory.FloorUL(float64(stock[part.Paint])*n.Mix.Total()/part.Parts))
			}
			if left >= p.Short || left > 0 && left >= p.NeedAt/2 {
				out = append(out, Instead{p.Paint, n, left})
				break
			}
		}
	}
	return out
}

// Sum is how a step done in one way comes about.
type Sum struct {
	Need   estimate.Need
	Option estimate.Option
	estimate.StepSum
}

// weighed is how many pots are named to be weighed first.
const weighed = 3

func (d *Desk) estimator() *estimate.Estimator {
	return estimate.NewEstimator(d.Catalogue, d.Lesson.Factors)
}

// Needs is what is left to do of a force; estimate.ErrNothingLeft where that is
// nothing.
func (d *Desk) Needs(force inventory.Force, rules estimate.NeedRules) (*estimate.Needs, error) {
	return estimate.ForceNeeds(d.Catalogue, &force, d.Lesson.Factors, rules)
}

// Estimate says what a force takes, each step done as its recipe asks.
func (d *Desk) Estimate(a Ask) (*Estimate, error) {
	if a.Batch > 0 {
		a.Force.Units = slices.Clone(a.Force.Units)
		for i := range a.Force.Units {
			a.Force.Units[i].Batch = a.Batch
		}
	}
	e := d.estimator()
	needs, err := e.Needs(&a.Force, a.Rules)
	if err != nil {
		return nil, err
	}
	if a.Step != "" {
		needs = needs.Only(a.Step)
	}
	r := d.reckoner(a.Force, needs)
	if r.err != nil {
		return nil, r.err
	}
	reckoning, stock := r.state(a.Confidence, 0)
	out := &Estimate{Paints: estimate.EstimateForce(needs, stock, reckoning.Takes)}
	likely := d.stockWithComing(evenChance)
	for i := range out.Paints {
		out.Paints[i].OnShelf = likely[out.Paints[i].Paint]
	}
	if a.Rules.Nearby != nil {
		out.Instead = d.instead(out.Paints, likely, a.Rules.Nearby)
	}
	if out.HangsOn, err = e.Sensitivity(&a.Force, d.withComing(), a.Rules); err != nil {
		return nil, err
	}
	_, _, each := hand.Enough(r.ranks.short)
	for i := range out.HangsOn { // one chance, however it is asked for
		if k := slices.Index(r.order, out.HangsOn[i].Paint); k >= 0 {
			out.HangsOn[i].Enough = math.Min(each[k], 1-.5/hand.Points) // no draw of so many failed
		}
	}
	out.WeighFirst = estimate.WeighFirst(out.HangsOn, weighed)
	if a.Step == "" {
		if out.Finishing, err = e.Finishable(&a.Force, d.withComing(), a.Rules, a.Confidence); err != nil {
			return nil, err
		}
	}
	if a.Sums {
		out.Sums, err = d.sums(e, a.Force, needs)
	}
	return out, err
}

// sums are the sums behind the recipe's own way of every need.
func (d *Desk) sums(e *estimate.Estimator, force inventory.Force, needs *estimate.Needs) ([]Sum, error) {
	var out []Sum
	for _, n := range needs.List {
		unit, _ := force.Unit(n.Unit)
		step, _ := d.Index.Recipes[unit.Recipe].Step(n.Step)
		own := n.Options[0]
		sum, err := e.Sum(unit, &step, own.Mix, own.Thinning, n.Figures)
		if err != nil {
			return nil, err
		}
		out = append(out, Sum{n, own, sum})
	}
	return out, nil
}

// Serving is how many figures a volume of paint does for one step.
type Serving struct {
	estimate.Serving
	Sum *Sum // for the likely number of figures; nil where it was not asked for
}

// Servings says for how many figures a usable volume of a paint (ml, or items)
// does, for each step that takes it, alone. Batch is the number of figures at a
// sitting, 0 for that of the units painted so, else ten.
func (d *Desk) Servings(
	paint string, usable coverage.Estimate, batch int, confidence float64, sums bool,
) ([]Serving, error) {
	e := d.estimator()
	list, err := e.Servings(d.Catalogue, paint, usable, batch, confidence)
	if err != nil {
		return nil, err
	}
	out := make([]Serving, len(list))
	for i, s := range list {
		out[i].Serving = s
		if !sums {
			continue
		}
		step, _ := d.Index.Recipes[s.Recipe].Step(s.Step)
		mix, thinning := step.Way(s.Mix.Key())
		figures := max(1, s.Likely)
		sum, err := e.Sum(inventory.Unit{ID: s.Recipe, Figure: s.Figure, Batch: s.Batch}, &step, mix,
			thinning, figures)
		if err != nil {
			return nil, err
		}
		out[i].Sum = &Sum{
			estimate.Need{Unit: s.Recipe, Step: s.Step, Figures: figures},
			estimate.Option{Mix: s.Mix},
			sum,
		}
	}
	return out, nil
}
