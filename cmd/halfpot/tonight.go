package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/painting"
	"halfpot/inventory/painting/timetable"
)

func (a *app) tonightCommand() *cobra.Command {
	var o benchFlags
	var hours float64
	var air string
	c := &cobra.Command{
		Use:   "tonight [FORCE] [UNIT]",
		Short: "what to paint now: what is dry, what moves the finish, what to lay out",
		Long: `Says what to do in the next hours: the steps by the clock, the paints to lay out,
what will be short, and how much later the force would be finished without each
batch. Where the hours left of this evening are not what you have: --hours. FORCE
can be left out where you paint only one.`,
		Example: "  halfpot tonight\n  halfpot tonight harbour-watch --hours 1.5",
		Args:    cobra.MaximumNArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("hours") && !(hours > 0 && hours <= 16) {
				return usagef("--hours %g: expected more than 0 and at most 16", hours)
			}
			return a.tonight(c, args, o, hours, air)
		},
	}
	o.add(c)
	c.Flags().Float64Var(&hours, "hours", 0, "you have `H` hours from now on (default: what is left of this evening, or the next)")
	c.Flags().StringVar(&air, "air", "", airHelp)
	return completeArg(a, c, forceNames)
}

type tonightRow struct {
	Start   string     `json:"start" table:"from"`
	Batch   string     `json:"batch" table:"batch"`
	Step    string     `json:"step" table:"step"`
	Minutes view.Count `json:"minutes" table:"min"`
	Mix     string     `json:"mix" table:"with" narrow:"1"`
	Amount  string     `json:"amount" table:"put out" narrow:"2"`
	Ready   string     `json:"ready" table:"ready" narrow:"3"`
}

// layOut is a paint that the evening takes.
type layOut struct {
	Paint  string      `json:"paint"`
	Amount view.Amount `json:"amount"`
}

type stakeRow struct {
	Batch    string `json:"batch"`
	Later    int    `json:"days_later"`
	Evenings int    `json:"evenings_more"`
}

type tonightDoc struct {
	From   string       `json:"from"`
	To     string       `json:"to"`
	Lines  []tonightRow `json:"lines"`
	Stakes []stakeRow   `json:"without"`
	Paints []layOut     `json:"lay_out"`
	Short  []string     `json:"short"`
	Wet    []string     `json:"not_ready"`
	Finish view.Date    `json:"finish"`
	Proven bool         `json:"proven"`
}

func (a *app) tonight(c *cobra.Command, args []string, o benchFlags, hours float64, typedAir string) error {
	if _, err := parseAir(typedAir); err != nil {
		return err
	}
	b, err := a.atBench(c, args, o)
	if err != nil {
		return err
	}
	air, err := a.airOf(c.Context(), typedAir)
	if err != nil {
		return err
	}
	now := a.now().Round(time.Second)
	slot := b.habits.Evenings.Slots(now, 1)[0]
	if hours > 0 {
		slot = painting.Slot{Start: now, End: now.Add(time.Duration(hours * float64(time.Hour)))}
	}
	t, err := b.bench.Tonight(c.Context(), b.habits.Evenings, slot, timetable.Effort{})
	if painting.IsNothingLeft(err) {
		return a.nothingLeftAtBench(b.force.ID)
	}
	if err != nil {
		return err
	}
	doc := tonightDoc{
		From:   slot.Start.Format(time.RFC3339),
		To:     slot.End.Format(time.RFC3339),
		Finish: view.Date{Time: t.Whole.Finish},
		Proven: t.Whole.Plan.Sure,
		Lines:  []tonightRow{},
	}
	e := b.st.Estimator()
	var cards []painting.Card
	if len(t.Lines) > 0 {
		if cards, err = t.Whole.EveningCards(e, t.Whole.Evenings[0], b.habits.DropUL); err != nil {
			return err
		}
		if err := a.rememberSheet(c.Context(), b.force.ID, cards); err != nil {
			return err
		}
	}
	for _, l := range t.Lines {
		doc.Lines = append(doc.Lines, newTonightRow(b, l, cards))
	}
	doc.Paints = paintsOf(b.st.byID, cards)
	for _, s := range t.Stake {
		doc.Stakes = append(doc.Stakes, stakeRow{s.Batch.ID(), s.Later, s.Evenings})
	}
	if doc.Short, err = shortTonight(b, t.Whole, slot); err != nil {
		return err
	}
	doc.Wet = notReady(b, t)
	return a.show(doc, doc.Lines, func(page *view.Page) {
		b.sayForce(page)
		showTonight(page, doc, slot, cards)
		var steps []*inventory.Step
		for _, l := range t.Lines {
			steps = append(steps, l.Work.Step)
		}
		sprayNotes(page, b.st.byID, air, steps)
	})
}

