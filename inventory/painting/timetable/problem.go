// Package timetable lays batches of figures out over one painter's sittings.
// It knows minutes, waits and mixes, and nothing of paint.
//
// # The model
//
// A batch is n figures that take the same steps in the same order. A step takes
// so many seconds a figure, runs whole in one sitting, and is done figure by
// figure in an order that never changes. After a step a wait may bind any later
// step of the batch, by the wall clock, for each figure by itself. With a step
// that ends at E and a later one that starts at S that comes to
//
//	S >= E + max(0, wait - (n-1) min(each, later each))
//
// since the first and the last figure are the ones that wait the longest. A batch
// may have to come after others as a whole. A mix
// is made up once a sitting, just before its first use (while a wait runs is
// fine), which takes seconds and leaves some of it over.
//
// The aim, each before the next: the last sitting comes early, few sittings are
// used, little is left over. It is strongly NP-hard (bin packing without waits;
// one sitting alone is the single machine with minimum delays, Wikum, Llewellyn
// & Nemhauser 1994), so a plan says how far it is proven.
package timetable

import (
	"errors"
	"fmt"
)

// Problem is what is to be laid out. Times are whole seconds after a moment of
// the caller's choice, the same for all; count them in UTC, where no clock changes.
type Problem struct {
	Batches  []Batch
	Mixes    []Mix
	Sittings []Sitting // in order, none into the next
}

// Batch is a number of figures painted together.
type Batch struct {
	ID      string
	Figures int    // at least 1
	Steps   []Step // what is left to do, in order
	After   []int  // batches that must be finished before this one is begun, by index
}

// Step is one pass over the figures of a batch.
type Step struct {
	ID    string
	Each  int   // seconds a figure, at least 0
	Mix   int   // index into the problem's mixes
	Ready int   // not to be begun before; 0: at once
	Waits []int // seconds before each later step of the batch, the next one first; what is left out is 0
}

// Mix is what is laid out before a step: paint on a palette, a cup, a sheet of
// transfers in water.
type Mix struct {
	ID    string
	Setup int // seconds to lay it out, once a sitting
	Waste int // what is left over at the end of a sitting, ul
}

// Sitting is a stretch of time at the bench.
type Sitting struct{ Start, End int }

// The largest values that fit. A problem beyond them is refused.
const (
	MaxTime  = 1 << 30 // seconds, 34 years
	MaxSteps = 200_000
)

// Errors that say why nothing can be laid out.
var (
	ErrNoSittings = errors.New("no sitting: at least one evening is needed")
	ErrLimit      = errors.New("stopped before a plan was found")
)

// LongStepError says that a step does not fit into any sitting.
type LongStepError struct {
	Batch, Step string
	Needs       int // seconds, with its mix
	Longest     int // seconds, the longest sitting
	Fits        int // figures that would fit; 0: none
}

// Error names the step and both lengths.
func (e *LongStepError) Error() string {
	return fmt.Sprintf("batch %s, step %s takes %d min, and the longest sitting is %d min",
		e.Batch, e.Step, (e.Needs+59)/60, e.Longest/60)
}

// ShortCalendarError says that the sittings end before the work does.
type ShortCalendarError struct {
	Batch string // one that is not finished
	Left  int    // its steps left to do
	Work  int    // seconds of work left, all batches
}

// Error names the batch and what is left of it.
func (e *ShortCalendarError) Error() string {
	return fmt.Sprintf("the sittings given end too early: %s has %d steps left, "+
		"and %.1f h of work are left in all", e.Batch, e.Left, float64(e.Work)/3600)
}

