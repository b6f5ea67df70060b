package exact

import (
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// A relaxation uses a tenth of a delivery band at a tenth of its threshold, and so several
// bands that no plan worth having can pay for at once. What each band's order comes to at
// least is weighed against what the best plan leaves.

// bills is what bands add to what is spent at least.
type bills struct {
	room float64   // that may be added in all; +Inf: anything
	more [][]int64 // by each band of each shop, beyond the least the shop takes; -1: ruled out
}

// bandBills works out the bills of a domain, where plans cost at most so much.
func (m *model) bandBills(d *domain, most float64) (b bills) {
	b.room = most
	if math.IsInf(most, 1) {
		return b
	}
	sure := make([]int64, len(m.bands))
	for j, n := range d.lo {
		sure[m.offShop[j]] += int64(n) * m.price[j]
	}
	b.more = make([][]int64, len(m.bands))
	for h, bands := range m.bands {
		b.more[h] = make([]int64, len(bands))
		least := int64(0)
		if !d.unused(h) {
			least = m.leastBill(d, h, sure[h])
		}
		b.room -= float64(least)
		for k := range bands {
			b.more[h][k] = -1
			if at := int16(k); d.bandLo[h] <= at && at <= d.bandHi[h] {
				b.more[h][k] = max(sure[h], bands[k].From) + bands[k].Fee - least
			}
		}
	}
	return b
}

// drop rules out the highest bands of shops that are too dear.
func (b *bills) drop(m *model, d *domain) (changed bool) {
	for h := range b.more {
		for !d.unused(h) && float64(b.more[h][d.bandHi[h]]) > b.room {
			changed = true
			if d.bandLo[h] == d.bandHi[h] && d.closed[h] {
				d.shut(m, h)
				break
			}
			d.bandHi[h]--
		}
	}
	return changed
}

// billRows lists broken rows that say how many of the bands that cost so much or more there
// can be, and of those and what is still too dear beside them at one other shop.
func (p *program) billRows(out []*linearRow) []*linearRow {
	b := &p.bills
	if math.IsInf(b.room, 1) {
		return out
	}
	all := slices.Concat(b.more...)
	slices.Sort(all)
	for _, t := range slices.Compact(all) {
		if t <= 0 || float64(t) > b.room {
			continue
		}
		k := math.Floor(b.room / float64(t))
		r := p.billRow(t, int64(k), b.room-k*float64(t))
		if r == nil || slices.ContainsFunc(out, func(o *linearRow) bool { return o.lower == r.lower && slices.Equal(o.terms, r.terms) }) {
			continue
		}
		out = append(out, r)
	}
	return out
}

// billRow is the row of bands that cost t or more, of which there are k at most: then more
// than rest is too much. It is nil where it holds.
func (p *program) billRow(t, k int64, rest float64) *linearRow {
	l, b := p.l, &p.bills
	sum, beside, at := 0.0, 0.0, -1
	for h := range b.more {
		large, all := 0.0, 0.0
		for i, c := range b.more[h] {
			v := p.v[l.bandAt+l.bandOff[h]+int32(i)]
			if c >= t {
				large += v
			}
			if float64(c) > rest {
				all += v
			}
		}
		sum += large
		if all-large > beside {
			beside, at = all-large, h
		}
	}
	if sum+beside <= float64(k)+billLeast {
		return nil
	}
	r := &linearRow{lower: -k, upper: lp.Inf, kind: cutRow}
	for h := range b.more {
		for i, c := range b.more[h] {
			if c >= t || h == at && float64(c) > rest {
				r.add(l.bandAt+l.bandOff[h]+int32(i), -1)
			}
		}
	}
	return r
}

// billLeast is by how much of a band such a row must be broken.
const billLeast = 0.01
