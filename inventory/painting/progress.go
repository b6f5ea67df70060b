package painting

import (
	"context"
	"errors"
	"math"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/painting/timetable"
)

// Standing is how far a force is.
type Standing struct {
	Units []UnitStanding
	Done  float64 // part of the hands-on time, 0 to 1
	Left  float64 // minutes hands on, without laying out, at the painter's pace
}

// UnitStanding is how far a unit is.
type UnitStanding struct {
	Unit     inventory.Unit
	Done     float64
	Finished int // figures that have every step that is not optional
	Begun    int // figures that have any
	Steps    []StepStanding
}

// StepStanding is how far a step is.
type StepStanding struct {
	Step *inventory.Step
	Done int // figures
}

// Stand works out how far a force is. Optional steps nobody has begun don't count.
func Stand(f *inventory.Force, idx *inventory.Index, pace *Pace) Standing {
	var out Standing
	all, done := 0.0, 0.0
	for _, u := range f.Units {
		r := idx.Recipes[u.Recipe]
		if r == nil {
			continue
		}
		us := UnitStanding{Unit: u, Finished: u.Figures}
		unitAll, unitDone := 0.0, 0.0
		for i := range r.Steps {
			s := &r.Steps[i]
			n := f.DoneOn(u, s.ID)
			if s.CoatsOn(u.Undercoat) == 0 {
				continue
			}
			us.Steps = append(us.Steps, StepStanding{s, n})
			us.Begun = max(us.Begun, n)
			if s.Optional && n == 0 {
				continue
			}
			if !s.Optional {
				us.Finished = min(us.Finished, n)
			}
			_, each := StepMinutes(s, idx.Figures[u.Figure], u.Undercoat, idx)
			factor, _ := pace.Factor(TaskOf(s, idx))
			unitAll += each * factor * float64(u.Figures)
			unitDone += each * factor * float64(n)
		}
		if unitAll > 0 {
			us.Done = unitDone / unitAll
		}
		all, done = all+unitAll, done+unitDone
		out.Units = append(out.Units, us)
	}
	if all > 0 {
		out.Done = done / all
	}
	out.Left = all - done
	return out
}

// Forecast is when a force will be finished at the pace so far.
type Forecast struct {
	Likely, Early, Late time.Time // nine in ten times between Early and Late, evenings kept
	Sittings            int
	Whole               *Schedule
}

// Foresee plans what is left at the likely pace, and at the ends of its range.
func (b *Bench) Foresee(ctx context.Context, e Evenings, now time.Time) (*Forecast, error) {
	out := &Forecast{}
	var err error
	if out.Whole, err = b.Plan(ctx, e, now, nil, timetable.Effort{}); err != nil {
		return nil, err
	}
	o := b.options
	_, sd := b.Pace.Overall(b.Tables)
	quick := timetable.Effort{Exact: 500_000, Beam: 20, Passes: 20}
	for _, end := range []struct {
		to *time.Time
		z  float64
	}{{&out.Early, -1.645}, {&out.Late, 1.645}} {
		o.Factor = math.Exp(end.z * sd)
		other, err := NewBench(b.Force, b.Index, b.Pace, o)
		if err != nil {
			return nil, err
		}
		s, err := other.Plan(ctx, e, now, nil, quick)
		if err != nil {
			return nil, err
		}
		*end.to = s.Finish
	}
	out.Likely, out.Sittings = out.Whole.Finish, out.Whole.Plan.Sittings
	if out.Early.After(out.Likely) {
		out.Early = out.Likely
	}
	if out.Late.Before(out.Likely) {
		out.Late = out.Likely
	}
	return out, nil
}

// Shortage is a paint that will not last.
type Shortage struct {
	Paint  string
	Short  inventory.Volume
	Before time.Time // start of the evening that it will not last through
	Step   string    // "unit/step" that wants it
}

// Running says by how much a paint is short once one more step is painted, in the
// order of painting; 0: it lasts with the chance asked. The name tells the step's
// work on these figures from all other.
type Running func(name string, unit *inventory.Unit, sum *estimate.StepSum, use estimate.PaintUse) inventory.Volume

// Shortages goes through a schedule's evenings and says which paint runs out
// before which.
func (s *Schedule) Shortages(e *estimate.Estimator, short Running) ([]Shortage, error) {
	at := map[string]int{}
	var out []Shortage
	for _, ev := range s.Evenings {
		for _, l := range ev.Lines {
			if len(l.Work.Mix) == 0 {
				continue
			}
			unit, step := &l.Batch.Unit, l.Work.Step
			sum, err := e.Sum(*unit, step, l.Work.Mix, l.Work.Thinning, l.Batch.Figures)
			if err != nil {
				return nil, err
			}
			for _, u := range sum.Uses(l.Work.Mix, l.Work.Thinning) {
				lacks := short(l.Batch.ID()+"/"+step.ID, unit, &sum, u)
				i, told := at[u.Paint]
				switch {
				case told:
					out[i].Short = max(out[i].Short, lacks)
				case lacks > 0:
					at[u.Paint] = len(out)
					out = append(out, Shortage{
						Paint:  u.Paint,
						Short:  lacks,
						Before: ev.Start,
						Step:   unit.ID + "/" + step.ID,
					})
				}
			}
		}
	}
	return out, nil
}

// IsNothingLeft tells a finished force from one that can't be planned.
func IsNothingLeft(err error) bool { return errors.Is(err, ErrNothingLeft) }
