package exact

import "math"

// A search by the linear relaxation does not know how far the best plan at hand is from
// the least: with its cost for a cutoff, nodes stay as large as the gap is wide. So it
// guesses first that a plan weighs little more than the root's bound. Where there is
// none, the guess is proven as a bound, and a higher one follows. What a search below a
// guess takes grows so fast with it that the last one takes most of the time; so a low
// guess costs little, and one that is just high enough saves what too dear a plan wastes.

// guessShares are the guesses, in shares of the gap between the root's bound and the best plan.
var guessShares = [...]float64{0.25, 0.5, 0.75, 0.875}

// guessLeast is the share of the best plan's weight that must be open for guesses to pay.
const guessLeast = 0.001

// For tests: whether small searches guess too, and whether no node looks for plans, so that
// one that is lost is missed.
var guessForced, blind bool

// guess is what the search takes to be more than the least weight, until it is proven
// not to be.
type guess struct {
	most float64 // what plans may weigh; +Inf: anything
	m    *model  // as it was, and
	base *node   // the root, where nothing is left out for a guess
	from float64 // its bound
	gap  float64 // and what was open there
	turn int
}

// guessFirst makes the first guess where the search has bounded its root.
func (s *search) guessFirst() (made bool) {
	if s.guess != nil || s.inner || s.incumbent == nil {
		return false
	}
	gap := s.upper - s.root.bound
	if !guessForced && (s.small || len(s.m.members) > manyNeeds || gap < guessLeast*math.Abs(s.upper)) {
		return false
	}
	s.guess = &guess{m: s.m, base: s.root, from: s.root.bound, gap: gap}
	s.guess.next(s)
	return true
}

// next takes the next guess; above all shares, there is none.
func (g *guess) next(s *search) {
	g.most = math.Inf(1)
	if g.turn < len(guessShares) {
		g.most = math.Floor((g.from+guessShares[g.turn]*g.gap)/s.grain) * s.grain
		g.turn++
	}
}

// guessHigher begins again at the root where nothing weighs as little as was guessed.
func (s *search) guessHigher() bool {
	g := s.guess
	if g == nil || g.most >= s.beat() {
		return false
	}
	s.floor = max(s.floor, g.most+s.grain)
	for g.most < s.floor {
		g.next(s)
	}
	if s.m != g.m {
		s.take(g.m)
	}
	s.root = g.base
	s.restart()
	return true
}

// within is a bound of what is open, as far as it holds for all plans.
func (s *search) within(bound float64) float64 {
	if s.guess != nil && s.guess.most < s.beat() {
		bound = min(bound, s.guess.most+s.grain)
	}
	return min(max(bound, s.floor), s.upper)
}
