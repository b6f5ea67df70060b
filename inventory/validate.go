package inventory

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Limits beyond which a number is a slip of the pen, not a paint job.
const (
	MaxPot     = 5 * Litre // nominal volume of one pot
	MaxFigures = 1_000_000 // figures in a unit
	MaxCoats   = 20
	MaxPoints  = 1_000_000 // compromise of one alternative
	MaxParts   = 1000      // of one paint in a mix
)

// Validate returns everything that is wrong with the catalogue, nil where
// nothing is. A catalogue that passes can be planned with: needs and purchase
// problems then fail only for what depends on the question asked.
func (c *Catalogue) Validate() Faults {
	k := &checker{cat: c, idx: c.Index()}
	k.paints()
	k.standIns()
	k.spectra()
	k.trialMixes()
	k.products()
	k.shops()
	k.offers()
	k.figures()
	k.recipes()
	k.forces()
	return k.faults
}

// checker gathers faults.
type checker struct {
	cat    *Catalogue
	idx    *Index
	faults Faults
	fits   map[[2]string]bool // figures and recipes that have been held against each other
}

func (k *checker) add(path, found, expected string) {
	k.faults = append(k.faults, Fault{Path: path, Found: found, Expected: expected})
}

// ids reports ids that are malformed or taken, and gives each entry's path.
func (k *checker) ids(kind string, n int, id func(int) string) []string {
	paths := make([]string, n)
	first := map[string]int{}
	for i := range n {
		s := id(i)
		switch j, taken := first[s]; {
		case !ValidID(s):
			paths[i] = kind + "." + strconv.Itoa(i+1)
			k.add(paths[i]+".id", Quoted(s), "an id of lower-case letters, digits and single hyphens"+orSlug(s))
		case taken:
			paths[i] = kind + "." + s
			k.add(paths[i]+".id", fmt.Sprintf("%s a second time (entry %d and %d)", s, j+1, i+1), "each id once")
		default:
			first[s] = i
			paths[i] = kind + "." + s
		}
	}
	return paths
}

func orSlug(s string) string {
	if t := Slug(s); t != "" {
		return ", like " + t
	}
	return ""
}

// MissingRef is the fault of an id that leads nowhere, nil where it leads
// somewhere.
func MissingRef[T any](path, kind, id string, in map[string]*T) *Fault {
	if _, ok := in[id]; ok {
		return nil
	}
	if id == "" {
		return &Fault{Path: path, Found: "nothing", Expected: "the id of a " + kind}
	}
	return &Fault{Path: path, Found: id, Expected: "the id of a " + kind + " in the catalogue",
		Nearest: func() []string { return Nearest(id, slices.Collect(maps.Keys(in)), 3) }}
}

// ref reports an id that leads nowhere and whether it leads somewhere.
func ref[T any](k *checker, path, kind, id string, in map[string]*T) (*T, bool) {
	if f := MissingRef(path, kind, id, in); f != nil {
		k.faults = append(k.faults, *f)
		return nil, false
	}
	return in[id], true
}

// between reports a number outside low to high; it catches NaN too.
func (k *checker) between(path string, v, low, high float64, unit string) bool {
	if v >= low && v <= high {
		return true
	}
	k.add(path, strings.TrimSpace(fmt.Sprintf("%g %s", v, unit)),
		strings.TrimSpace(fmt.Sprintf("%g to %g %s", low, high, unit)))
	return false
}

// pot reports a volume that no pot has.
func (k *checker) pot(path string, v Volume, p *Paint) {
	switch {
	case p != nil && p.Type.Counted() && v != Item:
		k.add(path, FourDigits(v.ML()),
			"1 item: "+p.Type.Words()+" is counted by the piece, "+
				"and a packet or sheet is one piece (the recipe's per-item says how many figures it does)")
	case v <= 0 || v > MaxPot:
		k.add(path, v.String(), fmt.Sprintf("a pot of more than 0 and at most %s", MaxPot))
	}
}

// money reports money that a price can't be; see [Money.Check].
func (k *checker) money(path string, m Money, currency string, mayBeNegative bool) {
	k.faults = append(k.faults, m.Check(path, currency, mayBeNegative)...)
}

// Quoted is a text as faults tell it: in quotes, or "nothing".
func Quoted(s string) string {
	if s == "" {
		return "nothing"
	}
	return strconv.Quote(s)
}

