package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/paper"
	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/painting"
)

type sheetOptions struct {
	benchFlags
	evening string
	drop    string
	as      string
	air     string
}

func (a *app) sheetCommand() *cobra.Command {
	var o sheetOptions
	c := &cobra.Command{
		Use: "sheet [FORCE] [UNIT]", Short: "the sheet beside the palette: steps, paints, drops, waits",
		Long: `Lays out what is left to do, a page for each batch: the steps in order, what to
put out in ml and drops, where it goes, how long it takes and how long to wait. With
--evening it is one evening's work from the schedule, by the clock. Minutes, waits
and drops are assumptions until you say or time them: log with --minutes. Paints are
those you would take by what your pots hold: another way of the recipe is marked.
FORCE can be left out where you paint only one.

Tick steps off with halfpot done 4.`,
		Example: `  halfpot sheet harbour-watch rifles
  halfpot sheet rifles
  halfpot sheet harbour-watch --evening next
  halfpot sheet harbour-watch --evening 2026-03-03 --as html > tuesday.html`,
		Args: cobra.MaximumNArgs(2),
		RunE: func(c *cobra.Command, args []string) error { return a.sheet(c, args, o) },
	}
	o.add(c)
	f := c.Flags()
	f.StringVar(&o.evening, "evening", "", "only the evening of a `DAY`, or next")
	f.StringVar(&o.air, "air", "", airHelp)
	f.StringVar(&o.drop, "drop", "", "how much a `DROP` from your bottles is, like 0.04ml; kept for next time")
	enum(c, f, &o.as, "as", "text", "how to write it", "text", "markdown", "html")
	return completeArg(a, c, forceNames)
}

func (a *app) sheet(c *cobra.Command, args []string, o sheetOptions) error {
	if _, err := parseAir(o.air); err != nil {
		return err
	}
	var err error
	var drop inventory.Volume
	if o.drop != "" {
		if drop, err = inventory.ParseVolume(o.drop); err != nil || drop < 5 || drop > 1000 {
			return usagef("--drop %q: expected a volume of 0.005 to 1 ml, like 0.04ml", o.drop)
		}
	}
	b, err := a.atBench(c, args, o.benchFlags)
	if err != nil {
		return err
	}
	air, err := a.airOf(c.Context(), o.air)
	if err != nil {
		return err
	}
	if drop > 0 {
		b.habits.DropUL = float64(drop)
		if err := a.opened.store.SetSetting(c.Context(), desk.DropSetting,
			strconv.FormatInt(int64(drop), 10)); err != nil {
			return err
		}
	}
	if len(b.bench.Batches) == 0 {
		return a.nothingLeftAtBench(b.force.ID)
	}
	var cards []painting.Card
	var slot *painting.Slot
	if o.evening != "" {
		s, err := a.planBench(c, b)
		if err != nil {
			return err
		}
		ev, err := a.eveningOf(s, o.evening)
		if err != nil {
			return err
		}
		slot = &ev.Slot
		if cards, err = s.EveningCards(b.st.Estimator(), ev, b.habits.DropUL); err != nil {
			return err
		}
	} else {
		if cards, err = b.cards(); err != nil {
			return err
		}
	}
	if err := a.rememberSheet(c.Context(), b.force.ID, cards); err != nil {
		return err
	}
	return a.showSheets(b, cards, slot, air, o.as)
}

// cards are the sheets of all batches.
func (b *atBench) cards() ([]painting.Card, error) {
	var out []painting.Card
	e := b.st.Estimator()
	for i := range b.bench.Batches {
		card, err := b.bench.Card(e, &b.bench.Batches[i], b.habits.DropUL)
		if err != nil {
			return nil, err
		}
		out = append(out, card)
	}
	return out, nil
}

