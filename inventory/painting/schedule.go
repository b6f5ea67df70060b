package painting

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/painting/timetable"
)

// Schedule is what is left of a force, laid out over evenings.
type Schedule struct {
	Bench    *Bench
	Evenings []Evening // those that are used, in order
	Finish   time.Time // end of the last step; zero: nothing is left
	Plan     timetable.Plan
	Bound    time.Time // no plan ends before this day
	slots    []Slot
}

// Evening is one sitting with its work.
type Evening struct {
	Slot
	Number int // of the sittings there are, from 1
	Lines  []Line
}

// Line is one step of one batch in its place.
type Line struct {
	Batch      *Batch
	Work       *Assignment
	Start, End time.Time
	Opens      bool        // its palette is laid out just before
	Handful    int         // figures at a time, where the next step must follow soon; 0: all
	Next       *Assignment // the next step on the same regions; nil: none
	Ready      time.Time   // when that may start; zero: none waits for it
}

// maxSlots is as far as a schedule looks ahead.
const maxSlots = 4000

// ErrNothingLeft says that every step is done.
var ErrNothingLeft = errors.New("every step of every unit is done")

// Plan lays the bench out over the evenings from a moment on. At is the first
// sitting instead of the evenings' own, where it is given.
func (b *Bench) Plan(
	ctx context.Context, e Evenings, from time.Time, at *Slot, effort timetable.Effort,
) (*Schedule, error) {
	if len(b.Batches) == 0 {
		return nil, ErrNothingLeft
	}
	if len(e.spans) == 0 {
		return nil, timetable.ErrNoSittings
	}
	work := 0.0
	for i := range b.Batches {
		for j := range b.Batches[i].Tasks {
			a := &b.Batches[i].Tasks[j]
			work += a.Minutes(b.Batches[i].Figures) + a.Setup/2
		}
	}
	probe := e.Slots(from, 14)
	mean := 0.0
	for _, s := range probe {
		mean += s.Minutes() / float64(len(probe))
	}
	for n := int(1.3*work/mean) + 30; ; n *= 2 {
		n = min(n, maxSlots)
		slots := e.Slots(from, n)
		if at != nil {
			slots = withFirst(slots, *at)
		}
		p := b.Problem(slots)
		plan, err := timetable.Solve(ctx, p, effort)
		var short *timetable.ShortCalendarError
		if errors.As(err, &short) && n < maxSlots {
			continue
		}
		if err != nil {
			return nil, err
		}
		if err := timetable.Check(p, plan); err != nil {
			return nil, fmt.Errorf("internal: the timetable fails its check: %w", err)
		}
		return b.schedule(slots, plan), nil
	}
}

// withFirst puts a sitting before those that start after its end.
func withFirst(slots []Slot, first Slot) []Slot {
	slots = slices.DeleteFunc(slots, func(s Slot) bool { return s.Start.Before(first.End) })
	return append([]Slot{first}, slots...)
}

func (b *Bench) schedule(slots []Slot, plan timetable.Plan) *Schedule {
	out := &Schedule{Bench: b, Plan: plan, slots: slots, Bound: slots[max(0, plan.Bound)].End}
	zero := slots[0].Start
	at := func(s int) time.Time { return zero.Add(time.Duration(s) * time.Second) }
	for _, e := range plan.Entries {
		n := len(out.Evenings)
		if n == 0 || out.Evenings[n-1].Number != e.Sitting+1 {
			out.Evenings = append(out.Evenings, Evening{Slot: slots[e.Sitting], Number: e.Sitting + 1})
			n++
		}
		out.Evenings[n-1].Lines = append(out.Evenings[n-1].Lines, b.lines(&b.Batches[e.Batch], e, at)...)
		out.Finish = at(e.End)
	}
	return out
}

// lines are the steps of an entry of the timetable, mostly one.
func (b *Bench) lines(bt *Batch, e timetable.Entry, at func(int) time.Time) []Line {
	v := visits(bt.Tasks, bt.Figures)[e.Step]
	var out []Line
	for i := v.from; i < v.to; i++ {
		l := Line{Batch: bt, Work: &bt.Tasks[i], Start: at(e.Start), End: at(e.End), Opens: e.Opens}
		if v.to-v.from > 1 {
			l.Start = at(e.Start + int(v.begin[i-v.from]*60))
			l.End = at(min(e.End, e.Start+int(v.end[i-v.from]*60)))
			if v.handful < bt.Figures {
				l.Handful = v.handful
			}
		}
		for k := i + 1; k < len(bt.Tasks); k++ {
			if c := &bt.Tasks[k]; binds(&l.Work.pass, &c.pass) {
				l.Next = c
				l.Ready = l.End.Add(wet(&l.Work.pass, &c.pass, passesBetween(bt.Tasks, l.Work.Number, c.Number)))
				break
			}
		}
		out = append(out, l)
	}
	return out
}

