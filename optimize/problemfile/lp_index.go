package problemfile

import (
	"math"

	"halfpot/optimize"
)

// An lpIndex turns the ids of a problem into positions for the LP export.
// It is separate from the solver's model on purpose: the export is what the
// solver is checked against.
type lpIndex struct {
	sells   [][]int          // offers of each shop
	boxes   [][]int          // offers that hold each paint
	holds   []map[int]int64  // ul of each paint in one box of each offer
	uses    [][]lpUse        // options that use each paint
	demand  []int64          // most of each paint that any choice of options can take
	most    []int64          // boxes of each offer beyond which no best plan goes
	groups  []optimize.Group // listed groups, then groups only named by needs (worth 0)
	groupOf []int            // group of each need, -1 for none
	labels  []string         // match labels in order of appearance
	matched map[string][]int
	common  map[string]map[string]int // option ids that all needs of a label have, numbered
}

type lpUse struct {
	need, option int
	ul           int64
}

func indexForLP(p *optimize.Problem) lpIndex {
	x := lpIndex{matched: map[string][]int{}, common: map[string]map[string]int{}}
	paint, product, shop, group := map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}
	for i, v := range p.Paints {
		paint[v.ID] = i
	}
	for i, v := range p.Products {
		product[v.ID] = i
	}
	for i, v := range p.Shops {
		shop[v.ID] = i
	}
	for _, v := range p.Groups {
		group[v.ID] = len(x.groups)
		x.groups = append(x.groups, v)
	}
	x.uses = make([][]lpUse, len(p.Paints))
	x.demand = make([]int64, len(p.Paints))
	for n, need := range p.Needs {
		g := -1
		if need.Group != "" {
			at, ok := group[need.Group]
			if !ok {
				at = len(x.groups)
				group[need.Group] = at
				x.groups = append(x.groups, optimize.Group{ID: need.Group})
			}
			g = at
		}
		x.groupOf = append(x.groupOf, g)
		most := map[int]int64{}
		for o, option := range need.Options {
			for _, u := range option.Uses {
				i := paint[u.Paint]
				x.uses[i] = append(x.uses[i], lpUse{n, o, u.UL})
				most[i] = max(most[i], u.UL)
			}
		}
		for i, ul := range most {
			x.demand[i] += ul
		}
		if need.Match != "" {
			x.addMatch(n, need)
		}
	}
	x.sells = make([][]int, len(p.Shops))
	x.boxes = make([][]int, len(p.Paints))
	for k, o := range p.Offers {
		h := shop[o.Shop]
		x.sells[h] = append(x.sells[h], k)
		holds := map[int]int64{}
		for _, c := range p.Products[product[o.Product]].Contents {
			i := paint[c.Paint]
			if holds[i] == 0 {
				x.boxes[i] = append(x.boxes[i], k)
			}
			holds[i] += c.UL * c.Containers()
		}
		x.holds = append(x.holds, holds)
		x.most = append(x.most, x.mostBoxes(p, o, p.Shops[h], holds))
	}
	return x
}

func (x *lpIndex) addMatch(n int, need optimize.Need) {
	first := x.matched[need.Match] == nil
	x.matched[need.Match] = append(x.matched[need.Match], n)
	common := map[string]int{}
	if first {
		x.labels = append(x.labels, need.Match)
	}
	for _, o := range need.Options {
		if _, ok := x.common[need.Match][o.ID]; ok || first {
			common[o.ID] = len(common)
		}
	}
	x.common[need.Match] = common
}

// mostBoxes bounds the boxes of one offer: any further box is neither needed
// for its paints, nor for the shop's highest threshold, nor to order at all.
// Taking one out leaves every constraint true and costs no more.
func (x *lpIndex) mostBoxes(p *optimize.Problem, o optimize.Offer, s optimize.Shop, holds map[int]int64) int64 {
	most := int64(1)
	for i, ul := range holds {
		if short := x.demand[i] - p.Paints[i].HaveUL; short > 0 {
			most = max(most, (short-1)/ul+1)
		}
	}
	if goal := max(s.MinOrder, s.Delivery[len(s.Delivery)-1].From); o.Price > 0 && goal > 0 {
		most = max(most, (goal-1)/o.Price+1)
	}
	limit := int64(math.MaxInt64)
	if o.Limit != nil {
		limit = *o.Limit
	}
	return min(most, limit)
}
