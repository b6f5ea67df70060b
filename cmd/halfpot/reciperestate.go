package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/desk"
	"halfpot/inventory/likeness"
)

type restateDoc struct {
	Recipe       string       `json:"recipe"`
	Lines        []restateRow `json:"lines"`
	ContrastGone bool         `json:"contrast_lost"`
	OrderGone    bool         `json:"light_to_dark_lost"`
	Proven       bool         `json:"proven"`
}

type restateRow struct {
	Asked   string          `json:"asked"`
	Name    string          `json:"asked_name" table:"the recipe's"`
	Colour  view.Swatch     `json:"asked_colour" table:"col."`
	With    string          `json:"with"`
	As      string          `json:"with_name" table:"paint it with"`
	New     view.Swatch     `json:"with_colour" table:"new"`
	Differs view.Difference `json:"difference" table:"differs"`
	Points  view.Count      `json:"points" table:"points"`
	Note    string          `json:"note" table:"note"`
	Mix     string          `json:"mix"`
	Steps   []string        `json:"steps"`
}

func (a *app) recipeRestate() *cobra.Command {
	var among desk.Among
	c := &cobra.Command{
		Use: "restate RECIPE", Short: "can I do it in my range? the recipe with other paints",
		Long: `Says for each paint of a recipe what to paint it with instead: from the shelf,
from a range, or from what a shop sells. All are chosen together, so that light
stays over dark within a region, regions stay as distinct as they should, and the
points add up to least. A paint for which nothing comes close is left, with the
nearest named; mixes for it: halfpot near PAINT.`,
		Example: "  halfpot recipe restate pass-guard --range parade\n" +
			"  halfpot recipe restate pass-guard --shelf\n  halfpot recipe restate pass-guard --shop underhatch",
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if among == (desk.Among{}) {
				return usagef("expected --shelf, --range or --shop: which paints to choose from")
			}
			st, err := a.state(c.Context())
			if err != nil {
				return err
			}
			id, err := lookup("recipe", args[0], "halfpot recipe list", recipeNames(st.cat))
			if err != nil {
				return err
			}
			if err := checkAmong(st.cat, &among); err != nil {
				return err
			}
			r := st.byID.Recipes[id]
			doc := newRestateDoc(id, st.Restate(r, among))
			return a.show(doc, doc.Lines, func(page *view.Page) { doc.show(page, orWord(r.Name, r.ID)) })
		},
	}
	a.amongFlags(c, &among)
	return completeArg(a, c, recipeNames)
}

func newRestateDoc(recipe string, r *likeness.Restatement) restateDoc {
	doc := restateDoc{
		Recipe:       recipe,
		Lines:        []restateRow{},
		ContrastGone: r.ContrastGone,
		OrderGone:    r.OrderGone,
		Proven:       r.Proven,
	}
	for _, l := range r.Lines {
		row := restateRow{
			Asked:   l.Paint.ID,
			Name:    l.Paint.Name,
			Colour:  swatch(*l.Paint),
			Differs: view.Difference(l.Difference),
			Points:  view.Count(l.Points),
			Steps:   l.Steps,
			Note:    l.Reason,
		}
		switch {
		case l.With == l.Paint:
			row.With, row.As, row.New = l.Paint.ID, "itself", swatch(*l.Paint)
		case l.With != nil:
			row.With, row.As, row.New = l.With.ID, l.With.Title(), swatch(*l.With)
		case l.Nearest != nil:
			row.As = "left"
			row.Note += ", nearest " + l.Nearest.Title() + " (" + view.Difference(l.Off).CSVValue() + ")"
			if l.Mix != nil {
				row.Mix = mixParts(l.Mix)
				row.Note += fmt.Sprintf("; mixed %s: %s, most within %g",
					row.Mix, view.Difference(l.Mix.Difference).CSVValue(), l.Mix.Error)
			}
		default:
			row.As = "left"
		}
		doc.Lines = append(doc.Lines, row)
	}
	return doc
}

// mixParts is "3 Whitewash + 2 Rye Crust".
func mixParts(m *likeness.Mix) string {
	var parts []string
	for i, p := range m.Of {
		parts = append(parts, fmt.Sprintf("%d %s", m.Parts[i], p.Name))
	}
	return strings.Join(parts, " + ")
}

func (d *restateDoc) show(page *view.Page, name string) {
	var left []string
	points := int64(0)
	for _, l := range d.Lines {
		points += int64(l.Points)
		if l.With == "" {
			left = append(left, l.Name)
		}
	}
	page.Line("%s, painted with other paints: %d of %d found, %d points of compromise.",
		name, len(d.Lines)-len(left), len(d.Lines), points)
	page.List(d.Lines, "the recipe uses no paint")
	if len(left) > 0 {
		page.Line("Left as they are: %s.", strings.Join(left, ", "))
	}
	switch {
	case d.OrderGone:
		page.Line("No choice keeps light over dark within the regions: look at the steps before you paint.")
	case d.ContrastGone:
		page.Line("No choice keeps neighbouring regions as distinct as the recipe has them.")
	}
	if !d.Proven {
		page.Note("Not all choices were looked at: one with fewer points may exist.")
	}
	page.Note("Differs: CIEDE2000 of the swatches, up to 1 nobody sees, up to 5 passes on figures apart. " +
		"Try one figure first.")
}
