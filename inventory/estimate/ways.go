package estimate

import (
	"slices"
	"sort"

	"halfpot/inventory"
)

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
			if slices.ContainsFunc(w.Mix, func(q inventory.Part) bool { return q.Paint == paint }) {
				return w, false // one paint for two parts is another colour
			}
			w.Mix = append(slices.Clip(w.Mix), inventory.Part{Paint: paint, Parts: p.Parts})
			return w, true
		})
	}
	if th := o.Thinning; th != nil && th.Medium != "" {
		subs := append([]substitute{{th.Medium, 0}}, e.substitutes(th.Medium)...)
		grow(subs, func(w Option, paint string) (Option, bool) {
			if slices.ContainsFunc(w.Mix, func(q inventory.Part) bool { return q.Paint == paint }) {
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

// substitute is a paint that may stand in for another.
type substitute struct {
	paint      string
	compromise int
}

// substitutes finds all paints that may stand for the given one, least
// compromise first and by id among equals, without the paint itself.
func substitutes(edges map[string][]substitute, paint string) []substitute {
	// Bellman-Ford by rounds: lists are short, and a cycle of near twins ends
	// because going round never lowers a compromise.
	best := map[string]int{paint: 0}
	for todo := []string{paint}; len(todo) > 0; {
		p := todo[0]
		todo = todo[1:]
		for _, e := range edges[p] {
			c := best[p] + e.compromise
			if old, ok := best[e.paint]; !ok || c < old {
				best[e.paint] = c
				todo = append(todo, e.paint)
			}
		}
	}
	delete(best, paint)
	out := make([]substitute, 0, len(best))
	for p, c := range best {
		out = append(out, substitute{p, c})
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].compromise != out[j].compromise {
			return out[i].compromise < out[j].compromise
		}
		return out[i].paint < out[j].paint
	})
	return out
}

// standInEdges turns the list into edges from the paint asked for to the
// paint used.
func standInEdges(list []inventory.StandIn) map[string][]substitute {
	m := map[string][]substitute{}
	for _, s := range list {
		m[s.For] = append(m[s.For], substitute{s.Use, s.Compromise})
		if s.EitherWay {
			m[s.Use] = append(m[s.Use], substitute{s.For, s.Compromise})
		}
	}
	return m
}
