package exact

import (
	"cmp"
	"slices"
)

// reshop decides anew which shop sells which box of a plan: where orders are
// held at delivery thresholds, what a plan overshoots them by is often more than
// what it lacks of the best one, and no box that is withdrawn can mend that.
// Up to three boxes at a time go to another shop that sells the same product.
type reshop struct {
	m        *model
	alike    [][]int32 // for each offer, those of the same product in other shops
	cheapest []int64   // box of each shop

	x     []int32
	goods []int64
	bills []int64 // what each order comes to, goods and all
	moves []shopMove
	delta []int64 // change of each order's goods
	hit   []int32 // shops with a change
}

// shopMove takes a box from one offer to another.
type shopMove struct {
	from, to int32
	rise     float64 // of its cost, at the discounts the thresholds give
}

const (
	pairMoves   = 160 // moves tried in pairs
	tripleMoves = 48  // and in threes
	reshopMost  = 40  // times a plan is changed at most
)

func newReshop(m *model, cheapest []int64) *reshop {
	r := &reshop{
		m:        m,
		cheapest: cheapest,
		alike:    make([][]int32, len(m.price)),
		goods:    make([]int64, len(m.bands)),
		bills:    make([]int64, len(m.bands)),
		delta:    make([]int64, len(m.bands)),
	}
	sold := map[string][]int32{}
	for j, orig := range m.offOrig {
		id := m.prob.Offers[orig].Product
		sold[id] = append(sold[id], int32(j))
	}
	for j, orig := range m.offOrig {
		for _, k := range sold[m.prob.Offers[orig].Product] {
			if m.offShop[k] != m.offShop[j] {
				r.alike[j] = append(r.alike[j], k)
			}
		}
	}
	return r
}

// bill is what shop h asks for goods in all, where what is missing for a band
// counts as if it could be had exactly.
func (r *reshop) bill(h int32, goods int64) int64 {
	if goods == 0 {
		return 0
	}
	least := int64(0)
	for k, b := range r.m.bands[h] {
		c := b.Fee
		if gap := b.From - goods; gap > 0 {
			c += max(gap, r.cheapest[h])
		}
		if k == 0 || c < least {
			least = c
		}
	}
	return goods + least
}

// run improves the boxes x in place, and says whether it did. discount is what
// each shop's threshold takes off its prices.
func (r *reshop) run(x []int32, discount func(h int32) float64) (better bool) {
	m := r.m
	r.x = x
	clear(r.goods)
	for j, n := range x {
		r.goods[m.offShop[j]] += int64(n) * m.price[j]
	}
	for h := range r.goods {
		r.bills[h] = r.bill(int32(h), r.goods[h])
	}
	for range reshopMost {
		r.list(discount)
		if !r.one() && !r.two() && !r.three() {
			return better
		}
		better = true
	}
	return better
}

// list collects the moves within the shops in use, those that cost least first.
func (r *reshop) list(discount func(h int32) float64) {
	m := r.m
	r.moves = r.moves[:0]
	for j, n := range r.x {
		if n == 0 {
			continue
		}
		here := (1 - discount(m.offShop[j])) * float64(m.price[j])
		for _, k := range r.alike[j] {
			if h := m.offShop[k]; r.goods[h] > 0 && r.x[k] < m.limit[k] {
				r.moves = append(r.moves, shopMove{int32(j), k, (1-discount(h))*float64(m.price[k]) - here})
			}
		}
	}
	slices.SortStableFunc(r.moves, func(a, b shopMove) int { return cmp.Compare(a.rise, b.rise) })
	r.moves = r.moves[:min(len(r.moves), pairMoves)]
}

// gain is what the moves save, all done together.
func (r *reshop) gain(moves ...shopMove) int64 {
	m := r.m
	r.hit = r.hit[:0]
	add := func(h int32, by int64) {
		if !slices.Contains(r.hit, h) {
			r.hit = append(r.hit, h)
			r.delta[h] = 0
		}
		r.delta[h] += by
	}
	for _, v := range moves {
		add(m.offShop[v.from], -m.price[v.from])
		add(m.offShop[v.to], m.price[v.to])
	}
	sum := int64(0)
	for _, h := range r.hit {
		sum += r.bills[h] - r.bill(h, r.goods[h]+r.delta[h])
	}
	return sum
}

// do makes the moves.
func (r *reshop) do(moves ...shopMove) {
	m := r.m
	for _, v := range moves {
		r.x[v.from]--
		r.x[v.to]++
		r.goods[m.offShop[v.from]] -= m.price[v.from]
		r.goods[m.offShop[v.to]] += m.price[v.to]
	}
	for h := range r.goods {
		r.bills[h] = r.bill(int32(h), r.goods[h])
	}
}

// apart says whether two moves can be done together: of one box or to one offer only one.
func apart(a, b shopMove) bool {
	return a.from != b.from && a.to != b.to && a.from != b.to && a.to != b.from
}

func (r *reshop) one() bool {
	best, most := -1, int64(0)
	for i, v := range r.moves {
		if g := r.gain(v); g > most {
			best, most = i, g
		}
	}
	if best < 0 {
		return false
	}
	r.do(r.moves[best])
	return true
}

func (r *reshop) two() bool {
	var best [2]shopMove
	most := int64(0)
	for i, v := range r.moves {
		for _, w := range r.moves[:i] {
			if !apart(v, w) {
				continue
			}
			if g := r.gain(v, w); g > most {
				best, most = [2]shopMove{v, w}, g
			}
		}
	}
	if most == 0 {
		return false
	}
	r.do(best[:]...)
	return true
}

func (r *reshop) three() bool {
	var best [3]shopMove
	most := int64(0)
	few := r.moves[:min(len(r.moves), tripleMoves)]
	for i, v := range few {
		for k, w := range few[:i] {
			if !apart(v, w) {
				continue
			}
			for _, u := range few[:k] {
				if !apart(u, v) || !apart(u, w) {
					continue
				}
				if g := r.gain(v, w, u); g > most {
					best, most = [3]shopMove{v, w, u}, g
				}
			}
		}
	}
	if most == 0 {
		return false
	}
	r.do(best[:]...)
	return true
}
