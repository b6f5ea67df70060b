package main

import (
	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/estimate"
)

// finishRow is how many figures of a unit can be finished from the shelf.
type finishRow struct {
	Unit     string     `json:"unit" table:"unit"`
	Left     view.Count `json:"left" table:"to finish"`
	AtLeast  view.Count `json:"at_least" table:"surely"`
	Likely   view.Count `json:"likely" table:"likely"`
	AtMost   view.Count `json:"at_most" table:"at most"`
	Together view.Count `json:"together" table:"sharing"`
	Lacking  []string   `json:"lacking" table:"the next one lacks"`
}

// runOutRow is a paint that does not last for the force.
type runOutRow struct {
	Name    string     `json:"name" table:"paint"`
	AtLeast view.Count `json:"at_least" table:"surely for"`
	Likely  view.Count `json:"likely" table:"likely for"`
	Of      view.Count `json:"of" table:"of"`
	Unit    string     `json:"unit" table:"gone in"`
	Step    string     `json:"step" table:"at"`
	Paint   string     `json:"paint"`
}

// shownRunOuts is how many of the paints that run out a page shows.
const shownRunOuts = 5

func (d *estimateDoc) addFinish(byID *inventory.Index, f *estimate.Finishing) {
	d.Together = f.Together
	for _, u := range f.Units {
		row := finishRow{
			Unit:     u.Unit,
			Left:     view.Count(u.Left),
			AtLeast:  view.Count(u.Alone.AtLeast),
			Likely:   view.Count(u.Alone.Likely),
			AtMost:   view.Count(u.Alone.AtMost),
			Together: view.Count(u.Together),
		}
		for _, p := range u.Lacking {
			row.Lacking = append(row.Lacking, paintName(byID, p))
		}
		d.Finish = append(d.Finish, row)
	}
	for _, r := range f.RunsOut {
		if !r.Enough() {
			d.RunsOut = append(d.RunsOut, runOutRow{
				Name:    paintName(byID, r.Paint),
				AtLeast: view.Count(r.AtLeast),
				Likely:  view.Count(r.Likely),
				Of:      view.Count(r.Of),
				Unit:    r.Unit,
				Step:    r.Step,
				Paint:   r.Paint,
			})
		}
	}
}

func (d *estimateDoc) showFinish(page *view.Page) {
	if len(d.Instead) > 0 {
		page.Heading("What could stand in by colour, from the shelf")
		page.List(d.Instead, "")
		page.Note("Differs: CIEDE2000, of mixes as predicted. Try them on a spare first; " +
			"what can be finished reckons with them.")
	}
	if len(d.Finish) == 0 {
		return
	}
	page.Heading("What can be finished now, from the shelf alone")
	rows := make([]finishRow, len(d.Finish))
	for i, r := range d.Finish {
		rows[i] = r
		if n := len(r.Lacking); n > 4 {
			rows[i].Lacking = append(r.Lacking[:3:3], count(n-3, "more", "more"))
		}
	}
	page.List(rows, "")
	page.Note("Surely, likely, at most: each unit with the whole shelf to itself. "+
		"Sharing: all units at once, as many figures as can be, %d in all.", d.Together)
	if len(d.RunsOut) > 0 {
		page.Heading("What runs out first, painting unit by unit")
		page.List(d.RunsOut[:min(shownRunOuts, len(d.RunsOut))], "")
		if more := len(d.RunsOut) - shownRunOuts; more > 0 {
			page.Note("and %s", count(more, "paint more", "paints more"))
		}
	}
}
