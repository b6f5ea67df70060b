package estimate

import (
	"slices"

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

// nearbyWays lists the ways that put a paint or a mix of nearly the same colour in
// place of one paint of a way, least compromise first. A mix stands only for a
// paint that is used by itself.
func (e *Estimator) nearbyWays(
	u inventory.Unit, named []Option, nearby func(paint, undercoat string) []Nearby,
) []Option {
	var out []Option
	undercoat := e.undercoat(u)
	for _, w := range named {
		for i, part := range w.Mix {
			judged := e.substitutes(part.Paint)
			for _, n := range nearby(part.Paint, undercoat) {
				if len(n.Mix) == 1 &&
					slices.ContainsFunc(judged, func(s substitute) bool { return s.paint == n.Mix[0].Paint }) {
					continue
				}
				o := w
				o.Kind, o.Label, o.Compromise, o.Difference = ByColour, "", w.Compromise+n.Compromise, 0
				switch {
				case len(w.Mix) == 1:
					o.Mix, o.Difference = n.Mix, n.Difference
				case len(n.Mix) > 1:
					continue
				default:
					o.Mix = slices.Clone(w.Mix)
					o.Mix[i].Paint = n.Mix[0].Paint
				}
				if !mixes(o.Mix, o.Thinning) {
					continue
				}
				out = append(out, o)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Option) int { return a.Compromise - b.Compromise })
	return out
}

// undercoat is the paint that a unit is undercoated with: its own, else the
// recipe's; "" where neither says.
func (e *Estimator) undercoat(u inventory.Unit) string {
	if u.Undercoat != "" || e.Index.Recipes[u.Recipe] == nil {
		return u.Undercoat
	}
	for _, s := range e.Index.Recipes[u.Recipe].Steps {
		if p := e.MainPaint(s.Mix); p != nil && p.Type.Kin() == inventory.Undercoats {
			return p.ID
		}
	}
	return ""
}

// mixes says whether every paint of a mix and its medium is another.
func mixes(m inventory.Mix, th *inventory.Thinning) bool {
	seen := map[string]bool{}
	if th != nil && th.Medium != "" {
		seen[th.Medium] = true
	}
	for _, p := range m {
		if seen[p.Paint] {
			return false
		}
		seen[p.Paint] = true
	}
	return true
}

func (e *Estimator) substitutes(paint string) []substitute {
	s, ok := e.subs[paint]
	if !ok {
		for _, j := range inventory.StandInsFor(paint, e.standIns) {
			s = append(s, substitute{j.Use, j.Compromise})
		}
		e.subs[paint] = s
	}
	return s
}

// substitute is a paint that may stand in for another.
type substitute struct {
	paint      string
	compromise int
}