// Minutes is hands on.
func (l *Line) Minutes() float64 { return l.Work.Minutes(l.Batch.Figures) }

// Tonight is what to do in the first sitting, and what hangs on it.
type Tonight struct {
	Slot  Slot
	Lines []Line
	Stake []Stake      // the batches that could be worked on tonight, the weightiest first
	Whole *Schedule    // with tonight
	Ready []ReadyBatch // what is dry and ready
}

// ReadyBatch is a batch and the step it is ready for.
type ReadyBatch struct {
	Batch *Batch
	Next  *Assignment
	At    time.Time // zero: at once
}

// WaitsFor is the unit with something left that a batch comes after; "": none.
func (b *Bench) WaitsFor(bt *Batch) string {
	for i := range b.Batches {
		if id := b.Batches[i].Unit.ID; slices.Contains(bt.Unit.After, id) {
			return id
		}
	}
	return ""
}

// Stake is what leaving a batch alone tonight would do.
type Stake struct {
	Batch    *Batch
	Later    int  // days by which the finish moves
	Evenings int  // sittings more
	Must     bool // by its waits alone it has to be tonight
}

// maxStakes bounds the batches that are tried without, stakeEffort each try.
const maxStakes = 8

var stakeEffort = timetable.Effort{Exact: 300_000, Beam: 15, Passes: 15}

// Tonight plans the first sitting and says what each batch in it is worth: the
// same plan is made with the batch barred tonight.
func (b *Bench) Tonight(ctx context.Context, e Evenings, slot Slot, effort timetable.Effort) (*Tonight, error) {
	whole, err := b.Plan(ctx, e, slot.Start, &slot, effort)
	if err != nil {
		return nil, err
	}
	out := &Tonight{Slot: slot, Whole: whole}
	if len(whole.Evenings) > 0 && whole.Evenings[0].Number == 1 {
		out.Lines = whole.Evenings[0].Lines
	}
	for i := range b.Batches {
		bt := &b.Batches[i]
		if a := &bt.Tasks[0]; a.ready.Before(slot.End) && b.WaitsFor(bt) == "" {
			r := ReadyBatch{Batch: bt, Next: a}
			if a.ready.After(slot.Start) {
				r.At = a.ready
			}
			out.Ready = append(out.Ready, r)
		}
	}
	if len(whole.slots) < 2 {
		return out, nil
	}
	next := whole.slots[1].Start
	effort.Exact, effort.Beam, effort.Passes = stakeEffort.Exact, stakeEffort.Beam, stakeEffort.Passes
	for i := range b.Batches {
		if len(out.Stake) == maxStakes ||
			!slices.ContainsFunc(out.Lines, func(l Line) bool { return l.Batch == &b.Batches[i] }) {
			continue
		}
		less := *b
		less.Batches = slices.Clone(b.Batches)
		less.Batches[i].Tasks = slices.Clone(b.Batches[i].Tasks)
		for j := range less.Batches[i].Tasks {
			if t := &less.Batches[i].Tasks[j]; t.ready.Before(next) {
				t.ready = next
			}
		}
		without, err := less.Plan(ctx, e, slot.Start, &slot, effort)
		if err != nil {
			return nil, err
		}
		s := Stake{Batch: &b.Batches[i], Evenings: without.Plan.Sittings - whole.Plan.Sittings}
		s.Later = int(math.Round(midnight(without.Finish).Sub(midnight(whole.Finish)).Hours() / 24))
		out.Stake = append(out.Stake, s)
	}
	slices.SortStableFunc(out.Stake, func(x, y Stake) int {
		if x.Later != y.Later {
			return y.Later - x.Later
		}
		return y.Evenings - x.Evenings
	})
	return out, nil
}

func midnight(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, t.Location())
}

// WorkTables is what logged work takes by the tables, for [LearnPace].
func WorkTables(work []inventory.Work, f *inventory.Force, idx *inventory.Index) []TaskTime {
	var out []TaskTime
	laid := map[string]bool{}
	for _, w := range work {
		u, ok := f.Unit(w.Unit)
		r := idx.Recipes[u.Recipe]
		if !ok || r == nil {
			continue
		}
		s, ok := r.Step(w.Step)
		if !ok {
			continue
		}
		s = stepAs(&s, w.Mix)
		setup, each := StepMinutes(&s, idx.Figures[u.Figure], u.Undercoat, idx)
		t := TaskTime{TaskOf(&s, idx), each * float64(w.Figures)}
		if key := w.Mix + string(t.Task); !laid[key] {
			laid[key] = true
			t.Minutes += setup
		}
		out = append(out, t)
	}
	return out
}
