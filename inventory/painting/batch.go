package painting

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/estimate"
	"halfpot/inventory/painting/timetable"
)

// Batch is figures of a unit that are painted together, and what is left to do.
type Batch struct {
	Unit       inventory.Unit
	Number, Of int // of the unit's batches with something left
	From       int // the first figure, from 0
	Figures    int
	Tasks      []Assignment
}

// ID names the batch, "first-section 2/3".
func (b *Batch) ID() string {
	if b.Of == 1 {
		return b.Unit.ID
	}
	return fmt.Sprintf("%s %d/%d", b.Unit.ID, b.Number, b.Of)
}

// Assignment is one step of a batch.
type Assignment struct {
	Step     *inventory.Step // as it is done: with the mix and thinning that are taken
	Number   int             // in the recipe, from 1
	Mix      inventory.Mix
	Thinning *inventory.Thinning
	Instead  inventory.Mix // what the recipe asks for, where another way is taken
	Begun    bool          // that way since it, or what must look like it, was begun so
	Task     Task
	Setup    float64 // minutes to lay out
	Each     float64 // minutes a figure
	pass     pass
	next     int       // number of the step that follows on these figures; 0: none
	ready    time.Time // by what was done before; zero: at once
}

// Minutes is hands on, without laying out.
func (a *Assignment) Minutes(figures int) float64 { return a.Each * float64(figures) }

// Bench is a force as it stands, ready to be laid out over evenings.
type Bench struct {
	Force   *inventory.Force
	Index   *inventory.Index
	Pace    *Pace
	Factor  float64  // all minutes times this; 0: 1
	Batches []Batch  // what is left to do
	Cut     []string // batches made smaller because they would not fit into a sitting
	Tables  []TaskTime
	options Options
	recipes map[string]*inventory.Recipe // by unit, with the ways that are taken
}

// Options say what of a force is looked at.
type Options struct {
	Unit         string // one unit only; "": all
	SkipOptional bool
	Longest      float64        // minutes of the longest sitting; batches are cut to fit; 0: not cut
	Factor       float64        // all minutes times this; 0: 1
	Taken        estimate.Taken // the ways in which steps are done; nil: as recipes ask
}

// NewBench finds the batches and the steps left to each. Which figures a logged
// step was done on is not noted: the first of the unit are taken to be. A step
// that takes longer than the longest sitting even on one figure is an error.
func NewBench(f *inventory.Force, idx *inventory.Index, pace *Pace, o Options) (*Bench, error) {
	b := &Bench{
		Force:   f,
		Index:   idx,
		Pace:    pace,
		Factor:  o.Factor,
		options: o,
		recipes: map[string]*inventory.Recipe{},
	}
	if b.Factor == 0 {
		b.Factor = 1
	}
	for _, u := range f.Units {
		if o.Unit != "" && u.ID != o.Unit {
			continue
		}
		if err := b.unit(u, o); err != nil {
			return nil, err
		}
	}
	return b, nil
}

func (b *Bench) unit(u inventory.Unit, o Options) error {
	r, fig := b.Index.Recipes[u.Recipe], b.Index.Figures[u.Figure]
	if r == nil || fig == nil {
		return fmt.Errorf("unit %s: its recipe or figure type is not in the catalogue", u.ID)
	}
	size := u.Batch
	if size == 0 {
		size = u.Figures
	}
	r = b.asTaken(u, r)
	names := regionNames(r, fig)
	var steps []Assignment
	cuts := map[int]bool{0: true, u.Figures: true}
	for i := range r.Steps {
		s := &r.Steps[i]
		done := b.Force.DoneOn(u, s.ID)
		if s.CoatsOn(u.Undercoat) == 0 || s.Optional && o.SkipOptional && done == 0 {
			continue
		}
		cuts[done] = true
		a := b.assignment(u, s, i+1, names, fig)
		steps = append(steps, a)
	}
	for i := range steps[:max(0, len(steps)-1)] {
		steps[i].next = steps[i+1].Number
	}
	size, err := fits(u, steps, size, o.Longest)
	if err != nil {
		return err
	}
	asked := u.Batch
	if asked == 0 {
		asked = u.Figures
	}
	if size < asked {
		parts := (asked + size - 1) / size // of about the same size
		size = (asked + parts - 1) / parts
		b.Cut = append(b.Cut, fmt.Sprintf("%s in batches of %d: more do not fit into an evening", u.ID, size))
	}
	for at := size; at < u.Figures; at += size {
		cuts[at] = true
	}
	b.split(u, r, cuts, steps, o)
	return nil
}

