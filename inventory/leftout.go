package inventory

import "slices"

// Thing is a thing of the catalogue or the shelf by kind and id. What two words
// name has both in its id, with an @ between.
type Thing struct{ Kind, ID string }

// LeftOut are the things of c that files name no longer: of each kind of which the
// files name something that is there, and no further than the files reach. Paints are
// held against files of their maker and range, products against those of the same
// ranges, offers against the shop's own. c is the catalogue as it was before the files;
// retired things are nobody's loss.
func (c *Catalogue) LeftOut(files *Catalogue) []Thing {
	type rangeOf struct{ maker, name string }
	idx, there := c.Index(), files.Index()
	ranges, boxed := map[rangeOf]bool{}, map[rangeOf]bool{}
	for _, p := range files.Paints {
		ranges[rangeOf{p.Maker, p.Range}] = true
	}
	of := func(paint string) rangeOf {
		p := there.Paints[paint]
		if p == nil {
			p = idx.Paints[paint]
		}
		if p == nil {
			return rangeOf{}
		}
		return rangeOf{p.Maker, p.Range}
	}
	for _, p := range files.Products {
		for _, k := range p.Contents {
			boxed[of(k.Paint)] = true
		}
	}
	shops := map[string]bool{}
	for _, o := range files.Offers {
		shops[o.Shop] = true
	}
	var out []Thing
	out = append(out, leftOut("offer", c.Retired, c.Offers, files.Offers, Offer.OfferID, func(o Offer) bool {
		return shops[o.Shop]
	})...)
	out = append(out, leftOut("stand-in", c.Retired, c.StandIns, files.StandIns,
		func(s StandIn) string { return s.For + "@" + s.Use }, nil)...)
	out = append(out, leftOut("trial-mix", c.Retired, c.TrialMixes, files.TrialMixes, TrialMix.Key, nil)...)
	out = append(out, leftOut("product", c.Retired, c.Products, files.Products,
		func(p Product) string { return p.ID }, func(p Product) bool {
			return !slices.ContainsFunc(p.Contents, func(k Content) bool { return !boxed[of(k.Paint)] })
		})...)
	out = append(out, leftOut("shop", c.Retired, c.Shops, files.Shops,
		func(s Shop) string { return s.ID }, nil)...)
	out = append(out, leftOut("force", c.Retired, c.Forces, files.Forces,
		func(f Force) string { return f.ID }, nil)...)
	for _, f := range files.Forces {
		if old := idx.Forces[f.ID]; old != nil {
			out = append(out, leftOut("unit", c.Retired, old.Units, f.Units,
				func(u Unit) string { return UnitID(f.ID, u.ID) }, nil)...)
		}
	}
	out = append(out, leftOut("recipe", c.Retired, c.Recipes, files.Recipes,
		func(r Recipe) string { return r.ID }, nil)...)
	out = append(out, leftOut("figure", c.Retired, c.Figures, files.Figures,
		func(f FigureType) string { return f.ID }, nil)...)
	return append(out, leftOut("paint", c.Retired, c.Paints, files.Paints,
		func(p Paint) string { return p.ID },
		func(p Paint) bool { return ranges[rangeOf{p.Maker, p.Range}] })...)
}

// LeftOut are the pots that stand on the shelf and that files with other pots of it
// name no longer.
func (s *Shelf) LeftOut(files []Pot) []Thing {
	var here []Pot
	for _, p := range s.Pots {
		if standing := p.Standing(); len(standing) > 0 &&
			!slices.ContainsFunc(standing, func(e PotEvent) bool {
				return e.Kind == GivenAway || e.Kind == DriedOut
			}) {
			here = append(here, p)
		}
	}
	return leftOut("pot", nil, here, files, func(p Pot) string { return p.ID }, nil)
}

func leftOut[T any](
	kind string, retired Retired, have, files []T, id func(T) string, within func(T) bool,
) []Thing {
	named := map[string]bool{}
	for _, t := range files {
		named[id(t)] = true
	}
	known := false
	var out []Thing
	for _, t := range have {
		switch {
		case named[id(t)]:
			known = true
		case !retired.Has(kind, id(t)) && (within == nil || within(t)):
			out = append(out, Thing{kind, id(t)})
		}
	}
	if !known {
		return nil
	}
	return out
}
