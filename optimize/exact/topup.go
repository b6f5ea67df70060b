package exact

import (
	"cmp"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"halfpot/optimize"
	"halfpot/optimize/internal/whole"
)

// topUpCells bounds the tables of fillUp; above it the top-up is only good, and
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
	unit := int64(0)
	for _, it := range items {
		unit = whole.GCD(unit, it.price)
	}
	if unit == 0 {
		return topUp{}, nil, false // everything left is free: no value can be added
	}
	good, fills, ok := fillGreedy(items, gap)
	if !ok {
		// With an endless good there is a way, of more boxes than are counted.
		if slices.ContainsFunc(items, func(it topUpItem) bool {
			return it.price > 0 && it.left >= optimize.MostBoxes
		}) {
			m.topUps.rough.Store(true)
		}
		return topUp{}, nil, false
	}
	need, top := whole.CeilDiv(gap, unit), good.cost/unit
	endless, lots := partItems(items, unit, top)
	if top >= topUpCells/int64(len(endless)+len(lots)+1) {
		m.topUps.rough.Store(true)
		return good, fills, true
	}
	best, fills := fillTable(endless, lots, unit, need, top)
	return best, fills, true
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
		if left < optimize.MostBoxes {
			left -= bought[f.orig]
			plain = plain && bought[f.orig] == 0
		}
		if left <= 0 || endless[f.price] {
			continue
		}
		endless[f.price] = left >= optimize.MostBoxes
		items = append(items, topUpItem{f.orig, f.price, left})
	}
	return items, plain
}

// lot is some boxes of one good, taken together or not at all.
type lot struct {
	orig  int32
	boxes int32
	units int64 // what they are worth
}

// partItems parts the goods of which there are always enough to reach a value
// of top units from those that can run out, and leaves out what is free or
// worth more than that. Of those that can run out it makes lots of 1, 2, 4 and
// so on, which make up every number there is.
func partItems(items []topUpItem, unit, top int64) (endless, lots []lot) {
	for _, it := range items {
		v := it.price / unit
		if v == 0 || v > top {
			continue
		}
		if it.left >= top/v {
			endless = append(endless, lot{it.orig, 1, v})
			continue
		}
		for k := int64(1); it.left > 0; k *= 2 {
			k = min(k, it.left)
			it.left -= k
			lots = append(lots, lot{it.orig, int32(k), k * v})
		}
	}
	return endless, lots
}

// fillTable finds the fewest boxes worth s units for the least s from need on
// that can be met, which top can. For the endless goods one step back from each
// value is enough to find the way again, since the way to what is left may use
// any of them; for a lot it is kept whether the best way to each value takes it.
func fillTable(endless, lots []lot, unit, need, top int64) (topUp, []fill) {
	const none = math.MaxInt32
	least := make([]int32, top+1) // fewest boxes worth exactly this many units
	for s := range least {
		least[s] = none
	}
	least[0] = 0
	last := make([]int32, top+1) // the endless good taken last on the way there
	for i, e := range endless {
		for s := e.units; s <= top; s++ {
			if c := least[s-e.units]; c < none && c+1 < least[s] {
				least[s], last[s] = c+1, int32(i)
			}
		}
	}
	taken := make([][]bool, len(lots))
	for i, e := range lots {
		taken[i] = make([]bool, top+1)
		for s := top; s >= e.units; s-- {
			if c := least[s-e.units]; c < none && c+e.boxes < least[s] {
				least[s], taken[i][s] = c+e.boxes, true
			}
		}
	}
	s := need
	for least[s] == none {
		s++
	}
	out := topUp{s * unit, int64(least[s])}
	var fills []fill
	add := func(e lot) {
		s -= e.units
		for i, f := range fills {
			if f.orig == e.orig {
				fills[i].count += e.boxes
				return
			}
		}
		fills = append(fills, fill{e.orig, e.boxes})
	}
	for i := len(lots) - 1; i >= 0; i-- {
		if taken[i][s] {
			add(lots[i])
		}
	}
	for s > 0 {
		add(endless[last[s]])
	}
	return out, fills
}

// fillGreedy fills a gap well, not always best: the dearest goods first as far
// as they fit, then one box of the good that closes it for least. It fails only
// where all goods together are worth less, or where it would take some 2^31
// boxes of one.
func fillGreedy(items []topUpItem, gap int64) (best topUp, fills []fill, ok bool) {
	items = slices.SortedFunc(slices.Values(items), func(a, b topUpItem) int {
		return cmp.Compare(b.price, a.price)
	})
	var sum topUp
	before := 0 // of the fills, those below the box that closes the gap
	var closing int32
	for _, it := range items {
		if it.price == 0 || sum.cost == gap {
			break
		}
		k := min(it.left, (gap-sum.cost)/it.price, math.MaxInt32-1)
		if k > 0 {
			sum.cost += k * it.price
			sum.boxes += k
			fills = append(fills, fill{it.orig, int32(k)})
		}
		if c := (topUp{sum.cost + it.price, sum.boxes + 1}); c.cost > gap && k < it.left &&
			(!ok || c.less(best)) {
			best, ok = c, true
			before, closing = len(fills), it.orig
		}
	}
	if sum.cost == gap {
		return sum, fills, true
	}
	if !ok {
		return topUp{}, nil, false
	}
	fills = fills[:before]
	if before > 0 && fills[before-1].orig == closing {
		fills[before-1].count++
	} else {
		fills = append(fills, fill{closing, 1})
	}
	return best, fills, true
}
