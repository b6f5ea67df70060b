package exact

import "math/bits"

// An order's value is a sum of prices, so it can't lie just above a delivery
// band's threshold: with the boxes already certain, the next value at or above
// the threshold that any further boxes give is what the order must reach. For
// every gap up to a few boxes' worth, reachable knows that value.

// reachable are the sums that any boxes of a shop come to, bit by bit. Gaps up
// to top may be asked for; last is taken where no sum closes one. The zero
// value knows nothing.
type reachable struct {
	can       []uint64
	top, last int64
}

// reachBoxes is how many of the dearest boxes the table spans; beyond that
// nearly every value can be reached. Where a box costs more than reachMost
// there is no table.
const (
	reachBoxes = 6
	reachMost  = 1 << 15
)

// addReach fills in, for each shop with a threshold, what boxes can come to.
func (m *model) addReach() {
	m.reach = make([]reachable, len(m.bands))
	for h, bands := range m.bands {
		from := bands[len(bands)-1].From
		dearest := int64(0)
		for _, f := range m.fillers[h] {
			dearest = max(dearest, f.price)
		}
		if from == 0 || dearest == 0 || dearest > reachMost {
			continue
		}
		top := min(from, reachBoxes*dearest, reachMost)
		span := top + dearest + 1
		can := make([]uint64, span/64+1)
		can[0] = 1
		seen := map[int64]bool{}
		for _, f := range m.fillers[h] {
			if f.price == 0 || seen[f.price] {
				continue
			}
			seen[f.price] = true
			// One box or none, then two more or none, and so on: any number.
			for by := f.price; by < span; by *= 2 {
				orShifted(can, can, int(by))
			}
		}
		m.reach[h] = reachable{can, top, span - 1}
	}
}

// closing is the least sum that closes gap, from 0 to r.top.
func (r *reachable) closing(gap int64) int64 {
	w := int(gap / 64)
	word := r.can[w] >> (gap % 64) << (gap % 64)
	for word == 0 {
		if w++; w == len(r.can) {
			return r.last
		}
		word = r.can[w]
	}
	return min(int64(w*64+bits.TrailingZeros64(word)), r.last)
}

// within is the largest sum no larger than value, from 0 to r.top.
func (r *reachable) within(value int64) int64 {
	w := int(value / 64)
	word := r.can[w] << (63 - value%64) >> (63 - value%64)
	for word == 0 { // 0 is a sum
		w--
		word = r.can[w]
	}
	return int64(w*64 + bits.Len64(word) - 1)
}

// mustReach is the least value an order of shop h can have at or above from,
// when boxes worth sure are bought for certain.
func (m *model) mustReach(h int, from, sure int64) int64 {
	gap := from - sure
	if gap <= 0 || gap > m.reach[h].top {
		return from
	}
	return sure + m.reach[h].closing(gap)
}

// orShifted adds to a set of numbers, bit by bit, those of another or of itself,
// each increased by by.
func orShifted(set, other []uint64, by int) {
	words, rest := by/64, uint(by%64)
	for w := len(set) - 1; w >= words; w-- {
		moved := other[w-words] << rest
		if rest > 0 && w > words {
			moved |= other[w-words-1] >> (64 - rest)
		}
		set[w] |= moved
	}
}
