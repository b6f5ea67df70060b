package main

import (
	"context"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/shelf"
)

// servingRow is how many figures a pot does for one step.
type servingRow struct {
	Recipe  string     `json:"recipe" table:"recipe"`
	Step    string     `json:"step" table:"step"`
	Figure  string     `json:"figure" table:"figure"`
	With    string     `json:"with" table:"as"`
	Likely  view.Count `json:"likely" table:"likely"`
	AtLeast view.Count `json:"at_least" table:"at least"`
	AtMost  view.Count `json:"at_most" table:"at most"`
	Kind    string     `json:"kind"`
	Batch   view.Count `json:"batch" table:"a sitting"`
	Assumed bool       `json:"batch_assumed"`
	Wasted  view.Num   `json:"wasted"`
	Remark  string     `json:"remark" table:"remark"`
}

// servingRemark says what a painter should know of a number of figures.
func servingRemark(s estimate.Serving) string {
	if s.Wasted >= 0.5 {
		return "mostly palette waste"
	}
	return ""
}

// servingDoc is how far a paint or pot goes.
type servingDoc struct {
	Paint      string       `json:"paint"`
	Pot        string       `json:"pot"`
	Usable     view.Amount  `json:"usable"`
	Confidence float64      `json:"confidence"`
	Steps      []servingRow `json:"steps"`
	Sums       []sumDoc     `json:"sums,omitempty"`

	name, from string
}

func (a *app) estimatePaint(ctx context.Context, o estimateOptions) error {
	st, err := a.stateOn(ctx, o.on)
	if err != nil {
		return err
	}
	doc := servingDoc{Confidence: o.confidence}
	level, err := usable(st, o, &doc)
	if err != nil && o.pot != "" {
		err = a.notYet(ctx, o.pot, o.on, err)
	}
	if err != nil {
		return err
	}
	paint := st.byID.Paints[doc.Paint]
	doc.name = paint.Name
	low, high := level.Range(rangeConfidence)
	doc.Usable = view.Amount{Mid: level.Left(), Low: low, High: high, Counted: paint.Type.Counted()}
	servings, err := st.Servings(doc.Paint, level.Estimate(), o.batch, o.confidence, o.explain)
	if err != nil {
		return err
	}
	assumed := false
	for _, s := range servings {
		doc.Steps = append(doc.Steps,
			servingRow{
				Recipe:  s.Recipe,
				Step:    s.Step,
				Figure:  s.Figure,
				With:    mixText(st.byID, s.Mix),
				Likely:  view.Count(s.Likely),
				AtLeast: view.Count(s.AtLeast),
				AtMost:  view.Count(s.AtMost),
				Kind:    string(s.Kind),
				Batch:   view.Count(s.Batch),
				Assumed: s.Assumed,
				Wasted:  view.Num(s.Wasted),
				Remark:  servingRemark(s.Serving),
			})
		assumed = assumed || s.Assumed
		if s.Sum != nil {
			doc.Sums = append(doc.Sums, newSumDoc(st.byID, *s.Sum))
		}
	}
	return a.show(doc, doc.Steps, func(page *view.Page) {
		st.noteDay(page, o.on)
		page.Line("%s holds %s of %s that can be used.", doc.from, doc.Usable, doc.name)
		page.Line("If all of it went into one step, it would be enough for so many figures:")
		page.List(doc.Steps, "no recipe uses it")
		if len(doc.Steps) > 0 {
			page.Note("At least and at most each hold with a chance of %.0f %%.", o.confidence*100)
		}
		if assumed {
			page.Note("Where no unit says how many sit together, %d are taken; --batch says otherwise.",
				estimate.UsualBatch)
		}
		showSums(page, doc.Sums)
		cautionFor(page, false, []*inventory.Paint{paint})
	})
}

// usable is what a pot, or all pots of a paint, still give; a paint of which
// there is no pot is taken as a new one in the smallest size sold.
func usable(st *state, o estimateOptions, doc *servingDoc) (shelf.Level, error) {
	if o.pot != "" {
		pot, err := st.pot(o.pot)
		if err != nil {
			return shelf.Level{}, err
		}
		doc.Pot, doc.Paint, doc.from = pot.ID, pot.Paint, "The pot "+pot.ID
		return st.Level(pot), nil
	}
	id, err := lookup("paint", o.paint, "halfpot paint list", paintNames(st.cat))
	if err != nil {
		return shelf.Level{}, err
	}
	doc.Paint, doc.from = id, "The shelf"
	if l, ok := st.Paint(id); ok {
		return l, nil
	}
	l, ok := st.NewPot(id)
	if !ok {
		return shelf.Level{}, usagef("there is no pot of %s on the shelf, and no product on record holds it", id)
	}
	doc.from = "A new pot of " + amount(st.byID.Paints[id], l.Nominal).String()
	return l, nil
}
