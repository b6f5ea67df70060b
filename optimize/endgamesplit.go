package optimize

import "math"

// Where no more than so many needs, and boxes of several pots, are open, they
// are decided before who sells single pots: then the endgame takes over.
const (
	endNeeds = 20
	endSets  = 8
	anyNeeds = 4    // however large the gap is
	endNear  = 0.06 // see nearEndgame
)

// towardsEndgame splits on a shop, a need or a box of several pots, where
// deciding few of these leaves an endgame; nil elsewhere.
func (k *worker) towardsEndgame(d *domain, m *model, cut float64) []child {
	r := &k.relax
	if len(r.needs) > endNeeds || len(r.needs) > anyNeeds && !k.nearEndgame(cut) {
		return nil
	}
	sets, at := 0, int32(-1)
	for i, j := range r.offs {
		if r.conStart[i+1]-r.conStart[i] > 1 && d.lo[j] < d.hi[j] {
			sets++
			at = j
		}
	}
	if sets > endSets {
		return nil
	}
	for h := range m.bands {
		switch {
		case d.unused(h):
		case d.closed[h]:
			return sides(decision{shopShut, int32(h), 0}, decision{shopUsed, int32(h), 0})
		case d.bandLo[h] < d.bandHi[h]:
			return sides(decision{bandAtMost, int32(h), int32(d.bandLo[h])}, decision{bandAtLeast, int32(h), int32(d.bandLo[h]) + 1})
		}
	}
	// Whatever else the averaged answer leaves open, most open first.
	best := -1
	for i := range k.cands {
		if c := &k.cands[i]; c.down.kind != offerAtMost && c.open > 0.02 && (best < 0 || c.open > k.cands[best].open) {
			best = i
		}
	}
	if best >= 0 {
		c := &k.cands[best]
		return sides(c.down, c.up)
	}
	if c := k.branchOption(d, m); c != nil {
		return c
	}
	if at >= 0 {
		return sides(decision{offerAtMost, at, d.lo[at]}, decision{offerAtLeast, at, d.lo[at] + 1})
	}
	return nil
}

// nearEndgame says whether the gap is so small beside the price of a box that
// only cents are left to decide.
func (k *worker) nearEndgame(cut float64) bool {
	least := math.Inf(1)
	for j, price := range k.relax.offPrice {
		if k.relax.offLo[j] < k.relax.offHi[j] {
			least = min(least, price)
		}
	}
	return cut-k.asc.best.value < endNear*least
}
