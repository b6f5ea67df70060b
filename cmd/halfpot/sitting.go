package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/painting"
	"halfpot/inventory/postgres"
	"halfpot/inventory/textfile"
)

// sitting is what was painted at one go, as it was typed or listed.
type sitting struct {
	where   string // file and line, for errors; ""
	force   string
	at      string
	note    string
	minutes int
	parts   []sittingPart
	empty   []string
	ways    map[string]string // what the sheet said steps are done with
}

// sittingPart is some steps on one unit.
type sittingPart struct {
	unit    string
	steps   []string
	figures int // 0: all that are left
	same    bool
	with    []string
}

// logWork notes what was typed: a force, then units each with its steps, with a +
// between them.
func (a *app) logWork(c *cobra.Command, args []string, o logOptions) error {
	s := sitting{force: args[0], at: o.at, note: o.note, minutes: o.minutes, empty: o.empty, ways: o.ways}
	for _, words := range cutAt(args[1:], "+") {
		if len(words) < 2 {
			return usagef("expected a unit and its steps on each side of a +, like: " +
				"rifles skin straps + scouts skin")
		}
		s.parts = append(s.parts, sittingPart{words[0], words[1:], o.figures, o.same, o.with})
	}
	return a.logSittings(c, args, []sitting{s})
}

func cutAt(words []string, sep string) (out [][]string) {
	for {
		i := slices.Index(words, sep)
		if i < 0 {
			return append(out, words)
		}
		out = append(out, words[:i])
		words = words[i+1:]
	}
}

// logFrom notes what a file lists; rows of one force and day that follow each other
// are one sitting.
func (a *app) logFrom(c *cobra.Command, args []string, file string) error {
	source := textfile.Source{Name: "standard input", Reader: a.in, Size: -1}
	if file != "-" {
		opened, err := os.Open(file)
		if err != nil {
			cause := err
			if e, ok := errors.AsType[*os.PathError](err); ok {
				cause = e.Err
			}
			return usagef("%s: %v", file, cause)
		}
		defer opened.Close()
		source = textfile.Source{Name: file, Reader: opened, Size: -1}
	}
	rows, err := textfile.ReadWorkList(textfile.Options{Now: a.now()}, source)
	if err != nil {
		return err
	}
	var all []sitting
	for _, r := range rows {
		where := fmt.Sprintf("%s:%d: ", source.Name, r.Line)
		last := len(all) - 1
		goesOn := last >= 0 && all[last].force == r.Force && all[last].at == r.Day &&
			(r.Note == "" || r.Note == all[last].note)
		if !goesOn {
			all = append(all, sitting{where: where, force: r.Force, at: r.Day, note: r.Note})
			last++
		}
		all[last].minutes += r.Minutes
		steps := strings.FieldsFunc(r.Step, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
		part := sittingPart{unit: r.Unit, steps: steps, figures: r.Figures}
		if r.With != "" {
			for _, s := range steps {
				part.with = append(part.with, s+"="+r.With)
			}
		}
		all[last].parts = append(all[last].parts, part)
	}
	if len(all) == 0 {
		return usagef("%s lists nothing that was done", source.Name)
	}
	return a.logSittings(c, args, all)
}

// logSittings keeps sittings, all or none.
func (a *app) logSittings(c *cobra.Command, args []string, all []sitting) error {
	for i := range all {
		if err := texts(map[string]*string{"--note": &all[i].note}); err != nil {
			return err
		}
		if all[i].minutes < 0 || all[i].minutes > 24*60 {
			return usagef("%s--minutes %d: expected 1 to 1440", all[i].where, all[i].minutes)
		}
	}
	return a.change(c, args, "halfpot log", func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
		var docs []jobDoc
		var notes []func(*view.Page)
		for _, s := range all {
			st, err := a.stateOf(ctx, tx) // with what was logged just now
			if err != nil {
				return nil, err
			}
			doc, remarks, err := a.keepSitting(ctx, tx, st, s)
			if u, ok := errors.AsType[*usageError](err); ok && s.where != "" {
				return nil, &usageError{s.where + u.msg, u.hints}
			}
			if err != nil {
				return nil, err
			}
			docs, notes = append(docs, doc), append(notes, remarks)
		}
		return func() error {
			var rows []workRow
			for _, d := range docs {
				rows = append(rows, d.Work...)
			}
			var whole any = docs
			if len(docs) == 1 {
				whole = docs[0]
			}
			return a.show(whole, rows, func(page *view.Page) {
				for i, d := range docs {
					if i > 0 {
						page.Gap()
					}
					d.show(page)
					notes[i](page)
				}
			})
		}, nil
	})
}

