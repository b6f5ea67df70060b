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

// Find gives the unit and steps of a job on a force, or the [Faults] in it.
func (job Job) Find(f *Force, idx *Index) (Unit, []*Step, error) {
	k := &checker{cat: &Catalogue{}, idx: idx}
	u, ok := k.unitRef("unit", f, job.Unit)
	r := idx.Recipes[u.Recipe]
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
			k.faults = append(k.faults, Fault{
				Path:     "steps",
				Found:    Quoted(id),
				Expected: "a step of recipe " + r.ID,
				Nearest:  Near(id, r.stepIDs()),
			})
			continue
		case slices.Contains(job.Steps[:i], id):
			k.add("steps", id+" a second time", "each step once")
			continue
		}
		if left := u.Figures - f.DoneOn(u, id); left == 0 {
			k.add("steps", id+", which is done on all "+fmt.Sprint(u.Figures)+" figures",
				"a step that is not done yet")
		} else if job.Figures > left {
			k.add("figures", fmt.Sprintf("%d figures for step %s", job.Figures, id),
				fmt.Sprintf("at most the %d of %d that have not had it", left, u.Figures))
		}
		steps = append(steps, &r.Steps[j])
	}
	return u, steps, k.faults.Err()
}