// eveningOf finds the evening of a day, or the next.
func (a *app) eveningOf(s *painting.Schedule, typed string) (painting.Evening, error) {
	if typed == "next" {
		return s.Evenings[0], nil
	}
	day := a.now()
	switch strings.ToLower(typed) {
	case "today", "tonight":
	case "tomorrow":
		day = day.AddDate(0, 0, 1)
	default:
		t, err := time.ParseInLocation(time.DateOnly, typed, day.Location())
		if err != nil {
			return painting.Evening{}, usagef("--evening %q: expected a day like %s, or next, "+
				"today, tomorrow", typed, day.Format(time.DateOnly))
		}
		day = t
	}
	var days []string
	for _, e := range s.Evenings {
		if y, d := e.Start.Year(), e.Start.YearDay(); y == day.Year() && d == day.YearDay() {
			return e, nil
		}
		if len(days) < 5 {
			days = append(days, e.Start.Format(time.DateOnly))
		}
	}
	return painting.Evening{}, usagef("--evening %s: nothing is planned for it; the next evenings are %s",
		typed, strings.Join(days, ", "))
}

// sheetRow is one step of a sheet for programs.
type sheetRow struct {
	Batch   string      `json:"batch"`
	Figures view.Count  `json:"figures"`
	Number  view.Count  `json:"number"`
	Step    string      `json:"step"`
	Name    string      `json:"name"`
	Mix     string      `json:"mix"`
	Instead string      `json:"instead_of"`
	Amount  view.Amount `json:"amount"`
	Drops   []int       `json:"drops"`
	Regions string      `json:"regions"`
	How     string      `json:"how"`
	Minutes view.Count  `json:"minutes"`
	Start   string      `json:"start"`
	Then    []followRow `json:"then" csv:"-"`
	Rules   []string    `json:"rules"`
}

// followRow is a later step that waits.
type followRow struct {
	Step string `json:"step"`
	Wait string `json:"wait"`
	From string `json:"from"`
}

func (a *app) showSheets(
	b *atBench, cards []painting.Card, slot *painting.Slot, air *painting.Air, as string,
) error {
	var sheets []paper.Sheet
	rows := []sheetRow{}
	for _, card := range cards {
		s := paper.Sheet{
			Title: batchTitle(card.Batch),
			Foot:  "About " + minutesText(card.Minutes) + " at the bench, " + minutesBy(b.bench.Pace) + ".",
		}
		if slot != nil {
			s.When = slotText(*slot)
		}
		for _, l := range card.Lines {
			step := newSheetStep(b.st.byID, l)
			s.Steps = append(s.Steps, step)
			row := newSheetRow(b.st.byID, card, l, step)
			if air != nil {
				for _, f := range painting.CheckAir(l.Work.Step, b.st.byID, *air) {
					s.Rules = append(s.Rules, newRuleRow("", f).text())
					row.Rules = append(row.Rules, f.Rule)
				}
			}
			rows = append(rows, row)
		}
		for _, f := range card.Findings {
			s.Rules = append(s.Rules, newRuleRow("", f).text())
		}
		sheets = append(sheets, s)
	}
	if len(sheets) > 0 {
		sheets[len(sheets)-1].Cautions = cautions(cards)
	}
	switch title := orWord(b.force.Name, b.force.ID); as {
	case "html":
		return paper.SheetsHTML(a.out, title, sheets)
	case "markdown":
		return paper.SheetsMarkdown(a.out, title, sheets)
	}
	return a.show(rows, rows, func(page *view.Page) {
		b.sayForce(page)
		for _, c := range b.bench.Cut {
			page.Note("%s.", c)
		}
		for _, s := range sheets {
			showSheet(page, s)
		}
	})
}

func newSheetRow(byID *inventory.Index, card painting.Card, l painting.CardLine, step paper.SheetStep) sheetRow {
	row := sheetRow{
		Batch:   card.Batch.ID(),
		Figures: view.Count(card.Batch.Figures),
		Number:  view.Count(step.Number),
		Step:    l.Work.Step.ID,
		Name:    step.Name,
		Mix:     step.Mix,
		Instead: mixText(byID, l.Work.Instead),
		Regions: regionsText(l.Work.Step.Regions),
		How:     string(l.Method),
		Minutes: view.Count(l.Minutes + 0.5),
	}
	for _, f := range l.Then {
		w := followRow{Step: f.Next.Step.ID, Wait: waitText(f.Wait)}
		if !f.Ready.IsZero() {
			w.From = f.Ready.Format(time.RFC3339)
		}
		row.Then = append(row.Then, w)
	}
	var total inventory.Volume
	for _, p := range l.Pours {
		total += p.Amount
		row.Drops = append(row.Drops, p.Drops)
	}
	row.Amount = view.About(total, false)
	if !l.Start.IsZero() {
		row.Start = l.Start.Format(time.RFC3339)
	}
	for _, f := range card.Findings {
		if f.Step == row.Step || f.After == row.Step {
			row.Rules = append(row.Rules, f.Rule)
		}
	}
	return row
}