// keepSitting works out what a sitting drew from which pots, and keeps it.
func (a *app) keepSitting(
	ctx context.Context, tx *postgres.Tx, st *state, s sitting,
) (doc jobDoc, remarks func(*view.Page), err error) {
	id, err := forceOr(st.cat, s.force)
	if err != nil {
		return doc, nil, err
	}
	force := *st.byID.Forces[id]
	now := a.now()
	when, err := parseWhen(s.at, now)
	if err != nil {
		return doc, nil, err
	}
	if err := inventory.CheckWhen(when.at, when.dayOnly, now); err != nil {
		return doc, nil, err
	}
	parts, err := s.jobs(st, force, when)
	if err != nil {
		return doc, nil, err
	}
	logged, err := st.Log(force, parts.jobs, when.dayOnly)
	if err != nil {
		return doc, nil, err
	}
	kept := postgres.Job{
		Force:   force.ID,
		At:      when.at,
		DayOnly: when.dayOnly,
		Note:    s.note,
		Minutes: s.minutes,
		Work:    logged.Work,
	}
	for _, d := range logged.Draws {
		kept.Draws = append(kept.Draws, postgres.Draw{Pot: d.Pot, Event: d.Event})
	}
	emptied, err := s.emptied(st, when)
	if err != nil {
		return doc, nil, err
	}
	kept.Draws = append(kept.Draws, emptied...)
	said, err := tx.Settings(ctx)
	if err != nil {
		return doc, nil, err
	}
	if kept, err = tx.AddJob(ctx, kept); err != nil {
		return doc, nil, err
	}
	doc = newJobDoc(st, kept, logged.Missing)
	doc.standing(force, st.byID)
	return doc, parts.remarks(st, &force, logged.Work, airKept(said, when.at.Format(time.DateOnly))), nil
}

// sittingJobs are the parts of a sitting in the force's own names, each with its unit.
type sittingJobs struct {
	at    time.Time
	jobs  []inventory.Job
	units []inventory.Unit
}

// jobs reads the parts of a sitting. A step of a unit that stands there twice is
// an error.
func (s sitting) jobs(st *state, force inventory.Force, day when) (*sittingJobs, error) {
	out := &sittingJobs{at: day.at}
	for _, p := range s.parts {
		job, unit, err := s.job(st, force, p)
		if err != nil {
			return nil, err
		}
		job.At = day.at
		for _, other := range out.jobs {
			for _, step := range job.Steps {
				if other.Unit == job.Unit && slices.Contains(other.Steps, step) {
					return nil, usagef("%s of %s stands there twice: "+
						"expected each step of a unit once in a sitting", step, job.Unit)
				}
			}
		}
		out.jobs, out.units = append(out.jobs, job), append(out.units, unit)
	}
	return out, nil
}

// emptied is what happened to the pots that the sitting used up: a reading, which
// teaches, and then the bin. An eye that says empty does not err.
func (s sitting) emptied(st *state, day when) (draws []postgres.Draw, err error) {
	for _, typed := range s.empty {
		pot, err := st.pot(typed)
		if err != nil {
			return nil, err
		}
		nothing := 0.0
		for _, e := range []inventory.PotEvent{
			{Kind: inventory.Judged, Fraction: &nothing},
			{Kind: inventory.GivenAway, Note: orWord(s.note, "used up")},
		} {
			e.At, e.DayOnly = day.at, day.dayOnly
			draws = append(draws, postgres.Draw{Pot: pot.ID, Event: pot.Settled(e)})
		}
	}
	return draws, nil
}

