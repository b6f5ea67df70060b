package inventory

import (
	"slices"
	"time"
)

// Force is what the painter plans to paint, as units.
type Force struct {
	ID    string
	Name  string
	Units []Unit
	Match []Match
	Done  []Work // work logged so far
}

// Unit is a number of figures of one type painted by one recipe.
type Unit struct {
	ID        string // unique within the force
	Name      string
	Figures   int      // at least 1
	Figure    string   // figure type id
	Recipe    string   // recipe id
	Undercoat string   // paint id they are undercoated with, which may change coats; "": as the recipe says
	Batch     int      // figures painted at one sitting; 0: the whole unit
	Worth     *int     // what finishing the unit is worth under a budget; nil: its figures
	After     []string // unit ids that are finished before this one is begun
}

// Match says that certain steps of certain units must look alike: all of
// them take the same paint or mix.
type Match struct {
	Label string   // unique within the force
	Steps []string // step ids or step labels
	Units []string // unit ids; empty: every unit
}

// Work is painting done: one step on a number of figures of a unit.
type Work struct {
	Unit    string // unit id
	Step    string // step id
	Figures int    // at least 1
	Mix     string // key of the mix it was done with, see [Mix.Key]; "": not said
	At      time.Time
	Job     string // id of the log entry, shared with the pot events it drew; may be empty
	Minutes int    // at the bench for the whole log entry, waiting taken off; 0: not timed
}

// Unit finds a unit by id.
func (f Force) Unit(id string) (Unit, bool) {
	for _, u := range f.Units {
		if u.ID == id {
			return u, true
		}
	}
	return Unit{}, false
}

// DoneOn is how many figures of a unit have had a step, never more than the
// unit has.
func (f Force) DoneOn(unit Unit, step string) int {
	n := 0
	for _, w := range f.Done {
		if w.Unit == unit.ID && w.Step == step {
			n += w.Figures
		}
	}
	return min(n, unit.Figures)
}

// Covers reports whether a match rule speaks of a step of a unit.
func (r Match) Covers(unit string, s *Step) bool {
	return (len(r.Units) == 0 || slices.Contains(r.Units, unit)) &&
		(slices.Contains(r.Steps, s.ID) || (s.Label != "" && slices.Contains(r.Steps, s.Label)))
}
