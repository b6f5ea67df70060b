package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/paper"
	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/desk"
	"halfpot/inventory/estimate"
	"halfpot/inventory/painting"
	"halfpot/inventory/shopping"
)

type guideOptions struct {
	figures int
	figure  string
	short   bool
	noCart  bool
	as      string
	limit   time.Duration
}

func (a *app) guideCommand() *cobra.Command {
	var o guideOptions
	c := &cobra.Command{
		Use:   "guide RECIPE|[FORCE] UNIT",
		Short: "a recipe to publish: steps, paints, other ranges, amounts, what to buy",
		Long: `Writes a recipe, or that of a unit, for others to follow: the steps in order with
their waits, the paints with maker, range and code, what else would do by range,
how much so many figures take, the cheapest pots for somebody who owns none of it,
proven, and the rules of order that matter here. --short is the list alone.`,
		Example: `  halfpot guide sand-uniform --figures 10
  halfpot guide harbour-watch rifles --as html > rifles.html
  halfpot guide sand-uniform --short --as markdown`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("figures") && (o.figures < 1 || o.figures > inventory.MaxFigures) {
				return usagef("--figures %d: expected 1 to %d", o.figures, inventory.MaxFigures)
			}
			return a.guide(c, args, o)
		},
	}
	f := c.Flags()
	f.IntVar(&o.figures, "figures", 0, "for `N` figures (default: the unit's, else 10)")
	f.StringVar(&o.figure, "figure", "", "on this `FIGURE` type (default: the one a force uses it on)")
	f.BoolVar(&o.short, "short", false, "the list alone: steps and paints")
	f.BoolVar(&o.noCart, "no-prices", false, "leave out what it costs somebody who owns nothing")
	f.DurationVar(&o.limit, "time-limit", 20*time.Second, "stop looking for the cheapest pots after `TIME`")
	enum(c, f, &o.as, "as", "text", "how to write it", "text", "markdown", "html")
	return exits(completeArg(a, c, recipeNames), exitLimit)
}

// guideRow is a step of a guide as a program or a spreadsheet gets it.
type guideRow struct {
	Number   view.Count `json:"number"`
	Step     string     `json:"step"`
	With     string     `json:"with"`
	How      string     `json:"how"`
	Wait     string     `json:"wait"`
	Or       []string   `json:"or"`
	Optional bool       `json:"optional"`
	Amount   string     `json:"amount"`
}

func (a *app) guide(c *cobra.Command, args []string, o guideOptions) error {
	st, err := a.state(c.Context())
	if err != nil {
		return err
	}
	u, err := guideUnit(st, args, o)
	if err != nil {
		return err
	}
	r := st.byID.Recipes[u.Recipe]
	g := paper.Guide{Title: r.Name, Short: o.short}
	if g.Title == "" {
		g.Title = r.ID
	}
	needs, err := st.Needs(inventory.Force{ID: "guide", Units: []inventory.Unit{u}}, estimate.NeedRules{})
	if err != nil && !errors.Is(err, estimate.ErrNothingLeft) {
		return err
	}
	rows := guideSteps(st, r, needs, &g)
	g.Paints = guidePaints(st, r, needs)
	g.Amounts = "for " + count(u.Figures, "figure", "figures")
	status := error(nil)
	if !o.short {
		if fig := st.byID.Figures[u.Figure]; fig != nil {
			g.Intro = fmt.Sprintf("For %s of %s. Amounts and waits are assumptions; "+
				"your own brush decides.", count(u.Figures, "figure", "figures"), fig.Name)
		}
		for _, f := range painting.Check(r, st.byID.Figures[u.Figure], st.byID) {
			if f.Severity != painting.Mention && !f.Without {
				g.Rules = append(g.Rules, newRuleRow(r.ID, f).forReaders())
			}
		}
		g.Rules = append(g.Rules, heldRules(st.byID, r, st.byID.Figures[u.Figure])...)
		if !o.noCart && needs != nil {
			status = a.guideCart(c, st, u, o, &g)
		}
	}
	g.Cautions = guideCautions(st, r)
	switch o.as {
	case "html":
		err = paper.GuideHTML(a.out, g)
	case "markdown":
		err = paper.GuideMarkdown(a.out, g)
	default:
		err = a.show(g, rows, func(page *view.Page) { showGuide(page, g) })
	}
	if err != nil {
		return err
	}
	return status
}

