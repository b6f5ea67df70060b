package estimate

import (
	"strings"

	"halfpot/inventory"
)

// unitStep is a step of a unit.
type unitStep struct{ unit, step string }

// matcher knows which steps of which units must look alike, and with which
// mix they were begun.
type matcher struct {
	labels map[unitStep]string
	begun  map[string]string // by label
	own    map[unitStep]string
}

// newMatcher joins rules that share a step of a unit into one label, because
// looking alike carries over: straps like belts, and belts like boots.
func newMatcher(f *inventory.Force, idx *inventory.Index) *matcher {
	m := &matcher{labels: map[unitStep]string{}, begun: map[string]string{}, own: map[unitStep]string{}}
	for _, w := range f.Done {
		if w.Mix != "" {
			m.own[unitStep{w.Unit, w.Step}] = w.Mix
		}
	}
	if len(f.Match) == 0 {
		return m
	}
	parent := make([]int, len(f.Match))
	for i := range parent {
		parent[i] = i
	}
	root := func(i int) int {
		for parent[i] != i {
			i = parent[i]
		}
		return i
	}
	rule := map[unitStep]int{}
	for _, u := range f.Units {
		r := idx.Recipes[u.Recipe]
		if r == nil {
			continue
		}
		for i := range r.Steps {
			at := unitStep{u.ID, r.Steps[i].ID}
			for j, match := range f.Match {
				if !match.Covers(u.ID, &r.Steps[i]) {
					continue
				}
				if first, taken := rule[at]; taken {
					parent[root(j)] = root(first)
				} else {
					rule[at] = j
				}
			}
		}
	}
	names := map[int][]string{}
	for j, match := range f.Match {
		names[root(j)] = append(names[root(j)], match.Label)
	}
	for at, j := range rule {
		label := strings.Join(names[root(j)], " + ")
		m.labels[at] = label
	}
	for _, w := range f.Done { // in order, so that the last word counts whatever the map's order
		if at := (unitStep{w.Unit, w.Step}); w.Mix != "" && m.labels[at] != "" {
			m.begun[m.labels[at]] = w.Mix
		}
	}
	return m
}

// label is the match label of a step of a unit, "" where it is free.
func (m *matcher) label(at unitStep) string { return m.labels[at] }

// mix is the key of the mix that a step of a unit, or one that must look like
// it, was begun with; "" where none is known.
func (m *matcher) mix(at unitStep) string {
	if l := m.labels[at]; l != "" && m.begun[l] != "" {
		return m.begun[l]
	}
	return m.own[at]
}

// doneBySteps is [inventory.Force.DoneOn] for all steps at once, without the cap.
func doneBySteps(f *inventory.Force) map[unitStep]int {
	m := make(map[unitStep]int, len(f.Done))
	for _, w := range f.Done {
		m[unitStep{w.Unit, w.Step}] += w.Figures
	}
	return m
}
