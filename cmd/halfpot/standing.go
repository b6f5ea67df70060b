package main

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/painting"
)

func (a *app) progressCommand() *cobra.Command {
	var o benchFlags
	c := &cobra.Command{
		Use: "progress [FORCE]", Short: "how far a force is, what will run short when, and when it is finished",
		Long: `Shows each unit's steps, done and left, the paints that will not last and before
which evening, what the paint has cost so far, and when the force will be finished
at your pace so far: nine times in ten between the two days, evenings kept.
FORCE can be left out where you paint only one.`,
		Example: "  halfpot progress harbour-watch",
		Args:    cobra.MaximumNArgs(1),
		RunE:    func(c *cobra.Command, args []string) error { return a.progressOf(c, args, o) },
	}
	o.add(c)
	return completeArg(a, c, forceNames)
}

type progressRow struct {
	Unit     string       `json:"unit" table:"unit"`
	Done     view.Percent `json:"done" table:"done"`
	Finished string       `json:"finished" table:"finished"`
	Left     []string     `json:"steps_left" table:"left to do"`
	Steps    []stepStand  `json:"steps" csv:"-"`
}

// stepStand is how far one step of a unit is.
type stepStand struct {
	Step     string     `json:"step"`
	Done     view.Count `json:"done"`
	Left     view.Count `json:"left"`
	Optional bool       `json:"optional"`
}

type progressDoc struct {
	Force    string        `json:"force"`
	Done     view.Percent  `json:"done"`
	Units    []progressRow `json:"units"`
	Minutes  view.Count    `json:"minutes_left"`
	Finish   view.Date     `json:"finish"`
	Early    view.Date     `json:"finish_early"`
	Late     view.Date     `json:"finish_late"`
	Evenings view.Count    `json:"evenings"`
	Timed    view.Count    `json:"timed_sittings"`
	Paints   []layOut      `json:"paint_to_go"`
	Short    []shortRow    `json:"short"`
	Spent    []view.Money  `json:"spent"`
	Priced   bool          `json:"all_pots_priced"`
	Figures  view.Count    `json:"finished_figures"`
	Begun    view.Count    `json:"begun_figures"`
	Each     []view.Money  `json:"spent_a_figure"`
}

type shortRow struct {
	Paint  string      `json:"paint"`
	Short  view.Amount `json:"short"`
	Before view.Date   `json:"before"`
	Step   string      `json:"step"`
}

func (a *app) progressOf(c *cobra.Command, args []string, o benchFlags) error {
	b, err := a.atBench(c, args, o)
	if err != nil {
		return err
	}
	pace := b.st.Pace()
	st := painting.Stand(&b.force, b.st.byID, pace)
	doc := progressDoc{
		Force:   b.force.ID,
		Done:    view.Percent(st.Done),
		Minutes: view.Count(st.Left + 0.5),
		Timed:   view.Count(pace.Sittings),
	}
	for _, u := range st.Units {
		row := progressRow{
			Unit:     u.Unit.ID,
			Done:     view.Percent(u.Done),
			Finished: fmt.Sprintf("%d of %d", u.Finished, u.Unit.Figures),
		}
		for _, s := range u.Steps {
			row.Steps = append(row.Steps, stepStand{
				Step:     s.Step.ID,
				Done:     view.Count(s.Done),
				Left:     view.Count(u.Unit.Figures - s.Done),
				Optional: s.Step.Optional,
			})
			if n := u.Unit.Figures - s.Done; n > 0 {
				text := s.Step.ID
				if s.Done > 0 {
					text += fmt.Sprintf(" on %d", n)
				}
				if s.Step.Optional {
					text += " (if you like)"
				}
				row.Left = append(row.Left, text)
			}
		}
		doc.Figures += view.Count(u.Finished)
		doc.Begun += view.Count(u.Begun)
		doc.Units = append(doc.Units, row)
	}
	spent, known := b.st.Spent(&b.force)
	doc.Priced = known
	for _, m := range spent {
		doc.Spent = append(doc.Spent, view.Money(m))
		each := m
		each.Amount = m.Amount.DivRound(decimal.NewFromInt(int64(max(1, doc.Begun))), 2)
		doc.Each = append(doc.Each, view.Money(each))
	}
	if len(b.bench.Batches) > 0 {
		f, err := b.bench.Foresee(c.Context(), b.habits.Evenings, a.now())
		if err != nil {
			return err
		}
		doc.Finish = view.Date{Time: f.Likely}
		doc.Early, doc.Late = view.Date{Time: f.Early}, view.Date{Time: f.Late}
		doc.Evenings = view.Count(f.Sittings)
		cards, err := b.cards()
		if err != nil {
			return err
		}
		doc.Paints = paintsOf(b.st.byID, cards)
		short, err := f.Whole.Shortages(b.st.Estimator(), b.st.Running(estimate.DefaultConfidence))
		if err != nil {
			return err
		}
		for _, s := range short {
			p := b.st.byID.Paints[s.Paint]
			doc.Short = append(doc.Short, shortRow{
				Paint:  p.Name,
				Short:  view.About(roundUp(s.Short, p.Type.Counted()), p.Type.Counted()),
				Before: view.Date{Time: s.Before},
				Step:   s.Step,
			})
		}
	}
	return a.show(doc, doc.Units, func(page *view.Page) {
		b.sayForce(page)
		doc.show(a, page, b.force)
	})
}

