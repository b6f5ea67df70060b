package colour

import (
	"math"
	"slices"
)

// Trial is a mix that was made, and the colour that it had when dry.
type Trial struct {
	Of    []int     // the paints, by their places in a list
	Parts []float64 // of each, above 0
	Seen  Lab
}

// mostStrength is how many times weaker or stronger than the mean of those it was
// tried with a paint may be found to be. Assumption.
const mostStrength = 8.0

// pull is how strongly a strength is drawn to the mean where trials hardly tell:
// the square of a factor e weighs as much as the square of so many units of
// CIEDE2000. Assumption: an eye and a swatch are off by about 1.
const pull = 1.0

// LearnStrengths finds how strong each of some paints is in a mix, from mixes that
// were made: the strengths for which the predicted mixes lie nearest what was seen,
// in the sum of squared CIEDE2000 differences. Only what paints that were tried
// together are beside one another is told by that; their mean (of the logarithm)
// is 1, as is the strength of a paint of which there is no trial.
//
// Each strength is searched in turn while the others stand, from the paints with
// most trials outwards, until nothing moves.
func LearnStrengths(paints []Spectrum, trials []Trial) []float64 {
	l := learner{
		logs:   make([]float64, len(paints)),
		known:  make([]bool, len(paints)),
		trials: trials,
		of:     make([][]int, len(paints)),
	}
	for i := range paints {
		l.ks = append(l.ks, absorption(&paints[i]))
	}
	for i, t := range trials {
		for _, p := range t.Of {
			l.of[p] = append(l.of[p], i)
		}
	}
	for _, group := range l.groups() {
		l.learn(group)
	}
	out := make([]float64, len(paints))
	for i, x := range l.logs {
		out[i] = math.Exp(x)
	}
	return out
}

type learner struct {
	ks     []Spectrum // K/S
	trials []Trial
	of     [][]int   // the trials of each paint
	logs   []float64 // of the strengths
	known  []bool    // a first value was found
}

// groups are the paints with trials that hang together by them, each group from
// the paint with most trials outwards.
func (l *learner) groups() (out [][]int) {
	order := make([]int, len(l.of))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(l.of[b]) - len(l.of[a]) })
	in := make([]bool, len(l.of))
	for _, start := range order {
		if in[start] || len(l.of[start]) == 0 {
			continue
		}
		in[start] = true
		group := []int{start}
		for k := 0; k < len(group); k++ {
			for _, t := range l.of[group[k]] {
				for _, p := range l.trials[t].Of {
					if !in[p] {
						in[p] = true
						group = append(group, p)
					}
				}
			}
		}
		out = append(out, group)
	}
	return out
}

// rounds is how often the strengths of a group are gone through at most.
const rounds = 40

func (l *learner) learn(group []int) {
	l.known[group[0]] = true
	limit := math.Log(mostStrength)
	for round := range rounds {
		moved := 0.0
		for i, p := range group {
			if round == 0 && i == 0 {
				continue
			}
			was := l.logs[p]
			if round == 0 {
				l.logs[p] = l.search(p, -limit, limit, 48)
				l.known[p] = true
			} else {
				l.logs[p] = l.search(p, max(-limit, was-.5), min(limit, was+.5), 4)
			}
			moved = max(moved, math.Abs(l.logs[p]-was))
		}
		mean := 0.0
		for _, p := range group {
			mean += l.logs[p] / float64(len(group))
		}
		for _, p := range group {
			l.logs[p] -= mean
		}
		if moved < 1e-4 {
			return
		}
	}
}

// search is the strength (its logarithm) of a paint that suits its trials best: a
// coarse look first, since the distance may have two valleys, then golden section.
func (l *learner) search(p int, lo, hi float64, looks int) float64 {
	best, least := 0.0, math.Inf(1)
	for k := range looks + 1 {
		x := lo + (hi-lo)*float64(k)/float64(looks)
		if d := l.off(p, x); d < least {
			best, least = x, d
		}
	}
	step := (hi - lo) / float64(looks)
	lo, hi = max(lo, best-step), min(hi, best+step)
	golden := (math.Sqrt(5) - 1) / 2
	for hi-lo > 1e-5 {
		a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
		if l.off(p, a) <= l.off(p, b) {
			hi = b
		} else {
			lo = a
		}
	}
	return (lo + hi) / 2
}

// off is how badly a strength suits the trials of a paint whose other paints have
// a strength already.
func (l *learner) off(p int, log float64) float64 {
	was := l.logs[p]
	l.logs[p] = log
	defer func() { l.logs[p] = was }()
	sum := pull * log * log
	for _, i := range l.of[p] {
		t := &l.trials[i]
		if slices.ContainsFunc(t.Of, func(q int) bool { return q != p && !l.known[q] }) {
			continue
		}
		d := DeltaE(l.predicted(t), t.Seen)
		sum += d * d
	}
	return sum
}

func (l *learner) predicted(t *Trial) Lab {
	var s Spectrum
	total := 0.0
	for i, p := range t.Of {
		c := t.Parts[i] * math.Exp(l.logs[p])
		total += c
		for band, q := range l.ks[p] {
			s[band] += c * q
		}
	}
	for band := range s {
		s[band] = OpaqueReflectance(s[band] / total)
	}
	return s.Lab()
}
