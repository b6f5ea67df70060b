package main

import (
	"cmp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/postgres"
)

// jobDoc is one entry of the log.
type jobDoc struct {
	Job     string       `json:"job"`
	Force   string       `json:"force"`
	Day     view.Date    `json:"day"`
	Work    []workRow    `json:"work"`
	Draws   []drawRow    `json:"draws"`
	Missing []missingRow `json:"missing"`
	Undoes  string       `json:"undoes"`
	Have    []string     `json:"have_now,omitempty"`
}

type workRow struct {
	Unit    string     `json:"unit" table:"unit"`
	Step    string     `json:"step" table:"step"`
	Figures view.Count `json:"figures" table:"figures"`
	With    string     `json:"with" table:"with"`
}

type drawRow struct {
	Pot    string      `json:"pot" table:"pot"`
	Name   string      `json:"paint" table:"paint"`
	Amount view.Amount `json:"amount" table:"drawn"`
	Left   view.Amount `json:"left" table:"left"`
	Read   view.Date   `json:"read_after"` // the first reading after that day, which stands
}

// latePot is a pot that came after the day the work was done.
type latePot struct {
	Pot  string    `json:"pot"`
	Came view.Date `json:"came"`
}

type missingRow struct {
	Name   string      `json:"name"`
	Amount view.Amount `json:"amount"`
	Paint  string      `json:"paint"`
	Late   []latePot   `json:"came_after"`
}

// newJobDoc tells what a job came to, with what the pots hold after it.
func newJobDoc(st *state, j postgres.Job, missing []estimate.PlannedUse) jobDoc {
	d := jobDoc{Job: j.ID, Force: j.Force, Day: view.Date{Time: j.At}, Undoes: j.Undoes}
	for _, w := range j.Work {
		d.Work = append(d.Work, workRow{w.Unit, w.Step, view.Count(w.Figures), mixKeyText(st.byID, w.Mix)})
	}
	draws := make([]estimate.Draw, len(j.Draws))
	for i, x := range j.Draws {
		draws[i] = estimate.Draw(x)
	}
	for _, x := range st.Drawn(draws) {
		paint := st.byID.Paints[x.Pot.Paint]
		d.Draws = append(d.Draws, drawRow{
			Pot:    x.Pot.ID,
			Name:   paint.Name,
			Amount: about(paint, x.Taken),
			Left:   newPotRow(st.byID, x.Pot.Pot, x.Pot.Level, st.At).Left,
			Read:   readAfter(x.Pot.Pot, j),
		})
	}
	for _, m := range estimate.ByPaint(missing) {
		paint := st.byID.Paints[m.Paint]
		row := missingRow{Name: paint.Name, Amount: about(paint, m.Volume), Paint: m.Paint}
		for _, p := range st.PotsOf(m.Paint) {
			if came, ok := p.Came(); ok && !p.There(j.At, j.DayOnly) {
				row.Late = append(row.Late, latePot{p.Pot.ID, view.Date{Time: came.At}})
			}
		}
		d.Missing = append(d.Missing, row)
	}
	return d
}

// readAfter is the day of the first reading of a pot after a job.
func readAfter(pot inventory.Pot, j postgres.Job) (first view.Date) {
	for _, e := range pot.Standing() {
		reading := e.Kind == inventory.Judged || e.Kind == inventory.Weighed
		earliest := first.IsZero() || e.At.Before(first.Time)
		if reading && e.Job != j.ID && e.At.After(j.At) && earliest {
			first = view.Date{Time: e.At}
		}
	}
	return first
}

// mixKeyText tells the key of a mix ("1:black+2:leather") in the names of its
// paints: "2 Leather + 1 Black".
func mixKeyText(byID *inventory.Index, key string) string {
	m := inventory.MixOfKey(key)
	if m == nil {
		return key
	}
	slices.SortStableFunc(m, func(x, y inventory.Part) int { return cmp.Compare(y.Parts, x.Parts) })
	return mixText(byID, m)
}

func (d jobDoc) show(page *view.Page) {
	page.Line("Logged as %s:", d.Job)
	page.List(d.Work, "no work")
	for _, h := range d.Have {
		page.Line("%s", h)
	}
	page.Heading("Drawn from the pots, by the estimate")
	page.List(d.Draws, "nothing")
	for _, r := range d.Draws {
		if !r.Read.IsZero() {
			page.Line("%s was looked at on %s, after that day: the reading stands, "+
				"and this use counts before it.",
				r.Pot, r.Read.CSVValue())
		}
	}
	for _, m := range d.Missing {
		if len(m.Late) > 0 {
			late := m.Late[0]
			page.Line("Not drawn: %s of %s. %s came on %s, after that day. "+
				"If it was there all the same: halfpot pot use %s %s",
				m.Amount, m.Name, late.Pot, late.Came.CSVValue(),
				late.Pot, strings.ReplaceAll(m.Amount.WithoutRange(), " ", ""))
			continue
		}
		page.Line("No pot accounts for %s of %s: judge or weigh the pots of it, or add the one you used.",
			m.Amount, m.Name)
	}
}

// jobRow is one entry of the log in the list.
type jobRow struct {
	Job   string     `json:"job" table:"job"`
	Day   view.Date  `json:"day" table:"day"`
	Force string     `json:"force" table:"force"`
	Work  string     `json:"work" table:"what"`
	Pots  view.Count `json:"pots" table:"pots drawn"`
	State string     `json:"state" table:"state"`
	Note  string     `json:"note" table:"note"`
}

func (a *app) listJobs(c *cobra.Command, args []string) error {
	ctx := c.Context()
	cat, err := a.catalogue(ctx)
	if err != nil {
		return err
	}
	force := ""
	if len(args) == 1 {
		if force, err = lookup("force", args[0], "halfpot force list", forceNames(cat)); err != nil {
			return err
		}
	}
	jobs, err := a.opened.store.Jobs(ctx, force)
	if err != nil {
		return err
	}
	rows := []jobRow{}
	for _, j := range jobs {
		row := jobRow{
			Job:   j.ID,
			Day:   view.Date{Time: j.At},
			Force: j.Force,
			Work:  workText(j.Work),
			Note:  j.Note,
		}
		pots := map[string]bool{}
		for _, d := range j.Draws {
			pots[d.Pot] = true
		}
		row.Pots = view.Count(len(pots))
		switch {
		case j.Undoes != "":
			row.State = "takes back " + j.Undoes
		case j.UndoneBy != "":
			row.State = "taken back by " + j.UndoneBy
		}
		rows = append(rows, row)
	}
	return a.list(rows, "Nothing logged yet: halfpot log FORCE UNIT STEP notes what you painted.")
}

// workText is "10 rifles: prime, drybrush; 6 scouts: prime".
func workText(work []inventory.Work) string {
	var parts []string
	last := ""
	for _, w := range work {
		head := view.Count(w.Figures).Cell(view.Style{}) + " " + w.Unit
		if head == last {
			parts[len(parts)-1] += ", " + w.Step
			continue
		}
		last = head
		parts = append(parts, head+": "+w.Step)
	}
	return strings.Join(parts, "; ")
}
