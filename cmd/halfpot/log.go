package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/painting"
	"halfpot/inventory/postgres"
)

type logOptions struct {
	eventFlags
	figures int
	with    []string
	undo    string
	minutes int
	ways    map[string]string // ways by step, where with says none
}

func (a *app) logCommand() *cobra.Command {
	var o logOptions
	c := &cobra.Command{
		Use: "log [FORCE] [UNIT STEP...]", Short: "note what you painted; the pots are drawn down",
		Long: `Notes steps done on figures of a unit, and draws what they took, by the estimate,
from the pots: opened ones first. Steps go by id or by number in the recipe: shade,
3, or 3-5; "all" is every step that is left. Without --figures it is all figures
that have not had the step. The work counts from then on: estimate and buy reckon
with what is left. With a force alone, or nothing, it lists what was logged. The
beginning of a name is enough where it fits one thing only, and FORCE can be left
out where you paint only one.

When you judge or weigh a pot afterwards, halfpot learns from the difference how
your hand compares with the estimate (halfpot estimate factors).`,
		Example: `  halfpot log harbour-watch rifles prime drybrush
  halfpot log rif dry
  halfpot log harbour-watch rifles 3-5 --figures 8 --at yesterday
  halfpot log harbour-watch rifles straps --with straps=saddle-leather
  halfpot log harbour-watch
  halfpot log --undo job-3`,
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("figures") && o.figures < 1 {
				return usagef("--figures %d: expected at least 1", o.figures)
			}
			if o.undo == "" && len(args) > 0 {
				cat, err := a.catalogue(c.Context())
				if err != nil {
					return err
				}
				args = withForce(cat, args)
			}
			switch {
			case o.undo != "":
				if len(args) > 0 {
					return usagef("--undo takes back a whole job: expected nothing else beside it")
				}
				return a.undoJob(c, args, o)
			case len(args) <= 1:
				return a.listJobs(c, args)
			case len(args) == 2:
				return a.stepsMissing(c, args)
			}
			return a.logWork(c, args, o)
		},
	}
	a.once(c)
	o.eventFlags.add(c)
	f := c.Flags()
	f.IntVar(&o.figures, "figures", 0, "on `N` figures (default: all that have not had the step)")
	f.StringArrayVar(&o.with, "with", nil, "`STEP=MIX` done another way than halfpot supposes, like straps=saddle-leather (may be repeated)")
	f.IntVar(&o.minutes, "minutes", 0, "how many `MINUTES` it took, waiting taken off; the plan learns your pace")
	f.StringVar(&o.undo, "undo", "", "take back `JOB`, logged by mistake")
	c.ValidArgsFunction = a.completeWork
	return c
}

// jobDoc is one entry of the log.
type jobDoc struct {
	Job     string       `json:"job"`
	Force   string       `json:"force"`
	Day     view.Date    `json:"day"`
	Work    []workRow    `json:"work"`
	Draws   []drawRow    `json:"draws"`
	Missing []missingRow `json:"missing"`
	Undoes  string       `json:"undoes"`
	unit    inventory.Unit
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

func (a *app) logWork(c *cobra.Command, args []string, o logOptions) error {
	if err := texts(map[string]*string{"--note": &o.note}); err != nil {
		return err
	}
	if o.minutes < 0 || o.minutes > 24*60 {
		return usagef("--minutes %d: expected 1 to 1440", o.minutes)
	}
	return a.change(c, args, "halfpot log "+quoteWord(args[0]), func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
		st, err := a.stateOf(ctx, tx)
		if err != nil {
			return nil, err
		}
		force, unit, err := st.unit(args[0], args[1])
		if err != nil {
			return nil, err
		}
		now := a.now()
		when, err := parseWhen(o.at, now)
		if err != nil {
			return nil, err
		}
		if err := inventory.CheckWhen(when.at, when.dayOnly, now); err != nil {
			return nil, err
		}
		job := inventory.Job{Unit: unit.ID, Figures: o.figures, Note: o.note, At: when.at}
		if job.Steps, err = parseSteps(args[2:], *st.byID.Recipes[unit.Recipe], force, unit); err != nil {
			return nil, err
		}
		if job.Mixes, err = parseWith(o.with); err != nil {
			return nil, err
		}
		for _, id := range job.Steps {
			if way, said := o.ways[id]; said && job.Mixes[id] == "" {
				job.Mixes[id] = way
			}
		}
		logged, err := st.Log(force, job, when.dayOnly)
		if err != nil {
			return nil, err
		}
		worked := painting.CheckWork(&force, unit, st.byID, logged.Work, job.At)
		kept := postgres.Job{Force: force.ID, At: when.at, DayOnly: when.dayOnly, Note: o.note, Minutes: o.minutes, Work: logged.Work}
		for _, d := range logged.Draws {
			kept.Draws = append(kept.Draws, postgres.Draw{Pot: d.Pot, Event: d.Event})
		}
		said, err := tx.Settings(ctx)
		if err != nil {
			return nil, err
		}
		air := airKept(said, job.At.Format(time.DateOnly))
		kept, err = tx.AddJob(ctx, kept)
		return func() error {
			doc := newJobDoc(st, kept, logged.Missing)
			doc.unit = unit
			return a.show(doc, doc.Work, func(page *view.Page) {
				doc.show(page)
				workNotes(page, worked)
				var steps []*inventory.Step
				for _, id := range job.Steps {
					if s, ok := st.byID.Recipes[unit.Recipe].Step(id); ok {
						steps = append(steps, &s)
					}
				}
				sprayNotes(page, st.byID, air, steps)
			})
		}, err
	})
}

