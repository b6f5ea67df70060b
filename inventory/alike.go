package inventory

import (
	"fmt"
	"slices"
	"strings"

	"halfpot/inventory/colour"
)

// A thing is entered twice more often than two things are alike by all but their
// ids. What follows finds such pairs, for whoever adds a thing to ask about.

// PaintLike finds a paint that is p by all that is said of both: the name, and
// maker, range and code where neither leaves them open.
func (c *Catalogue) PaintLike(p Paint) (*Paint, bool) {
	return oneLike(c.Paints, func(q *Paint) bool {
		return sameName(p.Name, q.Name) && openOrSame(p.Maker, q.Maker) && openOrSame(p.Range, q.Range) &&
			openOrSame(p.Code, q.Code)
	})
}

// otherColour is a difference (CIEDE2000) that two notes of one paint's colour don't
// come to, however they were taken; an assumption.
const otherColour = 15

// Unlike tells what speaks against two entries being of one paint, "" if nothing
// does.
func (p *Paint) Unlike(q *Paint) string {
	for _, said := range [][2]string{{p.Maker, q.Maker}, {p.Code, q.Code}} {
		if !openOrSame(said[0], said[1]) {
			return said[0] + " and " + said[1]
		}
	}
	if p.Colour != nil && q.Colour != nil {
		if d := colour.Difference(*p.Colour, *q.Colour); d > otherColour {
			return fmt.Sprintf("two colours, %s and %s, that differ by %.0f", p.Colour, q.Colour, d)
		}
	}
	return ""
}

// ProductLike finds a product of the same name, barcode or pots.
func (c *Catalogue) ProductLike(p Product) (*Product, bool) {
	return oneLike(c.Products, func(q *Product) bool {
		return sameName(p.Name, q.Name) || p.Code != "" && (p.Code == q.Code || SameGTIN(p.Code, q.Code)) ||
			samePots(p.Contents, q.Contents)
	})
}

// ShopLike finds a shop of the same name.
func (c *Catalogue) ShopLike(s Shop) (*Shop, bool) {
	return oneLike(c.Shops, func(t *Shop) bool { return sameName(s.Name, t.Name) })
}

// PotLike finds a pot of the same paint and size that came on the same day and of
// which nothing else was noted than of p.
func (s *Shelf) PotLike(p Pot) (*Pot, bool) {
	return oneLike(s.Pots, func(q *Pot) bool {
		if p.Paint != q.Paint || p.Nominal != q.Nominal || !openOrSame(p.Product, q.Product) ||
			!openOrSame(p.Place, q.Place) {
			return false
		}
		a, b := p.Standing(), q.Standing()
		return len(a) > 0 && slices.EqualFunc(a, b, func(x, y PotEvent) bool {
			return x.Kind == y.Kind && dateNumber(x.At) == dateNumber(y.At) && alikePart(x.Volume, y.Volume) &&
				alikePart(x.Fraction, y.Fraction)
		})
	})
}

func oneLike[T any](things []T, like func(*T) bool) (*T, bool) {
	for i := range things {
		if like(&things[i]) {
			return &things[i], true
		}
	}
	return nil, false
}

func sameName(a, b string) bool {
	return a != "" &&
		strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

func openOrSame(a, b string) bool { return a == "" || b == "" || sameName(a, b) }

func alikePart[T comparable](a, b *T) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// samePots tells whether two boxes hold the same pots, in any order.
func samePots(a, b []Content) bool {
	count := map[Content]int{}
	for _, k := range a {
		n := k.Count
		k.Count = 0
		count[k] += n
	}
	for _, k := range b {
		n := k.Count
		k.Count = 0
		count[k] -= n
	}
	for _, n := range count {
		if n != 0 {
			return false
		}
	}
	return len(a) > 0
}
