package main

import (
	"context"
	"slices"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/estimate"
	"halfpot/inventory/shopping"
	"halfpot/testdata"
)

// How much of the shelf and the estimate the walk shows.
const (
	demoPots   = 8
	demoPaints = 10
)

// demoDoc is the walk as a program gets it.
type demoDoc struct {
	Files    string       `json:"files"`
	Shelf    []potRow     `json:"shelf"`
	Estimate *estimateDoc `json:"estimate"`
	Buy      *buyDoc      `json:"buy"`
}

// walkDemo shows shelf, estimate and purchase list, a line of explanation each.
func (a *app) walkDemo(ctx context.Context) error {
	st, err := a.state(ctx)
	if err != nil {
		return err
	}
	force := *st.byID.Forces[testdata.DemoForce]
	doc := demoDoc{Files: a.demoFiles()}
	for _, p := range st.Pots() {
		doc.Shelf = append(doc.Shelf, newPotRow(st.byID, p.Pot, p.Level, st.At))
	}
	if doc.Estimate, err = newEstimateDoc(st, force, estimateOptions{
		confidence: estimate.DefaultConfidence,
	}); err != nil {
		return err
	}
	a.note("Working out what to buy ...")
	q, err := st.Question(force, shopping.Rules{Confidence: estimate.DefaultConfidence}, estimate.NeedRules{})
	if err != nil {
		return err
	}
	answer, err := q.Answer(ctx)
	if err != nil {
		return err
	}
	doc.Buy = newBuyDoc(q, answer)
	if err := a.show(doc, doc.Buy.lines(), func(page *view.Page) { a.showDemo(page, st, doc) }); err != nil {
		return err
	}
	return outcomeOf(answer)
}

func (a *app) showDemo(page *view.Page, st *state, doc demoDoc) {
	page.Line("An invented painter's desk: %d paints, %s, %s, and a force to paint. "+
		"All of it is made up; your own data is not touched. The files are in %s",
		len(st.cat.Paints), count(len(st.shelf.Pots), "pot", "pots"), count(len(st.cat.Shops), "shop",
			"shops"), a.short(doc.Files))

	page.Heading("1. The shelf")
	page.Line("What is left in each pot, with the range it lies in nine times out of ten. Eight of the %d:",
		len(doc.Shelf))
	page.List(demoShelf(doc.Shelf), "")

	page.Heading("2. What the force will take")
	page.Line("Area of the figures x film of paint x coats, with what never reaches the figure; " +
		"the range says how sure that is. The paints that are short:")
	page.List(demoShort(doc.Estimate.Paints), "nothing is short")

	page.Heading("3. What to buy")
	page.Line("The cheapest order that finishes it: pots and sets, stand-ins where they pay, delivery and all.")
	page.Gap()
	doc.Buy.showOrders(page)
	doc.Buy.showProof(page)

	page.Heading("Next, try")
	for _, line := range []string{
		"halfpot buy " + testdata.DemoForce + " --compare",
		"halfpot buy " + testdata.DemoForce + " --why",
		"halfpot estimate --pot hearth-stove-lid",
		"halfpot log " + testdata.DemoForce + " staff metal",
	} {
		page.Raw("  " + a.typed(line))
	}
}

// demoShelf picks pots in different states, in the shelf's order.
func demoShelf(rows []potRow) []potRow {
	var picked []potRow
	seen := map[string]int{}
	for _, r := range rows {
		kind := r.Remark + r.By
		if seen[kind] < 2 && len(picked) < demoPots {
			seen[kind]++
			picked = append(picked, r)
		}
	}
	for _, r := range rows {
		if len(picked) < demoPots && !slices.ContainsFunc(picked, func(p potRow) bool { return p.ID == r.ID }) {
			picked = append(picked, r)
		}
	}
	return picked
}

// demoShort picks the paints that are short, the largest shortage first.
func demoShort(rows []needRow) []needRow {
	short := slices.DeleteFunc(slices.Clone(rows), func(r needRow) bool { return r.Short.Mid == 0 })
	slices.SortStableFunc(short, func(x, y needRow) int { return int(max(-1, min(1, y.Short.Mid-x.Short.Mid))) })
	return short[:min(demoPaints, len(short))]
}
