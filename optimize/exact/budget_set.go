package exact

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
)

// openGroup is a group that can be finished, and is worth something.
type openGroup struct {
	index int   // index into Problem.Groups
	worth int64 // > 0
	needs []int // indices into Problem.Needs
}

// state says of each group whether it is finished.
type state []int8

const (
	undecided int8 = iota
	finished
	leftOut
)

// key is the state as the key of a map.
func (st state) key() string {
	b := make([]byte, len(st))
	for g, s := range st {
		b[g] = byte(s)
	}
	return string(b)
}

// cut bounds what finishing groups costs from below: base, and for each group
// its share. It holds for every set of groups at once, because the relaxed
// problem it comes from adds up over needs (see cutter).
type cut struct {
	base  float64
	share []float64
	order []int32 // groups by share for their worth, the cheapest first
}

// atLeast is what the finished groups of st cost at least.
func (c *cut) atLeast(st state) float64 {
	sum := c.base
	for g, s := range st {
		if s == finished {
			sum += c.share[g]
		}
	}
	return sum
}

// fill takes undecided groups by share for worth while they fit into room: the
// continuous knapsack. part is the group that fits only in part, -1 for none.
func (c *cut) fill(groups []openGroup, st state, room float64) (worth float64, part int) {
	for _, g := range c.order {
		if st[g] != undecided {
			continue
		}
		w, s := float64(groups[g].worth), c.share[g]
		if s > room {
			return worth + w*max(0, room)/s, int(g)
		}
		room -= s
		worth += w
	}
	return worth, -1
}

// reach is what undecided groups of the given worth together cost at least;
// +Inf where they don't come to it.
func (c *cut) reach(groups []openGroup, st state, worth int64) float64 {
	cost, left := 0.0, float64(worth)
	for _, g := range c.order {
		if left <= 0 {
			break
		}
		if st[g] != undecided {
			continue
		}
		w := float64(groups[g].worth)
		cost += c.share[g] * min(1, left/w)
		left -= w
	}
	if left > 0 {
		return math.Inf(1)
	}
	return cost
}

// knowledge is what is known about sets of groups: none that holds a no-good can
// be finished, nor one for which a cut passes the cap.
type knowledge struct {
	groups  []openGroup
	cap     float64 // in the cuts' weights
	cuts    []*cut
	noGoods [][]int32
}

func (k *knowledge) worth(st state, of int8) (sum int64) {
	for g, s := range st {
		if s == of {
			sum += k.groups[g].worth
		}
	}
	return sum
}

// propagate decides what follows from what is known; false where nothing that
// the state allows can be had.
func (k *knowledge) propagate(st state) bool {
	for changed := true; changed; {
		changed = false
		for _, c := range k.noGoods {
			last, open := int32(-1), 0
			for _, g := range c {
				switch st[g] {
				case undecided:
					last, open = g, open+1
				case leftOut:
					open = 2
				}
				if open > 1 {
					break
				}
			}
			if open == 0 {
				return false
			}
			if open == 1 {
				st[last], changed = leftOut, true
			}
		}
	}
	for _, c := range k.cuts {
		room := k.cap - c.atLeast(st)
		if room < 0 {
			return false
		}
		for g, s := range st {
			if s == undecided && c.share[g] > room {
				st[g] = leftOut
			}
		}
	}
	return true
}

