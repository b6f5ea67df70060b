package exact

import (
	"math"

	"halfpot/optimize/lp"
)

// A node whose answer uses every shop and band whole may still have shops open that the
// answer leaves alone. Settled one by one, they make it an endgame.

// shopTryPivots is how many pivots show whether the answer can do otherwise at a shop.
const shopTryPivots = 200

// settleShops splits a node on the first of these shops that can't be ruled out, with the
// side that the answer is on first; what trying rules out is forced.
func (k *worker) settleShops(s *search, d *domain, cut float64) (children []child, forced []decision) {
	p := k.program
	if !p.lp.Mark() {
		return nil, nil
	}
	for h := range int32(len(s.m.bands)) {
		keep, other, ok := p.atShop(d, h)
		if !ok {
			continue
		}
		bound := p.tryOther(other)
		if bound > s.tieCutoff(cut) {
			forced = append(forced, keep)
			continue
		}
		if children == nil {
			children = []child{{decision: keep, bound: p.bound}, {decision: other, bound: bound}}
		}
	}
	if children == nil && forced != nil {
		children = []child{{decision: forced[0], bound: p.bound}}
	}
	return children, forced
}

// atShop is what the answer does at shop h, and the rest of what is open there; ok is
// false where nothing is.
func (p *program) atShop(d *domain, h int32) (keep, other decision, ok bool) {
	if d.settled(int(h)) {
		return keep, other, false
	}
	if d.closed[h] {
		shut, used := decision{shopShut, h, 0}, decision{shopUsed, h, 0}
		if p.v[p.l.shopAt+h] < 0.5 {
			return shut, used, true
		}
		return used, shut, true
	}
	at := d.bandLo[h]
	for b := d.bandLo[h]; b <= d.bandHi[h]; b++ {
		if p.v[p.l.bandAt+p.l.bandOff[h]+int32(b)] > 0.5 {
			at = b
		}
	}
	if at > d.bandLo[h] {
		return decision{bandAtLeast, h, int32(at)}, decision{bandAtMost, h, int32(at) - 1}, true
	}
	return decision{bandAtMost, h, int32(at)}, decision{bandAtLeast, h, int32(at) + 1}, true
}

// probe takes from the domain shops and bands whose use, or whose absence, costs too much,
// as far as so many pivots show.
func (v *linearVisit) probe(pivots int) (changed bool) {
	p, s := v.p, v.s
	if pivots == 0 || math.IsInf(v.cutoff, 1) || !p.lp.Mark() {
		return false
	}
	base, cut := float64(p.l.base), s.tieCutoff(v.cutoff)
	p.lp.Limit(cut-base+s.grain/2, p.stop)
	for t := p.l.shopAt; t < p.l.extraAt; t++ {
		c := p.l.col[t]
		if c < 0 {
			continue
		}
		if col := p.lp.Column(int(c)); col.Lower == col.Upper {
			continue
		}
		for side := range int64(2) {
			if math.Abs(p.v[t]-float64(side)) < wholeTol {
				continue // the answer is on that side
			}
			var proof lp.Certificate
			if p.lp.Try(int(c), side, side, pivots, &proof)+base > cut && proof.Bound()+base > cut {
				changed = p.l.narrow(v.d, t, 1-side, 1-side) || changed
			}
		}
	}
	return changed
}

// tryOther is a bound on what is at the other side of a shop.
func (p *program) tryOther(other decision) float64 {
	l, h := p.l, other.index
	c, lo, hi := l.col[l.shopAt+h], int64(0), int64(0)
	switch other.kind {
	case shopUsed:
		lo, hi = 1, 1
	case bandAtMost, bandAtLeast: // at least not in the band that it is in now
		at := other.value + 1
		if other.kind == bandAtLeast {
			at = other.value - 1
		}
		c = l.col[l.bandAt+l.bandOff[h]+at]
	}
	if c < 0 {
		return p.bound
	}
	var proof lp.Certificate
	p.lp.Try(int(c), lo, hi, shopTryPivots, &proof)
	return math.Max(p.bound, proof.Bound()+float64(l.base))
}