func newSheetStep(byID *inventory.Index, l painting.CardLine) paper.SheetStep {
	s := l.Work.Step
	out := paper.SheetStep{Number: l.Work.Number, Name: s.Name, Time: minutesText(l.Minutes)}
	if out.Name == "" {
		out.Name = s.ID
	}
	out.Mix, out.Pour = pourText(byID, l.Pours)
	if len(l.Work.Instead) > 0 {
		out.Changed = "instead of " + mixText(byID, l.Work.Instead)
		if !l.Work.Begun {
			out.Changed += ", too little left"
		}
	}
	how := string(l.Method)
	if s.Kind != "" {
		how = string(s.Kind)
	}
	out.How = how + "; " + regionsText(s.Regions)
	if s.Coats > 1 {
		out.How += fmt.Sprintf("; %d coats", s.Coats)
	}
	if s.Optional {
		out.How += "; if you like"
	}
	if !l.Start.IsZero() {
		out.Time = clockText(l.Start) + ", " + out.Time
	}
	var then []string
	if l.Soon != nil {
		soon := l.Soon.Step.ID + " within " + waitText(s.NextWithin)
		if l.Handful > 0 {
			soon += fmt.Sprintf(", %d at a time", l.Handful)
		}
		then = append(then, soon)
	}
	for _, f := range l.Then {
		switch {
		case !f.Ready.IsZero():
			then = append(then, f.Next.Step.ID+" from "+readyText(f.Ready, l.Start))
		case f.Wait == inventory.Overnight:
			then = append(then, f.Next.Step.ID+" overnight")
		default:
			then = append(then, f.Next.Step.ID+" after "+waitText(f.Wait))
		}
	}
	out.Then = strings.Join(then, "; ")
	return out
}

// minutesBy says where minutes come from.
func minutesBy(p *painting.Pace) string {
	if p == nil || p.Sittings == 0 {
		return "by the usual minutes"
	}
	return "at your pace from " + count(p.Sittings, "timed sitting", "timed sittings")
}

// waitWords says a night as painters do.
func waitWords(d time.Duration) string {
	if d == inventory.Overnight {
		return "overnight"
	}
	return waitText(d)
}

// showSheet writes a page as text: two lines a step, and no line too long for a
// phone where it is read on one.
func showSheet(page *view.Page, s paper.Sheet) {
	page.Gap()
	page.Ends(strings.ToUpper(s.Title), s.When)
	for _, st := range s.Steps {
		name := fmt.Sprintf("[ ] %d %s", st.Number, st.Name)
		one := name
		if st.Mix != "" {
			one = fmt.Sprintf("[ ] %-16s  %s",
				fmt.Sprintf("%d %s", st.Number, st.Name), strings.TrimSuffix(st.Mix+"   "+st.Pour, "   "))
		}
		if page.Fits(one, st.Time) {
			page.Ends(one, st.Time)
			if st.Changed != "" {
				page.Line("      %s", st.Changed)
			}
			page.Ends("      "+st.How, st.Then)
			continue
		}
		page.Ends(name, st.Time)
		if both := strings.Trim(st.Mix+", "+st.Pour, ", "); page.Fits("    "+both, "") {
			page.Ends("    "+both, "")
		} else {
			page.Line("    %s", st.Mix)
			page.Line("    %s", st.Pour)
		}
		if st.Changed != "" {
			page.Line("    %s", st.Changed)
		}
		page.Ends("    "+st.How, st.Then)
	}
	for _, r := range s.Rules {
		page.Line(" !  %s", r)
	}
	page.Note("%s", s.Foot)
	notes(page, s.Cautions)
}
