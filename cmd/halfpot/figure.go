package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

func (a *app) figureCommand() *cobra.Command {
	return holder("figure", "kinds of figures and their painted area",
		`A figure type says how large the surface of a figure is and how it divides into
regions: skin, jacket, webbing, base. The area is given, reckoned from stature
and scale, or measured on a mesh file.`,
		"  halfpot figure list\n  halfpot figure show rifleman-28\n"+
			"  halfpot figure measure rifleman.stl --scale-to 28mm",
		a.figureList(), a.figureShow(), a.figureMeasure())
}

type figureRow struct {
	ID      string   `json:"id" table:"figure"`
	Name    string   `json:"name" table:"name"`
	AreaCM2 view.Num `json:"area_cm2" table:"area cm2"`
	LowCM2  view.Num `json:"low_cm2" table:"from"`
	HighCM2 view.Num `json:"high_cm2" table:"to"`
	Origin  string   `json:"area_from" table:"area is"`
	Regions []string `json:"regions" table:"regions"`
}

func newFigureRow(f inventory.FigureType) (figureRow, error) {
	area, _, err := f.Area()
	if err != nil {
		return figureRow{}, fmt.Errorf("figure %s: %w", f.ID, err)
	}
	low, high := area.Range()
	row := figureRow{
		ID:      f.ID,
		Name:    f.Name,
		AreaCM2: view.Num(area.Median),
		LowCM2:  view.Num(low),
		HighCM2: view.Num(high),
	}
	switch {
	case f.AreaCM2 == 0:
		row.Origin = "from stature and scale"
	case f.Source == "":
		row.Origin = "given"
	default:
		row.Origin = string(f.Source)
	}
	for _, r := range f.Regions {
		row.Regions = append(row.Regions, r.Name)
	}
	return row, nil
}

func (a *app) figureList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list figure types",
		Long: `Lists the figure types with their painted area, without the base, and the range
it lies in.`,
		Example: "  halfpot figure list",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			cat, err := a.listed(c.Context())
			if err != nil {
				return err
			}
			rows := []figureRow{}
			for _, f := range cat.Figures {
				row, err := newFigureRow(f)
				if err != nil {
					return err
				}
				rows = append(rows, row)
			}
			return a.list(rows, "No figures yet. Bring some in: halfpot load figures.toml")
		},
	}
}

type figureDoc struct {
	figureRow
	Parts []regionRow `json:"parts"`
	Sum   []factorRow `json:"sum"`
}

type regionRow struct {
	Region  string     `json:"region" table:"region"`
	Share   view.Share `json:"share" table:"share"`
	AreaCM2 view.Num   `json:"area_cm2" table:"area cm2"`
}

// factorRow is one number of a sum with where it came from.
type factorRow struct {
	Name   string    `json:"name" table:"number"`
	Value  view.Fine `json:"value" table:"value"`
	Unit   string    `json:"unit" table:"unit"`
	Low    view.Num  `json:"low" table:"from"`
	High   view.Num  `json:"high" table:"to"`
	Origin string    `json:"origin" table:"is"`
	Source string    `json:"source" table:"source"`
}

func (a *app) figureShow() *cobra.Command {
	return &cobra.Command{
		Use: "show FIGURE", Short: "one figure type: its area, region by region, and the sum behind it",
		Long: `Shows the regions of a figure type with their share and area, and the numbers
the area is the product of.`,
		Example: "  halfpot figure show rifleman-28",
		Args:    cobra.ExactArgs(1),
		RunE: a.one("figure", figureNames, func(cat *inventory.Catalogue, id string) error {
			doc, err := newFigureDoc(*cat.Index().Figures[id])
			if err != nil {
				return err
			}
			return a.show(doc, doc.Parts, func(page *view.Page) {
				page.Line("%s: %s cm2 without its base (%s to %s)",
					doc.Name, doc.AreaCM2, doc.LowCM2, doc.HighCM2)
				page.List(doc.Parts, "it has no regions: recipes paint it all over")
				page.Heading("The area is the product of")
				page.List(doc.Sum, "")
			})
		}),
	}
}

func newFigureDoc(f inventory.FigureType) (figureDoc, error) {
	row, err := newFigureRow(f)
	if err != nil {
		return figureDoc{}, err
	}
	doc := figureDoc{figureRow: row}
	_, factors, err := f.Area()
	if err != nil {
		return figureDoc{}, err
	}
	for _, k := range factors {
		doc.Sum = append(doc.Sum, newFactorRow(k))
	}
	regions, err := f.RegionAreas()
	for _, r := range regions {
		doc.Parts = append(doc.Parts, regionRow{r.Name, view.Share(r.Share), view.Num(r.Area.Median)})
	}
	return doc, err
}
