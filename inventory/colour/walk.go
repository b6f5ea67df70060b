package colour

import "sort"

// walk goes through the mixes of one ratio, node by node.
type walk struct {
	target  Lab
	goal    goal
	t       *grove
	k       int
	parts   [3]int
	stop    func() bool
	stopped bool
	steps   int
	// After patience steps, unless 0, the walk is tired and goes no further.
	patience int
	tired    bool
	near     region // around the target, within best
	best     float64
	found    bool
	of       [3]int32 // leaves
	in       [3]int   // parts of the best
	orders   [4][][3]int
	sums     [4]Spectrum // of the first slots, none first
}

// handful is how many mixes are worked out one by one rather than bounded: bounds of
// so few cost as much.
const handful = 16

// within sets the difference that mixes must not exceed.
func (w *walk) within(d float64) {
	w.best = d
	w.near = regionOf(w.target, d+slack)
}

func (w *walk) visit(at [3]int32) {
	if w.asked() {
		return
	}
	split, most, mixes := -1, -1.0, int32(1)
	for i := range w.k {
		n := &w.t.nodes[at[i]]
		mixes *= n.to - n.from
		if n.left < 0 {
			continue
		}
		if v := float64(w.parts[i]) * n.spread; v > most {
			split, most = i, v
		}
	}
	if mixes <= handful {
		w.each(&at, 0, 0, [3]int32{})
		return
	}
	if w.beyond(&at) {
		return
	}
	// Slots of equal parts that hold the same node are the same choice in
	// another order: the first few go left, the others right.
	var same [3]int
	alike := 0
	for i := range w.k {
		if at[i] == at[split] && w.parts[i] == w.parts[split] {
			same[alike] = i
			alike++
		}
	}
	n := &w.t.nodes[at[split]]
	for left := 0; left <= alike; left++ {
		next := at
		for j, i := range same[:alike] {
			next[i] = n.right
			if j < left {
				next[i] = n.left
			}
		}
		w.visit(next)
	}
}

// beyond says whether all mixes of the nodes' paints by the walk's parts surely lie
// further away than the best.
func (w *walk) beyond(at *[3]int32) bool {
	var lo, hi Spectrum // K/S, then reflectance
	var weakest, strongest float64
	for i := range w.k {
		n, p := &w.t.nodes[at[i]], float64(w.parts[i])
		weakest += p * n.weakest
		strongest += p * n.strongest
		for band := range lo {
			lo[band] += p * n.lo[band]
			hi[band] += p * n.hi[band]
		}
	}
	few, many := 1/strongest, 1/weakest
	for band := range lo { // more absorption is less reflectance
		bright, dim := OpaqueReflectance(lo[band]*few), OpaqueReflectance(hi[band]*many)
		lo[band], hi[band] = dim, bright
	}
	l := between(&lo, &hi)
	if w.near.misses(&l) {
		return true
	}
	b := l.lab()
	return !w.near.box.meets(&b) || w.goal.least(&b) > w.best+slack
}

// each tries all mixes of the nodes, slot by slot; sums and strength are of the
// leaves so far.
func (w *walk) each(at *[3]int32, slot int, strength float64, of [3]int32) {
	if slot == w.k {
		w.try(&w.sums[slot], strength, &of)
		return
	}
	n, p := &w.t.nodes[at[slot]], float64(w.parts[slot])
next:
	for i := n.from; i < n.to; i++ {
		for j := range slot {
			// A paint is not mixed with itself, and slots of equal parts take each
			// choice in one order.
			if of[j] == i || of[j] > i && at[j] == at[slot] && w.parts[j] == w.parts[slot] {
				continue next
			}
		}
		of[slot] = i
		l := &w.t.leaves[i]
		before, sum := &w.sums[slot], &w.sums[slot+1]
		for b := range sum {
			sum[b] = before[b] + p*l.ks[b]
		}
		w.each(at, slot+1, strength+p*l.strength, of)
	}
}

// try works one mix out.
func (w *walk) try(sum *Spectrum, strength float64, of *[3]int32) {
	v := lightOfMix(sum, strength)
	if w.near.miss(&v) {
		return
	}
	if d := DeltaE(labOf(&v), w.target); d < w.best || d == w.best && !w.found {
		w.found, w.in, w.of = true, w.parts, *of
		w.within(d)
	}
}

// lightOfMix is the light of an opaque mix whose strength times K/S sums up to sum.
func lightOfMix(sum *Spectrum, strength float64) (v [3]float64) {
	share := 1 / strength
	for b := range sum {
		r := OpaqueReflectance(sum[b] * share)
		v[0] += r * lightOf[b][0]
		v[1] += r * lightOf[b][1]
		v[2] += r * lightOf[b][2]
	}
	return v
}

// labOf is the colour of light.
func labOf(v *[3]float64) Lab {
	y := labF(v[0])
	return Lab{116*y - 16, 500 * (labF(v[0]+v[1]) - y), 200 * (y - labF(v[0]-v[2]))}
}

// asked asks now and then whether to stop, and counts what was looked at.
func (w *walk) asked() bool {
	if w.steps++; w.steps&1023 == 0 && w.stop != nil && w.stop() {
		w.stopped = true
	}
	if w.steps == w.patience {
		w.tired = true
	}
	return w.stopped || w.tired
}

// mix is the best that was found.
func (w *walk) mix(paints []Ingredient) *NearMix {
	m := &NearMix{Difference: w.best}
	var of []Ingredient
	var parts []float64
	slots := []int{0, 1, 2}[:w.k]
	sort.SliceStable(slots, func(i, j int) bool { return w.in[slots[i]] > w.in[slots[j]] })
	for _, i := range slots {
		p := w.t.leaves[w.of[i]].paint
		m.Of = append(m.Of, int(p))
		m.Parts = append(m.Parts, w.in[i])
		of, parts = append(of, paints[p]), append(parts, float64(w.in[i]))
	}
	m.Spectrum, _ = Mix(of, parts)
	return m
}
