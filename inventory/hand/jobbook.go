package hand

import (
	"fmt"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
)

// jobBook knows what the tables say each logged job took, by paint and method.
type jobBook struct {
	idx   *inventory.Index
	base  map[jobPaint]map[inventory.Method]float64 // ml, nothing learned
	drawn map[jobPaint]float64                      // ml drawn from the pots
}

type jobPaint struct{ job, paint string }

func newJobBook(c *inventory.Catalogue, s *inventory.Shelf) (*jobBook, error) {
	// A factor of exactly 1 makes the estimator leave the ranges out.
	var one inventory.Factors
	for _, m := range methodsOf(c) {
		one = append(one, inventory.Factor{Level: inventory.MethodLevel, Key: string(m), Pinned: true})
	}
	e := estimate.NewEstimator(c, one)
	j := &jobBook{idx: e.Index, base: map[jobPaint]map[inventory.Method]float64{}, drawn: map[jobPaint]float64{}}
	for i := range s.Pots {
		for _, ev := range s.Pots[i].InOrder() {
			if ev.Kind == inventory.Used && ev.Estimated && ev.Job != "" && ev.Volume != nil {
				j.drawn[jobPaint{ev.Job, s.Pots[i].Paint}] += ev.Volume.ML()
			}
		}
	}
	for i := range c.Forces {
		for _, w := range c.Forces[i].Done {
			if w.Job == "" {
				continue
			}
			if err := j.add(e, &c.Forces[i], w); err != nil {
				return nil, err
			}
		}
	}
	return j, nil
}

// add reckons one entry of work. Work on what the catalogue no longer knows
// adds nothing; its draws then count as they were estimated.
func (j *jobBook) add(e *estimate.Estimator, f *inventory.Force, w inventory.Work) error {
	u, ok := f.Unit(w.Unit)
	r := e.Index.Recipes[u.Recipe]
	if !ok || r == nil {
		return nil
	}
	s, ok := r.Step(w.Step)
	if !ok || s.CoatsOn(u.Undercoat) == 0 {
		return nil
	}
	mix, th := s.Way(w.Mix)
	if e.MainPaint(mix) == nil {
		return nil
	}
	sum, err := e.Sum(u, &s, mix, th, w.Figures)
	if err != nil {
		return fmt.Errorf("force %s: %w", f.ID, err)
	}
	for _, use := range sum.Uses(mix, th) {
		k := jobPaint{w.Job, use.Paint}
		if j.base[k] == nil {
			j.base[k] = map[inventory.Method]float64{}
		}
		j.base[k][sum.Method] += use.Amount.Median
	}
	return nil
}

// split adds what the tables say for v ml drawn by a job to the methods.
func (j *jobBook) split(job string, paint *inventory.Paint, v float64, into map[inventory.Method]float64) {
	k := jobPaint{job, paint.ID}
	base, drawn := j.base[k], j.drawn[k]
	if len(base) == 0 || drawn <= 0 {
		into[paint.Type.UsualMethod()] += v
		return
	}
	for m, ml := range base {
		into[m] += ml * v / drawn
	}
}

// methodsOf are the methods a catalogue's steps may use.
func methodsOf(c *inventory.Catalogue) []inventory.Method {
	seen := map[inventory.Method]bool{}
	for _, t := range inventory.PaintTypes() {
		seen[t.UsualMethod()] = true
	}
	for _, r := range c.Recipes {
		for _, s := range r.Steps {
			seen[s.Method] = true
		}
	}
	var out []inventory.Method
	for m := range seen {
		if m != "" {
			out = append(out, m)
		}
	}
	slices.Sort(out)
	return out
}
