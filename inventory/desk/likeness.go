package desk

import (
	"time"

	"halfpot/inventory"
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
	sold := map[string]bool{}
	for _, o := range d.Catalogue.Offers {
		if o.Shop == w.Shop {
			for _, k := range d.Index.Products[o.Product].Contents {
				sold[k.Paint] = true
			}
		}
	}
	left := map[string]bool{}
	for i, l := range d.Levels {
		if l.Gone == "" && l.Left() > 0 {
			left[d.Shelf.Pots[i].Paint] = true
		}
	}
	var out []*inventory.Paint
	for i := range d.Catalogue.Paints {
		p := &d.Catalogue.Paints[i]
		if (!w.Shelf || left[p.ID]) && (w.Range == "" || p.InRange(w.Range)) && (w.Shop == "" || sold[p.ID]) {
			out = append(out, p)
		}
	}
	return out
}

// Near finds what comes near a paint among others; the search for mixes ends
// after patience. The error is a *likeness.Untold where the paint has no colour
// to compare.
func (d *Desk) Near(a likeness.Ask, w Among, patience time.Duration) (*likeness.Near, error) {
	a.Candidates, a.StandIns = d.Paints(w), d.Catalogue.StandIns
	until := d.options.Now().Add(patience)
	a.Stop = func() bool { return d.options.Now().After(until) }
	return likeness.Find(a)
}

// Restate says a recipe anew with paints among others.
func (d *Desk) Restate(r *inventory.Recipe, w Among) *likeness.Restatement {
	return likeness.Restate(r, d.Index.Paints, d.Paints(w), d.Catalogue.StandIns)
}
