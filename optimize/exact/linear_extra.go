package exact

import (
	"math"

	"halfpot/optimize/lp"
)

// The relaxation spends any amount on goods that nobody needs, to the cent that an order
// lacks to its threshold. Where the cheapest box costs more, its answer may be whole in
// all else and yet no plan. What is spent there is a sum of prices: it is no more than
// the sum below the answer's, or no less than the one above.

// extraLeast is by how many units of money an answer must miss such a sum to be split on it.
const extraLeast = 0.01

// extraSplit is the split at the shop where the answer misses such a sum most, if any.
func (p *program) extraSplit() (best []sumSplit) {
	l := p.l
	for h := range l.m.bands {
		t := l.extraAt + int32(h)
		r, v := &l.m.reach[h], p.v[t]
		if l.col[t] < 0 || v < extraLeast || v > float64(r.top) {
			continue
		}
		col := p.lp.Column(int(l.col[t]))
		c := sumSplit{
			terms: []int32{t},
			coefs: []int64{1},
			row:   lp.Row{Cols: []int32{l.col[t]}, Coefs: []int64{1}, Lower: col.Lower, Upper: col.Upper},
			at:    r.within(int64(math.Floor(v + extraLeast))),
			next:  r.closing(int64(math.Ceil(v - extraLeast))),
		}
		c.open = min(v-float64(c.at), float64(c.next)-v)
		// Beyond what the table spans, every sum counts.
		if c.open > extraLeast && c.next <= r.top && (best == nil || c.open > best[0].open) {
			best = []sumSplit{c}
		}
	}
	return best
}
