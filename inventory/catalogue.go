package inventory

import "halfpot/inventory/coverage"

// Catalogue is everything the painter plans with except the shelf. The order
// of each slice is the order things were entered in.
type Catalogue struct {
	Paints     []Paint
	StandIns   []StandIn
	Spectra    []Spectrum
	TrialMixes []TrialMix
	Products   []Product
	Shops      []Shop
	Offers     []Offer
	Figures    []FigureType
	Recipes    []Recipe
	Forces     []Force
	Retired    Retired // what of all this is retired

	// Tables are the defaults as the painter has changed them. They are kept as
	// settings, apart from the rest, and no file of a catalogue holds them.
	Tables coverage.Tables
}

// Index finds the things of a catalogue by id. It is made once by
// [Catalogue.Index] and does not follow later changes.
type Index struct {
	Paints   map[string]*Paint
	Products map[string]*Product
	Shops    map[string]*Shop
	Figures  map[string]*FigureType
	Recipes  map[string]*Recipe
	Forces   map[string]*Force
	Tables   coverage.Tables
}

// Index makes the look-up tables. Of things with the same id the first counts.
func (c *Catalogue) Index() *Index {
	return &Index{
		Tables:   c.Tables,
		Paints:   byID(c.Paints, func(p *Paint) string { return p.ID }),
		Products: byID(c.Products, func(p *Product) string { return p.ID }),
		Shops:    byID(c.Shops, func(s *Shop) string { return s.ID }),
		Figures:  byID(c.Figures, func(f *FigureType) string { return f.ID }),
		Recipes:  byID(c.Recipes, func(r *Recipe) string { return r.ID }),
		Forces:   byID(c.Forces, func(f *Force) string { return f.ID }),
	}
}

func byID[T any](things []T, id func(*T) string) map[string]*T {
	m := make(map[string]*T, len(things))
	for i := range things {
		if k := id(&things[i]); m[k] == nil {
			m[k] = &things[i]
		}
	}
	return m
}
