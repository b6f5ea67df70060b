package main

import (
	"fmt"
	"strings"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
)

// hangsRow is what the answer for one paint hangs on most.
type hangsRow struct {
	Name   string   `json:"name" table:"paint"`
	On     []string `json:"on" table:"the answer hangs on"`
	Advice string   `json:"advice" table:"to be surer"`
	Paint  string   `json:"paint"`
}

// weighRow is a pot whose weighing would settle most.
type weighRow struct {
	Pot    string       `json:"pot"`
	Share  view.Percent `json:"share_of_doubt"`
	Advice string       `json:"advice"`
}

// shownInputs is how many inputs are shown, and leastShare below which none but
// the first is.
const (
	shownInputs = 3
	leastShare  = .05
)

func (d *estimateDoc) addSensitivity(byID *inventory.Index, found *desk.Estimate) {
	chance := map[string]float64{}
	for _, p := range found.HangsOn {
		chance[p.Paint] = p.Enough
		row := hangsRow{Name: paintName(byID, p.Paint), Paint: p.Paint}
		for n, i := range p.Influences[:min(shownInputs, len(p.Influences))] {
			if n > 0 && i.Share < leastShare {
				break
			}
			row.On = append(row.On, fmt.Sprintf("%s %s", i.Input, view.Percent(i.Share).Cell(view.Style{})))
			if row.Advice == "" {
				row.Advice = i.Advice
			}
		}
		d.HangsOn = append(d.HangsOn, row)
	}
	for i := range d.Paints {
		d.Paints[i].Enough = view.Percent(chance[d.Paints[i].Paint])
	}
	for _, i := range found.WeighFirst {
		d.WeighFirst = append(d.WeighFirst, weighRow{i.Of, view.Percent(i.Share), i.Advice})
	}
}

// showSensitivity shows the paints whose answer could still go either way.
func (d *estimateDoc) showSensitivity(page *view.Page) {
	open := map[string]bool{}
	for _, p := range d.Paints {
		open[p.Paint] = p.Enough > 0.02 && p.Enough < 0.98
	}
	var rows []hangsRow
	for _, r := range d.HangsOn {
		if open[r.Paint] {
			rows = append(rows, r)
		}
	}
	if len(rows) == 0 {
		return
	}
	page.Heading("Where it could go either way, and what that hangs on most")
	page.List(rows, "")
	var pots []string
	for _, w := range d.WeighFirst {
		pots = append(pots, w.Pot)
	}
	if len(pots) > 0 {
		page.Line("Weigh or judge first: %s.", strings.Join(pots, ", "))
	}
}