// most is a bound on the worth that a propagated state allows. split is the
// group to decide next, and guess a completion that may well reach the bound.
func (k *knowledge) most(st state) (bound int64, split int, guess state) {
	sure, open := k.worth(st, finished), k.worth(st, undecided)
	bound, split = sure+open, -1
	var tight *cut
	for _, c := range k.cuts {
		w, part := c.fill(k.groups, st, k.cap-c.atLeast(st))
		if part < 0 {
			continue
		}
		// The share of a worth is rounded; the margin is far above that.
		if b := sure + int64(math.Floor(w*(1+1e-12)+1e-6)); b < bound || tight == nil && b == bound {
			bound, split, tight = b, part, c
		}
	}
	if b := sure + open - k.lost(st); b < bound {
		bound, tight = b, nil
	}
	guess = slices.Clone(st)
	room := math.Inf(1)
	if tight != nil {
		room = k.cap - tight.atLeast(st)
	}
	for g := range guess {
		if tight != nil {
			g = int(tight.order[g])
		}
		if guess[g] != undecided {
			continue
		}
		guess[g] = leftOut
		if tight == nil {
			guess[g] = finished
		} else if s := tight.share[g]; s <= room {
			room -= s
			guess[g] = finished
		}
	}
	if split < 0 { // any undecided group of the most worth
		for g, s := range st {
			if s == undecided && (split < 0 || k.groups[g].worth > k.groups[split].worth) {
				split = g
			}
		}
	}
	return bound, split, guess
}

// lost is worth that no-goods take away for certain: of each a group must be
// left out, and no-goods without a common undecided group don't share it.
func (k *knowledge) lost(st state) (sum int64) {
	type loss struct {
		least int64
		clash []int32
	}
	var losses []loss
	for _, c := range k.noGoods {
		least := int64(math.MaxInt64)
		for _, g := range c {
			if st[g] == leftOut {
				least = 0
				break
			}
			if st[g] == undecided {
				least = min(least, k.groups[g].worth)
			}
		}
		if least > 0 && least < math.MaxInt64 {
			losses = append(losses, loss{least, c})
		}
	}
	slices.SortStableFunc(losses, func(a, b loss) int { return cmp.Compare(b.least, a.least) })
	used := make([]bool, len(st))
	for _, l := range losses {
		if slices.ContainsFunc(l.clash, func(g int32) bool { return st[g] == undecided && used[g] }) {
			continue
		}
		for _, g := range l.clash {
			used[g] = used[g] || st[g] == undecided
		}
		sum += l.least
	}
	return sum
}

// allowed says whether nothing known speaks against finishing a decided set.
func (k *knowledge) allowed(st state) bool {
	for _, c := range k.cuts {
		if c.atLeast(st) > k.cap {
			return false
		}
	}
	for _, c := range k.noGoods {
		if !slices.ContainsFunc(c, func(g int32) bool { return st[g] != finished }) {
			return false
		}
	}
	return true
}

// addNoGood notes that the finished groups of st can't all be finished.
func (k *knowledge) addNoGood(st state) {
	var c []int32
	for g, s := range st {
		if s == finished {
			c = append(c, int32(g))
		}
	}
	k.noGoods = append(k.noGoods, c)
}

// branch is an open node of the search over sets of groups.
type branch struct {
	st     state
	key    float64 // the greatest is looked at first
	depth  int
	serial int
}

// branches is a heap of open nodes.
type branches struct {
	open []*branch
	next int
}

func (b *branches) Len() int { return len(b.open) }
func (b *branches) Less(i, j int) bool {
	x, y := b.open[i], b.open[j]
	return cmp.Or(cmp.Compare(y.key, x.key), cmp.Compare(y.depth, x.depth), cmp.Compare(x.serial, y.serial)) < 0
}
func (b *branches) Swap(i, j int) { b.open[i], b.open[j] = b.open[j], b.open[i] }
func (b *branches) Push(x any)    { b.open = append(b.open, x.(*branch)) }
func (b *branches) Pop() any {
	last := len(b.open) - 1
	x := b.open[last]
	b.open = b.open[:last]
	return x
}

func (b *branches) add(st state, key float64, depth int) {
	b.next++
	heap.Push(b, &branch{st, key, depth, b.next})
}

func (b *branches) take() *branch { return heap.Pop(b).(*branch) }

// split adds both ways to decide a group; finishing it is looked at first.
func (b *branches) split(from *branch, g int) {
	for _, s := range []int8{finished, leftOut} {
		st := slices.Clone(from.st)
		st[g] = s
		b.add(st, from.key, from.depth+1)
	}
}
