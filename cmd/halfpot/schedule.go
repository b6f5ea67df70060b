package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/paper"
	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/painting"
)

type scheduleOptions struct {
	benchFlags
	keep              bool
	calendar, picture string
}

func (a *app) scheduleCommand() *cobra.Command {
	var o scheduleOptions
	c := &cobra.Command{
		Use: "schedule [FORCE] [UNIT]", Short: "which evening for what, and when the force is finished",
		Long: `Lays what is left of a force out over your evenings: finished as early as can be,
then in as few evenings, then with as little paint left on palettes. Waits run by
the clock, overnight ones too; palettes are shared. It says whether an earlier
finish is ruled out, or how early it could be at best. Log what you do, ask again.
FORCE can be left out where you paint only one.

--evenings sets the days and hours, --keep keeps them for next time; --calendar and
--picture write an iCalendar file and an SVG picture.`,
		Example: `  halfpot schedule harbour-watch
  halfpot schedule harbour-watch --evenings "Tue Thu 19:00-21:30, Sat 14-18" --keep
  halfpot schedule harbour-watch --calendar painting.ics --picture painting.svg`,
		Args: cobra.MaximumNArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			if o.keep && o.evenings == "" {
				return usagef("--keep keeps what --evenings says; expected --evenings too")
			}
			return a.schedule(c, args, o)
		},
	}
	o.add(c)
	f := c.Flags()
	f.BoolVar(&o.keep, "keep", false, "keep these evenings for next time")
	f.StringVar(&o.calendar, "calendar", "", "write the evenings into `FILE`.ics")
	f.StringVar(&o.picture, "picture", "", "draw the evenings into `FILE`.svg")
	return completeArg(a, c, forceNames)
}

type eveningRow struct {
	Day     view.Date  `json:"day"`
	DayText string     `json:"-" table:"evening" csv:"-"`
	From    string     `json:"from" table:"from"`
	To      string     `json:"to" table:"to"`
	Work    string     `json:"work" table:"what"`
	Minutes view.Count `json:"minutes" table:"min"`
}

type scheduleDoc struct {
	Force     string       `json:"force"`
	Evenings  []eveningRow `json:"evenings"`
	Finish    view.Date    `json:"finish"`
	NotBefore view.Date    `json:"not_before"`
	Proven    bool         `json:"finish_proven"`
	AllProven bool         `json:"evenings_and_waste_proven"`
	WasteML   float64      `json:"waste_ml"`
	Cut       []string     `json:"cut"`
}

func (a *app) schedule(c *cobra.Command, args []string, o scheduleOptions) error {
	b, err := a.atBench(c, args, o.benchFlags)
	if err != nil {
		return err
	}
	s, err := a.planBench(c, b)
	if painting.IsNothingLeft(err) {
		return a.nothingLeftAtBench(b.force.ID)
	}
	if err != nil {
		return err
	}
	if o.keep {
		if err := a.opened.store.SetSetting(c.Context(), desk.EveningsSetting, b.habits.Evenings.String()); err != nil {
			return err
		}
	}
	doc := scheduleDoc{
		Force:     b.force.ID,
		Finish:    view.Date{Time: s.Finish},
		NotBefore: view.Date{Time: s.Bound},
		Proven:    s.Plan.Sure,
		AllProven: s.Plan.AllSure,
		WasteML:   float64(s.Plan.Waste) / 1000,
		Cut:       b.bench.Cut,
	}
	for _, e := range s.Evenings {
		doc.Evenings = append(doc.Evenings, newEveningRow(e))
	}
	if o.calendar != "" {
		err := writeFile(o.calendar, func(w io.Writer) error {
			return paper.Calendar(w, b.force.Name, a.now(), sittings(b.force, s))
		})
		if err != nil {
			return err
		}
	}
	bars := newBars(b.force, s)
	if o.picture != "" {
		if err := writeFile(o.picture, bars.SVG); err != nil {
			return err
		}
	}
	return a.show(doc, doc.Evenings, func(page *view.Page) {
		b.sayForce(page)
		showSchedule(page, doc)
		page.Heading("Batches over the evenings")
		for _, line := range bars.Text(page.Measure()) {
			page.Raw(line)
		}
		if !b.habits.Said {
			page.Gap()
			page.Note("Taken for granted: %s. Yours: --evenings \"Tue Thu 19:00-21:30\" --keep",
				painting.UsualEvenings)
		}
		page.Note("Minutes and waits are assumptions until you say or time them (halfpot log --minutes).")
	})
}

