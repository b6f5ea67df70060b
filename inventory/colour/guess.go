package colour

import "math"

// guess finds a good mix fast, so that the search has a small circle to look
// through: paints are added one by one, each the best beside those before it, then
// exchanged one by one until none is better.
func (w *walk) guess(most int) {
	var leaves []int32
	for i := range w.t.nodes {
		if w.t.nodes[i].left < 0 {
			leaves = append(leaves, int32(i))
		}
	}
	var set [3]int32
	best, in := math.Inf(1), [3]int{}
	// fit puts the best paint into a slot beside the n-1 others.
	fit := func(slot, n int, least float64) float64 {
		at, chosen := set, set
		for _, q := range leaves {
			used := false
			for i := range n {
				used = used || i != slot && set[i] == q
			}
			if used {
				continue
			}
			at[slot] = q
			for _, parts := range w.arranged(n, most) {
				if w.stop != nil && w.asked() {
					return least
				}
				if d := w.difference(&at, &parts, n); d < least {
					least, chosen, in = d, at, parts
				}
			}
		}
		set = chosen
		return least
	}
	for n := 1; n <= w.k; n++ {
		best = fit(n-1, n, math.Inf(1))
	}
	for better := !math.IsInf(best, 1); better && !w.stopped; {
		better = false
		for slot := range w.k {
			if d := fit(slot, w.k, best); d < best {
				best, better = d, true
			}
		}
	}
	if best < w.best {
		w.best, w.found, w.in = best, true, in
		for i := range w.k {
			w.of[i] = w.t.nodes[set[i]].paint
		}
	}
}

// asked asks now and then whether to stop.
func (w *walk) asked() bool {
	if w.steps++; w.steps&1023 == 0 && w.stop() {
		w.stopped = true
	}
	return w.stopped
}

// arranged are the ratios of n paints in every order.
func (w *walk) arranged(n, most int) [][3]int {
	if w.orders[n] == nil {
		for a := 1; a <= most; a++ {
			switch n {
			case 1:
				w.orders[1] = [][3]int{{1, 0, 0}}
			case 2:
				for b := 1; a+b <= most; b++ {
					if gcd(a, b) == 1 {
						w.orders[2] = append(w.orders[2], [3]int{a, b, 0})
					}
				}
			case 3:
				for b := 1; a+b <= most; b++ {
					for c := 1; a+b+c <= most; c++ {
						if gcd(a, gcd(b, c)) == 1 {
							w.orders[3] = append(w.orders[3], [3]int{a, b, c})
						}
					}
				}
			}
		}
	}
	return w.orders[n]
}

// difference is how far a mix of n leaves lies from the target.
func (w *walk) difference(at *[3]int32, parts *[3]int, n int) float64 {
	l := w.seen(at, parts, n)
	return DeltaE(l, w.target)
}

// seen is the colour of a mix of n leaves.
func (w *walk) seen(at *[3]int32, parts *[3]int, n int) Lab {
	var s Spectrum
	var strength float64
	for i := range n {
		leaf, p := &w.t.nodes[at[i]], float64(parts[i])
		strength += p * leaf.weakest
		for band := range s {
			s[band] += p * leaf.lo[band]
		}
	}
	for band := range s {
		s[band] = OpaqueReflectance(s[band] / strength)
	}
	return s.Lab()
}
