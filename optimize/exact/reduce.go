package exact

import (
	"slices"

	"halfpot/optimize"
	"halfpot/optimize/internal/whole"
)

// mergedNeed is one need, or all the needs of one match label as one.
type mergedNeed struct {
	members []int32
	options []mergedOption
}

type mergedOption struct {
	points int64
	uses   []mergedUse
	pick   []int32 // the option index of each member
}

type mergedUse struct {
	paint int32 // index into Problem.Paints
	ul    int64
}

// optionCounts says of each match label how many needs have it, and how many
// of them have an option of each id.
type optionCounts struct {
	needs   map[string]int
	options map[[2]string]int // label and option id
}

func sharedOptions(p *optimize.Problem) optionCounts {
	c := optionCounts{map[string]int{}, map[[2]string]int{}}
	for _, n := range p.Needs {
		if n.Match == "" {
			continue
		}
		c.needs[n.Match]++
		for _, o := range n.Options {
			c.options[[2]string{n.Match, o.ID}]++
		}
	}
	return c
}

// allows says whether all needs with n's label have o.
func (c optionCounts) allows(n optimize.Need, o optimize.Option) bool {
	return n.Match == "" || c.options[[2]string{n.Match, o.ID}] == c.needs[n.Match]
}

// mergeMatches joins the needs of one match label. Only options whose id all
// needs with the label have remain, also where keep leaves some of them out.
func mergeMatches(p *optimize.Problem, keep []bool, paintOf map[string]int32) ([]mergedNeed, error) {
	shared := sharedOptions(p)
	var out []mergedNeed
	at := map[string]int{}
	for i, n := range p.Needs {
		if keep != nil && !keep[i] {
			continue
		}
		k, seen := -1, false
		if n.Match != "" {
			k, seen = lookup(at, n.Match)
		}
		if !seen {
			k = len(out)
			out = append(out, mergedNeed{})
			if n.Match != "" {
				at[n.Match] = k
			}
		}
		mn := &out[k]
		mn.members = append(mn.members, int32(i))
		if !seen {
			for oi, o := range n.Options {
				if !shared.allows(n, o) {
					continue
				}
				mn.options = append(mn.options, mergedOption{
					points: o.Compromise,
					uses:   flatUses(o, paintOf),
					pick:   []int32{int32(oi)},
				})
			}
		} else {
			for mi := range mn.options {
				mo := &mn.options[mi]
				first := p.Needs[mn.members[0]].Options[mo.pick[0]].ID
				oi := slices.IndexFunc(n.Options, func(o optimize.Option) bool { return o.ID == first })
				mo.points += n.Options[oi].Compromise
				mo.pick = append(mo.pick, int32(oi))
				mo.uses = addUses(mo.uses, flatUses(n.Options[oi], paintOf))
			}
		}
		if len(mn.options) == 0 {
			return nil, impossible{i}
		}
	}
	return out, nil
}

func lookup(m map[string]int, k string) (int, bool) { v, ok := m[k]; return v, ok }

func flatUses(o optimize.Option, paintOf map[string]int32) []mergedUse {
	out := make([]mergedUse, 0, len(o.Uses))
	for _, u := range o.Uses {
		if u.UL > 0 {
			out = append(out, mergedUse{paintOf[u.Paint], u.UL})
		}
	}
	return out
}

func addUses(a, b []mergedUse) []mergedUse {
	for _, u := range b {
		if k := slices.IndexFunc(a, func(v mergedUse) bool { return v.paint == u.paint }); k >= 0 {
			a[k].ul += u.ul
		} else {
			a = append(a, u)
		}
	}
	return a
}

// totalSupply is what can be had of each paint at most: the shelf and every
// box on offer.
func totalSupply(p *optimize.Problem, paintOf map[string]int32) []int64 {
	supply := make([]int64, len(p.Paints))
	for i, pt := range p.Paints {
		supply[i] = pt.HaveUL
	}
	product := make(map[string]*optimize.Product, len(p.Products))
	for i := range p.Products {
		product[p.Products[i].ID] = &p.Products[i]
	}
	for _, o := range p.Offers {
		limit := int64(1) << 60
		if o.Limit != nil {
			limit = *o.Limit
		}
		for _, c := range product[o.Product].Contents {
			q := paintOf[c.Paint]
			supply[q] = whole.SatAdd(supply[q], whole.SatMul(limit, whole.SatMul(c.UL, c.Containers())))
		}
	}
	return supply
}

// reduceNeeds drops options that cannot be had, uses that the shelf serves
// whatever is chosen, and options that another one beats in every way.
func reduceNeeds(p *optimize.Problem, needs []mergedNeed, supply []int64) error {
	for n := range needs {
		needs[n].options = slices.DeleteFunc(needs[n].options, func(o mergedOption) bool {
			return slices.ContainsFunc(o.uses, func(u mergedUse) bool { return u.ul > supply[u.paint] })
		})
		if len(needs[n].options) == 0 {
			return impossible{int(needs[n].members[0])}
		}
	}
	// Dropping an option can make a paint plentiful, which can make an option
	// beat another: repeat until nothing changes.
	most := make([]int64, len(p.Paints))
	top := make([]int64, len(p.Paints))
	for {
		clear(most)
		for n := range needs {
			for _, o := range needs[n].options {
				for _, u := range o.uses {
					top[u.paint] = max(top[u.paint], u.ul)
				}
			}
			for _, o := range needs[n].options {
				for _, u := range o.uses {
					most[u.paint] += top[u.paint]
					top[u.paint] = 0
				}
			}
		}
		changed := false
		for n := range needs {
			for i := range needs[n].options {
				o := &needs[n].options[i]
				before := len(o.uses)
				o.uses = slices.DeleteFunc(o.uses, func(u mergedUse) bool {
					return most[u.paint] <= p.Paints[u.paint].HaveUL
				})
				changed = changed || len(o.uses) < before
			}
			if dropBeaten(&needs[n]) {
				changed = true
			}
		}
		if !changed {
			return nil
		}
	}
}

// dropBeaten removes each option that needs at least as much of everything,
// and at least as many points, as an option that stays.
func dropBeaten(n *mergedNeed) bool {
	if len(n.options) < 2 {
		return false
	}
	if len(n.options) > 200 { // comparing all pairs would cost more than it saves
		return false
	}
	beaten := make([]bool, len(n.options))
	any := false
	for i := range n.options {
		for k := range n.options {
			if i == k || beaten[k] || beaten[i] || !beats(&n.options[k], &n.options[i]) {
				continue
			}
			if k > i && beats(&n.options[i], &n.options[k]) {
				continue // equal: the earlier one stays
			}
			beaten[i], any = true, true
		}
	}
	if any {
		kept := n.options[:0]
		for i, o := range n.options {
			if !beaten[i] {
				kept = append(kept, o)
			}
		}
		n.options = kept
	}
	return any
}

func beats(a, b *mergedOption) bool {
	if a.points > b.points || len(a.uses) > len(b.uses) {
		return false
	}
	for _, u := range a.uses {
		if !slices.ContainsFunc(b.uses, func(v mergedUse) bool { return v.paint == u.paint && v.ul >= u.ul }) {
			return false
		}
	}
	return true
}
