package timetable

import (
	"fmt"
	"slices"
)

// Check goes through a plan figure by figure, from the problem alone, and says
// what is wrong with it. It shares nothing with the search.
func Check(p *Problem, plan Plan) error {
	entries := slices.Clone(plan.Entries)
	slices.SortStableFunc(entries, func(a, b Entry) int { return a.Start - b.Start })
	type stepOf struct{ batch, step int }
	at := map[stepOf]Entry{}
	open := map[[2]int]bool{} // sitting and mix
	used := map[int]bool{}
	free := -MaxTime // when the painter's hands are free
	last, waste := -1, 0
	for _, e := range entries {
		if e.Batch < 0 || e.Batch >= len(p.Batches) || e.Step < 0 || e.Step >= len(p.Batches[e.Batch].Steps) || e.Sitting < 0 || e.Sitting >= len(p.Sittings) {
			return fmt.Errorf("entry %v: no such batch, step or sitting", e)
		}
		b, s, k := &p.Batches[e.Batch], &p.Batches[e.Batch].Steps[e.Step], p.Sittings[e.Sitting]
		name := b.ID + "/" + s.ID
		key := stepOf{e.Batch, e.Step}
		if _, twice := at[key]; twice {
			return fmt.Errorf("%s is done twice", name)
		}
		at[key] = e
		begin := e.Start
		if !open[[2]int{e.Sitting, s.Mix}] {
			if !e.Opens {
				return fmt.Errorf("%s: its mix was never laid out", name)
			}
			open[[2]int{e.Sitting, s.Mix}] = true
			waste += p.Mixes[s.Mix].Waste
			begin -= p.Mixes[s.Mix].Setup
		} else if e.Opens {
			return fmt.Errorf("%s: its mix is laid out a second time", name)
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
	ends := make([]int, len(p.Batches))
	for i := range ends {
		ends[i] = -MaxTime
	}
	for _, e := range entries {
		ends[e.Batch] = max(ends[e.Batch], e.End)
	}
	for _, e := range entries {
		for _, a := range p.Batches[e.Batch].After {
			if e.Start < ends[a] {
				return fmt.Errorf("%s is begun before %s is finished", p.Batches[e.Batch].ID, p.Batches[a].ID)
			}
		}
	}
	for i, b := range p.Batches {
		for j, s := range b.Steps {
			first, ok := at[stepOf{i, j}]
			if !ok {
				return fmt.Errorf("%s/%s is not done", b.ID, s.ID)
			}
			for l := j + 1; l < len(b.Steps); l++ {
				wait := 0
				if l-j-1 < len(s.Waits) {
					wait = s.Waits[l-j-1]
				}
				later := at[stepOf{i, l}]
				for f := range b.Figures {
					done := first.Start + (f+1)*s.Each
					if begin := later.Start + f*b.Steps[l].Each; begin < done+wait {
						return fmt.Errorf("%s: figure %d gets %s %d s after %s, not %d", b.ID, f+1, b.Steps[l].ID, begin-done, s.ID, wait)
					}
				}
			}
		}
	}
	if last != plan.Last || len(used) != plan.Sittings || waste != plan.Waste {
		return fmt.Errorf("the plan says sitting %d, %d sittings, %d ul; it is %d, %d, %d", plan.Last, plan.Sittings, plan.Waste, last, len(used), waste)
	}
	return nil
}
