package exact

import (
	"cmp"
	"math"
	"slices"
)

// branching is a way to branch on a node: two decisions that leave no plan out.
type branching struct{ down, up decision }

func onShop(h int) branching {
	return branching{decision{shopShut, int32(h), 0}, decision{shopUsed, int32(h), 0}}
}

func onBand(h int, at int16) branching {
	return branching{decision{bandAtMost, int32(h), int32(at)}, decision{bandAtLeast, int32(h), int32(at) + 1}}
}

func onPaint(q, at int32) branching {
	return branching{decision{paintAtMost, q, at}, decision{paintAtLeast, q, at + 1}}
}

func onOffer(j, at int32) branching {
	return branching{decision{offerAtMost, j, at}, decision{offerAtLeast, j, at + 1}}
}

func onOption(o int32) branching {
	return branching{decision{optionLeft, o, 0}, decision{optionTaken, o, 0}}
}

// candidate is a branching that may be chosen.
type candidate struct {
	branching
	guess float64 // larger looks better
	tried float64
	open  float64 // how far the averaged answer is from deciding it, 0 to 0.5
	doubt float64 // the same by what is at stake
}

// candidates are the branchings that are in doubt by the averaged answer: on shops
// and bands as long as there are any, then on paints, options and offers.
func (k *worker) candidates(s *search, d *domain) []candidate {
	k.cands = k.shopCandidates(k.cands[:0], s.m, d)
	if len(k.cands) == 0 {
		k.cands = k.paintCandidates(k.cands)
		k.cands = k.optionCandidates(k.cands)
		k.cands = k.offerCandidates(k.cands, d)
	}
	return k.cands
}

// shopGuess is what a shop or a band counts for at least: more than any score.
const shopGuess = 10

// Candidates that the averaged answer has decided but for so little are none.
const (
	shopDecided   = 0.02
	optionDecided = 0.02
	mixDecided    = 0.1
	offerDecided  = 0.01
)

// doubt is how unsure the averaged answer is of a paint.
type doubt struct {
	paint int32
	at    int32 // units to branch at
	open  float64
	size  float64
}

// stepGuess guesses the rise with at most and with more than c.at units.
func (k *worker) stepGuess(c doubt) (down, up float64) {
	down, up = never, never
	for i, l := range k.relax.stepLosses(k.volume.best, int(c.paint)) {
		first, last := k.relax.stepRun(int(c.paint), i)
		sure := int32(k.relax.boxes[c.paint])
		if sure+first <= c.at {
			down = min(down, l.gain)
		}
		if sure+last > c.at {
			up = min(up, l.gain)
		}
	}
	k.est.begin()
	slack := k.est.a.slack(&k.relax, &k.est.p, c.paint)
	if k.relax.boxes[c.paint]+k.volume.best.units[c.paint] <= float64(c.at) {
		up += slack
	}
	return down, up
}

// guessMost is how many paints are guessed at.
const guessMost = 80

func (k *worker) shopCandidates(out []candidate, m *model, d *domain) []candidate {
	a := k.volume
	for h := range m.bands {
		if d.unused(h) {
			continue
		}
		if d.closed[h] {
			if f := min(a.used[h], 1-a.used[h]); f > shopDecided {
				out = append(out, candidate{branching: onShop(h), guess: shopGuess + f, open: 0.5})
			} else if a.used[h] > 0.5 && d.bandLo[h] < d.bandHi[h] {
				out = append(out, candidate{branching: onShop(h), guess: shopGuess, open: 0.5})
			}
			continue
		}
		if d.bandLo[h] < d.bandHi[h] {
			at := min(max(a.best.shop[h].band, d.bandLo[h]), d.bandHi[h]-1)
			out = append(out, candidate{branching: onBand(h, at), guess: shopGuess, open: 0.5})
		}
	}
	return out
}

// paintCandidates are paints of which it is open whether any is bought, or how many.
func (k *worker) paintCandidates(out []candidate) []candidate {
	r, a := &k.relax, k.volume
	clear(a.count)
	for j := range r.offs {
		for c := r.conStart[j]; c < r.conStart[j+1]; c++ {
			a.count[r.conPaint[c]] += a.x[j] * r.conUnits[c]
		}
	}
	k.est.reset(r, a.best)
	k.doubt = k.doubt[:0]
	for q, p := range r.paints {
		if at, ok := k.splitAt(p, a.count[q]); ok {
			f := min(max(a.count[q]-float64(at), 0), 1)
			f = min(f, 1-f)
			k.doubt = append(k.doubt, doubt{int32(q), at, f, f * (a.best.worth[q] + a.best.base[q] + 1)})
		}
	}
	// Guessing takes time: where there are many, only those most in doubt.
	if len(k.doubt) > guessMost {
		slices.SortStableFunc(k.doubt, func(a, b doubt) int { return cmp.Compare(b.size, a.size) })
		k.doubt = k.doubt[:guessMost]
	}
	for _, c := range k.doubt {
		guess := 0.0
		switch {
		case r.steps[c.paint] > 0:
			guess = k.score(k.stepGuess(c))
		case c.at > 0:
			guess = k.score(a.best.worth[c.paint]*c.size, 0)
		default:
			guess = k.score(k.est.none(c.paint), k.est.some(c.paint))
		}
		out = append(out, candidate{
			branching: onPaint(r.paints[c.paint], c.at),
			guess:     guess,
			open:      c.open,
			doubt:     c.size,
		})
	}
	return out
}

func (k *worker) optionCandidates(out []candidate) []candidate {
	r, a := &k.relax, k.volume
	for i, o := range r.oneOpt {
		if v := min(a.yOne[i], 1-a.yOne[i]); r.oneStock[i] && v > optionDecided {
			left, taken := k.est.left(int32(i)), k.est.taken(int32(i))
			out = append(out, candidate{branching: onOption(o), guess: k.score(left, taken), open: v})
		}
	}
	for i, o := range r.anyOpt {
		if v := min(a.y[i], 1-a.y[i]); v > mixDecided {
			out = append(out, candidate{branching: onOption(o), guess: v * 1e-3, open: v})
		}
	}
	return out
}

func (k *worker) offerCandidates(out []candidate, d *domain) []candidate {
	r, a := &k.relax, k.volume
	for j, orig := range r.offs {
		x := a.x[j]
		if d.lo[orig] >= d.hi[orig] || x < offerDecided {
			continue
		}
		at := min(max(int32(math.Floor(x)), d.lo[orig]), d.hi[orig]-1)
		if x > 1-offerDecided && at > d.lo[orig] {
			at--
		}
		red := a.best.first[j] - a.best.shop[r.offShop[j]].nu*r.offPrice[j]
		out = append(out, candidate{
			branching: onOffer(orig, at),
			guess:     k.score(max(0, -red), max(0, red)),
			open:      min(x-math.Floor(x), math.Ceil(x)-x),
		})
	}
	return out
}

// splitAt is the number of units of paint p to branch at, nearest to the
// averaged answer's; false where the number is settled.
func (k *worker) splitAt(p int32, mean float64) (int32, bool) {
	lo, hi := k.facts.boxes[p], k.facts.boxes[p]+k.facts.room[p]
	if hi <= lo {
		return 0, false
	}
	at := lo
	if steps := k.relax.steps[k.relax.paintAt[p]]; steps > 0 {
		at = min(max(int32(math.Floor(mean+0.02)), lo), lo+steps-1)
		if mean-float64(at) < 0.02 && at > lo {
			at--
		}
	} else if f := k.facts; f.most[p]-f.demand[p] <= f.slack[p] {
		return 0, false // what is sure to be bought is enough
	}
	return at, true
}