// remarks prints what the rules of painting say to what was done.
func (p *sittingJobs) remarks(
	st *state, force *inventory.Force, work []inventory.Work, air *painting.Air,
) func(*view.Page) {
	var worked []painting.Worked
	var steps []*inventory.Step
	for i, u := range p.units {
		for _, id := range p.jobs[i].Steps {
			if s, ok := st.byID.Recipes[u.Recipe].Step(id); ok {
				steps = append(steps, &s)
			}
		}
		if slices.ContainsFunc(p.units[:i], func(v inventory.Unit) bool { return v.ID == u.ID }) {
			continue // told of with the first
		}
		mine := slices.DeleteFunc(slices.Clone(work), func(w inventory.Work) bool { return w.Unit != u.ID })
		worked = append(worked, painting.CheckWork(force, u, st.byID, mine, p.at))
	}
	return func(page *view.Page) {
		for _, w := range worked {
			workNotes(page, w)
		}
		sprayNotes(page, st.byID, air, steps)
	}
}

// job is one part of a sitting in the force's own names.
func (s sitting) job(st *state, force inventory.Force, p sittingPart) (inventory.Job, inventory.Unit, error) {
	id, err := lookup("unit", p.unit, "halfpot force show "+force.ID, unitNames(force))
	if err != nil {
		return inventory.Job{}, inventory.Unit{}, err
	}
	unit, _ := force.Unit(id)
	recipe := *st.byID.Recipes[unit.Recipe]
	job := inventory.Job{Unit: unit.ID, Figures: p.figures, Note: s.note}
	if job.Steps, err = parseSteps(p.steps, recipe, force, unit); err != nil {
		return job, unit, err
	}
	job.Mixes, err = parseWith(st.cat, p.with, func(typed string) (string, bool) {
		ids, err := parseSteps([]string{typed}, recipe, force, unit)
		return strings.Join(ids, " "), err == nil && len(ids) == 1
	})
	if err != nil {
		return job, unit, err
	}
	for _, step := range job.Steps {
		if way, said := s.ways[step]; said && job.Mixes[step] == "" {
			job.Mixes[step] = way
		}
	}
	if p.same {
		job.Figures, err = sameFigures(force, unit, job.Steps)
	}
	return job, unit, err
}

// sameFigures is how many figures were worked on last in a unit, where the steps are
// not noted on just these already.
func sameFigures(f inventory.Force, u inventory.Unit, steps []string) (int, error) {
	i := len(f.Done) - 1
	for i >= 0 && f.Done[i].Unit != u.ID {
		i--
	}
	if i < 0 {
		return 0, usagef("--same: nothing is logged of %s yet; say how many with --figures", u.ID)
	}
	last := f.Done[i]
	upTo := f.DoneOn(u, last.Step)
	for _, s := range steps {
		if done := f.DoneOn(u, s); done >= upTo {
			return 0, &usageError{
				fmt.Sprintf("--same: %s is noted on these %s already; nothing was changed. "+
					"On others: --figures N",
					s, count(last.Figures, "figure", "figures")),
				[]string{"halfpot log " + f.ID},
			}
		}
	}
	return last.Figures, nil
}

// standing tells, of steps that only a part of a unit has now, how many that is and
// which ones they are taken to be.
func (d *jobDoc) standing(f inventory.Force, byID *inventory.Index) {
	for _, w := range d.Work {
		u, _ := f.Unit(w.Unit)
		before := f.DoneOn(u, w.Step)
		now := before + int(w.Figures)
		switch {
		case now >= u.Figures:
		case before > 0:
			d.Have = append(d.Have, fmt.Sprintf("%s: %d of the %d in %s have it now, "+
				"%d from before and these %d. "+
				"Were these the same ones: halfpot log --undo %s",
				w.Step, now, u.Figures, w.Unit, before, w.Figures, d.Job))
		case stepIndex(*byID.Recipes[u.Recipe], w.Step) > 0:
			d.Have = append(d.Have, fmt.Sprintf("%s: %d of the %d in %s have it now, "+
				"taken to be ones that had the steps before.", w.Step, now, u.Figures, w.Unit))
		}
	}
}
