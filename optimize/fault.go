package optimize

import (
	"fmt"
	"strings"
)

// mostFaults is how many faults one error lists; the rest are counted.
const mostFaults = 50

// A Fault is one thing wrong with a problem.
type Fault struct {
	Line, Column int    // place in the file, from 1, columns in characters; 0 where there is no file
	Path         string // such as needs[3].options[0].uses[1].ul, counted from 0; empty for the whole file
	Text         string // what was found and what was expected
}

func (f Fault) String() string {
	var b strings.Builder
	if f.Line > 0 {
		fmt.Fprintf(&b, "line %d, column %d: ", f.Line, f.Column)
	}
	if f.Path != "" {
		b.WriteString(f.Path + ": ")
	}
	return b.String() + f.Text
}

// MostCounted is how many faults beyond those listed are counted at most: a
// reader may stop there, since such a file is no problem at all.
const MostCounted = 100_000

// An InvalidError lists everything that is wrong with a problem, up to fifty
// faults in the order they were found; More counts the others.
type InvalidError struct {
	Faults []Fault
	More   int
}

// Error gives one line a fault.
func (e *InvalidError) Error() string {
	var lines []string
	for _, f := range e.Faults {
		lines = append(lines, f.String())
	}
	if e.More > 0 {
		over := ""
		if e.More >= MostCounted {
			over = "over "
		}
		lines = append(lines, fmt.Sprintf("and %s%d more", over, e.More))
	}
	return strings.Join(lines, "\n")
}

// Full says whether a further fault would only be counted.
func (e *InvalidError) Full() bool { return len(e.Faults) == mostFaults }

// Add notes one more fault.
func (e *InvalidError) Add(f Fault) {
	if e.Full() {
		e.More++
		return
	}
	e.Faults = append(e.Faults, f)
}

// OrNil is e where there is any fault, and else nil: it keeps an empty list from being taken for an error.
func (e *InvalidError) OrNil() error {
	if len(e.Faults) == 0 {
		return nil
	}
	return e
}
