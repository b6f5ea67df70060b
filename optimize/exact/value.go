package exact

import (
	"cmp"
	"slices"
)

// value makes a solution of boxes and choices: it works out what each shop
// charges, topping orders up where that lowers the bill. It returns false
// where no top-up reaches a shop's minimum order, or the cap is exceeded.
func (m *model) value(x []int32, choice []int32) (*solution, bool) {
	s := &solution{m: m, x: append([]int32(nil), x...), choice: append([]int32(nil), choice...)}
	paid := int64(0)
	var gifts []gift
	for h := range m.bands {
		goods, boxes := int64(0), int64(0)
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			goods += int64(x[j]) * m.price[j]
			boxes += int64(x[j])
		}
		if boxes == 0 && !m.pays(h) {
			continue
		}
		best, fills, ok := m.bill(h, goods, boxes, x)
		if !ok {
			if boxes == 0 {
				continue
			}
			return nil, false
		}
		if boxes == 0 {
			if best.cost < 0 {
				gifts = append(gifts, gift{best, fills})
			}
			continue
		}
		paid += goods + best.cost
		s.cost.boxes += boxes + best.boxes
		s.cost.shops++
		s.fill = append(s.fill, fills...)
	}
	slices.SortStableFunc(gifts, func(a, b gift) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.boxes, b.boxes))
	})
	for _, g := range gifts {
		if s.cost.shops >= int64(m.maxShops) {
			break
		}
		paid += g.cost
		s.cost.boxes += g.boxes
		s.cost.shops++
		s.fill = append(s.fill, g.fills...)
	}
	if paid > m.cap {
		return nil, false
	}
	for _, o := range choice {
		s.cost.points += m.optPts[o]
	}
	if m.cap != noCap {
		s.cost.spare = m.cap - paid
	}
	s.cost.money = paid + m.cp*s.cost.points
	return s, true
}

// gift is an order for nothing but its money off.
type gift struct {
	topUp
	fills []fill
}

// topUp is what an order costs beyond its goods: the fee and the goods bought
// only to reach a band.
type topUp struct {
	cost  int64
	boxes int64
}

func (t topUp) less(u topUp) bool {
	return t.cost < u.cost || t.cost == u.cost && t.boxes < u.boxes
}

// bill finds the cheapest way to close an order of shop h, and then the one of
// fewest boxes.
func (m *model) bill(h int, goods, boxes int64, x []int32) (best topUp, fills []fill, ok bool) {
	bands := m.bands[h]
	at := -1
	for k := range bands {
		if bands[k].From <= goods {
			at = k
		}
	}
	if at >= 0 && boxes > 0 {
		best, ok = topUp{bands[at].Fee, 0}, true
	}
	for k := max(at, 0); k < len(bands); k++ {
		if boxes > 0 && k == at {
			continue
		}
		gap := max(bands[k].From-goods, 0)
		if ok && gap+bands[k].Fee > best.cost {
			continue
		}
		extra, f, found := m.fillUp(h, gap, x)
		if t := (topUp{extra.cost + bands[k].Fee, extra.boxes}); found && (!ok || t.less(best)) {
			best, fills, ok = t, f, true
		}
	}
	return best, fills, ok
}
