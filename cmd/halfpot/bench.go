package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/painting"
	"halfpot/inventory/painting/timetable"
)

// benchFlags are what every command at the bench takes.
type benchFlags struct {
	evenings   string
	noOptional bool
}

func (o *benchFlags) add(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.evenings, "evenings", "", "`WHEN` you paint, like \"Tue Thu 19:00-21:30, Sat 14-18\" (default: as kept, else "+painting.UsualEvenings+")")
	f.BoolVar(&o.noOptional, "no-optional", false, "leave optional steps out")
}

// habits are the painter's evenings and dropper, changed by the flags.
func (a *app) habits(c *cobra.Command, o benchFlags) (desk.BenchHabits, error) {
	h, err := desk.Habits(c.Context(), a.opened.store)
	if err != nil || !c.Flags().Changed("evenings") {
		return h, err
	}
	if h.Evenings, err = painting.ParseEvenings(o.evenings); err != nil {
		return h, usagef("--%v", err)
	}
	h.Said = true
	return h, nil
}

// longest is the longest of the sittings to come, in minutes.
func longest(e painting.Evenings, from time.Time) float64 {
	most := 0.0
	for _, s := range e.Slots(from, 21) {
		most = max(most, s.Minutes())
	}
	return most
}

// atBench is a force at the bench with the evenings it is painted on.
type atBench struct {
	st     *state
	usual  bool // no force was named: it is the one being painted
	force  inventory.Force
	unit   string
	habits desk.BenchHabits
	bench  *painting.Bench
}

// atBench finds what a command at the bench is about. args are a force and a unit;
// a force left out is the one being painted.
func (a *app) atBench(c *cobra.Command, args []string, o benchFlags) (*atBench, error) {
	st, err := a.state(c.Context())
	if err != nil {
		return nil, err
	}
	out := &atBench{st: st}
	typed := args
	if args = withForce(st.cat, args); len(args) == 0 {
		args = []string{""}
	}
	out.usual = len(typed) < len(args) || args[0] == ""
	id, err := forceOr(st.cat, args[0])
	if usual, none := usualForce(st.cat); err != nil && len(typed) == 1 && none == nil {
		if fit, _ := fitting(typed[0], forceNames(st.cat)); len(fit) == 0 {
			err = &usageError{
				fmt.Sprintf("there is no force %q, and no unit of that name in %s", typed[0], usual),
				[]string{"halfpot force list", "halfpot force show " + usual},
			}
		}
	}
	if err != nil {
		return nil, err
	}
	out.force = *st.byID.Forces[id]
	if len(args) > 1 {
		if out.unit, err = lookup("unit", args[1], "halfpot force show "+id, unitNames(out.force)); err != nil {
			return nil, err
		}
	}
	if out.habits, err = a.habits(c, o); err != nil {
		return nil, err
	}
	out.bench, err = st.Bench(&out.force, painting.Options{
		Unit:         out.unit,
		SkipOptional: o.noOptional,
		Longest:      longest(out.habits.Evenings, a.now()),
	})
	if err != nil {
		return nil, &usageError{msg: err.Error(), hints: []string{"--evenings with longer ones"}}
	}
	return out, nil
}

// sayForce names the force on the page where the painter did not.
func (b *atBench) sayForce(page *view.Page) {
	if !b.usual {
		return
	}
	name := b.force.ID
	if b.force.Name != "" {
		name = b.force.Name + " (" + b.force.ID + ")"
	}
	page.Note("The force being painted: %s.", name)
}

// plan lays the bench out from now on.
func (a *app) planBench(c *cobra.Command, b *atBench) (*painting.Schedule, error) {
	return b.bench.Plan(c.Context(), b.habits.Evenings, a.now().Round(time.Second), nil, timetable.Effort{})
}

// dayText is "Tue 3 Mar".
func dayText(t time.Time) string { return t.Format("Mon 2 Jan") }

func clockText(t time.Time) string { return t.Format("15:04") }

func slotText(s painting.Slot) string {
	return fmt.Sprintf("%s, %s-%s", dayText(s.Start), clockText(s.Start), clockText(s.End))
}

func minutesText(m float64) string {
	n := int(m + 0.5)
	if n >= 120 {
		return fmt.Sprintf("%.1f h", m/60)
	}
	return fmt.Sprintf("%d min", max(1, n))
}

// readyText says when a step may follow, from the day of another moment.
func readyText(ready, day time.Time) string {
	if ready.Year() == day.Year() && ready.YearDay() == day.YearDay() {
		return clockText(ready)
	}
	return ready.Format("Mon 15:04")
}

// batchTitle is "Pass Guard, batch 2 of 3: 8 figures".
func batchTitle(b *painting.Batch) string {
	name := b.Unit.Name
	if name == "" {
		name = b.Unit.ID
	}
	if b.Of > 1 {
		name += fmt.Sprintf(", batch %d of %d", b.Number, b.Of)
	}
	return name + ": " + count(b.Figures, "figure", "figures")
}

// pourText is "2 wet moss + 1 thatch eave" and "1.2 ml: 16 + 8 drops".
func pourText(byID *inventory.Index, pours []painting.Pour) (mix, amount string) {
	var names, drops []string
	var total inventory.Volume
	counted := false
	for _, p := range pours {
		name := "water"
		if p.Paint != "" {
			name = paintName(byID, p.Paint)
			if paint := byID.Paints[p.Paint]; paint != nil && paint.Type.Counted() {
				counted = true
			}
		}
		if len(pours) > 1 {
			name = fmt.Sprintf("%.4g %s", p.Parts, name)
		}
		names = append(names, name)
		total += p.Amount
		if p.Drops > 0 {
			drops = append(drops, fmt.Sprint(p.Drops))
		}
	}
	mix = strings.Join(names, " + ")
	if len(pours) == 0 || counted {
		return mix, ""
	}
	amount = poured(max(0.1, total.ML()))
	if len(drops) > 0 {
		amount += ": " + strings.Join(drops, " + ") + " drops"
	}
	return mix, amount
}

// poured is what to put out, to the tenth of a millilitre or two figures.
func poured(ml float64) string {
	if ml < 9.95 {
		return fmt.Sprintf("%.1f ml", ml)
	}
	return view.About(inventory.VolumeOfML(ml), false).String()
}

func (a *app) nothingLeftAtBench(force string) error {
	return a.done(struct {
		Force string `json:"force"`
		Left  int    `json:"left"`
	}{force, 0}, "Every step of %s is done.", force)
}

// cautions are the lines for what a sheet asks to spray, dust or thin.
func cautions(cards []painting.Card) []string {
	var spray, dust, solvent bool
	for _, c := range cards {
		spray, dust, solvent = spray || c.Spray, dust || c.Dust, solvent || c.Solvent
	}
	var out []string
	if spray {
		out = append(out, cautionSpray)
	}
	if dust {
		out = append(out, cautionPigment)
	}
	if solvent {
		out = append(out, cautionSolvent)
	}
	if len(out) > 0 {
		out = append(out, cautionDefer)
	}
	return out
}

func notes(page *view.Page, lines []string) {
	if len(lines) > 0 {
		page.Gap()
		page.Note("%s", strings.Join(lines, " "))
	}
}