// stepAs is a step done with the mix of a key.
func stepAs(s *inventory.Step, key string) inventory.Step {
	out := *s
	if m, th := s.Way(key); len(m) > 0 {
		out.Mix, out.Thinning = m, th
	}
	return out
}

// fits is how many figures of a batch's size go into the longest sitting with
// every step; 0 minutes: it is not known.
func fits(u inventory.Unit, steps []Assignment, size int, longest float64) (int, error) {
	for longest > 0 {
		fit := true
		for _, v := range visits(steps, size) {
			if v.setup(steps)+v.total <= longest {
				continue
			}
			if fit = false; size == 1 {
				return 0, fmt.Errorf("unit %s, step %s: one figure takes %.0f min with laying out, "+
					"and the longest evening is %.0f min",
					u.ID, steps[v.from].Step.ID, v.setup(steps)+v.total, longest)
			}
			// What is over is taken off at once, and the rest tried one by one.
			size = max(1, min(size-1, int(float64(size)*longest/(v.setup(steps)+v.total))+1))
			break
		}
		if fit {
			break
		}
	}
	return size, nil
}

// begun is whether some figures of the unit, or of one that must match it, have
// had a step.
func (b *Bench) begun(u inventory.Unit, s *inventory.Step) bool {
	for _, w := range b.Force.Done {
		if w.Unit == u.ID && w.Step == s.ID {
			return true
		}
		v, _ := b.Force.Unit(w.Unit)
		r := b.Index.Recipes[v.Recipe]
		if r == nil {
			continue
		}
		other, ok := r.Step(w.Step)
		if ok &&
			slices.ContainsFunc(b.Force.Match, func(m inventory.Match) bool {
				return m.Covers(u.ID, s) && m.Covers(w.Unit, &other)
			}) {
			return true
		}
	}
	return false
}

// asTaken is a recipe with the ways that its steps are done in on a unit.
func (b *Bench) asTaken(u inventory.Unit, r *inventory.Recipe) *inventory.Recipe {
	out := *r
	out.Steps = slices.Clone(r.Steps)
	for i := range out.Steps {
		s := &out.Steps[i]
		if o, ok := b.options.Taken.Of(u.ID, s.ID); ok {
			s.Mix, s.Thinning = o.Mix, o.Thinning
			continue
		}
		for _, w := range b.Force.Done { // in order: the last word counts
			if w.Unit == u.ID && w.Step == s.ID && w.Mix != "" {
				*s = stepAs(&r.Steps[i], w.Mix)
			}
		}
	}
	asked := out
	if b.options.SkipOptional {
		asked.Steps = slices.DeleteFunc(slices.Clone(out.Steps), func(s inventory.Step) bool {
			return s.Optional && b.Force.DoneOn(u, s.ID) == 0
		})
	}
	b.recipes[u.ID] = &asked
	return &out
}

// split makes the batches between the cuts.
func (b *Bench) split(u inventory.Unit, r *inventory.Recipe, cuts map[int]bool, steps []Assignment, o Options) {
	var at []int
	for c := range cuts {
		at = append(at, c)
	}
	slices.Sort(at)
	first := len(b.Batches)
	for i := 0; i+1 < len(at); i++ {
		bt := Batch{Unit: u, From: at[i], Figures: at[i+1] - at[i]}
		for _, a := range steps {
			done := b.Force.DoneOn(u, a.Step.ID)
			if done > at[i] {
				continue
			}
			if a.Step.Optional && o.SkipOptional {
				continue
			}
			a.ready = b.ready(u, r, &a, at[i], at[i+1], steps)
			bt.Tasks = append(bt.Tasks, a)
			b.Tables = append(b.Tables, TaskTime{a.Task, a.Each * float64(bt.Figures)})
		}
		if len(bt.Tasks) > 0 {
			b.Batches = append(b.Batches, bt)
		}
	}
	for i := first; i < len(b.Batches); i++ {
		b.Batches[i].Number, b.Batches[i].Of = i-first+1, len(b.Batches)-first
	}
}

// ready is when a step may start by what was done on these figures before.
func (b *Bench) ready(
	u inventory.Unit, r *inventory.Recipe, a *Assignment, from, to int, steps []Assignment,
) time.Time {
	var at time.Time
	for i := range steps {
		e := &steps[i]
		when, done := doneAt(b.Force, u, e.Step.ID, from, to)
		if done && e.Number < a.Number && binds(&e.pass, &a.pass) {
			if t := when.Add(wet(&e.pass, &a.pass, passesBetween(steps, e.Number, a.Number))); t.After(at) {
				at = t
			}
		}
	}
	return at
}

func passesBetween(steps []Assignment, i, j int) []pass {
	var out []pass
	for k := range steps {
		if n := steps[k].Number; n > i && n < j {
			out = append(out, steps[k].pass)
		}
	}
	return out
}

