package colour

import (
	"cmp"
	"math"
	"sort"
)

// MixSearch says which mixes [MixSearch.Nearest] looks at.
type MixSearch struct {
	// MaxPaints is the most paints in a mix, 1 to 3.
	MaxPaints int
	// MaxParts is the most parts in all, 1 to 12; ratios are in lowest terms.
	MaxParts int
	// Within leaves out mixes further from the target than this (CIEDE2000, above 0).
	Within float64
	// Gain is what one paint more must better the difference by to be worth it, 0 or more.
	Gain float64
	// Enough is a difference that nobody sees (see [BandOf]); a mix so near is not
	// bettered by further paints. 0 or more.
	Enough float64
	// Stop is asked now and then, nil for never; true ends the search early.
	Stop func() bool

	patience int // steps before the search goes by circles; 0: [patience]
}

// NearMix is a mix, the paint with most parts first.
type NearMix struct {
	Of         []int // places in the list of ingredients
	Parts      []int
	Spectrum   Spectrum
	Difference float64 // CIEDE2000 from the target
}

// NearMixes is what a search found.
type NearMixes struct {
	// Best has the nearest mix of one paint, of two and of three, each only where
	// it is within reach and betters those with fewer paints by the gain asked.
	Best []NearMix
	// Proven[k-1]: no mix of k paints lies nearer than this. Unless the search was
	// stopped it is the difference of the best, or what had to be bettered.
	Proven [3]float64
	// Stopped tells that the search was ended before all was proven.
	Stopped bool
}

// Nearest finds, for each number of paints, the mix by whole parts that lies
// nearest the target. It is exact: mixes are left out only where bounds on every
// band of their spectra show that they lie too far away. Ties go to the first found,
// in an order that depends on the input alone.
func (m MixSearch) Nearest(target Lab, paints []Ingredient) NearMixes {
	var out NearMixes
	limit := m.Within
	t := plant(target, paints)
	for k := 1; k <= min(m.MaxPaints, 3, len(paints)); k++ {
		best, proven, stopped := m.nearestOf(k, target, paints, t, limit)
		out.Proven[k-1] = proven
		if best != nil {
			out.Best = append(out.Best, *best)
			limit = math.Min(limit, best.Difference-m.Gain)
		}
		out.Stopped = stopped
		if stopped || limit <= 0 || best != nil && best.Difference <= m.Enough {
			break
		}
	}
	return out
}

// circles are the radii, as parts of the best that is known, in which a search too
// long to end goes through all mixes: a small circle rules nearly everything out, and
// what is proven of it stands where the search is stopped.
var circles = []float64{0.16, 0.4, 1}

// patience is how many steps go to all within reach at once before the circles; a
// search among 300 paints takes at most a million or so.
const patience = 4_000_000

// nearestOf looks at mixes of k paints within limit, as near as the best that a guess
// has found.
func (m MixSearch) nearestOf(
	k int, target Lab, paints []Ingredient, t *grove, limit float64,
) (best *NearMix, proven float64, stopped bool) {
	w := walk{target: target, goal: goalOf(target), t: t, k: k, stop: m.Stop, best: limit}
	w.guess(m.MaxParts)
	if w.found {
		best = w.mix(paints)
	}
	limit = w.best
	through := func(within float64) (done bool) {
		w.found = false
		w.within(within)
		for _, parts := range ratios(k, m.MaxParts) {
			w.parts = parts
			root := int32(len(t.nodes) - 1)
			w.visit([3]int32{root, root, root})
		}
		if w.found {
			best, limit = w.mix(paints), w.best
		}
		if w.stopped || w.tired {
			return false
		}
		proven = w.best
		return true
	}
	w.patience = w.steps + cmp.Or(m.patience, patience)
	if !w.stopped && through(limit) {
		return best, proven, false
	}
	w.patience, w.tired = 0, false
	for _, part := range circles {
		if w.stopped || !through(part*limit) {
			return best, proven, true
		}
		if w.found {
			break
		}
	}
	return best, proven, false
}

// ratios are the ways to share at most most parts among k paints in lowest
// terms, most parts first.
func ratios(k, most int) (out [][3]int) {
	for a := 1; a <= most; a++ {
		switch k {
		case 1:
			if a == 1 {
				out = append(out, [3]int{1, 0, 0})
			}
		case 2:
			for b := 1; b <= a && a+b <= most; b++ {
				if gcd(a, b) == 1 {
					out = append(out, [3]int{a, b, 0})
				}
			}
		case 3:
			for b := 1; b <= a; b++ {
				for c := 1; c <= b && a+b+c <= most; c++ {
					if gcd(a, gcd(b, c)) == 1 {
						out = append(out, [3]int{a, b, c})
					}
				}
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		return out[i][0]+out[i][1]+out[i][2] < out[j][0]+out[j][1]+out[j][2]
	})
	return out
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
