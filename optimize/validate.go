package optimize

import (
	"fmt"

	"halfpot/optimize/internal/words"
)

// mostAmount bounds every sum of money, volume, points or worth that a plan
// can reach. It leaves room in an int64 for a solver's scaling, and keeps
// each amount exact in the float64 that JSON readers elsewhere use.
const mostAmount = 1 << 52

// MostBoxes is more boxes of an offer than any plan of a problem that Validate
// accepts has a use for.
const MostBoxes = 1 << 28

// Validate says whether the problem keeps the rules of the format: ids
// present, unique and known, amounts in range, delivery bands in order, and
// no sum that could grow past 2^52. The error is an *InvalidError with every
// fault and its path. All other functions of this package expect a problem
// that Validate accepts.
func (p *Problem) Validate() error {
	v := validator{p: p}
	if c := p.Currency; len(c) != 3 || !upper(c[0]) || !upper(c[1]) || !upper(c[2]) {
		v.fault("currency", "found %s, expected three capital letters of ISO 4217 such as EUR", words.Quote(c))
	}
	v.paints()
	v.groups()
	v.needs()
	v.products()
	v.shops()
	v.offers()
	v.rules()
	if len(v.err.Faults) == 0 {
		v.sums()
	}
	return v.err.OrNil()
}

func upper(c byte) bool { return 'A' <= c && c <= 'Z' }

type validator struct {
	p                           *Problem
	err                         InvalidError
	paint, group, product, shop map[string]int
}

func (v *validator) fault(path, format string, args ...any) {
	v.err.Add(Fault{Path: path, Text: fmt.Sprintf(format, args...)})
}

// index notes an id of a list and refuses empty and repeated ones. The path
// is only written out when it is needed.
func (v *validator) index(seen map[string]int, id string, i int, list string) {
	if id == "" {
		v.fault(fmt.Sprintf("%s[%d].id", list, i), "found an empty id, expected at least one character")
		return
	}
	if first, ok := seen[id]; ok {
		v.fault(fmt.Sprintf("%s[%d].id", list, i), "%s is the id of %s[%d] already; ids must be unique",
			words.Quote(id), list, first)
		return
	}
	seen[id] = i
}

func (v *validator) atLeast(least, found int64, format string, args ...any) {
	if found < least {
		v.fault(fmt.Sprintf(format, args...), "found %d, expected a whole number of %d or more", found, least)
	}
}

func (v *validator) paints() {
	v.paint = make(map[string]int, len(v.p.Paints))
	for i, paint := range v.p.Paints {
		v.index(v.paint, paint.ID, i, "paints")
		if paint.HaveUL < 0 {
			v.atLeast(0, paint.HaveUL, "paints[%d].have_ul", i)
		}
	}
}

func (v *validator) groups() {
	v.group = make(map[string]int, len(v.p.Groups))
	for i, g := range v.p.Groups {
		v.index(v.group, g.ID, i, "groups")
		v.atLeast(0, g.Worth, "groups[%d].worth", i)
	}
}

func (v *validator) needs() {
	seen := make(map[string]int, len(v.p.Needs))
	for n, need := range v.p.Needs {
		v.index(seen, need.ID, n, "needs")
		if need.Figures < 0 {
			v.atLeast(0, need.Figures, "needs[%d].figures", n)
		}
		// Groups may be left out whole; then a need's group is only a label.
		if _, ok := v.group[need.Group]; !ok && need.Group != "" && len(v.p.Groups) > 0 {
			v.fault(fmt.Sprintf("needs[%d].group", n), "there is no group %s in groups", words.Quote(need.Group))
		}
		if len(need.Options) == 0 {
			v.fault(fmt.Sprintf("needs[%d].options", n), "found none, expected at least one option")
		}
		v.options(n, need.Options)
	}
}

func (v *validator) options(n int, options []Option) {
	first := func(same func(i int) bool, before int) int {
		for i := range before {
			if same(i) {
				return i
			}
		}
		return -1
	}
	var seen map[string]int // only for long lists, where pairwise looking is slow
	if len(options) > 16 {
		seen = make(map[string]int, len(options))
	}
	for o, option := range options {
		at := -1
		if seen != nil {
			if i, ok := seen[option.ID]; ok {
				at = i
			} else {
				seen[option.ID] = o
			}
		} else {
			at = first(func(i int) bool { return options[i].ID == option.ID }, o)
		}
		switch {
		case option.ID == "":
			v.fault(fmt.Sprintf("needs[%d].options[%d].id", n, o),
				"found an empty id, expected at least one character")
		case at >= 0:
			v.fault(fmt.Sprintf("needs[%d].options[%d].id", n, o), "%s is the id of options[%d] already; "+
				"ids must be unique within a need", words.Quote(option.ID), at)
		}
		if option.Compromise < 0 {
			v.atLeast(0, option.Compromise, "needs[%d].options[%d].compromise", n, o)
		}
		v.uses(n, o, option.Uses)
	}
}

