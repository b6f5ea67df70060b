package shopping

import (
	"errors"
	"fmt"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/optimize"
)

// Question is what the painter asks: a purchase problem together with what it was stated from, so
// that answers can be told in the painter's words and questions varied.
type Question struct {
	Problem *optimize.Problem
	Needs   *estimate.Needs
	Stock   inventory.Stock
	Rules   Rules
	Index   *inventory.Index

	catalogue *inventory.Catalogue
}

// ErrBegun says that exact colours leave no way to finish what was begun with
// another colour.
var ErrBegun = errors.New("begun with another colour than the recipe's own, " +
	"so exact colours leave no way to finish it")

// mustPrefix marks the paints and needs that stand for a must-buy; ids of the
// painter never hold a colon.
const mustPrefix = "must:"

// NewQuestion states the purchase problem for what a force needs: needs at an
// upper quantile, rounded up, and the content of new pots at the lower one,
// rounded down; stock is what the caller reckons the shelf to hold against
// that. The quantile is the rules' reckoning, which makes the whole plan hold
// with the chance asked for; without one it is that chance itself, step by
// step. Rules that name what is not there give [inventory.Faults].
func NewQuestion(
	c *inventory.Catalogue, needs *estimate.Needs, stock inventory.Stock, rules Rules,
) (*Question, error) {
	idx := c.Index()
	currency := planCurrency(c, rules)
	if err := rules.check(c, idx, currency).Err(); err != nil {
		return nil, err
	}
	q := &Question{Needs: needs, Stock: stock, Rules: rules, Index: idx, catalogue: c,
		Problem: &optimize.Problem{Currency: currency}}
	for _, p := range c.Paints {
		q.Problem.Paints = append(q.Problem.Paints, optimize.Paint{ID: p.ID, HaveUL: int64(max(0, stock[p.ID]))})
	}
	if err := q.stateShops(); err != nil {
		return nil, err
	}
	if err := q.stateOffers(); err != nil {
		return nil, err
	}
	if err := q.stateNeeds(); err != nil {
		return nil, err
	}
	q.stateMusts()
	q.dropByColour()
	q.rationPoints()
	return q, q.stateRules()
}

// planCurrency is that of the shops, which share one.
func planCurrency(c *inventory.Catalogue, rules Rules) string {
	for _, m := range c.Shops {
		return m.Currency
	}
	if rules.Budget != nil {
		return rules.Budget.Currency
	}
	return "EUR" // no shop, no price: any code will do
}

func (q *Question) stateShops() error {
	for _, s := range q.catalogue.Shops {
		out := optimize.Shop{ID: s.ID}
		var err error
		if out.MinOrder, err = minorOrNone(s.MinOrder); err != nil {
			return fmt.Errorf("shop %s: smallest order: %w", s.ID, err)
		}
		for _, b := range s.Delivery {
			from, err := minorOrNone(b.From)
			if err != nil {
				return fmt.Errorf("shop %s: delivery: %w", s.ID, err)
			}
			fee, err := minorOrNone(b.Fee)
			if err != nil {
				return fmt.Errorf("shop %s: delivery: %w", s.ID, err)
			}
			out.Delivery = append(out.Delivery, optimize.Band{From: from, Fee: fee})
		}
		if len(out.Delivery) == 0 {
			out.Delivery = []optimize.Band{{}}
		}
		q.Problem.Shops = append(q.Problem.Shops, out)
	}
	return nil
}

// minorOrNone is Minor, with 0 for money that is not there.
func minorOrNone(m inventory.Money) (int64, error) {
	if m.IsZero() {
		return 0, nil
	}
	return m.Minor()
}

func (q *Question) stateOffers() error {
	offered := map[string]bool{}
	for _, o := range q.catalogue.Offers {
		product := q.Index.Products[o.Product]
		if product == nil || q.Index.Shops[o.Shop] == nil {
			return fmt.Errorf("offer of %s at %s: product or shop is not in the catalogue", o.Product, o.Shop)
		}
		if !q.Rules.buyable(q.Index, product, o.Shop) {
			continue
		}
		price, err := minorOrNone(o.Price)
		if err != nil {
			return fmt.Errorf("offer of %s at %s: %w", o.Product, o.Shop, err)
		}
		out := optimize.Offer{Product: o.Product, Shop: o.Shop, Price: price}
		if o.Limit != nil {
			limit := int64(*o.Limit)
			out.Limit = &limit
		}
		q.Problem.Offers = append(q.Problem.Offers, out)
		offered[o.Product] = true
	}
	for _, p := range q.catalogue.Products {
		if !offered[p.ID] {
			continue
		}
		contents, err := q.contents(p)
		if err != nil {
			return err
		}
		q.Problem.Products = append(q.Problem.Products, optimize.Product{ID: p.ID, Contents: contents})
	}
	return nil
}

// contents is what can be used of each pot in a product.
func (q *Question) contents(p inventory.Product) ([]optimize.Content, error) {
	var out []optimize.Content
	for _, c := range p.Contents {
		paint := q.Index.Paints[c.Paint]
		if paint == nil {
			return nil, fmt.Errorf("product %s: paint %s is not in the catalogue", p.ID, c.Paint)
		}
		if ul := paint.NewPot(c.Volume, q.Rules.level()); ul > 0 {
			out = append(out, optimize.Content{Paint: c.Paint, UL: int64(ul), Count: int64(c.Count)})
		}
	}
	return out, nil
}

func (q *Question) stateNeeds() error {
	for _, n := range q.Needs.List {
		out := optimize.Need{ID: n.ID(), Group: n.Unit, Match: n.Match, Figures: int64(n.Figures)}
		for _, o := range n.Options {
			if q.Rules.ExactColours && o.Kind != estimate.OwnOption {
				continue
			}
			opt := optimize.Option{ID: o.ID, Compromise: int64(o.Compromise), Uses: []optimize.Use{}}
			for _, u := range o.Uses {
				if ul := q.takes(n.ID(), u); ul > 0 {
					opt.Uses = append(opt.Uses, optimize.Use{Paint: u.Paint, UL: int64(ul)})
				}
			}
			out.Options = append(out.Options, opt)
		}
		if len(out.Options) == 0 {
			return fmt.Errorf("step %s of unit %s: %w", n.Step, n.Unit, ErrBegun)
		}
		q.Problem.Needs = append(q.Problem.Needs, out)
	}
	if q.Rules.KeepOwned {
		q.keepOwned()
	}
	return nil
}

// dropByColour leaves out ways by colour that can't be of use.
func (q *Question) dropByColour() {
	byColour := map[[2]string]bool{}
	for _, n := range q.Needs.List {
		for _, o := range n.Options {
			if o.Kind == estimate.ByColour {
				byColour[[2]string{n.ID(), o.ID}] = true
			}
		}
	}
	if len(byColour) > 0 {
		dropDominated(q.Problem, func(need, option string) bool { return byColour[[2]string{need, option}] })
	}
}

// With states the same question under other rules.
func (q *Question) With(rules Rules) (*Question, error) {
	return NewQuestion(q.catalogue, q.Needs, q.Stock, rules)
}