func newTonightRow(b *atBench, l painting.Line, cards []painting.Card) tonightRow {
	row := tonightRow{
		Start:   clockText(l.Start),
		Batch:   l.Batch.ID(),
		Step:    fmt.Sprintf("%d %s", l.Work.Number, l.Work.Step.ID),
		Minutes: view.Count(l.Minutes() + 0.5),
	}
	for _, card := range cards {
		for _, line := range card.Lines {
			if line.Work == l.Work {
				row.Mix, row.Amount = pourText(b.st.byID, line.Pours)
			}
		}
	}
	if l.Next != nil && l.Ready.After(l.End) {
		row.Ready = readyText(l.Ready, l.Start)
	}
	return row
}

// notReady is the batches nothing can be done on tonight, with what they wait for.
func notReady(b *atBench, t *painting.Tonight) []string {
	var wet []string
	for i := range b.bench.Batches {
		bt := &b.bench.Batches[i]
		if slices.ContainsFunc(t.Ready, func(r painting.ReadyBatch) bool { return r.Batch == bt }) {
			continue
		}
		name := bt.ID()
		if first := b.bench.WaitsFor(bt); first != "" {
			name += " (after " + first + ")"
		}
		wet = append(wet, name)
	}
	return wet
}

// paintsOf adds up what sheets ask to put out, in the order of work.
func paintsOf(byID *inventory.Index, cards []painting.Card) []layOut {
	var order []string
	sum := map[string]inventory.Volume{}
	for _, c := range cards {
		for _, l := range c.Lines {
			for _, p := range l.Pours {
				if _, known := sum[p.Paint]; !known && p.Paint != "" {
					order = append(order, p.Paint)
				}
				sum[p.Paint] += p.Amount
			}
		}
	}
	out := []layOut{}
	for _, id := range order {
		counted := byID.Paints[id] != nil && byID.Paints[id].Type.Counted()
		out = append(out, layOut{paintName(byID, id), view.About(roundUp(sum[id], counted), counted)})
	}
	return out
}

// shortTonight names the paints that will not last the evening.
func shortTonight(b *atBench, s *painting.Schedule, slot painting.Slot) ([]string, error) {
	short, err := s.Shortages(b.st.Estimator(), b.st.Running(estimate.DefaultConfidence))
	var out []string
	for _, x := range short {
		if !x.Before.After(slot.Start) {
			p := b.st.byID.Paints[x.Paint]
			out = append(out, fmt.Sprintf("%s (%s)", p.Name, x.Step))
		}
	}
	return out, err
}

func showTonight(page *view.Page, doc tonightDoc, slot painting.Slot, cards []painting.Card) {
	page.Line("%s", slotText(slot))
	if len(doc.Lines) == 0 {
		page.Line("Nothing is dry, or nothing fits: an evening off.")
	} else if page.Measure() >= 70 {
		page.List(doc.Lines, "")
	} else {
		for _, l := range doc.Lines {
			page.Ends(fmt.Sprintf("%s %s: %s", l.Start, l.Batch, l.Step), minutesText(float64(l.Minutes)))
			put := strings.Trim(l.Mix+", "+l.Amount, ", ")
			if l.Ready != "" {
				put = strings.Trim(put+"; ready "+l.Ready, "; ")
			}
			if put != "" {
				page.Line("      %s", put)
			}
		}
	}
	if len(doc.Paints) > 0 {
		var paints []string
		for _, p := range doc.Paints {
			paints = append(paints, p.Paint+" "+p.Amount.WithoutRange())
		}
		page.Gap()
		page.Line("To lay out: %s.", strings.Join(paints, ", "))
	}
	var moves []string
	for _, s := range doc.Stakes {
		switch {
		case s.Later > 0:
			moves = append(moves, fmt.Sprintf("%s: %s later", s.Batch, count(s.Later, "day", "days")))
		case s.Evenings > 0:
			moves = append(moves, fmt.Sprintf("%s: %s more", s.Batch, count(s.Evenings, "evening", "evenings")))
		}
	}
	if len(doc.Paints) == 0 {
		page.Gap()
	}
	if len(moves) > 0 {
		page.Line("Left alone tonight, the finish moves. %s.", strings.Join(moves, "; "))
	} else if len(doc.Stakes) > 0 {
		page.Line("No single batch has to be tonight: any of them can wait an evening.")
	}
	if len(doc.Wet) > 0 {
		page.Line("Not ready yet: %s.", strings.Join(doc.Wet, ", "))
	}
	if len(doc.Short) > 0 {
		page.Line("May run short tonight: %s.", strings.Join(doc.Short, ", "))
	}
	page.Line("Kept up, all is finished on %s.", dayText(doc.Finish.Time))
	notes(page, cautions(cards))
}