// Validate checks what [Solve] takes for granted.
func (p *Problem) Validate() error {
	if len(p.Sittings) == 0 {
		return ErrNoSittings
	}
	for i, s := range p.Sittings {
		switch {
		case s.End <= s.Start:
			return fmt.Errorf("sitting %d: ends before it starts", i+1)
		case s.Start < -MaxTime || s.End > MaxTime:
			return fmt.Errorf("sitting %d: too far away", i+1)
		case i > 0 && s.Start < p.Sittings[i-1].End:
			return fmt.Errorf("sitting %d: starts before the one before it ends", i+1)
		}
	}
	for _, m := range p.Mixes {
		if m.Setup < 0 || m.Setup > MaxTime || m.Waste < 0 || m.Waste > MaxTime {
			return fmt.Errorf("mix %s: setup and waste must be at least 0", m.ID)
		}
	}
	total := 0
	for _, b := range p.Batches {
		if b.Figures < 1 {
			return fmt.Errorf("batch %s: %d figures, at least 1 is needed", b.ID, b.Figures)
		}
		total += len(b.Steps)
		for i, s := range b.Steps {
			if err := p.step(b, i, s); err != nil {
				return err
			}
		}
	}
	if total > MaxSteps {
		return fmt.Errorf("%d steps, at most %d can be laid out", total, MaxSteps)
	}
	_, err := p.inOrder()
	return err
}

// inOrder lists the batches so that each comes after those it waits for.
func (p *Problem) inOrder() ([]int, error) {
	var order []int
	state := make([]int, len(p.Batches)) // 1: being looked at, 2: listed
	var visit func(b int) error
	visit = func(b int) error {
		state[b] = 1
		for _, a := range p.Batches[b].After {
			switch {
			case a < 0 || a >= len(p.Batches):
				return fmt.Errorf("batch %s comes after batch %d, which there is not", p.Batches[b].ID, a)
			case state[a] == 1:
				return fmt.Errorf("batch %s and batch %s wait for each other", p.Batches[b].ID, p.Batches[a].ID)
			case state[a] == 0:
				if err := visit(a); err != nil {
					return err
				}
			}
		}
		state[b] = 2
		order = append(order, b)
		return nil
	}
	for b := range p.Batches {
		if state[b] == 0 {
			if err := visit(b); err != nil {
				return nil, err
			}
		}
	}
	return order, nil
}

func (p *Problem) step(b Batch, i int, s Step) error {
	switch {
	case s.Each < 0 || s.Each > MaxTime/b.Figures:
		return fmt.Errorf("batch %s, step %s: %d seconds a figure", b.ID, s.ID, s.Each)
	case s.Mix < 0 || s.Mix >= len(p.Mixes):
		return fmt.Errorf("batch %s, step %s: no mix %d", b.ID, s.ID, s.Mix)
	case s.Ready > MaxTime:
		return fmt.Errorf("batch %s, step %s: ready too far away", b.ID, s.ID)
	case len(s.Waits) > len(b.Steps)-i-1:
		return fmt.Errorf("batch %s, step %s: more waits than steps after it", b.ID, s.ID)
	}
	for _, w := range s.Waits {
		if w < 0 || w > MaxTime {
			return fmt.Errorf("batch %s, step %s: a wait of %d seconds", b.ID, s.ID, w)
		}
	}
	longest := 0
	for _, k := range p.Sittings {
		longest = max(longest, k.End-k.Start)
	}
	setup := p.Mixes[s.Mix].Setup
	if need := s.Each*b.Figures + setup; need > longest {
		fits := 0
		if s.Each > 0 {
			fits = max(0, (longest-setup)/s.Each)
		}
		return &LongStepError{b.ID, s.ID, need, longest, fits}
	}
	return nil
}

// Entry is one step of one batch in its place.
type Entry struct {
	Batch, Step int // indices into the problem
	Sitting     int
	Start, End  int  // hands on, without the mix
	Opens       bool // its mix is laid out just before Start
}

// Plan is work in the order it is done.
type Plan struct {
	Entries  []Entry
	Last     int // index of the last sitting used; -1: nothing is left to do
	Sittings int // sittings used
	Waste    int // ul left over in all

	Bound    int  // no plan ends in an earlier sitting than this index
	Sure     bool // Last is proven least
	AllSure  bool // Sittings and Waste too
	Expanded int  // parts of the search looked at
}

// Gap is how much later than the bound the plan may end, as a part of the
// bound's number of sittings; 0: proven.
func (p Plan) Gap() float64 {
	if p.Last <= p.Bound {
		return 0
	}
	return float64(p.Last-p.Bound) / float64(p.Bound+1)
}