func (b *Bench) assignment(
	u inventory.Unit, s *inventory.Step, number int, names []string, fig *inventory.FigureType,
) Assignment {
	a := Assignment{
		Step:     s,
		Number:   number,
		Mix:      s.Mix,
		Thinning: s.Thinning,
		Task:     TaskOf(s, b.Index),
		pass:     newPass(s, number, names, fig, b.Index),
	}
	if own, ok := b.Index.Recipes[u.Recipe].Step(s.ID); ok && own.Mix.Key() != s.Mix.Key() {
		a.Instead = own.Mix
		a.Begun = b.begun(u, &own)
	}
	a.Setup, a.Each = StepMinutes(s, fig, u.Undercoat, b.Index)
	f, _ := b.Pace.Factor(a.Task)
	a.Setup, a.Each = a.Setup*f*b.Factor, a.Each*f*b.Factor
	return a
}

// palette is what is laid out for a step, the same for all steps with one key.
func (a *Assignment) palette() string {
	key := string(a.Step.Kind) + "|" + a.Mix.Key() + "|" + string(a.pass.method)
	if t := a.Thinning; t != nil {
		key += fmt.Sprintf("|%g:%g %s", t.PaintParts, t.MediumParts, t.Medium)
	}
	return key
}

// waste is what a palette leaves over, ul.
func (a *Assignment) waste(t coverage.Tables) int {
	if len(a.Mix) == 0 || a.pass.typ.Counted() {
		return 0
	}
	d, err := t.StepDefaults(a.pass.method, a.pass.typ.Kind())
	if err != nil {
		return 0
	}
	return int(d.WasteML.Value * 1000)
}

// Problem is the batches over sittings, as the timetable takes it; times count
// in seconds from the start of the first.
func (b *Bench) Problem(slots []Slot) *timetable.Problem {
	p := &timetable.Problem{}
	if len(slots) == 0 {
		return p
	}
	zero := slots[0].Start
	for _, s := range slots {
		p.Sittings = append(p.Sittings, timetable.Sitting{
			Start: int(s.Start.Sub(zero).Seconds()),
			End:   int(s.End.Sub(zero).Seconds()),
		})
	}
	mixes := map[string]int{}
	for i := range b.Batches {
		bt := &b.Batches[i]
		out := timetable.Batch{ID: bt.ID(), Figures: bt.Figures}
		for j := range b.Batches {
			if slices.Contains(bt.Unit.After, b.Batches[j].Unit.ID) {
				out.After = append(out.After, j)
			}
		}
		list := visits(bt.Tasks, bt.Figures)
		for j := range list {
			out.Steps = append(out.Steps, b.visitStep(p, mixes, zero, bt, list, j))
		}
		p.Batches = append(p.Batches, out)
	}
	return p
}

// visitStep is a visit as the timetable takes it.
func (b *Bench) visitStep(
	p *timetable.Problem, mixes map[string]int, zero time.Time, bt *Batch, list []visit, j int,
) timetable.Step {
	v := &list[j]
	var ids, keys []string
	mix, ready := timetable.Mix{Setup: int(math.Round(v.setup(bt.Tasks) * 60))}, 0
	for i := v.from; i < v.to; i++ {
		a := &bt.Tasks[i]
		ids, keys = append(ids, a.Step.ID), append(keys, a.palette())
		mix.Waste += a.waste(b.Index.Tables)
		if !a.ready.IsZero() {
			ready = max(ready, int(math.Ceil(a.ready.Sub(zero).Seconds())))
		}
	}
	mix.ID = strings.Join(keys, " & ")
	m, known := mixes[mix.ID]
	if !known {
		m = len(p.Mixes)
		mixes[mix.ID] = m
		p.Mixes = append(p.Mixes, mix)
	}
	out := timetable.Step{
		ID:    strings.Join(ids, "+"),
		Each:  int(math.Round(v.total / float64(bt.Figures) * 60)),
		Mix:   m,
		Ready: ready,
	}
	for k := j + 1; k < len(list); k++ {
		var wait time.Duration
		for x := v.from; x < v.to; x++ {
			for y := list[k].from; y < list[k].to; y++ {
				if a, c := &bt.Tasks[x], &bt.Tasks[y]; binds(&a.pass, &c.pass) {
					w := wet(&a.pass, &c.pass, passesBetween(bt.Tasks, a.Number, c.Number))
					wait = max(wait, w+v.spread(bt.Figures)+list[k].spread(bt.Figures))
				}
			}
		}
		out.Waits = append(out.Waits, int(wait.Seconds()))
	}
	return out
}
