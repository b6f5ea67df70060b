package main

import (
	"fmt"
	"math"
	"strings"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/desk"
	"halfpot/inventory/estimate"
)

func newEstimateDoc(st *state, force inventory.Force, o estimateOptions) (*estimateDoc, error) {
	doc := &estimateDoc{Force: force.ID, Confidence: o.confidence}
	ask := desk.Ask{
		Force:      force,
		Rules:      estimate.NeedRules{SkipOptional: o.skipOptional},
		Confidence: o.confidence,
		Sums:       o.explain,
		Batch:      o.batch,
	}
	if o.byColour > 0 {
		ask.Rules.Nearby = st.Nearby(o.byColour)
	}
	if o.step != "" {
		needs, err := st.Needs(force, ask.Rules)
		if err != nil {
			return doc, err
		}
		if ask.Step, err = lookup("open step", o.step, "halfpot force show "+force.ID, ids(needs.Steps())); err != nil {
			return doc, err
		}
	}
	if o.withoutOrders {
		st.WithoutOrders()
	}
	doc.Coming = comingRows(st.byID, st.Coming)
	found, err := st.Estimate(ask)
	if err != nil {
		return doc, err
	}
	for _, p := range found.Paints {
		doc.Paints = append(doc.Paints, newNeedRow(st.byID.Paints[p.Paint], p))
	}
	for _, i := range found.Instead {
		p := st.byID.Paints[i.Paint]
		doc.Instead = append(doc.Instead, insteadRow{
			Paint:   i.Paint,
			Name:    p.Name,
			With:    mixText(st.byID, i.Mix),
			Differs: view.Difference(i.Difference),
			Points:  view.Count(i.Compromise),
			Left:    about(p, i.Left),
		})
	}
	doc.addSensitivity(st.byID, found)
	if found.Finishing != nil {
		doc.addFinish(st.byID, found.Finishing)
	}
	for _, s := range found.Sums {
		doc.Sums = append(doc.Sums, newSumDoc(st.byID, s))
	}
	return doc, nil
}

func newNeedRow(p *inventory.Paint, e estimate.PaintEstimate) needRow {
	counted := p.Type.Counted()
	low, high := e.Need.Range()
	row := needRow{Paint: e.Paint, Colour: swatch(*p), Name: p.Name,
		Need: view.Amount{
			Mid:     inventory.VolumeOfML(e.Need.Median),
			Low:     inventory.VolumeOfML(low),
			High:    inventory.VolumeOfML(high),
			Counted: counted,
		},
		NeedAt:  about(p, e.NeedAt),
		OnShelf: about(p, e.OnShelf),
		Short:   view.Shortage(about(p, e.Short)),
		Steps:   e.Steps}
	if tenth := inventory.Item / 10; counted && e.NeedAt > inventory.Item {
		row.NeedAt.Mid = (e.NeedAt + tenth - 1) / tenth * tenth // 2.01 is more than 2
	}
	switch {
	case e.Short == 0:
		row.State = "enough"
	case e.OnShelf == 0:
		row.State = "none left"
	default:
		row.State = "too little"
	}
	return row
}

// sumDoc is the sum for one step of one unit, number by number.
type sumDoc struct {
	Unit    string      `json:"unit"`
	Step    string      `json:"step"`
	Figures int         `json:"figures"`
	With    string      `json:"with"`
	Method  string      `json:"method"`
	Numbers []factorRow `json:"numbers"`
	Result  view.Amount `json:"result"`
	Formula string      `json:"formula"`
	Plain   view.Amount `json:"formula_result"` // of the middles alone
}

func newSumDoc(byID *inventory.Index, s desk.Sum) sumDoc {
	paint := byID.Paints[s.Paint]
	d := sumDoc{
		Unit:    s.Need.Unit,
		Step:    s.Need.Step,
		Figures: s.Need.Figures,
		With:    mixText(byID, s.Option.Mix),
		Method:  string(s.Method),
	}
	for _, f := range s.Factors {
		d.Numbers = append(d.Numbers, newFactorRow(f))
	}
	if s.Learned != nil {
		d.Numbers = append(d.Numbers, learnedRows(*s.Learned)...)
	}
	low, high := s.Applied.Range()
	d.Result = view.Amount{
		Mid:     inventory.VolumeOfML(s.Applied.Median),
		Low:     inventory.VolumeOfML(low),
		High:    inventory.VolumeOfML(high),
		Counted: paint.Type.Counted(),
	}
	d.Formula = sumFormula(s.StepSum, s.Need.Figures)
	d.Plain = view.About(inventory.VolumeOfML(plainSum(s.StepSum, s.Need.Figures)), paint.Type.Counted())
	return d
}

