package exact

import "slices"

// translate takes rows over from the form of a larger model of the same
// problem. What that had and this has not can't be part of a plan that is still
// wanted; a paint without a user left need not count as bought.
func (l *linear) translate(from *linear, rows []*linearRow) (out []*linearRow) {
	to := l.termMap(from)
	for _, r := range rows {
		t := &linearRow{lower: r.lower, upper: r.upper, kind: r.kind}
		ok := true
		for k, old := range r.terms {
			switch {
			case to[old] >= 0:
				t.merge(to[old], r.coefs[k])
			case to[old] == termUnknown:
				ok = false
			}
		}
		if ok && len(t.terms) > 0 {
			out = append(out, t)
		}
	}
	return out
}

const (
	termGone    = -1 // it is 0 in all plans still wanted
	termUnknown = -2
)

func (l *linear) termMap(from *linear) []int32 {
	old, m := from.m, l.m
	to := make([]int32, from.terms)
	for t := range to {
		to[t] = termGone
	}
	at := 0
	for o := range old.optNeed {
		if at < len(m.optNeed) && m.optNeed[at] == old.optNeed[o] && m.optPick[at][0] == old.optPick[o][0] {
			to[o] = int32(at)
			at++
		}
	}
	at = 0
	for j := range old.offOrig {
		if at < len(m.offOrig) && m.offOrig[at] == old.offOrig[j] {
			to[from.xAt+int32(j)] = l.xAt + int32(at)
			at++
		}
	}
	for q, orig := range old.paintOrig {
		k := int32(slices.Index(m.paintOrig, orig))
		unit := from.unitAt + int32(q)
		to[unit] = termUnknown
		if k >= 0 {
			to[from.someAt+int32(q)] = l.someAt + k
			if t, units := l.unitTerm(k); units == 1 {
				to[unit] = t
			}
		}
		for c := from.potStart[q]; c < from.potStart[q+1]; c++ {
			to[from.potAt+c] = termUnknown
			if k < 0 {
				continue
			}
			to[from.potAt+c] = termGone
			for d := l.potStart[k]; d < l.potStart[k+1]; d++ {
				if l.potUL[d] == from.potUL[c] {
					to[from.potAt+c] = l.pot(d)
				}
			}
		}
	}
	for h := range m.bands {
		to[from.shopAt+int32(h)] = l.shopAt + int32(h)
		to[from.extraAt+int32(h)] = l.extraAt + int32(h)
		for b := range m.bands[h] {
			to[from.bandAt+from.bandOff[h]+int32(b)] = l.bandAt + l.bandOff[h] + int32(b)
		}
	}
	return to
}
