package shopping

import (
	"context"
	"errors"
	"slices"

	"halfpot/inventory"
	"halfpot/optimize"
)

// Aim is what a plan is best at: one corner of the trade-off between money, trips,
// colours and pots.
type Aim string

// The aims a comparison shows, in this order.
const (
	Cheapest     Aim = "cheapest"
	Weighed      Aim = "money and colours" // in place of Cheapest where points have a price
	MoneyAlone   Aim = "money alone"       // then
	OneShop      Aim = "one shop"
	ExactColours Aim = "exact colours"
	FewestPots   Aim = "fewest pots"
)

// Contender is the best plan of one aim.
type Contender struct {
	Aim Aim
	// asked under the rules of the aim; for FewestPots what is proven is the number of pots
	Answer *Answer
	List   *ShoppingList   // its plan, or the reasons why there is none
	Extra  inventory.Money // dearer than the cheapest, goods and delivery; 0 without a plan
	Shops  int             // shops used
	Pots   int64           // pots bought, those in sets counted one by one
	SameAs Aim             // the earlier aim whose plan buys exactly this; "" where none does
}

// Compare finds the best plan of each aim under the question's own rules and
// the aim's. The first is the plan of the question itself.
func (q *Question) Compare(ctx context.Context, solve Solver) ([]Contender, error) {
	return q.CompareBy(ctx, solve, func(rules Rules) (*Answer, error) {
		v, err := q.With(rules)
		if err != nil {
			return nil, err
		}
		return v.Solve(ctx, solve)
	})
}

// CompareBy is Compare with answers under changed rules as ask gives them.
func (q *Question) CompareBy(
	ctx context.Context, solve Solver, ask func(Rules) (*Answer, error),
) ([]Contender, error) {
	var out []Contender
	aims := []Aim{Cheapest, OneShop, ExactColours, FewestPots}
	if !q.Rules.CompromisePrice.IsZero() {
		aims = []Aim{Weighed, MoneyAlone, OneShop, ExactColours, FewestPots}
	}
	for _, aim := range aims {
		a, err := q.ask(ctx, solve, aim, ask)
		if err != nil {
			return nil, err
		}
		if a == nil {
			continue
		}
		c := Contender{Aim: aim, Answer: a, Extra: inventory.MoneyOfMinor(0, q.Problem.Currency)}
		if c.List, err = a.List(); err != nil {
			return nil, err
		}
		if aim == FewestPots && a.Found() && len(out) > 0 && out[0].Answer.Found() &&
			potsBought(q.Index, a.Result) >= out[0].Pots &&
			len(aims) == 4 {
			// No plan has fewer pots than the cheapest, and none with as many
			// costs less: its bands were set aside only to count pots.
			c.Answer, a = out[0].Answer, out[0].Answer
			c.List = out[0].List
		}
		if a.Found() {
			c.Shops, c.Pots = len(a.Result.Shops), potsBought(q.Index, a.Result)
			if len(out) > 0 && out[0].Answer.Found() {
				c.Extra = inventory.MoneyOfMinor(cost(a.Result)-cost(out[0].Answer.Result), q.Problem.Currency)
			}
			for _, e := range out {
				if e.Answer.Found() && c.SameAs == "" && len(difference(e.Answer.Result, a.Result)) == 0 {
					c.SameAs = e.Aim
				}
			}
		}
		out = append(out, c)
	}
	return out, nil
}

// ask answers one aim, nil where it makes no sense.
func (q *Question) ask(
	ctx context.Context, solve Solver, aim Aim, ask func(Rules) (*Answer, error),
) (*Answer, error) {
	rules := q.Rules
	switch aim {
	case Cheapest, Weighed:
		return ask(rules)
	case MoneyAlone:
		rules.CompromisePrice, rules.MoneyAlone = inventory.Money{}, true
	case OneShop:
		rules.MaxShops = 1
	case ExactColours:
		rules.ExactColours = true
	case FewestPots:
		return q.fewestPots(ctx, solve)
	}
	a, err := ask(rules)
	if errors.Is(err, ErrBegun) {
		return nil, nil
	}
	return a, err
}

