package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

type doublesDoc struct {
	Twins  []pairRow `json:"twins"`
	Pots   []string  `json:"more_than_one_pot"`
	Unused []string  `json:"no_recipe_uses"`
	Keep   []string  `json:"fewest_that_do_all"`
	Spare  []string  `json:"could_be_spared"`
	Proven bool      `json:"proven"`
	Steps  int       `json:"steps_the_shelf_can_do"`
	Of     int       `json:"steps"`
}

type pairRow struct {
	A       string          `json:"a"`
	B       string          `json:"b"`
	NameA   string          `json:"a_name" table:"this"`
	ColourA view.Swatch     `json:"a_colour" table:"col."`
	LeftA   view.Amount     `json:"a_left" table:"left" narrow:"1"`
	NameB   string          `json:"b_name" table:"and this"`
	ColourB view.Swatch     `json:"b_colour" table:"col."`
	LeftB   view.Amount     `json:"b_left" table:"left" narrow:"1"`
	Differs view.Difference `json:"difference" table:"differs"`
	Judged  bool            `json:"judged"`
}

func (a *app) doublesCommand() *cobra.Command {
	var within float64
	var byColour int
	c := &cobra.Command{
		Use: "doubles", Short: "what you own twice, what no recipe uses, and how few paints would do",
		Long: `Looks through your shelf: paints that are as good as the same, paints no recipe
uses, and the fewest paints with which every step can still be done that your whole
shelf can do, proven. Steps are done as the recipes ask, by their alternatives, or
with your own stand-ins; --by-colour takes paints and mixes of a near colour too.`,
		Example: "  halfpot doubles\n  halfpot doubles --within 3\n  halfpot doubles --by-colour 2",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if !(within >= 0 && within <= 20) {
				return usagef("--within %g: expected 0 to 20", within)
			}
			if err := checkByColour(byColour); err != nil {
				return err
			}
			st, err := a.state(c.Context())
			if err != nil {
				return err
			}
			d, err := st.Doubles(c.Context(), within, byColour)
			if err != nil {
				return err
			}
			doc := doublesDoc{
				Twins:  []pairRow{},
				Pots:   paintIDs(d.Pots),
				Unused: paintIDs(d.Unused),
				Keep:   paintIDs(d.Keep),
				Spare:  paintIDs(d.Spare),
				Proven: d.Proven,
				Steps:  d.Steps,
				Of:     d.Of,
			}
			left := func(p *inventory.Paint) view.Amount {
				l, _ := st.Paint(p.ID)
				return view.About(l.Left(), p.Type.Counted())
			}
			for _, t := range d.Twins {
				doc.Twins = append(doc.Twins,
					pairRow{A: t.A.ID, B: t.B.ID, NameA: t.A.Name, ColourA: swatch(*t.A), LeftA: left(t.A),
						NameB:   t.B.Name,
						ColourB: swatch(*t.B),
						LeftB:   left(t.B),
						Differs: view.Difference(t.Difference),
						Judged:  t.Judged})
			}
			return a.show(doc, doc.Twins, func(page *view.Page) {
				page.Heading("As good as the same")
				page.List(doc.Twins, fmt.Sprintf("no two paints on the shelf differ by %g or less", within))
				if len(d.Pots) > 0 {
					page.Line("More than one pot of: %s.", paintsNamed(d.Pots))
				}
				page.Heading("No recipe uses")
				page.Line("%s", orWord(paintsNamed(d.Unused), "every paint on the shelf has its use"))
				page.Heading("The fewest that do all the shelf can do")
				if d.Steps == 0 {
					page.Line("The shelf can do no step of any recipe as it is.")
					return
				}
				how := "proven: no fewer do"
				if !d.Proven {
					how = "the fewest found; fewer may do"
				}
				page.Line("%s for %d of the %d steps of all recipes, %s:",
					count(len(d.Keep), "paint", "paints"), d.Steps, d.Of, how)
				page.Line("  %s", paintsNamed(d.Keep))
				if len(d.Spare) > 0 {
					page.Line("Recipes use them, but those above do as well: %s.", paintsNamed(d.Spare))
				}
				page.Note("Counted by kind of paint, not by how much is left: for that, halfpot estimate.")
			})
		},
	}
	c.Flags().Float64Var(&within, "within", 2, "twins differ by at most so much (`CIEDE2000`)")
	addByColour(c.Flags(), &byColour)
	return c
}

func paintIDs(paints []*inventory.Paint) []string {
	out := []string{}
	for _, p := range paints {
		out = append(out, p.ID)
	}
	return out
}

func paintsNamed(paints []*inventory.Paint) string {
	var out []string
	for _, p := range paints {
		out = append(out, p.Name)
	}
	return strings.Join(out, ", ")
}
