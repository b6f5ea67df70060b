package exact

import (
	"math"
	"slices"

	"halfpot/optimize"
	"halfpot/optimize/internal/whole"
)

// setUnits counts every box by how many pots of a paint it holds: of the
// contents on offer (full, before they are cut to what can be used), the one
// that all others are closest to whole multiples of counts as one. Of a paint
// that is sure to take many pots, pots may be counted in parts: rounding up to
// whole ones then gains less than telling their sizes apart.
func (m *model) setUnits(full []int64) {
	at := make([][]int32, len(m.have)) // contents of each paint
	for k, q := range m.conPaint {
		at[q] = append(at[q], int32(k))
	}
	thirst := m.thirst()
	var seen []int64
	m.conUnits = make([]int32, len(m.conUL))
	for q, contents := range at {
		best, unit := math.Inf(1), int64(1)
		seen = seen[:0]
		for _, c := range contents {
			if slices.Contains(seen, full[c]) {
				continue
			}
			seen = append(seen, full[c])
			parts := int64(1)
			if thirst[q]/manyPots >= full[c] {
				parts = potParts
			}
			for p := range parts {
				part := whole.CeilDiv(full[c], p+1)
				sum := 0.0
				for _, s := range contents {
					sum += float64(whole.CeilDiv(full[s], part)) * float64(part) / float64(full[s])
				}
				if sum < best-1e-9 {
					best, unit = sum, part
				}
			}
		}
		unit = max(unit, whole.CeilDiv(m.most[q]-m.have[q], optimize.MostBoxes))
		for i, k := range contents {
			units := int32(whole.CeilDiv(m.conUL[k], unit))
			m.conUnits[k], m.sources[q][i].units = units, units
		}
	}
}

// A paint of which at least manyPots are sure to be bought is counted in parts
// of a pot, down to one potParts-th.
const (
	manyPots = 6
	potParts = 8
)

// thirst is, for each paint, a volume that is short at once: what all needs
// that can't do without it take, or the most that one option takes.
func (m *model) thirst() []int64 {
	sure, most := make([]int64, len(m.have)), make([]int64, len(m.have))
	count, least := make([]int32, len(m.have)), make([]int64, len(m.have))
	for n := range m.members {
		first, last := m.optStart[n], m.optStart[n+1]
		for u := m.useStart[first]; u < m.useStart[last]; u++ {
			q, ul := m.usePaint[u], m.useUL[u]
			if count[q] == 0 || ul < least[q] {
				least[q] = ul
			}
			count[q]++
			most[q] = max(most[q], ul)
		}
		for u := m.useStart[first]; u < m.useStart[last]; u++ {
			q := m.usePaint[u]
			if count[q] == last-first {
				sure[q] += least[q]
			}
			count[q] = 0
		}
	}
	for q := range sure {
		sure[q] = max(sure[q], most[q]) - m.have[q]
	}
	return sure
}

// largestUnit is a volume that no unit of paint q exceeds in the boxes still allowed.
func (m *model) largestUnit(d *domain, q int) int64 {
	unit := int64(1)
	for _, s := range m.sources[q] {
		if d.hi[s.off] > 0 {
			unit = max(unit, whole.CeilDiv(s.ul, int64(s.units)))
		}
	}
	return unit
}