func potsBought(idx *inventory.Index, r *optimize.Result) int64 {
	n := int64(0)
	for _, b := range r.Buy {
		n += b.Count * potsIn(idx.Products[b.Product])
	}
	return n
}

func potsIn(p *inventory.Product) int64 {
	if p == nil {
		return 0
	}
	n := int64(0)
	for _, c := range p.Contents {
		n += int64(c.Count)
	}
	return n
}

// fewestPots finds the plan with the fewest pots and, among those, one that is
// cheap. Every offer is made dearer by an amount for each of its pots that
// outweighs all money, with delivery flat at what the smallest order pays,
// because bands would now read the wrong totals. The bill is then made out
// with the real bands; where a shop's smallest order is not reached, the
// question is put again without that shop. Under a budget it is not asked.
func (q *Question) fewestPots(ctx context.Context, solve Solver) (*Answer, error) {
	if q.Problem.Rules.Budget != nil {
		return nil, nil
	}
	closed := map[string]bool{}
	for {
		p := q.priceByPot(closed)
		r, err := solve(ctx, p)
		if err != nil {
			return nil, err
		}
		if r.Totals == nil {
			return &Answer{q, r}, nil
		}
		short := q.bill(r)
		if short == "" {
			return &Answer{q, r}, nil
		}
		closed[short] = true
	}
}

// priceByPot is the problem in which a pot outweighs any money.
func (q *Question) priceByPot(closed map[string]bool) *optimize.Problem {
	p := varied(q.Problem)
	p.Offers = slices.DeleteFunc(p.Offers, func(o optimize.Offer) bool { return closed[o.Shop] })
	weight := int64(1)
	for _, o := range p.Offers {
		weight = max(weight, o.Price)
	}
	for i := range p.Shops {
		fee := max(0, p.Shops[i].Delivery[0].Fee)
		weight += fee
		p.Shops[i].MinOrder = 0
		p.Shops[i].Delivery = []optimize.Band{{Fee: fee}}
	}
	// A plan of fewest pots costs less than this many times the dearest box
	// and all deliveries, for any order a hobby makes.
	weight *= int64(max(100, 10*len(p.Needs)))
	p.Rules.CompromisePrice = 0
	for i := range p.Offers {
		p.Offers[i].Price += weight * potsIn(q.Index.Products[p.Offers[i].Product])
	}
	return p
}

// bill makes out the real prices and delivery of a plan in place, and returns
// a shop whose smallest order it does not reach, "" where there is none.
func (q *Question) bill(r *optimize.Result) string {
	price := map[offerKey]int64{}
	for _, o := range q.Problem.Offers {
		price[offerKey{o.Product, o.Shop}] = o.Price
	}
	short := ""
	t := *r.Totals
	t.Goods, t.Delivery = 0, 0
	shops := slices.Clone(r.Shops)
	for i := range shops {
		s := &shops[i]
		s.Goods, s.Fee = 0, 0
		for _, b := range r.Buy {
			if b.Shop == s.Shop {
				s.Goods += b.Count * price[offerKey{b.Product, b.Shop}]
			}
		}
		j := slices.IndexFunc(q.Problem.Shops, func(x optimize.Shop) bool { return x.ID == s.Shop })
		for _, band := range q.Problem.Shops[j].Delivery {
			if band.From <= s.Goods {
				s.Fee = band.Fee
			}
		}
		if s.Goods < q.Problem.Shops[j].MinOrder && short == "" {
			short = s.Shop
		}
		t.Goods += s.Goods
		t.Delivery += s.Fee
	}
	t.Objective = t.Goods + t.Delivery + q.Problem.Rules.CompromisePrice*t.Points
	t.Bound = 0 // what was proven is the number of pots, not the money
	r.Shops, r.Totals = shops, &t
	return short
}
