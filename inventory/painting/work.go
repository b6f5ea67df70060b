package painting

import (
	"slices"
	"time"

	"halfpot/inventory"
)

// Worked is what work about to be noted breaks: by the clock for what was done
// before it.
type Worked struct {
	Findings []Finding
	Before   []string // units that this one comes after and that are not finished
	// steps the recipe has before these and on the same regions, and nobody noted on these figures;
	// optional ones left out
	Skipped []string
}

// CheckWork holds work about to be noted on a unit at one time against what was
// done on the same figures before. Which figures a step was done on is not noted:
// the first ones of the unit are taken to be.
func CheckWork(
	f *inventory.Force, u inventory.Unit, idx *inventory.Index, work []inventory.Work, at time.Time,
) Worked {
	r, fig := idx.Recipes[u.Recipe], idx.Figures[u.Figure]
	if r == nil {
		return Worked{}
	}
	names := regionNames(r, fig)
	var out Worked
	for _, id := range u.After {
		if v, ok := f.Unit(id); ok && len(mustLeft(f, v, idx)) > 0 {
			out.Before = append(out.Before, id)
		}
	}
	seen := map[string]bool{}
	mixes := map[string]string{}
	var steps []string
	for _, w := range work {
		steps = append(steps, w.Step)
		mixes[w.Step] = w.Mix
	}
	as := func(i int) pass {
		s := stepAs(&r.Steps[i], mixes[r.Steps[i].ID])
		return newPass(&s, i+1, names, fig, idx)
	}
	for _, w := range f.Done {
		if _, now := mixes[w.Step]; !now && w.Unit == u.ID {
			mixes[w.Step] = w.Mix
		}
	}
	for _, w := range work {
		id := w.Step
		n := slices.IndexFunc(r.Steps, func(s inventory.Step) bool { return s.ID == id })
		if n < 0 {
			continue
		}
		from := f.DoneOn(u, id)
		to := min(u.Figures, from+w.Figures)
		now := as(n)
		now.at = at
		var before []pass
		for i := range r.Steps {
			s := &r.Steps[i]
			if s.ID == id || slices.Contains(steps, s.ID) && i > n {
				continue
			}
			p := as(i)
			meets := binds(&p, &now)
			when, done := doneAt(f, u, s.ID, from, to)
			if slices.Contains(steps, s.ID) {
				when, done = at, true
			}
			switch {
			case done:
				p.at = when
				before = append(before, p)
			case i < n && meets && !s.Optional && !seen[s.ID] && s.CoatsOn(u.Undercoat) > 0:
				seen[s.ID] = true
				out.Skipped = append(out.Skipped, s.ID)
			}
		}
		slices.SortStableFunc(before, func(a, b pass) int { return a.at.Compare(b.at) })
		before = slices.DeleteFunc(before, func(p pass) bool { return p.at.After(at) })
		for _, x := range (&checker{fig: fig, list: append(before, now)}).run() {
			if x.Step == id {
				out.Findings = append(out.Findings, x)
			}
		}
	}
	return out
}

// mustLeft are the steps of a unit, optional ones left out, that some of its
// figures have not had.
func mustLeft(f *inventory.Force, u inventory.Unit, idx *inventory.Index) []string {
	r := idx.Recipes[u.Recipe]
	if r == nil {
		return nil
	}
	return slices.DeleteFunc(r.Open(*f, u), func(id string) bool {
		s, _ := r.Step(id)
		return s.Optional || s.CoatsOn(u.Undercoat) == 0
	})
}

// doneAt is when the last of the figures from to to of a unit had a step, and
// whether all of them have.
func doneAt(f *inventory.Force, u inventory.Unit, step string, from, to int) (time.Time, bool) {
	n := 0
	var last time.Time
	for _, w := range f.Done {
		if w.Unit != u.ID || w.Step != step {
			continue
		}
		if n < to && n+w.Figures > from && w.At.After(last) {
			last = w.At
		}
		n += w.Figures
	}
	return last, n >= to
}
