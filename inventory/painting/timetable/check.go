package timetable

import (
	"fmt"
	"slices"
)

// Check goes through a plan figure by figure, from the problem alone, and says
// what is wrong with it. It shares nothing with the search.
func Check(p *Problem, plan Plan) error {
	c := checker{p: p, entries: slices.Clone(plan.Entries), at: map[stepOf]Entry{}}
	slices.SortStableFunc(c.entries, func(a, b Entry) int { return a.Start - b.Start })
	if err := c.hands(plan); err != nil {
		return err
	}
	if err := c.after(); err != nil {
		return err
	}
	return c.waits()
}

type stepOf struct{ batch, step int }

// checker holds a plan's entries by their start and, once hands has passed, by
// their step.
type checker struct {
	p       *Problem
	entries []Entry
	at      map[stepOf]Entry
}

// hands checks that the painter does one thing at a time, within the sittings,
// from mixes that are laid out once a sitting, and that the plan's sums are right.
func (c *checker) hands(plan Plan) error {
	p := c.p
	open := map[[2]int]bool{} // sitting and mix
	used := map[int]bool{}
	free := -MaxTime // when the painter's hands are free
	last, waste := -1, 0
	for _, e := range c.entries {
		if e.Batch < 0 || e.Batch >= len(p.Batches) || e.Step < 0 || e.Step >= len(p.Batches[e.Batch].Steps) ||
			e.Sitting < 0 ||
			e.Sitting >= len(p.Sittings) {
			return fmt.Errorf("entry %v: no such batch, step or sitting", e)
		}
		b, s, k := &p.Batches[e.Batch], &p.Batches[e.Batch].Steps[e.Step], p.Sittings[e.Sitting]
		name := b.ID + "/" + s.ID
		key := stepOf{e.Batch, e.Step}
		if _, twice := c.at[key]; twice {
			return fmt.Errorf("%s is done twice", name)
		}
		c.at[key] = e
		begin, mix := e.Start, [2]int{e.Sitting, s.Mix}
		switch {
		case !open[mix] && !e.Opens:
			return fmt.Errorf("%s: its mix was never laid out", name)
		case open[mix] && e.Opens:
			return fmt.Errorf("%s: its mix is laid out a second time", name)
		case e.Opens:
			open[mix] = true
			waste += p.Mixes[s.Mix].Waste
			begin -= p.Mixes[s.Mix].Setup
		}
		switch {
		case e.End-e.Start != s.Each*b.Figures:
			return fmt.Errorf("%s takes %d s, not %d", name, s.Each*b.Figures, e.End-e.Start)
		case begin < k.Start || e.End > k.End:
			return fmt.Errorf("%s lies outside its sitting", name)
		case begin < free:
			return fmt.Errorf("%s begins while the hands are busy", name)
		case e.Start < s.Ready:
			return fmt.Errorf("%s begins before it is ready", name)
		}
		free = e.End
		used[e.Sitting] = true
		last = max(last, e.Sitting)
	}
	if last != plan.Last || len(used) != plan.Sittings || waste != plan.Waste {
		return fmt.Errorf("the plan says sitting %d, %d sittings, %d ul; it is %d, %d, %d",
			plan.Last, plan.Sittings, plan.Waste, last, len(used), waste)
	}
	return nil
}

// after checks that no batch is begun before those it comes after are finished.
func (c *checker) after() error {
	ends := make([]int, len(c.p.Batches))
	for i := range ends {
		ends[i] = -MaxTime
	}
	for _, e := range c.entries {
		ends[e.Batch] = max(ends[e.Batch], e.End)
	}
	for _, e := range c.entries {
		for _, a := range c.p.Batches[e.Batch].After {
			if e.Start < ends[a] {
				return fmt.Errorf("%s is begun before %s is finished",
					c.p.Batches[e.Batch].ID, c.p.Batches[a].ID)
			}
		}
	}
	return nil
}

// waits checks that every step is done, and no figure gets one before what is
// on it has had its wait.
func (c *checker) waits() error {
	for i, b := range c.p.Batches {
		for j, s := range b.Steps {
			first, ok := c.at[stepOf{i, j}]
			if !ok {
				return fmt.Errorf("%s/%s is not done", b.ID, s.ID)
			}
			for l := j + 1; l < len(b.Steps); l++ {
				wait := 0
				if l-j-1 < len(s.Waits) {
					wait = s.Waits[l-j-1]
				}
				later := c.at[stepOf{i, l}]
				for f := range b.Figures {
					done := first.Start + (f+1)*s.Each
					if begin := later.Start + f*b.Steps[l].Each; begin < done+wait {
						return fmt.Errorf("%s: figure %d gets %s %d s after %s, not %d",
							b.ID, f+1, b.Steps[l].ID, begin-done, s.ID, wait)
					}
				}
			}
		}
	}
	return nil
}