// plainSum is the sum with the middle of every number, as a pocket calculator
// gives it.
func plainSum(s estimate.StepSum, figures int) float64 {
	film, waste := 1.0, 1.0
	if s.Learned != nil {
		film, waste = handOf(*s.Learned)
	}
	if s.PerItem > 0 {
		return float64(figures) * s.Step.Coats / s.PerItem * film
	}
	one := s.Step.AreaCM2.Median * s.Step.Share.Median * s.Step.Cover.Median * s.Step.WetUM.Median * 0.0001 * s.Step.Coats / s.Step.Efficiency.Median
	return one*float64(figures)*film +
		s.Step.WasteML.Median*float64(coverage.Sittings(figures, s.Step.Batch))*waste
}

// handOf is the middle of a learned factor: of the film, and of the waste.
func handOf(f inventory.Factor) (film, waste float64) {
	return math.Exp(f.LogMean), math.Exp(f.WasteMean)
}

func learnedRows(f inventory.Factor) []factorRow {
	film, waste := f.Film(), f.Waste(1)
	low, high := film.Range()
	row := factorRow{
		Name:   "your hand, " + string(f.Level) + " " + f.Key,
		Value:  view.Fine(film.Median),
		Low:    view.Num(low),
		High:   view.Num(high),
		Origin: "learned",
		Source: "from " + count(f.Observations, "reading", "readings"),
	}
	switch {
	case f.Pinned:
		row.Origin, row.Source = "given", "pinned by you"
	case f.Observations == 0:
		row.Origin, row.Source = "assumption", "no pot of it has been read yet"
	}
	if f.WasteSD == 0 {
		return []factorRow{row}
	}
	low, high = waste.Range()
	source := "from the same pots, all methods together"
	if f.Observations == 0 {
		source = "from pots of other methods"
	}
	return []factorRow{
		row,
		{Name: "your waste, " + string(f.Level) + " " + f.Key, Value: view.Fine(math.Exp(f.WasteMean)), Low: view.Num(low), High: view.Num(high),
			Origin: "learned", Source: source},
	}
}

// sumFormula is the sum with the numbers put in, so that it can be redone with
// a pocket calculator: one cm2 under one um is 0.0001 ml.
func sumFormula(s estimate.StepSum, figures int) string {
	film, waste := "", ""
	if s.Learned != nil {
		f, w := handOf(*s.Learned)
		film = fmt.Sprintf(" x %s", view.Fine(f))
		if s.Learned.WasteSD > 0 {
			waste = fmt.Sprintf(" x %s", view.Fine(w))
		}
	}
	if s.PerItem > 0 {
		return fmt.Sprintf("%d figures x %s coats / %s figures an item%s",
			figures, view.Fine(s.Step.Coats), view.Fine(s.PerItem), film)
	}
	sittings := coverage.Sittings(figures, s.Step.Batch)
	parts := []string{view.Fine(s.Step.AreaCM2.Median).String() + " cm2"}
	for _, share := range []float64{s.Step.Share.Median, s.Step.Cover.Median} {
		if share != 1 {
			parts = append(parts, view.Fine(share).String())
		}
	}
	parts = append(parts, view.Fine(s.Step.WetUM.Median).String()+" um", "0.0001")
	if s.Step.Coats != 1 {
		parts = append(parts, view.Fine(s.Step.Coats).String()+" coats")
	}
	return fmt.Sprintf("%s / %s x %d figures%s + %s ml x %s%s", strings.Join(parts, " x "),
		view.Fine(s.Step.Efficiency.Median), figures, film,
		view.Fine(s.Step.WasteML.Median), count(sittings, "sitting", "sittings"), waste)
}

func (d *estimateDoc) show(page *view.Page, st *state, force inventory.Force) {
	figures := 0
	for _, u := range force.Units {
		figures += u.Figures
	}
	page.Line("%s: %s in %s. Done as the recipes ask, the open steps take:", orWord(force.Name, force.ID),
		count(figures, "figure", "figures"), count(len(force.Units), "unit", "units"))
	page.List(d.Paints, "nothing")
	page.Note("To have, and to add: what there must be, and what must come to it, "+
		"so that nothing of all this runs short with a chance of %.0f %%, "+
		"need and shelf weighed together. Enough: the chance that the shelf does, of each paint by itself.", d.Confidence*100)
	noteComing(page, d.Coming)
	d.showFinish(page)
	d.showSensitivity(page)
	showSums(page, d.Sums)
	var used []*inventory.Paint
	for _, p := range d.Paints {
		used = append(used, st.byID.Paints[p.Paint])
	}
	cautionFor(page, false, used)
}

func showSums(page *view.Page, sums []sumDoc) {
	lopsided := false
	for _, s := range sums {
		page.Heading("%s / %s: %s with %s (%s)",
			s.Unit, s.Step, count(s.Figures, "figure", "figures"), s.With, s.Method)
		page.List(s.Numbers, "")
		page.Line("  %s", s.Formula)
		page.Line("  = %s", s.Plain)
		page.Line("  With the ranges: likely %s.", s.Result)
		lopsided = lopsided || s.Result.Mid > s.Plain.Mid+s.Plain.Mid/50
	}
	if lopsided {
		page.Note("Likely lies above the plain sum because each number can be further off upwards (twice " +
			"as much) than downwards (half as much).")
	}
}
