package shopping

import (
	"fmt"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
)

// Rules are the painter's own conditions on a purchase. The zero value
// asks for the cheapest plan at DefaultConfidence.
type Rules struct {
	Confidence float64 // chance that nothing runs short, 0.5 to below 1; 0: DefaultConfidence
	// how needs are reckoned so that the whole has that chance; nil: each at Confidence
	Reckon   *Reckoning
	MaxShops int              // 0: as many as it takes
	Budget   *inventory.Money // most that goods and delivery may cost; nil: none
	// what a point of compromise is worth in money; zero: nothing, see [PointPrice]
	CompromisePrice inventory.Money
	MaxPoints       *int // most points of compromise in all; nil: any number
	MoneyAlone      bool // points are not to be counted, whatever their price
	ExactColours    bool // only what the recipes themselves ask for
	// use up what is owned: a step the shelf can serve takes no paint that is not on it
	KeepOwned     bool
	WithoutShops  []string // shop ids
	WithoutRanges []string // ranges not to buy from; see [inventory.Paint.InRange]
	OnlyRanges    []string // the only ranges to buy from; what is owned may still be used
	Must          []Must   // what has to be in the order
}

// Reckoning is how much is reckoned with for each need, so that all of them
// together have the chance asked for.
type Reckoning struct {
	Level float64 // quantile each need, and the content of a new pot, is taken at
	// by need id: what its needs come to together over what they come to each at that quantile;
	// absent: 1
	Scale map[string]float64
}

// Takes is what is reckoned with for a use of a paint by a need.
func (r *Reckoning) Takes(need string, u estimate.PaintUse) inventory.Volume {
	ul := u.UL(r.Level)
	if f, ok := r.Scale[need]; ok {
		return inventory.CeilUL(float64(ul)*f - 1e-6)
	}
	return ul
}

// Must is a product, or any product with a paint, that has to be bought.
type Must struct {
	Product string // product id; or
	Paint   string // paint id
	Count   int    // boxes, or for a paint pots; 0 means 1
}

// confidence is the chance asked for.
func (r Rules) confidence() float64 {
	if r.Confidence == 0 {
		return estimate.DefaultConfidence
	}
	return r.Confidence
}

// level is the quantile needs are taken at.
func (r Rules) level() float64 {
	if r.Reckon != nil {
		return r.Reckon.Level
	}
	return r.confidence()
}

// takes is what is reckoned with for a use of a paint by a need.
func (q *Question) takes(need string, u estimate.PaintUse) inventory.Volume {
	if q.Rules.Reckon == nil {
		return u.UL(q.Rules.confidence())
	}
	return q.Rules.Reckon.Takes(need, u)
}

// check reports rules that name what is not there or ask for nonsense.
func (r Rules) check(c *inventory.Catalogue, idx *inventory.Index, currency string) inventory.Faults {
	var out inventory.Faults
	add := func(path, found, expected string) {
		out = append(out, inventory.Fault{Path: path, Found: found, Expected: expected})
	}
	note := func(f *inventory.Fault) {
		if f != nil {
			out = append(out, *f)
		}
	}
	if conf := r.confidence(); !(conf >= 0.5 && conf <= 0.999) {
		add("confidence", fmt.Sprintf("%g", conf), "0.5 to 0.999")
	}
	if r.MaxShops < 0 {
		add("max-shops", fmt.Sprint(r.MaxShops), "at least 1 shop")
	}
	if r.MaxPoints != nil && *r.MaxPoints < 0 {
		add("max-points", fmt.Sprint(*r.MaxPoints), "0 or more points")
	}
	if r.Budget != nil {
		out = append(out, r.Budget.Check("budget", currency, false)...)
	}
	out = append(out, r.CompromisePrice.Check("compromise-price", currency, false)...)
	for _, s := range r.WithoutShops {
		note(inventory.MissingRef("without-shop", "shop", s, idx.Shops))
	}
	out = append(out, r.unknownRanges(c)...)
	for _, m := range r.Must {
		switch {
		case m.Product != "" && m.Paint != "":
			add("must", m.Product+" and "+m.Paint, "a product or a paint")
		case m.Paint != "":
			note(inventory.MissingRef("must", "paint", m.Paint, idx.Paints))
		default:
			note(inventory.MissingRef("must", "product", m.Product, idx.Products))
		}
		if m.Count < 0 || m.Count > 10000 {
			add("must", fmt.Sprint(m.Count), "1 to 10000 boxes")
		}
	}
	return out
}

// unknownRanges reports ranges that no paint of the catalogue is in.
func (r Rules) unknownRanges(c *inventory.Catalogue) inventory.Faults {
	var ranges []string
	for _, p := range c.Paints {
		ranges = append(ranges, p.RangeNames()...)
	}
	slices.Sort(ranges)
	ranges = slices.Compact(ranges)
	var out inventory.Faults
	for _, list := range []struct {
		path  string
		names []string
	}{{"without-range", r.WithoutRanges}, {"only-range", r.OnlyRanges}} {
		for _, n := range list.names {
			if !slices.Contains(ranges, inventory.Slug(n)) {
				out = append(out, inventory.Fault{
					Path:     list.path,
					Found:    inventory.Quoted(n),
					Expected: "a range or maker in the catalogue",
					Nearest:  inventory.Near(inventory.Slug(n), ranges),
				})
			}
		}
	}
	return out
}

// buyable reports whether the rules allow to buy a product at a shop.
func (r Rules) buyable(idx *inventory.Index, product *inventory.Product, shop string) bool {
	if slices.Contains(r.WithoutShops, shop) {
		return false
	}
	for _, c := range product.Contents {
		p := idx.Paints[c.Paint]
		if p == nil {
			return false
		}
		in := func(names []string) bool { return slices.ContainsFunc(names, p.InRange) }
		if in(r.WithoutRanges) || (len(r.OnlyRanges) > 0 && !in(r.OnlyRanges)) {
			return false
		}
	}
	return true
}
