package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/inventory"
)

type logOptions struct {
	eventFlags
	figures int
	with    []string
	undo    string
	minutes int
	same    bool
	empty   []string
	from    string
	ways    map[string]string // ways by step, where with says none
}

// saysWhat tells whether something is said that a file says itself.
func (o *logOptions) saysWhat() bool {
	return o.undo != "" || o.figures != 0 || len(o.with) > 0 || o.same || o.at != "" || o.minutes != 0 ||
		len(o.empty) > 0
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
out where you paint only one. A sitting of several units goes in one line, with a +
between them, or comes from a file (--from): CSV with the columns unit and step, and
force, day, figures, with, minutes, note where they are known.

Part of a unit is taken to be the figures that had the steps before; --same says
that it was the same ones as last time. Another paint than planned, or a mix made
by eye, is told of with --with; a pot that is used up now with --empty.

When you judge or weigh a pot afterwards, halfpot learns from the difference how
your hand compares with the estimate (halfpot estimate factors).`,
		Example: `  halfpot log harbour-watch rifles prime drybrush
  halfpot log rif dry
  halfpot log harbour-watch rifles 3-5 --figures 8 --at yesterday
  halfpot log harbour-watch rifles straps --with straps=saddle-leather
  halfpot log rifles skin straps + scouts skin --minutes 90
  halfpot log rifles shade --same --empty soot-wash-1
  halfpot log --from evening.csv
  halfpot log harbour-watch
  halfpot log --undo job-3`,
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("figures") && o.figures < 1 {
				return usagef("--figures %d: expected at least 1", o.figures)
			}
			if o.from != "" {
				if len(args) > 0 || o.saysWhat() {
					return usagef("what was done is read from %s: expected nothing else beside it", o.from)
				}
				return a.logFrom(c, args, o.from)
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
	f.StringArrayVar(&o.with, "with", nil, "`STEP=MIX` done another way than halfpot supposes, "+
		"like straps=saddle-leather or \"coat=2 rain-butt + 1 soot\" (may be repeated)")
	f.IntVar(&o.minutes, "minutes", 0, "how many `MINUTES` it took, waiting taken off; the plan learns your pace")
	f.BoolVar(&o.same, "same", false, "on the same figures as what was logged last of the unit")
	f.StringArrayVar(&o.empty, "empty", nil, "a `POT` that is used up now and goes into the bin (may be repeated)")
	f.StringVar(&o.from, "from", "", "read what was done from `FILE`, a CSV; - is standard input")
	c.MarkFlagsMutuallyExclusive("same", "figures")
	a.completeShelf(c, "empty", potNames)
	f.StringVar(&o.undo, "undo", "", "take back `JOB`, logged by mistake")
	c.ValidArgsFunction = a.completeWork
	return c
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
			return nil, &usageError{
				fmt.Sprintf("steps %q: the recipe %s has steps 1 to %d", t, r.ID, len(r.Steps)),
				[]string{"halfpot recipe show " + r.ID},
			}
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

// parseWith reads STEP=MIX, where a mix is a paint, "2 saddle-leather + 1 soot", or the
// key of one. Parts that are not said are equal ones: a mix made by eye.
func parseWith(
	cat *inventory.Catalogue, typed []string, has func(typed string) (string, bool),
) (map[string]string, error) {
	mixes := map[string]string{}
	for _, t := range typed {
		step, mix, ok := strings.Cut(t, "=")
		step, mix = strings.TrimSpace(step), strings.TrimSpace(mix)
		if !ok || step == "" || mix == "" {
			return nil, usagef("--with %q: expected a step and a paint or mix, like straps=saddle-leather", t)
		}
		id, found := has(step)
		if !found {
			id = step // told of where no unit has it
		}
		var of inventory.Mix
		for _, part := range strings.Split(mix, "+") {
			part = strings.TrimSpace(part)
			p := inventory.Part{Parts: 1}
			number, name, said := strings.Cut(part, ":")
			if !said {
				number, name, said = strings.Cut(part, " ")
			}
			if n, err := strconv.ParseFloat(number, 64); said && err == nil && n > 0 {
				p.Parts, part = n, strings.TrimSpace(name)
			}
			paint, err := lookup("paint", part, "halfpot paint list", paintNames(cat))
			if err != nil {
				return nil, asFlag("with", t, err)
			}
			p.Paint = paint
			of = append(of, p)
		}
		mixes[id] = of.Key()
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
