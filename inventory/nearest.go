package inventory

import (
	"slices"
	"sort"
	"strings"

	"github.com/agnivade/levenshtein"
)

// Nearest gives at most n of the names closest to what was typed, by
// Levenshtein distance without regard to case, nearest first; letters in another order
// count as one slip. Names further off than half their length are no help and left out.
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
		if len(t) == len(l) && lettersOf(t) == lettersOf(l) { // two of them change places
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

// lettersOf is the letters of a word in the order of the alphabet.
func lettersOf(word string) string {
	b := []byte(word)
	slices.Sort(b)
	return string(b)
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
