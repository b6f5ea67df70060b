package optimize

import (
	"cmp"
	"math"
	"slices"
	"sync"
	"sync/atomic"
)

// topUpCells bounds the table of fillUp; above it the top-up is only good, and
// the model remembers that its answer is then not proven.
const topUpCells = 1 << 23

type topUpItem struct {
	orig  int32
	price int64
	left  int64
}

// fillUp finds goods of least value, then of fewest boxes, worth at least gap
// and at least one box, among what shop h has left once x is bought. It is a
// covering knapsack, solved by dynamic programming over the value reached.
func (m *model) fillUp(h int, gap int64, x []int32) (topUp, []fill, bool) {
	items, plain := m.topUpItems(h, x)
	key := topUpKey{h, gap}
	if plain {
		if r, ok := m.topUps.get(key); ok {
			return r.cost, r.fills, r.ok
		}
	}
	cost, fills, ok := m.fillWith(items, gap)
	if plain {
		m.topUps.put(key, topUpResult{cost, fills, ok})
	}
	return cost, fills, ok
}

// topUps remembers what closes a gap where no limited offer has been touched.
type topUps struct {
	mu    sync.Mutex
	seen  map[topUpKey]topUpResult
	rough atomic.Bool // a top-up was too large to be worked out exactly
}

type topUpKey struct {
	shop int
	gap  int64
}

type topUpResult struct {
	cost  topUp
	fills []fill
	ok    bool
}

// rough says whether a top-up was too large to be worked out exactly, so that
// plans may cost more than they need to.
func (m *model) rough() bool { return m.topUps.rough.Load() }

func (t *topUps) get(k topUpKey) (topUpResult, bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	r, ok := t.seen[k]
	return r, ok
}

func (t *topUps) put(k topUpKey, r topUpResult) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.seen == nil {
		t.seen = map[topUpKey]topUpResult{}
	}
	t.seen[k] = r
}

func (m *model) fillWith(items []topUpItem, gap int64) (topUp, []fill, bool) {
	if len(items) == 0 {
		return topUp{}, nil, false
	}
	if gap <= 0 {
		least := slices.MinFunc(items, func(a, b topUpItem) int { return cmp.Compare(a.price, b.price) })
		return topUp{least.price, 1}, []fill{{least.orig, 1}}, true
	}
	unit, dearest := int64(0), int64(0)
	for _, it := range items {
		unit = gcd(unit, it.price)
		dearest = max(dearest, it.price)
	}
	if unit == 0 {
		return topUp{}, nil, false // everything left is free: no value can be added
	}
	// A smallest set falls below the gap without its cheapest box, so sums of
	// gap + dearest and more need not be looked at.
	need := ceilDiv(gap, unit)
	top := need + dearest/unit
	if top > topUpCells/int64(len(items)+1) {
		m.topUps.rough.Store(true)
		return fillGreedy(items, gap)
	}
	return fillTable(items, unit, need, top)
}

// topUpItems lists what can be added to an order of shop h; plain says that
// the list does not depend on x.
func (m *model) topUpItems(h int, x []int32) (items []topUpItem, plain bool) {
	plain = true
	bought := map[int32]int64{}
	for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
		if x[j] > 0 {
			bought[m.offOrig[j]] = int64(x[j])
		}
	}
	endless := map[int64]bool{} // of equal prices without limit one is enough
	for _, f := range m.fillers[h] {
		left := f.limit
		if left < manyMost {
			left -= bought[f.orig]
			plain = plain && bought[f.orig] == 0
		}
		if left <= 0 || endless[f.price] {
			continue
		}
		endless[f.price] = left >= manyMost
		items = append(items, topUpItem{f.orig, f.price, left})
	}
	return items, plain
}

func fillTable(items []topUpItem, unit, need, top int64) (topUp, []fill, bool) {
	const none = math.MaxInt32
	least := make([]int32, top+1) // fewest boxes worth exactly this many units
	for s := range least {
		least[s] = none
	}
	least[0] = 0
	used := make([][]int32, len(items)) // boxes of the item in the best way to each value
	for i, it := range items {
		v := it.price / unit
		used[i] = make([]int32, top+1)
		if v == 0 {
			continue
		}
		if it.left >= top/v {
			for s := v; s <= top; s++ {
				if c := least[s-v]; c < none && c+1 < least[s] {
					least[s] = c + 1
					used[i][s] = used[i][s-v] + 1
				}
			}
			continue
		}
		for s := top; s >= v; s-- {
			for k := int64(1); k <= it.left && k*v <= s; k++ {
				if c := least[s-k*v]; c < none && c+int32(k) < least[s] {
					least[s] = c + int32(k)
					used[i][s] = int32(k)
				}
			}
		}
	}
	for s := need; s <= top; s++ {
		if least[s] == none {
			continue
		}
		out := topUp{s * unit, int64(least[s])}
		var fills []fill
		for i := len(items) - 1; i >= 0 && s > 0; i-- {
			if k := used[i][s]; k > 0 {
				fills = append(fills, fill{items[i].orig, k})
				s -= int64(k) * (items[i].price / unit)
			}
		}
		return out, fills, true
	}
	return topUp{}, nil, false
}

// fillGreedy fills a gap too wide for a table: the dearest goods first, then
// one box that closes it.
func fillGreedy(items []topUpItem, gap int64) (topUp, []fill, bool) {
	slices.SortFunc(items, func(a, b topUpItem) int { return cmp.Compare(b.price, a.price) })
	var out topUp
	var fills []fill
	for i, it := range items {
		if it.price == 0 {
			break
		}
		k := min(it.left, (gap-out.cost)/it.price, math.MaxInt32)
		if i == len(items)-1 || items[i+1].price == 0 {
			k = min(it.left, ceilDiv(gap-out.cost, it.price), math.MaxInt32)
		}
		if k > 0 {
			out.cost += k * it.price
			out.boxes += k
			fills = append(fills, fill{it.orig, int32(k)})
		}
		if out.cost >= gap {
			return out, fills, true
		}
	}
	return topUp{}, nil, false
}
