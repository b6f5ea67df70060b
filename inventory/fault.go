package inventory

import (
	"fmt"
	"strings"
)

// Fault is one thing wrong with what the painter entered.
type Fault struct {
	// Path says where, by kind, id and field: "recipes.rifles.steps.jacket.mix.1.paint".
	// List positions count from 1; an entry without an id is named by its position.
	Path     string
	Found    string // what stands there
	Expected string // what was expected
	// Nearest gives the ids that come close, for a reference that leads nowhere,
	// at most 3; nil where there is nothing to look among. Looking takes time, so
	// it is for those faults that are shown.
	Nearest func() []string
}

// Error gives the fault in one line.
func (f Fault) Error() string {
	s := fmt.Sprintf("%s: found %s, expected %s", f.Path, f.Found, f.Expected)
	return s + NearestText(f.Nearest)
}

// Faults is every fault found, in the order of the catalogue.
type Faults []Fault

// MaxShown is how many faults an error writes out before it counts the rest.
const MaxShown = 50

// Error gives one line a fault, at most [MaxShown], and how many more there are.
func (fs Faults) Error() string {
	var lines []string
	for _, f := range fs[:min(len(fs), MaxShown)] {
		lines = append(lines, f.Error())
	}
	if more := len(fs) - MaxShown; more > 0 {
		lines = append(lines, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(lines, "\n")
}

// Err is fs as an error, nil where there is no fault.
func (fs Faults) Err() error {
	if len(fs) == 0 {
		return nil
	}
	return fs
}

// Except gives the faults that are not among others.
func (fs Faults) Except(others Faults) Faults {
	known := make(map[string]bool, len(others))
	for _, f := range others {
		known[f.Error()] = true
	}
	var out Faults
	for _, f := range fs {
		if !known[f.Error()] {
			out = append(out, f)
		}
	}
	return out
}
