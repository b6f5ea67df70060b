package desk

import (
	"time"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/likeness"
)

// Among says which paints may be chosen from; the zero value means all that
// are known. More than one condition must hold together.
type Among struct {
	Shelf bool   // of which something is left
	Range string // a range's or maker's name, see [inventory.Paint.InRange]
	Shop  string // that this shop sells
}

// Paints lists the paints that fit, in the catalogue's order.
func (d *Desk) Paints(w Among) []*inventory.Paint {
	sold, left := d.sold(w.Shop), d.left()
	var out []*inventory.Paint
	for i := range d.Catalogue.Paints {
		p := &d.Catalogue.Paints[i]
		if (!w.Shelf || left[p.ID]) && (w.Range == "" || p.InRange(w.Range)) && (w.Shop == "" || sold[p.ID]) {
			out = append(out, p)
		}
	}
	return out
}

// sold are the paints that a shop sells, "" for any shop.
func (d *Desk) sold(shop string) map[string]bool {
	out := map[string]bool{}
	for _, o := range d.Catalogue.Offers {
		if shop == "" || o.Shop == shop {
			for _, k := range d.Index.Products[o.Product].Contents {
				out[k.Paint] = true
			}
		}
	}
	return out
}

// left are the paints of which the shelf has something left.
func (d *Desk) left() map[string]bool {
	out := map[string]bool{}
	for i, l := range d.Levels {
		if l.Gone == "" && l.Left() > 0 {
			out[d.Shelf.Pots[i].Paint] = true
		}
	}
	return out
}

// Palette is what is known of colours.
func (d *Desk) Palette() *likeness.Palette {
	if d.palette == nil {
		d.palette = likeness.NewPalette(d.Catalogue)
	}
	return d.palette
}

// Near finds what comes near a paint among others; the search for mixes ends
// after patience. The error is a *likeness.Untold where the paint has no colour
// to compare.
func (d *Desk) Near(a likeness.Ask, w Among, patience time.Duration) (*likeness.Near, error) {
	a.Candidates = d.Paints(w)
	until := d.options.Now().Add(patience)
	a.Stop = func() bool { return d.options.Now().After(until) }
	return d.Palette().Find(a)
}

// Restate says a recipe anew with paints among others.
func (d *Desk) Restate(r *inventory.Recipe, w Among) *likeness.Restatement {
	return d.Palette().Restate(r, d.Paints(w))
}

// Nearby gives, for [estimate.NeedRules], the paints and mixes that by colour may
// be used for another for at most so many points, among what is on the shelf, on
// its way or sold. Over an undercoat whose colour is not known nothing is told of
// paints that let it show.
func (d *Desk) Nearby(points int) func(paint, undercoat string) []estimate.Nearby {
	sold, left := d.sold(""), d.left()
	for _, c := range d.Coming {
		left[c.Paint] = true
	}
	var there []*inventory.Paint
	for i := range d.Catalogue.Paints {
		if p := &d.Catalogue.Paints[i]; sold[p.ID] || left[p.ID] {
			there = append(there, p)
		}
	}
	known := map[[2]string][]estimate.Nearby{}
	return func(paint, undercoat string) []estimate.Nearby {
		p := d.Index.Paints[paint]
		if p == nil {
			return nil
		}
		if !likeness.SeesThrough(p.Type.Kin()) {
			undercoat = ""
		}
		key := [2]string{paint, undercoat}
		if out, ok := known[key]; ok {
			return out
		}
		var over *inventory.Colour
		if u := d.Index.Paints[undercoat]; u != nil {
			if over = u.Colour; over == nil {
				known[key] = nil
				return nil
			}
		}
		ways, err := d.Palette().Nearby(p, over, there, points)
		if err != nil { // it has no colour to compare
			ways = nil
		}
		out := make([]estimate.Nearby, len(ways))
		for i, w := range ways {
			out[i] = estimate.Nearby{Mix: w.Mix(), Difference: w.Difference, Compromise: w.Points}
		}
		known[key] = out
		return out
	}
}
