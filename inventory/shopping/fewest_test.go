package shopping

import (
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
)

func TestFewestPaintsThatDoAll(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	owned := []string{"a", "b", "c", "d", "e", "f"}
	for round := range 60 {
		var tasks [][][]string
		for range 1 + r.IntN(4) {
			var ways [][]string
			for range 1 + r.IntN(3) {
				way := []string{owned[r.IntN(len(owned))]}
				if x := owned[r.IntN(len(owned))]; r.IntN(3) == 0 && x != way[0] {
					way = append(way, x)
				}
				if r.IntN(8) == 0 {
					way[0] = "not owned"
				}
				ways = append(ways, way)
			}
			tasks = append(tasks, ways)
		}
		done := func(has func(string) bool) (n int) {
			for _, ways := range tasks {
				if slices.ContainsFunc(ways, func(w []string) bool {
					return !slices.ContainsFunc(w, func(id string) bool { return !has(id) })
				}) {
					n++
				}
			}
			return n
		}
		all := done(func(id string) bool { return slices.Contains(owned, id) })
		fewest := len(owned)
		for set := range uint(1) << len(owned) {
			if done(func(id string) bool {
				i := slices.Index(owned, id)
				return i >= 0 && set>>i&1 == 1
			}) == all {
				fewest = min(fewest, bits.OnesCount(set))
			}
		}
		keep, proven, err := Fewest(ctx, realSolve, owned, tasks)
		if err != nil || !proven || len(keep) != fewest ||
			done(func(id string) bool { return slices.Contains(keep, id) }) != all {
			t.Fatalf("round %d: %v (proven %v, %v), want %d paints that do %d tasks",
				round, keep, proven, err, fewest, all)
		}
	}
}
