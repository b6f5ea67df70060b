package exact

import (
	"context"
	"slices"

	"halfpot/optimize"
)

// mostReasons is how many infeasible subsystems reasons looks for with the oracle; those
// that show at a glance are all listed.
const mostReasons = 5

// reasons says why a problem without a budget has no plan (under a budget,
// finishing nothing always is one). Each reason is an irreducible infeasible subsystem: needs,
// match labels, limits, minimum orders and max_shops that clash; without any
// one of them the others can be met. feasible says whether a problem has any
// plan; it is asked about smaller and eased copies of p, and only when the
// reasons don't show at a glance. When it fails or the context ends, the
// reasons found so far are given, or one that says that time ran out. The
// list is never empty.
func reasons(
	ctx context.Context, p *optimize.Problem, feasible func(*optimize.Problem) (bool, error),
) []optimize.Reason {
	c := newSubsystems(p)
	found, unmet := c.unmetNeeds()
	if found = append(found, c.splitMatches(unmet)...); len(found) > 0 {
		return found
	}
	infeasible := func(kept []constraint) (bool, error) {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		ok, err := feasible(c.only(kept))
		return !ok, err
	}
	left := c.constraints()
	for len(found) < mostReasons {
		if len(found) > 0 { // the first time it is known
			if more, err := infeasible(left); err != nil || !more {
				break
			}
		}
		smallest, err := quickXplain(nil, left, false, infeasible)
		if err != nil || len(smallest) == 0 {
			break
		}
		found = append(found, c.reason(smallest))
		// Go on without the needs of this one, to find others.
		left = slices.DeleteFunc(left, func(e constraint) bool {
			return e.kind == needConstraint && slices.Contains(smallest, e)
		})
	}
	if len(found) == 0 {
		found = append(found, optimize.Reason{
			Kind: "together",
			Text: "No plan meets all needs at once; " +
				"the time limit came before the things that clash could be narrowed down.",
		})
	}
	return found
}

// A constraint is one thing that can be dropped from a problem to make it easier.
type constraint struct {
	kind constraintKind
	i    int // need, match label, shop or offer; 0 for max_shops
}

type constraintKind int

const (
	needConstraint constraintKind = iota
	matchConstraint
	minimumConstraint
	shopsConstraint
	limitConstraint
)

// quickXplain finds an irreducible infeasible part of candidates beside what is in base,
// given that base and candidates together are infeasible (QuickXplain: U. Junker,
// "QUICKXPLAIN: preferred explanations and relaxations for over-constrained
// problems", AAAI 2004, 167-172). It asks about 2 k log2(n/k) questions for k
// of n elements, and takes late candidates only where the early ones are not
// infeasible by themselves. grown says that base has changed since it was last
// known to be feasible.
func quickXplain(
	base, candidates []constraint, grown bool, infeasible func([]constraint) (bool, error),
) ([]constraint, error) {
	if grown {
		if yes, err := infeasible(base); err != nil || yes {
			return nil, err
		}
	}
	if len(candidates) <= 1 {
		return candidates, nil
	}
	early, late := candidates[:len(candidates)/2], candidates[len(candidates)/2:]
	fromLate, err := quickXplain(slices.Concat(base, early), late, true, infeasible)
	if err != nil {
		return nil, err
	}
	fromEarly, err := quickXplain(slices.Concat(base, fromLate), early, len(fromLate) > 0, infeasible)
	return slices.Concat(fromEarly, fromLate), err
}

// subsystems knows a problem's parts by position.
type subsystems struct {
	p      *optimize.Problem
	labels []string         // match labels in order of appearance
	needs  map[string][]int // needs of each label
	sold   map[string]bool  // paints that some offer holds
}

func newSubsystems(p *optimize.Problem) *subsystems {
	c := &subsystems{p: p, needs: map[string][]int{}, sold: map[string]bool{}}
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

// constraints lists all that can be dropped, the needs first: minimal blames the
// first ones if it can.
func (c *subsystems) constraints() (all []constraint) {
	for n := range c.p.Needs {
		all = append(all, constraint{needConstraint, n})
	}
	for m := range c.labels {
		if len(c.needs[c.labels[m]]) > 1 {
			all = append(all, constraint{matchConstraint, m})
		}
	}
	for h, shop := range c.p.Shops {
		if shop.MinOrder > 0 {
			all = append(all, constraint{minimumConstraint, h})
		}
	}
	if c.p.Rules.MaxShops != nil {
		all = append(all, constraint{kind: shopsConstraint})
	}
	for k, o := range c.p.Offers {
		if o.Limit != nil {
			all = append(all, constraint{limitConstraint, k})
		}
	}
	return all
}

// only gives the problem with no more than the given constraints.
func (c *subsystems) only(kept []constraint) *optimize.Problem {
	in := make(map[constraint]bool, len(kept))
	for _, e := range kept {
		in[e] = true
	}
	q := *c.p
	q.Needs, q.Shops, q.Offers = nil, slices.Clone(c.p.Shops), slices.Clone(c.p.Offers)
	matched := map[string]bool{}
	for m, label := range c.labels {
		matched[label] = in[constraint{matchConstraint, m}]
	}
	for n, need := range c.p.Needs {
		if in[constraint{needConstraint, n}] {
			if !matched[need.Match] {
				need.Match = ""
			}
			q.Needs = append(q.Needs, need)
		}
	}
	for h := range q.Shops {
		if !in[constraint{minimumConstraint, h}] {
			q.Shops[h].MinOrder = 0
		}
	}
	for k := range q.Offers {
		if !in[constraint{limitConstraint, k}] {
			q.Offers[k].Limit = nil
		}
	}
	if !in[constraint{kind: shopsConstraint}] {
		q.Rules.MaxShops = nil
	}
	return &q
}

// unmetNeeds finds needs none of whose options can be had although all that
// is on offer may be bought without limit.
func (c *subsystems) unmetNeeds() (found []optimize.Reason, unmet map[int]bool) {
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
func (c *subsystems) splitMatches(unmet map[int]bool) (found []optimize.Reason) {
	for _, label := range c.labels {
		kept := slices.DeleteFunc(slices.Clone(c.needs[label]), func(n int) bool { return unmet[n] })
		if c.shareOption(kept) {
			continue
		}
		for i := 0; i < len(kept); { // drop every need that is not needed for it
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

func (c *subsystems) shareOption(needs []int) bool {
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