func (d progressDoc) show(a *app, page *view.Page, f inventory.Force) {
	name := f.Name
	if name == "" {
		name = f.ID
	}
	page.Line("%s: %s of the work at the bench is done.", name, view.Percent(d.Done).Cell(page.Style()))
	for _, u := range d.Units {
		page.Ends(fmt.Sprintf("%s, %s", u.Unit, u.Done.Cell(page.Style())), u.Finished+" finished")
		if len(u.Left) > 0 {
			page.Line("    left: %s", strings.Join(u.Left, ", "))
		}
	}
	page.Gap()
	if !d.Finish.IsZero() {
		page.Line("About %s at the bench are left. Likely finished on %s, in %s.",
			minutesText(float64(d.Minutes)), dayText(d.Finish.Time),
			count(int(d.Evenings), "evening", "evenings"))
		if d.Early.Format("0102") != d.Late.Format("0102") {
			page.Line("Nine times in ten between %s and %s, if you keep the evenings (%s).",
				dayText(d.Early.Time), dayText(d.Late.Time), paceText(int(d.Timed)))
		}
	} else {
		page.Line("All of it is finished.")
	}
	for i, m := range d.Spent {
		some := ""
		if !d.Priced {
			some = ", some pots without a price"
		}
		page.Line("Paint used so far: %s, about %s for each of %s begun%s.",
			m, d.Each[i], count(int(d.Begun), "figure", "figures"), some)
	}
	if len(d.Paints) > 0 {
		var paints []string
		for _, p := range d.Paints {
			paints = append(paints, p.Paint+" "+p.Amount.WithoutRange())
		}
		page.Line("Paint still to go on, palettes' leftovers with it: %s.", strings.Join(paints, ", "))
	}
	if len(d.Short) > 0 {
		page.Heading("Will not last")
		for _, s := range d.Short {
			page.Line("%s: %s short before %s (%s)", s.Paint, s.Short, dayText(s.Before.Time), s.Step)
		}
		page.Note("So much more, and each of them lasts with 9 chances in 10. What to buy: %s", a.typed("halfpot buy "+d.Force))
	}
}

// roundUp is what is missing as one would ask for it in a shop: whole items, and
// millilitres to two figures.
func roundUp(v inventory.Volume, counted bool) inventory.Volume {
	grain := 100 * inventory.Microlitre
	switch {
	case counted:
		grain = inventory.Item
	case v >= 10*inventory.Millilitre:
		grain = inventory.Millilitre
	}
	return (v + grain - 1) / grain * grain
}

func paceText(n int) string {
	if n == 0 {
		return "no sitting timed yet: the usual minutes"
	}
	return "from " + count(n, "timed sitting", "timed sittings")
}
