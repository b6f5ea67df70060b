package main

import (
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// eventRow is one entry of a pot's list.
type eventRow struct {
	Number view.Count `json:"number" table:"no."`
	At     view.Date  `json:"day" table:"day"`
	Kind   string     `json:"kind" table:"what"`
	Amount string     `json:"amount" table:"how much"`
	Job    string     `json:"job" table:"job"`
	Undone bool       `json:"undone" table:"undone"`
	Note   string     `json:"note" table:"note"`
	Time   string     `json:"at"`
	Odd    string     `json:"odd" table:"odd"`
}

func eventRows(p *inventory.Paint, pot inventory.Pot, now time.Time) []eventRow {
	standing := map[int64]bool{}
	for _, e := range pot.Standing() {
		standing[e.ID] = true
	}
	odd := map[int64]string{}
	for _, o := range pot.Odd(now) {
		odd[o.Entry.ID] = o.Text
		if o.Other != nil {
			odd[o.Entry.ID] = fmt.Sprintf("contradicts no. %d", o.Other.ID)
		}
	}
	rows := []eventRow{}
	for _, e := range pot.Events {
		row := eventRow{
			Number: view.Count(e.ID),
			At:     view.Date{Time: e.At},
			Kind:   string(e.Kind),
			Amount: eventAmount(p, e),
			Job:    e.Job,
			Undone: e.Kind != inventory.Corrected && !standing[e.ID],
			Note:   e.Note,
			Time:   e.At.UTC().Format("2006-01-02T15:04:05Z"),
		}
		row.Odd = odd[e.ID]
		rows = append(rows, row)
	}
	return rows
}

func eventAmount(p *inventory.Paint, e inventory.PotEvent) string {
	text := ""
	switch {
	case e.Volume != nil:
		text = amount(p, *e.Volume).String()
		if e.Estimated {
			text = about(p, *e.Volume).String()
		}
	case e.Fraction != nil:
		text = view.Percent(*e.Fraction).Cell(view.Style{}) + " full"
		if e.Kind == inventory.Spilled {
			text = view.Percent(*e.Fraction).Cell(view.Style{}) + " of it"
		}
	case e.GrossGrams != 0:
		text = fmt.Sprintf("%g g", e.GrossGrams)
		if e.TareGrams != 0 {
			text += fmt.Sprintf(" (empty %g g)", e.TareGrams)
		}
	case e.Undoes != 0:
		text = fmt.Sprintf("no. %d never was", e.Undoes)
	}
	if e.Estimated {
		text += ", estimated"
	}
	return text
}

func (a *app) potEvents() *cobra.Command {
	return a.completeShelf(&cobra.Command{
		Use: "events POT", Short: "everything that happened to a pot",
		Long: `Lists everything noted about a pot, in the order it was entered. The numbers are
those that halfpot pot correct takes.`,
		Example: "  halfpot pot events pale-bone-1\n  halfpot pot events pale-bone-1 --format json",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			st, pot, err := a.typedPot(c.Context(), args[0], "")
			if err != nil {
				return err
			}
			return a.list(eventRows(st.byID.Paints[pot.Paint], pot, st.At),
				"Nothing has been noted about this pot.")
		},
	}, "", potNames)
}

// potDoc is one pot in full.
type potDoc struct {
	potRow
	TareGrams view.Known `json:"tare_g"`
	WaterML   view.Num   `json:"water_lost_ml"`
	Events    []eventRow `json:"events"`
	weighed   bool       // though it may tell nothing
}

func (a *app) potShow() *cobra.Command {
	var on string
	c := &cobra.Command{
		Use: "show POT", Short: "what is left in a pot, how sure that is, and why",
		Long:    "Shows what is left in a pot with its range, and everything that was noted about it.",
		Example: "  halfpot pot show pale-bone-1\n  halfpot pot show \"pale bone\"",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			st, pot, err := a.typedPot(c.Context(), args[0], on)
			if err != nil {
				return err
			}
			level := st.Level(pot)
			paint := st.byID.Paints[pot.Paint]
			doc := potDoc{
				potRow:    st.potRow(pot),
				TareGrams: view.Known(pot.TareGrams),
				WaterML:   view.Num(level.WaterML),
				Events:    eventRows(paint, pot, st.At),
				weighed: slices.ContainsFunc(pot.Standing(), func(e inventory.PotEvent) bool {
					return e.Kind == inventory.Weighed
				}),
			}
			return a.show(doc, doc.Events, func(page *view.Page) {
				st.noteDay(page, on)
				showPot(page, doc, paint, level)
			})
		},
	}
	onFlag(c, &on)
	return a.completeShelf(c, "", potNames)
}

func showPot(page *view.Page, doc potDoc, paint *inventory.Paint, l shelf.Level) {
	page.Line("%s: %s, a pot of %s", doc.ID, paint.Title(), doc.Size)
	page.Line("  %s left, %.0f %% of what a full pot gives", doc.Left, float64(doc.Share)*100)
	switch {
	case doc.By != "":
		page.Line("  last looked at by %s on %s", doc.By, doc.Measured.CSVValue())
	case doc.weighed:
		page.Line("  weighed, but nobody said what the empty pot weighs: "+
			"halfpot pot weigh %s GRAMS --tare GRAMS", doc.ID)
	default:
		page.Line("  never judged or weighed: halfpot pot judge %s half, or halfpot pot weigh", doc.ID)
	}
	if l.WaterML >= 0.05 && !paint.Type.Counted() {
		page.Line("  about %.1f ml of water has gone; that is thickened paint, not paint used", l.WaterML)
	}
	if doc.Remark != "" {
		page.Line("  %s", doc.Remark)
	}
	if doc.Place != "" {
		page.Line("  stands in: %s", doc.Place)
	}
	page.Heading("What happened to it")
	page.List(doc.Events, "nothing noted")
}
