package colour

import "math"

// guess finds a good mix fast, so that the search has a small circle to look
// through: paints are added one by one, each the best beside those before it, then
// exchanged one by one until none is better.
func (w *walk) guess(most int) {
	var set [3]int32
	best, in := math.Inf(1), [3]int{}
	var near region
	// fit puts the best paint into a slot beside the n-1 others.
	fit := func(slot, n int, least float64) float64 {
		chosen := set
		for _, parts := range w.arranged(n, most) {
			var beside Spectrum
			strength := 0.0
			for i := range n {
				if i != slot {
					w.add(&beside, &strength, set[i], parts[i])
				}
			}
		next:
			for q := range w.t.leaves {
				for i := range n {
					if i != slot && set[i] == int32(q) {
						continue next
					}
				}
				if w.asked() {
					return least
				}
				sum, all := beside, strength
				w.add(&sum, &all, int32(q), parts[slot])
				if v := lightOfMix(&sum, all); math.IsInf(least, 1) || !near.miss(&v) {
					if d := DeltaE(labOf(&v), w.target); d < least {
						least, in, chosen = d, parts, set
						chosen[slot] = int32(q)
						near = regionOf(w.target, least+slack)
					}
				}
			}
		}
		set = chosen
		return least
	}
	for n := 1; n <= w.k; n++ { // as far off as need be
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
			w.of[i] = set[i]
		}
	}
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

// add puts parts of a leaf to a mix.
func (w *walk) add(sum *Spectrum, strength *float64, of int32, parts int) {
	l, p := &w.t.leaves[of], float64(parts)
	*strength += p * l.strength
	for b := range sum {
		sum[b] += p * l.ks[b]
	}
}