// guideUnit is the unit a guide is for: a force's, or one made up for a recipe.
func guideUnit(st *state, args []string, o guideOptions) (inventory.Unit, error) {
	if len(args) == 1 {
		if fit, _ := fitting(args[0], recipeNames(st.cat)); len(fit) == 0 {
			args = withForce(st.cat, args) // a unit of the force being painted
		}
	}
	if len(args) == 2 {
		_, u, err := st.unit(args[0], args[1])
		if o.figures > 0 {
			u.Figures, u.Batch = o.figures, min(u.Batch, o.figures)
		}
		return u, err
	}
	id, err := lookup("recipe", args[0], "halfpot recipe list", recipeNames(st.cat))
	if err != nil {
		return inventory.Unit{}, err
	}
	u := inventory.Unit{ID: id, Recipe: id, Figures: 10}
	for _, f := range st.cat.Forces {
		for _, v := range f.Units {
			if v.Recipe == id && u.Figure == "" {
				u.Figure, u.Undercoat = v.Figure, v.Undercoat
			}
		}
	}
	if o.figure != "" {
		if u.Figure, err = lookup("figure", o.figure, "halfpot figure list", figureNames(st.cat)); err != nil {
			return u, err
		}
	}
	if u.Figure == "" {
		return u, &usageError{
			"no force uses " + id + " on a figure yet; which figures is it for?",
			[]string{"halfpot guide " + id + " --figure FIGURE", "halfpot figure list"},
		}
	}
	if o.figures > 0 {
		u.Figures = o.figures
	}
	return u, nil
}

// titleOf is a paint as readers find it in a shop.
func titleOf(byID *inventory.Index, m inventory.Mix) string {
	var parts []string
	for _, p := range m {
		name := p.Paint
		if paint := byID.Paints[p.Paint]; paint != nil {
			name = strings.TrimSpace(paint.Range + " " + paint.Name)
		}
		if len(m) > 1 {
			name = fmt.Sprintf("%g %s", p.Parts, name)
		}
		parts = append(parts, name)
	}
	return strings.Join(parts, " + ")
}

func guideSteps(st *state, r *inventory.Recipe, needs *estimate.Needs, g *paper.Guide) []guideRow {
	rows := []guideRow{}
	for i := range r.Steps {
		s := &r.Steps[i]
		gs := paper.GuideStep{Number: i + 1, Name: s.Name, Opt: s.Optional, With: titleOf(st.byID, s.Mix)}
		if gs.Name == "" {
			gs.Name = s.ID
		}
		how := string(methodOf(st.byID, *s))
		if s.Kind != "" {
			how = string(s.Kind)
		}
		if len(s.Mix) == 0 {
			gs.With = "no paint"
		}
		if t := s.Thinning; t != nil {
			medium := "water"
			if t.Medium != "" {
				medium = paintName(st.byID, t.Medium)
			}
			gs.With += fmt.Sprintf(", %g to %g of %s", t.PaintParts, t.MediumParts, medium)
		}
		gs.How = how + "; " + regionsText(s.Regions)
		if n := max(1, s.Coats); n > 1 {
			gs.How += fmt.Sprintf("; %d coats", n)
		}
		if s.WaitAfter > 0 {
			gs.Wait = "Then wait " + waitWords(s.WaitAfter) + "."
		}
		if s.NextWithin > 0 {
			gs.Wait = strings.TrimSpace(gs.Wait + " Go on within " + waitText(s.NextWithin) + ".")
		}
		row := guideRow{
			Number:   view.Count(i + 1),
			Step:     gs.Name,
			With:     gs.With,
			How:      gs.How,
			Optional: s.Optional,
			Wait:     waitText(s.WaitAfter),
		}
		if needs != nil {
			for _, n := range needs.List {
				if n.Step != s.ID {
					continue
				}
				for _, opt := range n.Options[1:] {
					if len(gs.Or) < 4 {
						gs.Or = append(gs.Or, optionText(st.byID, opt))
					}
				}
				sum := 0.0
				for _, use := range n.Options[0].Uses {
					sum += use.Amount.Median
				}
				if p := st.byID.Paints[s.Mix[0].Paint]; !p.Type.Counted() {
					row.Amount = poured(sum)
				}
			}
		}
		row.Or = gs.Or
		g.Steps = append(g.Steps, gs)
		rows = append(rows, row)
	}
	return rows
}

