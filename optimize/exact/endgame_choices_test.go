package exact

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfpot/optimize/internal/testkit"
)

// TestChoices compares the options chosen by the linear relaxation with the best of all
// choices; with few nodes, its bound must not lie above them.
func TestChoices(t *testing.T) {
	defer func(nodes int) { choiceNodes = nodes }(choiceNodes)
	whole := choiceNodes
	given, full := 0, 0
	for seed := range uint64(testkit.Few(500, 20000)) {
		rng := rand.New(rand.NewPCG(seed, 41))
		a := &potWalk{grain: float64(rng.IntN(3)) * 512, first: []int32{0}}
		n := 1 + rng.IntN(3)
		for range n {
			a.room = append(a.room, rng.Int64N(40))
		}
		for at := range 1 + rng.IntN(6) {
			a.order = append(a.order, at)
			for o := range 1 + rng.IntN(4) {
				a.option = append(a.option, int32(o))
				a.costs = append(a.costs, a.grain*float64(rng.IntN(7)))
				for range n {
					a.takes = append(a.takes, rng.Int64N(12)*rng.Int64N(2))
				}
			}
			a.first = append(a.first, int32(len(a.option)))
		}
		best := math.Inf(1)
		everyChoice(a, func(_ []int, cost float64) { best = min(best, cost) })

		choiceNodes = whole
		if rng.IntN(3) == 0 {
			choiceNodes = 1 + rng.IntN(3)
		}
		cost, picks, exact := a.choose(0)
		switch {
		case !exact && cost > best:
			t.Fatalf("seed %d: at least %v, but %v will do", seed, cost, best)
		case !exact:
			given++
		case cost != best:
			t.Fatalf("seed %d: %v, but the best choice costs %v", seed, cost, best)
		case math.IsInf(cost, 1):
			full++
		default:
			found := false
			everyChoice(a, func(p []int, c float64) {
				same := c == cost
				for at := range p {
					same = same && p[at] == picks[at]
				}
				found = found || same
			})
			if !found {
				t.Fatalf("seed %d: %v is not a choice of cost %v within the room", seed, picks, cost)
			}
		}
	}
	if given == 0 || full == 0 {
		t.Errorf("%d given up, %d without room: none tried", given, full)
	}
}

// everyChoice yields each choice of options within the room, and its cost.
func everyChoice(a *potWalk, yield func(picks []int, cost float64)) {
	n := len(a.room)
	picks := make([]int, len(a.order))
	var from func(at int, cost float64)
	from = func(at int, cost float64) {
		if at == len(a.order) {
			for _, left := range a.room {
				if left < 0 {
					return
				}
			}
			yield(picks, cost)
			return
		}
		for o := a.first[at]; o < a.first[at+1]; o++ {
			picks[at] = int(a.option[o])
			for i := range n {
				a.room[i] -= a.takes[int(o)*n+i]
			}
			from(at+1, cost+a.costs[o])
			for i := range n {
				a.room[i] += a.takes[int(o)*n+i]
			}
		}
	}
	from(0, 0)
}