func (k *checker) paints() {
	paths := k.ids("paints", len(k.cat.Paints), func(i int) string { return k.cat.Paints[i].ID })
	for i, p := range k.cat.Paints {
		k.name(paths[i]+".name", p.Name, "the paint's name")
		k.text(paths[i]+".maker", p.Maker)
		k.text(paths[i]+".range", p.Range)
		k.text(paths[i]+".code", p.Code)
		if !p.Type.Valid() {
			k.add(paths[i]+".type", Quoted(string(p.Type)), "one of "+typeList())
		}
		oneOf(k, paths[i]+".finish", p.Finish, Matt, Satin, Gloss)
		oneOf(k, paths[i]+".carrier", p.Carrier, Water, Solvent)
		oneOf(k, paths[i]+".tone", p.Tone, Light, Middle, Dark)
		k.between(paths[i]+".volume-solids", p.VolumeSolids, 0, 1, "")
		if p.Density != 0 {
			k.between(paths[i]+".density", p.Density, 0.5, 5, "g/ml")
		}
	}
}

func typeList() string {
	var s []string
	for _, t := range PaintTypes() {
		s = append(s, string(t))
	}
	return strings.Join(s, ", ")
}

func (k *checker) products() {
	paths := k.ids("products", len(k.cat.Products), func(i int) string { return k.cat.Products[i].ID })
	for i, p := range k.cat.Products {
		k.text(paths[i]+".name", p.Name)
		k.text(paths[i]+".code", p.Code)
		if len(p.Contents) == 0 {
			k.add(paths[i]+".contents", "nothing", "at least one pot")
		}
		for j, c := range p.Contents {
			at := fmt.Sprintf("%s.contents.%d", paths[i], j+1)
			paint, _ := ref(k, at+".paint", "paint", c.Paint, k.idx.Paints)
			k.pot(at+".volume", c.Volume, paint)
			if c.Count < 1 || c.Count > 1000 {
				k.add(at+".count", strconv.Itoa(c.Count), "1 to 1000 pots")
			}
		}
	}
}

func (k *checker) offers() {
	seen := map[[2]string]bool{}
	for i, o := range k.cat.Offers {
		at := fmt.Sprintf("offers.%d", i+1)
		if o.Product != "" && o.Shop != "" {
			at = "offers." + o.Product + "@" + o.Shop
		}
		ref(k, at+".product", "product", o.Product, k.idx.Products)
		shop, ok := ref(k, at+".shop", "shop", o.Shop, k.idx.Shops)
		if key := [2]string{o.Product, o.Shop}; seen[key] {
			k.add(at, "a second offer of the product at this shop", "at most one")
		} else {
			seen[key] = true
		}
		if ok {
			if o.Price.Currency == "" {
				k.add(at+".price", "nothing", "a price in "+shop.Currency)
			}
			k.money(at+".price", o.Price, shop.Currency, false)
		}
		if o.Limit != nil && *o.Limit < 0 {
			k.add(at+".limit", strconv.Itoa(*o.Limit), "0 or more items")
		}
	}
}

func (k *checker) shops() {
	paths := k.ids("shops", len(k.cat.Shops), func(i int) string { return k.cat.Shops[i].ID })
	for i, s := range k.cat.Shops {
		at := paths[i]
		k.name(at+".name", s.Name, "the shop's name")
		if _, err := MinorDigits(s.Currency); err != nil {
			k.add(at+".currency", Quoted(s.Currency), "a currency code of ISO 4217, like EUR")
			continue
		}
		if first := k.cat.Shops[0]; s.Currency != first.Currency {
			k.add(at+".currency", s.Currency, fmt.Sprintf("%s as at %s: one plan has one currency",
				first.Currency, first.ID))
		}
		k.money(at+".min-order", s.MinOrder, s.Currency, false)
		for j, b := range s.Delivery {
			band := fmt.Sprintf("%s.delivery.%d", at, j+1)
			k.money(band+".from", b.From, s.Currency, false)
			k.money(band+".fee", b.Fee, s.Currency, true)
			if j == 0 {
				if !b.From.IsZero() {
					k.add(band+".from", b.From.String(), "0: the first band says what the smallest order pays")
				}
				continue
			}
			if last := s.Delivery[j-1]; !b.From.Amount.GreaterThan(last.From.Amount) {
				k.add(band+".from", b.From.String(), "more than "+last.From.String()+" of the band before")
			} else if b.Fee.Amount.GreaterThan(last.Fee.Amount) {
				k.add(band+".fee", b.Fee.String(),
					"no more than "+last.Fee.String()+" of the band before: larger orders never pay more")
			}
		}
	}
}
