package shopping

import "halfpot/optimize"

// keepOwned drops the options that take a paint not on the shelf from every
// need that the shelf can serve. An owned paint that might not reach for all
// the needs it could be asked for, and that no shop offers, promises nothing.
func (q *Question) keepOwned() {
	have, most := map[string]int64{}, map[string]int64{}
	for _, p := range q.Problem.Paints {
		have[p.ID] = p.HaveUL
	}
	offered := map[string]bool{}
	for _, p := range q.Problem.Products {
		for _, c := range p.Contents {
			offered[c.Paint] = true
		}
	}
	for _, n := range q.Problem.Needs {
		worst := map[string]int64{}
		for _, o := range n.Options {
			for _, u := range o.Uses {
				worst[u.Paint] = max(worst[u.Paint], u.UL)
			}
		}
		for p, ul := range worst {
			most[p] += ul
		}
	}
	served := func(o optimize.Option) bool {
		for _, u := range o.Uses {
			if have[u.Paint] < u.UL || (!offered[u.Paint] && have[u.Paint] < most[u.Paint]) {
				return false
			}
		}
		return true
	}
	// Units that must match can only keep to the shelf together.
	shared := map[string]map[string]int{}
	size := map[string]int{}
	for _, n := range q.Problem.Needs {
		if n.Match == "" {
			continue
		}
		size[n.Match]++
		if shared[n.Match] == nil {
			shared[n.Match] = map[string]int{}
		}
		for _, o := range n.Options {
			if served(o) {
				shared[n.Match][o.ID]++
			}
		}
	}
	for i := range q.Problem.Needs {
		n := &q.Problem.Needs[i]
		var kept []optimize.Option
		for _, o := range n.Options {
			if served(o) && (n.Match == "" || shared[n.Match][o.ID] == size[n.Match]) {
				kept = append(kept, o)
			}
		}
		if len(kept) > 0 {
			n.Options = kept
		}
	}
}
