package exact

import (
	"context"
	"slices"

	"halfpot/optimize"
)

// mostReasons is how many clashes Reasons looks for with the oracle; those
// that show at a glance are all listed.
const mostReasons = 5

// Reasons says why a problem without a budget has no plan (under a budget,
// finishing nothing always is one). Each reason is a smallest set of needs,
// match labels, limits, minimum orders and max_shops that clash: without any
// one of them the others can be met. feasible says whether a problem has any
// plan; it is asked about smaller and eased copies of p, and only when the
// reasons don't show at a glance. When it fails or the context ends, the
// reasons found so far are given, or one that says that time ran out. The
// list is never empty.
func Reasons(ctx context.Context, p *optimize.Problem, feasible func(*optimize.Problem) (bool, error)) []optimize.Reason {
	c := newClashes(p)
	found, unmet := c.unmetNeeds()
	if found = append(found, c.splitMatches(unmet)...); len(found) > 0 {
		return found
	}
	clashes := func(kept []element) (bool, error) {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		ok, err := feasible(c.only(kept))
		return !ok, err
	}
	left := c.elements()
	for len(found) < mostReasons {
		if len(found) > 0 { // the first time it is known
			if more, err := clashes(left); err != nil || !more {
				break
			}
		}
		smallest, err := minimal(nil, left, false, clashes)
		if err != nil || len(smallest) == 0 {
			break
		}
		found = append(found, c.reason(smallest))
		// Go on without the needs of this clash, to find others.
		left = slices.DeleteFunc(left, func(e element) bool { return e.kind == needElement && slices.Contains(smallest, e) })
	}
	if len(found) == 0 {
		found = append(found, optimize.Reason{Kind: "together", Text: "No plan meets all needs at once; the time limit came before the things that clash could be narrowed down."})
	}
	return found
}

// An element is one thing that can be dropped from a problem to make it easier.
type element struct {
	kind elementKind
	i    int // need, match label, shop or offer; 0 for max_shops
}

type elementKind int

const (
	needElement elementKind = iota
	matchElement
	minimumElement
	shopsElement
	limitElement
)

// minimal finds a smallest clashing part of candidates beside what is in base,
// given that base and candidates together clash (QuickXplain: U. Junker,
// "QUICKXPLAIN: preferred explanations and relaxations for over-constrained
// problems", AAAI 2004, 167-172). It asks about 2 k log2(n/k) questions for k
// of n elements, and takes late candidates only where the early ones do not
// clash by themselves. grown says that base has changed since it was last
// known not to clash.
func minimal(base, candidates []element, grown bool, clashes func([]element) (bool, error)) ([]element, error) {
	if grown {
		if yes, err := clashes(base); err != nil || yes {
			return nil, err
		}
	}
	if len(candidates) <= 1 {
		return candidates, nil
	}
	early, late := candidates[:len(candidates)/2], candidates[len(candidates)/2:]
	fromLate, err := minimal(slices.Concat(base, early), late, true, clashes)
	if err != nil {
		return nil, err
	}
	fromEarly, err := minimal(slices.Concat(base, fromLate), early, len(fromLate) > 0, clashes)
	return slices.Concat(fromEarly, fromLate), err
}

// clashes knows a problem's parts by position.
type clashes struct {
	p      *optimize.Problem
	labels []string         // match labels in order of appearance
	needs  map[string][]int // needs of each label
	sold   map[string]bool  // paints that some offer holds
}

func newClashes(p *optimize.Problem) *clashes {
	c := &clashes{p: p, needs: map[string][]int{}, sold: map[string]bool{}}
	for n, need := range p.Needs {
		if need.Match != "" {
			if c.needs[need.Match] == nil {
				c.labels = append(c.labels, need.Match)
			}
			c.needs[need.Match] = append(c.needs[need.Match], n)
		}
	}
	offered := map[string]bool{}
	for _, o := range p.Offers {
		offered[o.Product] = true
	}
	for _, product := range p.Products {
		for _, content := range product.Contents {
			if offered[product.ID] {
				c.sold[content.Paint] = true
			}
		}
	}
	return c
}

// elements lists all that can be dropped, the needs first: minimal blames the
// first ones if it can.
func (c *clashes) elements() (all []element) {
	for n := range c.p.Needs {
		all = append(all, element{needElement, n})
	}
	for m := range c.labels {
		if len(c.needs[c.labels[m]]) > 1 {
			all = append(all, element{matchElement, m})
		}
	}
	for h, shop := range c.p.Shops {
		if shop.MinOrder > 0 {
			all = append(all, element{minimumElement, h})
		}
	}
	if c.p.Rules.MaxShops != nil {
		all = append(all, element{kind: shopsElement})
	}
	for k, o := range c.p.Offers {
		if o.Limit != nil {
			all = append(all, element{limitElement, k})
		}
	}
	return all
}

// only gives the problem with no more than the given elements.
func (c *clashes) only(kept []element) *optimize.Problem {
	in := make(map[element]bool, len(kept))
	for _, e := range kept {
		in[e] = true
	}
	q := *c.p
	q.Needs, q.Shops, q.Offers = nil, slices.Clone(c.p.Shops), slices.Clone(c.p.Offers)
	matched := map[string]bool{}
	for m, label := range c.labels {
		matched[label] = in[element{matchElement, m}]
	}
	for n, need := range c.p.Needs {
		if in[element{needElement, n}] {
			if !matched[need.Match] {
				need.Match = ""
			}
			q.Needs = append(q.Needs, need)
		}
	}
	for h := range q.Shops {
		if !in[element{minimumElement, h}] {
			q.Shops[h].MinOrder = 0
		}
	}
	for k := range q.Offers {
		if !in[element{limitElement, k}] {
			q.Offers[k].Limit = nil
		}
	}
	if !in[element{kind: shopsElement}] {
		q.Rules.MaxShops = nil
	}
	return &q
}

// unmetNeeds finds needs none of whose options can be had although all that
// is on offer may be bought without limit.
func (c *clashes) unmetNeeds() (found []optimize.Reason, unmet map[int]bool) {
	unmet = map[int]bool{}
	have := map[string]int64{}
	for _, paint := range c.p.Paints {
		have[paint.ID] = paint.HaveUL
	}
	for n, need := range c.p.Needs {
		var missing []optimize.Use // one for each option
		for _, option := range need.Options {
			for _, u := range option.Uses {
				if u.UL > have[u.Paint] && !c.sold[u.Paint] {
					missing = append(missing, u)
					break
				}
			}
		}
		if len(missing) == len(need.Options) {
			found = append(found, unmetReason(need, missing, have))
			unmet[n] = true
		}
	}
	return found, unmet
}

// splitMatches finds match labels whose needs have no option in common,
// leaving out needs that can't be met anyway.
func (c *clashes) splitMatches(unmet map[int]bool) (found []optimize.Reason) {
	for _, label := range c.labels {
		kept := slices.DeleteFunc(slices.Clone(c.needs[label]), func(n int) bool { return unmet[n] })
		if c.shareOption(kept) {
			continue
		}
		for i := 0; i < len(kept); { // drop every need that is not needed for the clash
			if without := slices.Delete(slices.Clone(kept), i, i+1); !c.shareOption(without) {
				kept = without
			} else {
				i++
			}
		}
		found = append(found, c.splitReason(label, kept))
	}
	return found
}

func (c *clashes) shareOption(needs []int) bool {
	count := map[string]int{}
	for _, n := range needs {
		for _, o := range c.p.Needs[n].Options {
			count[o.ID]++
		}
	}
	for _, times := range count {
		if times == len(needs) {
			return true
		}
	}
	return len(needs) == 0
}
