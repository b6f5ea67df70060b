package inventory

import (
	"fmt"
	"slices"
)

// Retired are the things, by kind and id, that the painter no longer wants to see:
// out of lists and of what can be bought, and still in history. The id of an offer is
// PRODUCT@SHOP.
type Retired map[string]map[string]bool

// Has tells whether a thing is retired.
func (r Retired) Has(kind, id string) bool { return r[kind][id] }

// With adds a thing to those retired.
func (r Retired) With(kind, id string) Retired {
	if r == nil {
		r = Retired{}
	}
	if r[kind] == nil {
		r[kind] = map[string]bool{}
	}
	r[kind][id] = true
	return r
}

// OfferID is what an offer is known by.
func (o Offer) OfferID() string { return o.Product + "@" + o.Shop }

// UnitID is what a unit is known by among what is retired.
func UnitID(force, unit string) string { return force + "@" + unit }

// Planned is a catalogue without the units that are retired: what is logged of them
// stays, and nothing is planned for them. c stays as it was.
func (c Catalogue) Planned() Catalogue {
	if len(c.Retired["unit"]) == 0 {
		return c
	}
	c.Forces = slices.Clone(c.Forces)
	for i := range c.Forces {
		f := &c.Forces[i]
		gone := func(unit string) bool { return c.Retired.Has("unit", UnitID(f.ID, unit)) }
		f.Units = slices.DeleteFunc(slices.Clone(f.Units), func(u Unit) bool { return gone(u.ID) })
		var rules []Match
		for _, m := range f.Match {
			if len(m.Units) > 0 {
				if m.Units = slices.DeleteFunc(slices.Clone(m.Units), gone); len(m.Units) == 0 {
					continue // no unit left; an empty list would be every unit
				}
			}
			rules = append(rules, m)
		}
		f.Match = rules
	}
	return c
}

// Coming are the orders that still have a product on its way, or anything of a
// shop, with what would be lost sight of.
func Coming(orders []Order, kind, id string) []string {
	var out []string
	for i := range orders {
		n := 0
		for _, l := range orders[i].Outstanding() {
			if kind == "shop" && orders[i].Shop == id || kind == "product" && l.Product == id {
				n += l.Count
			}
		}
		if n > 0 {
			out = append(out, fmt.Sprintf("%s (%d on their way)", orders[i].ID, n))
		}
	}
	return out
}

// Listed is a catalogue without what is retired; an offer goes with its product
// and its shop. c stays as it was.
func (c Catalogue) Listed(r Retired) Catalogue {
	if len(r) == 0 {
		return c
	}
	c.Paints = unretired(r, "paint", c.Paints, func(p Paint) string { return p.ID })
	c.Products = unretired(r, "product", c.Products, func(p Product) string { return p.ID })
	c.Shops = unretired(r, "shop", c.Shops, func(s Shop) string { return s.ID })
	c.Figures = unretired(r, "figure", c.Figures, func(f FigureType) string { return f.ID })
	c.Recipes = unretired(r, "recipe", c.Recipes, func(x Recipe) string { return x.ID })
	c.Forces = unretired(r, "force", c.Forces, func(f Force) string { return f.ID })
	c.Offers = c.Sold(r)
	return c
}

// Sold are the offers that are not retired, nor their product or shop.
func (c Catalogue) Sold(r Retired) []Offer {
	return slices.DeleteFunc(slices.Clone(c.Offers), func(o Offer) bool {
		return r.Has("offer", o.OfferID()) || r.Has("product", o.Product) || r.Has("shop", o.Shop)
	})
}

func unretired[T any](r Retired, kind string, things []T, id func(T) string) []T {
	return slices.DeleteFunc(slices.Clone(things), func(t T) bool { return r.Has(kind, id(t)) })
}

// Needs are the forces, not retired themselves, that could not be painted as planned
// without a thing, each with what of it needs the thing.
func (c *Catalogue) Needs(kind, id string, r Retired) []string {
	var out []string
	idx := c.Index()
	for _, f := range c.Forces {
		if r.Has("force", f.ID) {
			continue
		}
		for _, u := range f.Units {
			recipe := idx.Recipes[u.Recipe]
			switch {
			case r.Has("unit", UnitID(f.ID, u.ID)):
			case kind == "recipe" && u.Recipe == id, kind == "figure" && u.Figure == id,
				kind == "paint" && (u.Undercoat == id || recipe != nil && recipe.uses(id)):
				out = append(out, fmt.Sprintf("%s of %s", u.ID, f.ID))
			}
		}
	}
	return out
}

// uses tells whether a step of the recipe takes a paint, in its own mix or as what
// thins it; alternatives may go.
func (r *Recipe) uses(paint string) bool {
	return slices.ContainsFunc(r.Steps, func(s Step) bool {
		return s.Thinning != nil && s.Thinning.Medium == paint ||
			slices.ContainsFunc(s.Mix, func(p Part) bool { return p.Paint == paint })
	})
}
