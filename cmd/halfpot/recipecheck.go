package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/painting"
)

func (a *app) recipeCheck() *cobra.Command {
	var hints bool
	c := &cobra.Command{
		Use: "check [RECIPE]", Short: "will it go right: the order of steps and the waits between them",
		Long: `Holds a recipe, or all of them, against the trade's rules of order: primer under
everything, light under see-through paint, washes dry before varnish, transfers on
gloss, and so on. They are common practice without a source; so are the usual
waits that stand in where a recipe gives none. A rule that does not suit a step is
silenced in the recipe: allow = ["wash-dry"] on the step.`,
		Example: "  halfpot recipe check\n  halfpot recipe check sand-uniform --hints",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			cat, err := a.catalogue(c.Context())
			if err != nil {
				return err
			}
			only := ""
			if len(args) == 1 {
				if only, err = lookup("recipe", args[0], "halfpot recipe list", recipeNames(cat)); err != nil {
					return err
				}
			}
			rows := []ruleRow{}
			hidden := 0
			for i := range cat.Recipes {
				if r := &cat.Recipes[i]; only == "" || r.ID == only {
					for _, row := range newRuleRows(cat, r) {
						if row.Severity == painting.Mention && !hints {
							hidden++
							continue
						}
						rows = append(rows, row)
					}
				}
			}
			return a.show(rows, rows, func(page *view.Page) {
				showRules(page, rows, only == "")
				if len(rows) == 0 {
					page.Line("The order is right, and the waits are long enough.")
				}
				if hidden > 0 {
					page.Note("%s more: --hints", count(hidden, "hint", "hints"))
				}
			})
		},
	}
	c.Flags().BoolVar(&hints, "hints", false, "also what is only worth knowing")
	return completeArg(a, c, recipeNames)
}

// ruleRow is one rule that a recipe breaks.
type ruleRow struct {
	Recipe   string            `json:"recipe"`
	Rule     string            `json:"rule"`
	Severity painting.Severity `json:"severity"`
	Step     string            `json:"step"`
	After    string            `json:"after"`
	Reason   string            `json:"reason"`
	Wait     string            `json:"wait"`
	Needs    string            `json:"needs"`
	Regions  []string          `json:"regions"`
	Without  bool              `json:"without_optional"`
}

// newRuleRows checks a recipe on every figure type a force pairs it with.
func newRuleRows(cat *inventory.Catalogue, r *inventory.Recipe) []ruleRow {
	idx := cat.Index()
	figures := map[string]bool{}
	for _, f := range cat.Forces {
		for _, u := range f.Units {
			if u.Recipe == r.ID {
				figures[u.Figure] = true
			}
		}
	}
	if len(figures) == 0 {
		figures[""] = true
	}
	var rows []ruleRow
	seen := map[string]bool{}
	for i := -1; i < len(cat.Figures); i++ {
		id := ""
		if i >= 0 {
			id = cat.Figures[i].ID
		}
		if !figures[id] {
			continue
		}
		for _, f := range painting.Check(r, idx.Figures[id], idx) {
			row := newRuleRow(r.ID, f)
			if key := row.Rule + row.Step + row.After + row.Wait; !seen[key] {
				seen[key] = true
				rows = append(rows, row)
			}
		}
	}
	return rows
}

func newRuleRow(recipe string, f painting.Finding) ruleRow {
	return ruleRow{
		Recipe:   recipe,
		Rule:     f.Rule,
		Severity: f.Severity,
		Step:     f.Step,
		After:    f.After,
		Reason:   f.Reason(),
		Wait:     waitText(f.Wait.Round(time.Minute)),
		Needs:    waitText(f.Needs),
		Regions:  f.Regions,
		Without:  f.Without,
	}
}

var severityWords = map[painting.Severity]string{
	painting.Wrong:   "wrong",
	painting.Risky:   "risky",
	painting.Mention: "hint",
}

func (r ruleRow) text() string {
	s := fmt.Sprintf("%s: %s", severityWords[r.Severity], r.Step)
	if r.After != "" {
		s += " after " + r.After
	}
	if len(r.Regions) > 0 && len(r.Regions) <= 4 { // more is nearly the whole figure
		s += " on " + strings.Join(r.Regions, ", ")
	}
	if r.Needs != "" {
		wait := r.Wait
		if wait == "" {
			wait = "at once"
		}
		if r.After != "" {
			s += fmt.Sprintf(", %s (%s)", wait, "usual: "+r.Needs)
		} else {
			s += " (usual: " + r.Needs + ")"
		}
	}
	if r.Without {
		s += ", where the optional steps are left out"
	}
	return s + ". " + upperFirst(r.Reason) + ". [" + r.Rule + "]"
}

// forReaders is the rule in the words of a guide.
func (r ruleRow) forReaders() string {
	s := upperFirst(r.Step)
	if r.After != "" {
		s += " after " + r.After
	}
	if len(r.Regions) > 0 && len(r.Regions) <= 4 {
		s += " on " + strings.Join(r.Regions, ", ")
	}
	return s + ": " + r.Reason + "."
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func showRules(page *view.Page, rows []ruleRow, headed bool) {
	last := ""
	for _, r := range rows {
		if headed && r.Recipe != last {
			page.Heading("%s", r.Recipe)
			last = r.Recipe
		}
		page.Line("%s", r.text())
	}
}

// orderNote is the one line that load and buy add where recipes will go wrong.
func orderNote(page *view.Page, cat *inventory.Catalogue, uses func(recipe string) bool) {
	n := 0
	var which []string
	for i := range cat.Recipes {
		r := &cat.Recipes[i]
		if !uses(r.ID) {
			continue
		}
		broken := 0
		for _, row := range newRuleRows(cat, r) {
			if row.Severity == painting.Wrong || row.Severity == painting.Risky && !row.Without {
				broken++
			}
		}
		if n += broken; broken > 0 {
			which = append(which, r.ID)
		}
	}
	if n > 0 {
		page.Line("The steps of %s break %s of order: halfpot recipe check",
			strings.Join(which, ", "), count(n, "rule", "rules"))
	}
}

// workNotes are what steps just noted break.
func workNotes(page *view.Page, w painting.Worked) {
	if len(w.Before) > 0 {
		page.Line("Out of order: it comes after %s, which is not finished.", strings.Join(w.Before, ", "))
	}
	if len(w.Skipped) > 0 {
		page.Line("Out of order: not noted on these figures yet: %s.", strings.Join(w.Skipped, ", "))
	}
	for _, f := range w.Findings {
		page.Line("%s", newRuleRow("", f).text())
	}
}
