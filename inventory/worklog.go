package inventory

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Job is one stretch of painting to be logged: some steps on some figures of
// a unit.
type Job struct {
	ID      string // shared by the work and the pot events it draws; may be empty
	Unit    string
	Steps   []string          // step ids, at least one
	Figures int               // 0: all that are left
	Mixes   map[string]string // step id to the option id it was done with, where it was not the likeliest
	At      time.Time
	Note    string
}

// Logged is what a job comes to: the work done and what it drew from which pot.
type Logged struct {
	Work    []Work
	Draws   []Draw
	Missing []PlannedUse // estimated use that no pot on the shelf accounts for
}

// Draw is an event to be recorded on a pot.
type Draw struct {
	Pot   string
	Event PotEvent
}

// LogWork works out what a job used, by the estimate, and from which pots:
// opened ones before sealed ones, the emptiest first. A step whose mix is not
// told is taken to be done as it was begun; else as the recipe asks, if the
// shelf has every paint of that; else the first way the shelf can serve. Where
// the pots hold less than the estimate, the last one is drawn down to nothing
// and the rest is Missing. Slips in the job give [Faults].
func (e *Estimator) LogWork(f *Force, job Job, levels []Level) (*Logged, error) {
	u, steps, err := e.checkJob(f, job)
	if err != nil {
		return nil, err
	}
	pots := drawOrder(levels)
	labels := newMatcher(f, e.Index)
	out := &Logged{}
	var faults Faults
	for _, s := range steps {
		figures := job.Figures
		if figures == 0 {
			figures = u.Figures - f.DoneOn(u, s.ID)
		}
		options, err := e.options(u, s, figures)
		if err != nil {
			return nil, err
		}
		o, fault := pickOption(s, options, job.Mixes[s.ID], labels.mix(unitStep{u.ID, s.ID}), pots)
		if fault != nil {
			faults = append(faults, *fault)
			continue
		}
		out.Work = append(out.Work, Work{Unit: u.ID, Step: s.ID, Figures: figures, Mix: o.Mix.Key(), At: job.At, Job: job.ID})
		if s.CoatsOn(u.Undercoat) == 0 {
			continue // nothing to paint over this undercoat
		}
		for _, use := range o.Uses {
			out.draw(use.Paint, VolumeOfML(use.Amount.Median), pots, job, s.ID)
		}
	}
	return out, faults.Err()
}

// checkJob finds the unit and steps of a job.
func (e *Estimator) checkJob(f *Force, job Job) (Unit, []*Step, error) {
	k := &checker{cat: &Catalogue{}, idx: e.Index}
	u, ok := k.unitRef("unit", f, job.Unit)
	r := e.Index.Recipes[u.Recipe]
	if !ok || r == nil {
		return u, nil, k.faults.Err()
	}
	if job.At.IsZero() {
		k.add("at", "nothing", "when it was done")
	}
	if len(job.Steps) == 0 {
		k.add("steps", "nothing", "at least one step: "+strings.Join(r.stepIDs(), ", "))
	}
	if job.Figures < 0 {
		k.add("figures", fmt.Sprint(job.Figures), "at least 1 figure, or 0 for all that are left")
	}
	var steps []*Step
	for i, id := range job.Steps {
		j := slices.IndexFunc(r.Steps, func(s Step) bool { return s.ID == id })
		switch {
		case j < 0:
			k.faults = append(k.faults, Fault{Path: "steps", Found: quoted(id), Expected: "a step of recipe " + r.ID, Nearest: Nearest(id, r.stepIDs(), 3)})
			continue
		case slices.Contains(job.Steps[:i], id):
			k.add("steps", id+" a second time", "each step once")
			continue
		}
		if left := u.Figures - f.DoneOn(u, id); left == 0 {
			k.add("steps", id+", which is done on all "+fmt.Sprint(u.Figures)+" figures", "a step that is not done yet")
		} else if job.Figures > left {
			k.add("figures", fmt.Sprintf("%d figures for step %s", job.Figures, id), fmt.Sprintf("at most the %d of %d that have not had it", left, u.Figures))
		}
		steps = append(steps, &r.Steps[j])
	}
	return u, steps, k.faults.Err()
}

// potLeft is a pot while a job draws from it.
type potLeft struct {
	id   string
	left Volume
}

// drawOrder sorts what is left by paint: opened pots first, the emptiest first.
func drawOrder(levels []Level) map[string][]*potLeft {
	levels = slices.Clone(levels)
	slices.SortStableFunc(levels, func(a, b Level) int {
		if a.Opened != b.Opened {
			if a.Opened {
				return -1
			}
			return 1
		}
		return int(max(-1, min(1, a.Left()-b.Left())))
	})
	out := map[string][]*potLeft{}
	for _, l := range levels {
		if l.Gone == "" {
			out[l.Paint] = append(out[l.Paint], &potLeft{l.Pot, l.Left()})
		}
	}
	return out
}

// pickOption finds the way a step was most likely done.
func pickOption(s *Step, options []Option, told, begun string, pots map[string][]*potLeft) (*Option, *Fault) {
	if told != "" {
		var ids []string
		for i := range options {
			if options[i].ID == told || options[i].Mix.Key() == told {
				return &options[i], nil
			}
			ids = append(ids, options[i].ID)
		}
		return nil, &Fault{Path: "steps." + s.ID, Found: told, Expected: "one of its ways: " + strings.Join(ids, ", "), Nearest: Nearest(told, ids, 3)}
	}
	for i := range options {
		if begun != "" && options[i].Mix.Key() == begun {
			return &options[i], nil
		}
	}
	for i := range options {
		there := true
		for _, u := range options[i].Uses {
			there = there && len(pots[u.Paint]) > 0
		}
		if there {
			return &options[i], nil
		}
	}
	return &options[0], nil
}

// draw takes a volume of paint out of its pots in their order.
func (l *Logged) draw(paint string, v Volume, pots map[string][]*potLeft, job Job, step string) {
	for _, p := range pots[paint] {
		take := min(v, p.left)
		if take <= 0 {
			continue
		}
		p.left -= take
		v -= take
		note := job.Note
		if note == "" {
			note = step + " of " + job.Unit
		}
		used := take
		l.Draws = append(l.Draws, Draw{p.id, PotEvent{Kind: Used, At: job.At, Volume: &used, Estimated: true, Job: job.ID, Note: note}})
	}
	if v > 0 {
		l.Missing = append(l.Missing, PlannedUse{paint, v})
	}
}
