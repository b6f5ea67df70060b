package main

import (
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

func (a *app) forceCommand() *cobra.Command {
	return holder("force", "what you plan to paint: units of figures",
		`A force is what you want to paint next: units of so many figures of a type, each
with a recipe, and the steps that must look alike across units.`,
		"  halfpot force list\n  halfpot force show harbour-watch",
		a.forceList(), a.forceShow())
}

type forceRow struct {
	ID      string       `json:"id" table:"force"`
	Name    string       `json:"name" table:"name"`
	Units   view.Count   `json:"units" table:"units"`
	Figures view.Count   `json:"figures" table:"figures"`
	Done    view.Percent `json:"done" table:"done"`
}

func newForceRow(byID *inventory.Index, f inventory.Force) forceRow {
	row := forceRow{ID: f.ID, Name: f.Name, Units: view.Count(len(f.Units))}
	var steps, done float64
	for _, u := range f.Units {
		row.Figures += view.Count(u.Figures)
		s, d := unitProgress(byID, f, u)
		steps, done = steps+s, done+d
	}
	if steps > 0 {
		row.Done = view.Percent(done / steps)
	}
	return row
}

// unitProgress is how many figure-steps a unit has, and how many are painted.
func unitProgress(byID *inventory.Index, f inventory.Force, u inventory.Unit) (all, done float64) {
	r := byID.Recipes[u.Recipe]
	if r == nil {
		return 0, 0
	}
	for _, s := range r.Steps {
		if !s.Optional {
			all += float64(u.Figures)
			done += float64(f.DoneOn(u, s.ID))
		}
	}
	return all, done
}

func (a *app) forceList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list forces", Long: "Lists the forces with how far they are.",
		Example: "  halfpot force list",
		Args:    cobra.NoArgs,
		RunE: rowsOf(a, func(cat *inventory.Catalogue) []inventory.Force { return cat.Forces },
			func(cat *inventory.Catalogue, f inventory.Force) forceRow { return newForceRow(cat.Index(), f) },
			"No forces yet. Bring some in: halfpot load force.toml"),
	}
}

type forceDoc struct {
	forceRow
	List  []unitRow  `json:"list"`
	Match []matchRow `json:"match"`
}

type unitRow struct {
	ID        string       `json:"id" table:"unit"`
	Name      string       `json:"name" table:"name"`
	Figures   view.Count   `json:"figures" table:"figures"`
	Figure    string       `json:"figure" table:"of"`
	Recipe    string       `json:"recipe" table:"recipe"`
	Undercoat string       `json:"undercoat" table:"undercoat"`
	Done      view.Percent `json:"done" table:"done"`
	Next      string       `json:"next_step" table:"next step"`
	After     []string     `json:"after" csv:"-"`
}

type matchRow struct {
	Label string   `json:"label" table:"alike"`
	Steps []string `json:"steps" table:"steps"`
	Units []string `json:"units" table:"in units"`
}

func newForceDoc(byID *inventory.Index, f inventory.Force) forceDoc {
	doc := forceDoc{forceRow: newForceRow(byID, f)}
	for _, u := range f.Units {
		row := unitRow{
			ID:        u.ID,
			Name:      u.Name,
			Figures:   view.Count(u.Figures),
			Figure:    u.Figure,
			Recipe:    u.Recipe,
			Undercoat: u.Undercoat,
			After:     u.After,
		}
		if all, done := unitProgress(byID, f, u); all > 0 {
			row.Done = view.Percent(done / all)
		}
		if r := byID.Recipes[u.Recipe]; r != nil {
			for _, s := range r.Steps {
				if !s.Optional && f.DoneOn(u, s.ID) < u.Figures {
					row.Next = s.ID
					break
				}
			}
		}
		doc.List = append(doc.List, row)
	}
	for _, m := range f.Match {
		doc.Match = append(doc.Match, matchRow(m))
	}
	return doc
}

func (a *app) forceShow() *cobra.Command {
	var on string
	c := &cobra.Command{
		Use: "show FORCE", Short: "one force: its units, how far they are, what must match",
		Long: `Shows the units of a force with how far each is and its next step, and which
steps must look alike.`,
		Example: "  halfpot force show harbour-watch",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			st, err := a.stateOn(c.Context(), on)
			if err != nil {
				return err
			}
			id, err := lookup("force", args[0], "halfpot force list", forceNames(st.cat))
			if err != nil {
				return err
			}
			byID := st.byID
			doc := newForceDoc(byID, *byID.Forces[id])
			return a.show(doc, doc.List, func(page *view.Page) {
				st.noteDay(page, on)
				page.Line("%s: %d figures in %d units", doc.Name, doc.Figures, doc.Units)
				page.List(doc.List, "it has no units yet")
				for _, u := range doc.List {
					if len(u.After) > 0 {
						page.Note("  %s comes after %s", u.ID, strings.Join(u.After, ", "))
					}
				}
				for _, m := range doc.Match {
					where := "all units"
					if len(m.Units) > 0 {
						where = strings.Join(m.Units, ", ")
					}
					page.Note("  %s must look alike in %s (%s)", m.Label, where, strings.Join(m.Steps, ", "))
				}
			})
		},
	}
	onFlag(c, &on)
	return c
}