func showSchedule(page *view.Page, doc scheduleDoc) {
	for _, cut := range doc.Cut {
		page.Note("%s.", upperFirst(cut))
	}
	for _, e := range doc.Evenings {
		page.Ends(fmt.Sprintf("%s, %s-%s", e.DayText, e.From, e.To), fmt.Sprintf("%d min", int(e.Minutes)))
		page.Line("    %s", e.Work)
	}
	page.Gap()
	n := len(doc.Evenings)
	switch {
	case doc.Proven:
		page.Line("Finished on %s, in %s. No plan finishes earlier.",
			dayText(doc.Finish.Time), count(n, "evening", "evenings"))
	default:
		page.Line("Finished on %s, in %s. None can finish before %s.",
			dayText(doc.Finish.Time), count(n, "evening", "evenings"), dayText(doc.NotBefore.Time))
	}
	page.Line("About %s of paint is left on palettes.", poured(float64(doc.WasteML)))
}

// newEveningRow puts the steps of an evening together by batch.
func newEveningRow(e painting.Evening) eveningRow {
	row := eveningRow{
		Day:     view.Date{Time: e.Start},
		DayText: dayText(e.Start),
		From:    clockText(e.Start),
		To:      clockText(e.End),
	}
	var order []string
	steps := map[string][]string{}
	minutes := 0.0
	for _, l := range e.Lines {
		id := l.Batch.ID()
		if steps[id] == nil {
			order = append(order, id)
		}
		steps[id] = append(steps[id], l.Work.Step.ID)
		minutes += l.Minutes()
		if l.Opens {
			minutes += l.Work.Setup
		}
	}
	var parts []string
	for _, id := range order {
		parts = append(parts, id+": "+strings.Join(steps[id], ", "))
	}
	row.Work, row.Minutes = strings.Join(parts, "; "), view.Count(minutes+0.5)
	return row
}

func sittings(f inventory.Force, s *painting.Schedule) []paper.Sitting {
	var out []paper.Sitting
	name := f.Name
	if name == "" {
		name = f.ID
	}
	for _, e := range s.Evenings {
		row := newEveningRow(e)
		out = append(out,
			paper.Sitting{
				UID:     fmt.Sprintf("%s-%s@halfpot", f.ID, e.Start.UTC().Format("20060102T150405Z")),
				Start:   e.Start,
				End:     e.End,
				Summary: "Painting: " + name,
				Text:    strings.ReplaceAll(row.Work, "; ", "\n"),
			})
	}
	return out
}

func newBars(f inventory.Force, s *painting.Schedule) paper.Bars {
	out := paper.Bars{Title: f.Name}
	if out.Title == "" {
		out.Title = f.ID
	}
	rows := map[*painting.Batch]int{}
	for i := range s.Bench.Batches {
		b := &s.Bench.Batches[i]
		rows[b] = i
		out.Rows = append(out.Rows, paper.BarRow{
			Name:  b.ID(),
			Parts: make([]float64, len(s.Evenings)),
			Texts: make([]string, len(s.Evenings)),
		})
	}
	for i, e := range s.Evenings {
		out.Evenings = append(out.Evenings, e.Start.Format("2 Jan"))
		names := map[int][]string{}
		for _, l := range e.Lines {
			r := rows[l.Batch]
			out.Rows[r].Parts[i] += l.Minutes() / e.Minutes()
			names[r] = append(names[r], l.Work.Step.ID)
		}
		for r, n := range names {
			out.Rows[r].Texts[i] = strings.Join(slices.Compact(n), ", ")
			out.Rows[r].Parts[i] = min(1, out.Rows[r].Parts[i])
		}
	}
	return out
}