func (v *validator) uses(n, o int, uses []Use) {
	var seen map[string]bool
	if len(uses) > 16 {
		seen = make(map[string]bool, len(uses))
	}
	for u, use := range uses {
		if use.UL < 0 {
			v.atLeast(0, use.UL, "needs[%d].options[%d].uses[%d].ul", n, o, u)
		}
		if _, ok := v.paint[use.Paint]; !ok {
			v.fault(fmt.Sprintf("needs[%d].options[%d].uses[%d].paint", n, o, u),
				"there is no paint %s in paints", words.Quote(use.Paint))
			continue
		}
		twice := seen[use.Paint]
		if seen != nil {
			seen[use.Paint] = true
		} else {
			for _, before := range uses[:u] {
				twice = twice || before.Paint == use.Paint
			}
		}
		if twice {
			v.fault(fmt.Sprintf("needs[%d].options[%d].uses[%d].paint", n, o, u),
				"%s is used in this option already; an option names a paint once", words.Quote(use.Paint))
		}
	}
}

func (v *validator) products() {
	v.product = make(map[string]int, len(v.p.Products))
	for i, product := range v.p.Products {
		v.index(v.product, product.ID, i, "products")
		if len(product.Contents) == 0 {
			v.fault(fmt.Sprintf("products[%d].contents", i), "found none, expected at least one kind of pot")
		}
		for c, content := range product.Contents {
			if _, ok := v.paint[content.Paint]; !ok {
				v.fault(fmt.Sprintf("products[%d].contents[%d].paint", i, c),
					"there is no paint %s in paints", words.Quote(content.Paint))
			}
			if content.UL < 1 {
				v.atLeast(1, content.UL, "products[%d].contents[%d].ul", i, c)
			}
			if content.Count < 0 { // 0 stands for the absent key
				v.atLeast(1, content.Count, "products[%d].contents[%d].count", i, c)
			}
		}
	}
}

func (v *validator) shops() {
	v.shop = make(map[string]int, len(v.p.Shops))
	for h, shop := range v.p.Shops {
		v.index(v.shop, shop.ID, h, "shops")
		v.atLeast(0, shop.MinOrder, "shops[%d].min_order", h)
		if len(shop.Delivery) == 0 {
			v.fault(fmt.Sprintf("shops[%d].delivery", h),
				"found none, expected at least one band, the first from 0")
		}
		for b, band := range shop.Delivery {
			switch {
			case b == 0 && band.From != 0:
				v.fault(fmt.Sprintf("shops[%d].delivery[0].from", h), "found %d, expected 0: the first "+
					"band holds from nothing on", band.From)
			case b > 0 && band.From <= shop.Delivery[b-1].From:
				v.fault(fmt.Sprintf("shops[%d].delivery[%d].from", h, b), "found %d, expected more than "+
					"the %d of the band before", band.From, shop.Delivery[b-1].From)
			case b > 0 && band.Fee > shop.Delivery[b-1].Fee:
				v.fault(fmt.Sprintf("shops[%d].delivery[%d].fee", h, b), "found %d, expected no more "+
					"than the %d of the band before: fees never rise with the order", band.Fee, shop.Delivery[b-1].Fee)
			}
		}
	}
}

func (v *validator) offers() {
	type pair struct{ product, shop int }
	seen := make(map[pair]int, len(v.p.Offers))
	for k, offer := range v.p.Offers {
		product, ok := v.product[offer.Product]
		if !ok {
			v.fault(fmt.Sprintf("offers[%d].product", k), "there is no product %s in products",
				words.Quote(offer.Product))
		}
		shop, known := v.shop[offer.Shop]
		if !known {
			v.fault(fmt.Sprintf("offers[%d].shop", k), "there is no shop %s in shops", words.Quote(offer.Shop))
		}
		if ok && known {
			if first, twice := seen[pair{product, shop}]; twice {
				v.fault(fmt.Sprintf("offers[%d]", k), "offers[%d] is for product %s at shop %s already; "+
					"one offer for a pair", first, words.Quote(offer.Product), words.Quote(offer.Shop))
			} else {
				seen[pair{product, shop}] = k
			}
		}
		if offer.Price < 0 {
			v.atLeast(0, offer.Price, "offers[%d].price", k)
		}
		if offer.Limit != nil && *offer.Limit < 0 {
			v.atLeast(0, *offer.Limit, "offers[%d].limit", k)
		}
	}
}

func (v *validator) rules() {
	r := v.p.Rules
	v.atLeast(0, r.CompromisePrice, "rules.compromise_price")
	if r.MaxShops != nil {
		v.atLeast(1, *r.MaxShops, "rules.max_shops")
	}
	if r.Budget != nil {
		v.atLeast(0, *r.Budget, "rules.budget")
	}
}