func optionText(byID *inventory.Index, o estimate.Option) string {
	s := titleOf(byID, o.Mix)
	switch {
	case o.Label != "":
		s += " (" + o.Label + ")"
	case o.Compromise == 0:
		s += " (as good)"
	}
	return s
}

// guidePaints are the paints of the recipe's own way, with stand-ins by range.
func guidePaints(st *state, r *inventory.Recipe, needs *estimate.Needs) []paper.GuidePaint {
	if needs == nil {
		return nil
	}
	at := map[string]int{}
	total := map[string]float64{}
	var order []string
	or := map[string][]string{}
	for _, n := range needs.List {
		for _, u := range n.Options[0].Uses {
			if _, known := at[u.Paint]; !known {
				at[u.Paint] = len(order)
				order = append(order, u.Paint)
			}
			total[u.Paint] += u.Amount.Median
		}
		own := n.Options[0].Mix
		for _, opt := range n.Options[1:] {
			if len(own) != 1 || len(opt.Mix) != 1 {
				continue
			}
			if text := titleOf(st.byID, opt.Mix); !slices.Contains(or[own[0].Paint], text) &&
				len(or[own[0].Paint]) < 4 {
				or[own[0].Paint] = append(or[own[0].Paint], text)
			}
		}
	}
	var out []paper.GuidePaint
	for _, id := range order {
		p := st.byID.Paints[id]
		g := paper.GuidePaint{
			Name:   p.Name,
			Maker:  p.Maker,
			Range:  p.Range,
			Code:   p.Code,
			Type:   p.Type.Words(),
			Or:     or[id],
			Amount: poured(total[id]),
		}
		if p.Type.Counted() {
			g.Amount = "1 does"
		}
		out = append(out, g)
	}
	return out
}

// heldRules are the waits of a night and more that a reader must not cut short,
// those to one step together.
func heldRules(byID *inventory.Index, r *inventory.Recipe, fig *inventory.FigureType) []string {
	type end struct{ to, wait string }
	var order []end
	from := map[end][]string{}
	for _, w := range painting.LongWaits(r, fig, byID) {
		e := end{w.To, waitWords(w.Wait)}
		if from[e] == nil {
			order = append(order, e)
		}
		from[e] = append(from[e], w.From)
	}
	var out []string
	for _, e := range order {
		out = append(out, fmt.Sprintf("Before %s let %s dry: %s.", e.to, strings.Join(from[e], ", "), e.wait))
	}
	for i := range r.Steps {
		if t := painting.TaskOf(&r.Steps[i], byID); t == "dry brush" && i > 0 && i+1 < len(r.Steps) {
			out = append(out, "Dry-brush before the see-through coats, not after: on top it looks chalky.")
			break
		}
	}
	return out
}

func guideCautions(st *state, r *inventory.Recipe) []string {
	var card painting.Card
	for _, s := range r.Steps {
		m := methodOf(st.byID, s)
		card.Spray = card.Spray || m == coverage.SprayCan || m == coverage.Airbrush
		for _, p := range s.Mix {
			if paint := st.byID.Paints[p.Paint]; paint != nil {
				card.Dust = card.Dust || paint.Type == inventory.PigmentType
				card.Solvent = card.Solvent || paint.Carrier == inventory.Solvent
			}
		}
	}
	return cautions([]painting.Card{card})
}

