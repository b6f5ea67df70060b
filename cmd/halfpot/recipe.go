package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

func (a *app) recipeCommand() *cobra.Command {
	return holder("recipe", "how figures are painted, step by step",
		`A recipe is an ordered list of steps: which regions, how, with which paint or mix,
how many coats, and which other paints you would accept.`,
		"  halfpot recipe list\n  halfpot recipe show sand-uniform",
		a.recipeList(), a.recipeShow(), a.recipeCheck(), a.recipeRestate())
}

type recipeRow struct {
	ID       string     `json:"id" table:"recipe"`
	Name     string     `json:"name" table:"name"`
	Steps    view.Count `json:"steps" table:"steps"`
	Paints   view.Count `json:"paints" table:"paints"`
	Optional view.Count `json:"optional_steps" table:"optional"`
}

func newRecipeRow(r inventory.Recipe) recipeRow {
	row := recipeRow{ID: r.ID, Name: r.Name, Steps: view.Count(len(r.Steps))}
	paints := map[string]bool{}
	for _, s := range r.Steps {
		for _, p := range s.Mix {
			paints[p.Paint] = true
		}
		if s.Optional {
			row.Optional++
		}
	}
	row.Paints = view.Count(len(paints))
	return row
}

func (a *app) recipeList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list recipes", Long: "Lists the recipes with how many steps and paints they have.",
		Example: "  halfpot recipe list",
		Args:    cobra.NoArgs,
		RunE: rowsOf(a, func(cat *inventory.Catalogue) []inventory.Recipe { return cat.Recipes },
			func(_ *inventory.Catalogue, r inventory.Recipe) recipeRow { return newRecipeRow(r) },
			"No recipes yet. Bring some in: halfpot load recipes.toml"),
	}
}

type recipeDoc struct {
	recipeRow
	List []stepRow `json:"list"`
}

type stepRow struct {
	ID       string       `json:"id" table:"step"`
	Name     string       `json:"name" table:"name" narrow:"5"`
	Regions  string       `json:"regions" table:"on"`
	Method   string       `json:"method" table:"how"`
	Paint    string       `json:"paint" table:"with"`
	Thinning string       `json:"thinning" table:"thinned" narrow:"2"`
	Coats    view.Count   `json:"coats" table:"coats"`
	Or       []altRow     `json:"or" csv:"-"`
	OrText   string       `json:"-" table:"or"`
	Optional bool         `json:"optional" table:"optional" narrow:"1"`
	Wait     string       `json:"wait_after"`
	WaitText string       `json:"-" csv:"-" table:"then wait" narrow:"4"`
	Within   string       `json:"next_within"`
	After    []string     `json:"after" csv:"-"`
	Label    string       `json:"label"`
	paints   []paintOfMix // for the swatches and cautions
}

type altRow struct {
	Paint      string     `json:"paint"`
	Compromise view.Count `json:"compromise"`
	Label      string     `json:"label"`
}

type paintOfMix struct{ paint *inventory.Paint }

func newStepRow(byID *inventory.Index, s inventory.Step) stepRow {
	row := stepRow{
		ID:       s.ID,
		Name:     s.Name,
		Regions:  regionsText(s.Regions),
		Method:   string(methodOf(byID, s)),
		Paint:    mixText(byID, s.Mix),
		Coats:    view.Count(max(1, s.Coats)),
		Optional: s.Optional,
		Wait:     waitText(s.WaitAfter),
		Within:   waitText(s.NextWithin),
		After:    s.After,
		Label:    s.Label,
	}
	row.WaitText = row.Wait
	if s.NextWithin > 0 {
		row.WaitText = strings.TrimPrefix(row.Wait+", ", ", ") + "at most " + row.Within
	}
	if s.Kind != "" {
		row.Method = string(s.Kind)
	}
	if len(s.Mix) == 0 {
		row.Paint = ""
	}
	if t := s.Thinning; t != nil {
		row.Thinning = fmt.Sprintf("%g:%g %s", t.PaintParts, t.MediumParts, paintName(byID, t.Medium))
	}
	var or []string
	for _, alt := range s.Alternatives {
		row.Or = append(row.Or, altRow{mixText(byID, alt.Mix), view.Count(alt.Compromise), alt.Label})
		text := mixText(byID, alt.Mix)
		if alt.Compromise > 0 {
			text += fmt.Sprintf(" (%d)", alt.Compromise)
		}
		or = append(or, text)
	}
	row.OrText = strings.Join(or, ", ")
	for _, part := range s.Mix {
		if p := byID.Paints[part.Paint]; p != nil {
			row.paints = append(row.paints, paintOfMix{p})
		}
	}
	return row
}

// methodOf is the step's method, or the usual one of its first paint.
func methodOf(byID *inventory.Index, s inventory.Step) inventory.Method {
	if s.Method != "" || len(s.Mix) == 0 {
		return s.Method
	}
	if p := byID.Paints[s.Mix[0].Paint]; p != nil {
		return p.Type.UsualMethod()
	}
	return ""
}

func regionsText(r inventory.RegionSet) string {
	switch {
	case r.All && len(r.Except) > 0:
		return "all but " + strings.Join(r.Except, ", ")
	case r.All:
		return "all"
	}
	return strings.Join(r.Names, ", ")
}

// mixText is "Pale Bone", or "2 Saddle Leather + 1 Soot Black".
func mixText(byID *inventory.Index, m inventory.Mix) string {
	if len(m) == 1 {
		return paintName(byID, m[0].Paint)
	}
	parts := make([]string, len(m))
	for i, p := range m {
		parts[i] = strconv.FormatFloat(p.Parts, 'g', -1, 64) + " " + paintName(byID, p.Paint)
	}
	return strings.Join(parts, " + ")
}

func paintName(byID *inventory.Index, id string) string {
	if p := byID.Paints[id]; p != nil {
		return p.Name
	}
	return id
}

func waitText(d time.Duration) string {
	switch {
	case d == 0:
		return ""
	case d%(24*time.Hour) == 0:
		return strconv.Itoa(int(d/(24*time.Hour))) + " d"
	case d%time.Hour == 0:
		return strconv.Itoa(int(d/time.Hour)) + " h"
	}
	return strconv.Itoa(int(d.Minutes())) + " min"
}

func (a *app) recipeShow() *cobra.Command {
	return &cobra.Command{
		Use: "show RECIPE", Short: "one recipe, step by step",
		Long: `Shows the steps of a recipe in order, with the paints you would also accept and,
in brackets, how much of a compromise each is.`,
		Example: "  halfpot recipe show sand-uniform",
		Args:    cobra.ExactArgs(1),
		RunE: a.one("recipe", recipeNames, func(cat *inventory.Catalogue, id string) error {
			byID := cat.Index()
			r := *byID.Recipes[id]
			doc := recipeDoc{recipeRow: newRecipeRow(r)}
			var used []*inventory.Paint
			for _, s := range r.Steps {
				row := newStepRow(byID, s)
				for _, p := range row.paints {
					used = append(used, p.paint)
				}
				doc.List = append(doc.List, row)
			}
			return a.show(doc, doc.List, func(page *view.Page) {
				page.Line("%s", r.Name)
				page.List(doc.List, "it has no steps yet")
				caution(page, r, byID, used)
			})
		}),
	}
}
