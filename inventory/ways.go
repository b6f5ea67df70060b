package inventory

import "slices"

// standInWays lists the ways that put stand-ins in place of one or more
// paints of a way, least compromise first.
func (e *Estimator) standInWays(o Option) []Option {
	ways := []Option{o}
	ways[0].Mix = nil
	// Keeping the maxOptions least after each part is exact, because the
	// compromises of the parts add up.
	grow := func(subs []substitute, put func(Option, string) (Option, bool)) {
		var next []Option
		for _, w := range ways {
			for _, s := range subs {
				if n, ok := put(w, s.paint); ok {
					n.Compromise += s.compromise
					if s.paint != subs[0].paint {
						n.Kind, n.Label = StandInFor, ""
					}
					next = append(next, n)
				}
			}
		}
		slices.SortStableFunc(next, func(a, b Option) int { return a.Compromise - b.Compromise })
		ways = next[:min(len(next), maxOptions+1)]
	}
	for _, p := range o.Mix {
		subs := append([]substitute{{p.Paint, 0}}, e.substitutes(p.Paint)...)
		grow(subs, func(w Option, paint string) (Option, bool) {
			if slices.ContainsFunc(w.Mix, func(q Part) bool { return q.Paint == paint }) {
				return w, false // one paint for two parts is another colour
			}
			w.Mix = append(slices.Clip(w.Mix), Part{paint, p.Parts})
			return w, true
		})
	}
	if th := o.Thinning; th != nil && th.Medium != "" {
		subs := append([]substitute{{th.Medium, 0}}, e.substitutes(th.Medium)...)
		grow(subs, func(w Option, paint string) (Option, bool) {
			if slices.ContainsFunc(w.Mix, func(q Part) bool { return q.Paint == paint }) {
				return w, false
			}
			t := *th
			t.Medium = paint
			w.Thinning = &t
			return w, true
		})
	}
	var out []Option
	for _, w := range ways {
		if w.Kind == StandInFor {
			out = append(out, w)
		}
	}
	return out
}

func (e *Estimator) substitutes(paint string) []substitute {
	s, ok := e.subs[paint]
	if !ok {
		s = substitutes(e.edges, paint)
		e.subs[paint] = s
	}
	return s
}