// guideCart finds the cheapest pots for somebody who owns nothing.
func (a *app) guideCart(c *cobra.Command, st *state, u inventory.Unit, o guideOptions, g *paper.Guide) error {
	if len(st.cat.Offers) == 0 {
		g.CartNote = "No prices are kept, so what it costs from nothing is not said."
		return nil
	}
	ctx, cancel := limited(c.Context(), o.limit)
	defer cancel()
	ask := func(exact bool) (*desk.Answer, error) {
		q, err := st.FromNothing(u,
			shopping.Rules{Confidence: estimate.DefaultConfidence, ExactColours: exact},
			estimate.NeedRules{SkipOptional: true})
		if err != nil {
			return nil, err
		}
		return q.Answer(ctx)
	}
	loose, err := ask(false)
	if err != nil {
		return err
	}
	answer, err := ask(true)
	if err != nil {
		return err
	}
	if !answer.Found() {
		answer = loose
	}
	l := answer.List
	if !answer.Found() {
		g.CartNote = "The shops kept do not sell all of it."
		return nil
	}
	filled := false
	for _, order := range l.Orders {
		shop := order.Shop
		if s := st.byID.Shops[shop]; s != nil && s.Name != "" {
			shop = s.Name
		}
		for _, line := range order.Lines {
			name := line.Product
			if p := st.byID.Products[name]; p != nil && p.Name != "" {
				name = p.Name
			}
			if len(line.Paints) == 0 {
				name += " (fills the order up)"
				filled = true
			}
			g.Cart = append(g.Cart, paper.CartLine{
				Count: fmt.Sprint(line.Count),
				Name:  name,
				Shop:  shop,
				Price: line.Sum.String(),
			})
		}
	}
	proof := "proven the cheapest that does it with these shops"
	if !l.Proven() {
		proof = "the best found in the time given"
	}
	g.CartNote = fmt.Sprintf("%s with delivery, without the optional steps: %s.", l.Total, proof)
	if filled {
		g.CartNote += " What only fills an order up saves more delivery than it costs, " +
			"or reaches the shop's smallest order."
	}
	if less := loose.List; loose.Found() && answer != loose && !less.Total.Equal(l.Total) {
		g.CartNote += fmt.Sprintf(" With the other paints named above it can be done for %s.", less.Total)
	}
	if !l.Proven() || !loose.List.Proven() {
		return shown(exitLimit)
	}
	return nil
}

func showGuide(page *view.Page, g paper.Guide) {
	page.Heading("%s", g.Title)
	if g.Intro != "" {
		page.Line("%s", g.Intro)
	}
	for _, s := range g.Steps {
		name := s.Name
		if s.Opt {
			name += " (if you like)"
		}
		if head := fmt.Sprintf("%2d. %s: %s", s.Number, name, s.With); page.Fits(head, "") {
			page.Line("%s", head)
		} else {
			page.Line("%2d. %s:", s.Number, name)
			page.Line("    %s", s.With)
		}
		if g.Short {
			continue
		}
		page.Line("    %s", strings.TrimSpace(s.How+". "+s.Wait))
		if len(s.Or) > 0 {
			page.Line("    or %s", strings.Join(s.Or, "; "))
		}
	}
	page.Heading("Paints, %s", g.Amounts)
	for _, p := range g.Paints {
		left := strings.TrimSpace(p.Range + " " + p.Name)
		code := p.Code
		if p.Maker != "" && p.Maker != p.Range {
			code = strings.TrimSpace(p.Maker + " " + code)
		}
		if code != "" {
			left += " (" + code + ")"
		}
		page.Ends(left, p.Amount)
	}
	if len(g.Cart) > 0 {
		page.Heading("If you own none of it")
		for _, l := range g.Cart {
			page.Ends(l.Count+" "+l.Name+", "+l.Shop, l.Price)
		}
	}
	if g.CartNote != "" {
		page.Line("%s", g.CartNote)
	}
	if len(g.Rules) > 0 {
		page.Heading("Mind the order")
		for _, r := range g.Rules {
			page.Line("%s", r)
		}
	}
	notes(page, g.Cautions)
}
