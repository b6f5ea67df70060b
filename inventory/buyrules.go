package inventory

import (
	"fmt"
	"slices"
)

// DefaultConfidence is the chance of having enough of each paint that a plan
// is made for where the painter does not say.
const DefaultConfidence = 0.9

// BuyRules are the painter's own conditions on a purchase. The zero value
// asks for the cheapest plan at DefaultConfidence.
type BuyRules struct {
	Confidence      float64  // chance of having enough for a step, 0.5 to below 1; 0: DefaultConfidence
	MaxShops        int      // 0: as many as it takes
	Budget          *Money   // most that goods and delivery may cost; nil: none
	CompromisePrice Money    // what a point of compromise is worth in money; zero: nothing
	ExactColours    bool     // only what the recipes themselves ask for
	KeepOwned       bool     // use up what is owned: a step the shelf can serve takes no paint that is not on it
	WithoutShops    []string // shop ids
	WithoutRanges   []string // ranges not to buy from; see [Paint.InRange]
	OnlyRanges      []string // the only ranges to buy from; what is owned may still be used
	Must            []Must   // what has to be in the order
}

// Must is a product, or any product with a paint, that has to be bought.
type Must struct {
	Product string // product id; or
	Paint   string // paint id
	Count   int    // boxes, or for a paint pots; 0 means 1
}

// confidence is the chance asked for.
func (r BuyRules) confidence() float64 {
	if r.Confidence == 0 {
		return DefaultConfidence
	}
	return r.Confidence
}

// InRange reports whether a name means the paint's range: "range", "maker
// range" or "maker", in any case, with spaces or hyphens.
func (p Paint) InRange(name string) bool {
	return slices.Contains(p.rangeNames(), Slug(name))
}

func (p Paint) rangeNames() []string {
	var out []string
	for _, n := range []string{Slug(p.Range), Slug(p.Maker + " " + p.Range), Slug(p.Maker)} {
		if n != "" && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// check reports rules that name what is not there or ask for nonsense.
func (r BuyRules) check(c *Catalogue, idx *Index, currency string) Faults {
	k := &checker{cat: c, idx: idx}
	if conf := r.confidence(); !(conf >= 0.5 && conf <= 0.999) {
		k.add("confidence", fmt.Sprintf("%g", conf), "0.5 to 0.999")
	}
	if r.MaxShops < 0 {
		k.add("max-shops", fmt.Sprint(r.MaxShops), "at least 1 shop")
	}
	if r.Budget != nil {
		k.money("budget", *r.Budget, currency, false)
	}
	k.money("compromise-price", r.CompromisePrice, currency, false)
	for _, s := range r.WithoutShops {
		ref(k, "without-shop", "shop", s, idx.Shops)
	}
	var ranges []string
	for _, p := range c.Paints {
		ranges = append(ranges, p.rangeNames()...)
	}
	slices.Sort(ranges)
	ranges = slices.Compact(ranges)
	for _, list := range []struct {
		path  string
		names []string
	}{{"without-range", r.WithoutRanges}, {"only-range", r.OnlyRanges}} {
		for _, n := range list.names {
			if !slices.Contains(ranges, Slug(n)) {
				k.faults = append(k.faults, Fault{Path: list.path, Found: quoted(n), Expected: "a range or maker in the catalogue", Nearest: Nearest(Slug(n), ranges, 3)})
			}
		}
	}
	for _, m := range r.Must {
		switch {
		case m.Product != "" && m.Paint != "":
			k.add("must", m.Product+" and "+m.Paint, "a product or a paint")
		case m.Paint != "":
			ref(k, "must", "paint", m.Paint, idx.Paints)
		default:
			ref(k, "must", "product", m.Product, idx.Products)
		}
		if m.Count < 0 || m.Count > 10000 {
			k.add("must", fmt.Sprint(m.Count), "1 to 10000 boxes")
		}
	}
	return k.faults
}

// buyable reports whether the rules allow to buy a product at a shop.
func (r BuyRules) buyable(idx *Index, product *Product, shop string) bool {
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
