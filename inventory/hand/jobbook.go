package hand

import (
	"fmt"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/estimate"
)

// jobBook knows what the tables say each logged job took, by paint and method.
type jobBook struct {
	idx   *inventory.Index
	base  map[jobPaint][]tabled
	drawn map[jobPaint]float64 // ml drawn from the pots
}

type jobPaint struct{ job, paint string }

// tabled is the film and the waste of the steps of one job done by a method.
type tabled struct {
	method      inventory.Method
	film, waste float64
	sittings    float64
}

func newJobBook(c *inventory.Catalogue, s *inventory.Shelf) (*jobBook, error) {
	e := estimate.NewEstimator(c, nil)
	j := &jobBook{idx: e.Index, base: map[jobPaint][]tabled{}, drawn: map[jobPaint]float64{}}
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

// add reckons one entry of work afresh from the catalogue's forces, so that a
// better area or film corrects the past too. Work on what the catalogue no longer
// knows adds nothing; its draws then count as they were estimated.
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
	film, waste, sittings := sum.Tabled()
	applied := sum.Applied.Median
	for _, use := range sum.Uses(mix, th) {
		if applied <= 0 {
			continue
		}
		share := use.Amount.Median / applied
		k := jobPaint{w.Job, use.Paint}
		i := slices.IndexFunc(j.base[k], func(t tabled) bool { return t.method == sum.Method })
		if i < 0 {
			i = len(j.base[k])
			j.base[k] = append(j.base[k], tabled{method: sum.Method})
		}
		t := &j.base[k][i]
		t.film, t.waste, t.sittings = t.film+film*share, t.waste+waste*share, t.sittings+float64(sittings)
	}
	return nil
}

// draws adds what the tables say for a volume drawn by a job.
func (j *jobBook) draws(
	to []Event, w *scribe, e *inventory.PotEvent, p *inventory.Paint, month, over float64,
) []Event {
	ml := e.Volume.ML()
	k := jobPaint{e.Job, p.ID}
	base, drawn := j.base[k], j.drawn[k]
	if e.Job == "" || len(base) == 0 || drawn <= 0 {
		return append(to, Event{Kind: Draw, Month: month, Film: ml / over, Sittings: 1, Way: w.way(p, "")})
	}
	part := ml / drawn
	for _, t := range base {
		to = append(to, Event{
			Kind:     Draw,
			Month:    month,
			Film:     t.film * part,
			Waste:    t.waste * part,
			Sittings: max(1, t.sittings),
			Way:      w.way(p, t.method),
		})
	}
	return to
}

// methodsOf are the methods a catalogue's steps may use.
func methodsOf(c *inventory.Catalogue) []inventory.Method {
	seen := map[inventory.Method]bool{}
	for _, t := range inventory.PaintTypes() {
		seen[t.UsualMethod()] = true
	}
	for _, m := range coverage.Methods() {
		seen[m] = true
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
