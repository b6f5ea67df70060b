package inventory

import (
	"fmt"
	"sort"
	"strings"

	"github.com/agnivade/levenshtein"
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

// NearestText ends a message about a name that leads nowhere.
func NearestText(nearest func() []string) string {
	if nearest == nil {
		return ""
	}
	if names := nearest(); len(names) > 0 {
		return "; nearest: " + strings.Join(names, ", ")
	}
	return ""
}

// Near is [Nearest] with three names for later.
func Near(typed string, names []string) func() []string {
	return func() []string { return Nearest(typed, names, 3) }
}

// Err is fs as an error, nil where there is no fault.
func (fs Faults) Err() error {
	if len(fs) == 0 {
		return nil
	}
	return fs
}

// Nearest gives at most n of the names closest to what was typed, by
// Levenshtein distance without regard to case, nearest first. Names further
// off than half their length are no help and left out.
func Nearest(typed string, names []string, n int) []string {
	type near struct {
		name string
		d    int
	}
	t := strings.ToLower(typed)
	var all []near
	for _, name := range names {
		l := strings.ToLower(name)
		d := levenshtein.ComputeDistance(t, l)
		if t != "" && strings.Contains(l, t) {
			d = min(d, 1)
		}
		if d <= max(2, max(len(t), len(l))/2) {
			all = append(all, near{name, d})
		}
	}
	sort.SliceStable(all, func(i, j int) bool {
		if all[i].d != all[j].d {
			return all[i].d < all[j].d
		}
		return all[i].name < all[j].name
	})
	out := make([]string, 0, n)
	for _, a := range all[:min(n, len(all))] {
		out = append(out, a.name)
	}
	return out
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