// unit finds a force and a unit of it.
func (s *state) unit(force, unit string) (inventory.Force, inventory.Unit, error) {
	id, err := lookup("force", force, "halfpot force list", forceNames(s.cat))
	if err != nil {
		return inventory.Force{}, inventory.Unit{}, err
	}
	f := *s.byID.Forces[id]
	if id, err = lookup("unit", unit, "halfpot force show "+f.ID, unitNames(f)); err != nil {
		return f, inventory.Unit{}, err
	}
	u, _ := f.Unit(id)
	return f, u, nil
}

// parseSteps reads step ids, numbers, spans of numbers, or "all" that is left.
func parseSteps(typed []string, r inventory.Recipe, f inventory.Force, u inventory.Unit) ([]string, error) {
	var ids []string
	for _, t := range typed {
		if _, ok := r.Step(t); ok {
			ids = append(ids, t)
			continue
		}
		if t == "all" {
			ids = append(ids, r.Open(f, u)...)
			continue
		}
		from, to, span := strings.Cut(t, "-")
		first, err := strconv.Atoi(from)
		last := first
		if err == nil && span {
			last, err = strconv.Atoi(to)
		}
		if err != nil {
			var names []named
			for _, s := range r.Steps {
				names = append(names, named{id: s.ID, names: []string{s.Name}})
			}
			id, err := lookup("step", t, "halfpot recipe show "+r.ID, names)
			if err != nil {
				return nil, err
			}
			ids = append(ids, id)
			continue
		}
		if first < 1 || last < first || last > len(r.Steps) {
			return nil, &usageError{fmt.Sprintf("steps %q: the recipe %s has steps 1 to %d", t, r.ID, len(r.Steps)), []string{"halfpot recipe show " + r.ID}}
		}
		for _, s := range r.Steps[first-1 : last] {
			ids = append(ids, s.ID)
		}
	}
	slices.Sort(ids)
	ids = slices.Compact(ids)
	slices.SortFunc(ids, func(x, y string) int { return stepIndex(r, x) - stepIndex(r, y) })
	return ids, nil
}

func stepIndex(r inventory.Recipe, id string) int {
	return slices.IndexFunc(r.Steps, func(s inventory.Step) bool { return s.ID == id })
}

func parseWith(typed []string) (map[string]string, error) {
	mixes := map[string]string{}
	for _, t := range typed {
		step, mix, ok := strings.Cut(t, "=")
		if !ok || step == "" || mix == "" {
			return nil, usagef("--with %q: expected a step and a paint or mix, like straps=saddle-leather", t)
		}
		mixes[step] = mix
	}
	return mixes, nil
}

// stepsMissing tells which steps there are to log.
func (a *app) stepsMissing(c *cobra.Command, args []string) error {
	st, err := a.state(c.Context())
	if err != nil {
		return err
	}
	f, u, err := st.unit(args[0], args[1])
	if err != nil {
		return err
	}
	left := st.byID.Recipes[u.Recipe].Open(f, u)
	if len(left) == 0 {
		return usagef("every step of %s is done", u.ID)
	}
	return &usageError{"which steps? left to do on " + u.ID + ": " + strings.Join(left, ", "),
		[]string{fmt.Sprintf("halfpot log %s %s %s", f.ID, u.ID, left[0])}}
}
