package timetable

import (
	"context"
	"slices"
)

// Effort is how much is looked at before the best so far is given. It counts
// parts of the search, not seconds, so that the same problem gets the same plan
// on any machine. The zero value is what a painter waits for.
type Effort struct {
	Exact  int // moments times steps to look at where all orders are searched; 0: DefaultEffort's
	Beam   int // labels kept a sitting where not
	Passes int // times the calendar is filled
}

// DefaultEffort takes a second or two on one core at most.
var DefaultEffort = Effort{Exact: 3_000_000, Beam: 50, Passes: 60}

func (e Effort) orDefault() Effort {
	if e.Exact == 0 {
		e.Exact = DefaultEffort.Exact
	}
	if e.Beam == 0 {
		e.Beam = DefaultEffort.Beam
	}
	if e.Passes == 0 {
		e.Passes = DefaultEffort.Passes
	}
	return e
}

// Up to so many batches a beam is tried.
const beamBatches = 8

// Solve lays the work out. Few batches are searched through and the plan is
// proven where the effort lasts; many are filled in sitting by sitting, and the
// plan's Bound says how far off it may be at most. It fails with
// [LongStepError], [ShortCalendarError] or what [Problem.Validate] says; a done
// context cuts the search short, not the answer, once there is one.
func Solve(ctx context.Context, p *Problem, e Effort) (Plan, error) {
	if err := p.Validate(); err != nil {
		return Plan{}, err
	}
	e = e.orDefault()
	m := newModel(p)
	if m.steps == 0 {
		return Plan{Last: -1, Bound: -1, Sure: true, AllSure: true}, nil
	}
	low := m.lowerBound()
	if low < 0 {
		return Plan{}, m.tooShort()
	}
	best := m.fill(ctx, low, m.passes(e.Passes))
	small := len(m.b) <= min(maxSlots, beamBatches) && len(p.Mixes) <= maxMixes && m.longestChain() < 127
	if best == nil && !small {
		return Plan{}, m.tooShort()
	}
	expanded := 0
	if small {
		s := &polish{m: m, ctx: ctx, e: e, low: low, best: best}
		s.run()
		if s.best == nil {
			if ctx.Err() != nil {
				return Plan{}, ErrLimit
			}
			return Plan{}, m.tooShort()
		}
		best, low, expanded = s.best, s.low, s.expanded
		best.AllSure = s.allSure
	}
	best.Bound, best.Expanded = low, expanded
	best.Sure = best.Last == low
	best.AllSure = best.AllSure && best.Sure
	return *best, nil
}

// passes is how often a large calendar is filled: the first few passes find nearly
// all there is, and each takes longer.
func (m *model) passes(asked int) int {
	if m.steps <= manySteps {
		return asked
	}
	return max(asked/5, asked*manySteps/m.steps)
}

const manySteps = 800

func (m *model) longestChain() int {
	n := 0
	for _, b := range m.b {
		n = max(n, len(b.steps))
	}
	return n
}

// polish betters a plan of few batches by labels.
type polish struct {
	m        *model
	ctx      context.Context
	e        Effort
	low      int
	best     *Plan
	allSure  bool
	expanded int
}

func (s *polish) run() {
	last := len(s.m.sit) - 1
	if s.best != nil {
		last = s.best.Last - 1
	}
	for _, width := range []int{s.e.Beam, 0} {
		if last < s.low {
			break
		}
		run := newSearch(s.ctx, s.m, s.e.Exact/s.m.steps)
		l := run.finish(last, width)
		s.expanded += run.expanded
		if l != nil {
			s.take(run, l)
			last = s.best.Last - 1
		}
		if width == 0 && !run.over {
			s.low = last + 1 // nothing ends earlier
		}
	}
	if s.best == nil {
		return
	}
	cost := &label{used: s.best.Sittings, waste: s.best.Waste}
	for _, width := range []int{s.e.Beam, 0} {
		run := newSearch(s.ctx, s.m, s.e.Exact/s.m.steps)
		l := run.cheapest(s.best.Last, width, cost)
		s.expanded += run.expanded
		if l != nil {
			s.take(run, l)
			cost = l
		}
		s.allSure = width == 0 && !run.over
	}
}

func (s *polish) take(run *search, l *label) {
	p := planOf(s.m.p, run.entries(l))
	if s.best == nil || better(&p, s.best) {
		s.best = &p
	}
}

// planOf sums a list of entries up.
func planOf(p *Problem, entries []Entry) Plan {
	out := Plan{Entries: entries, Last: -1}
	used := map[int]bool{}
	for _, e := range entries {
		used[e.Sitting] = true
		out.Last = max(out.Last, e.Sitting)
		if e.Opens {
			out.Waste += p.Mixes[p.Batches[e.Batch].Steps[e.Step].Mix].Waste
		}
	}
	out.Sittings = len(used)
	slices.SortStableFunc(out.Entries, func(a, b Entry) int { return a.Start - b.Start })
	return out
}

// tooShort names the batch that is furthest from its end.
func (m *model) tooShort() error {
	e := &ShortCalendarError{}
	rel := m.release()
	worst := -1
	for b := range m.b {
		for _, s := range m.b[b].steps {
			e.Work += s.work
		}
		if len(m.b[b].steps) == 0 {
			continue
		}
		k := m.alone(b, 0, 0, rel[m.off[b]:m.off[b]+len(m.b[b].steps)], nil)
		if k < 0 {
			k = len(m.sit)
		}
		if k > worst {
			worst = k
			e.Batch, e.Left = m.p.Batches[b].ID, len(m.b[b].steps)
		}
	}
	return e
}
