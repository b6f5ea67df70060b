package shopping

import (
	"fmt"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/optimize"
)

// ShoppingList is the answer to a purchase question in the painter's words:
// what to buy where, what it costs, what serves each step and what is left.
// All lists are in the order of the catalogue.
type ShoppingList struct {
	Force      string
	Status     optimize.Status
	Currency   string
	Confidence float64
	Orders     []Order         // one for each shop used
	Goods      inventory.Money // sum of the orders' goods
	Delivery   inventory.Money // sum of the orders' delivery; below zero where a shop takes money off
	Total      inventory.Money // Goods + Delivery
	Points     int64           // compromise
	Objective  inventory.Money // Total plus what the points are worth
	Bound      inventory.Money // no plan has a lower Objective
	Boxes      int64           // boxes bought
	Steps      []PlannedStep   // every step to paint and what it takes
	Balance    []PaintLeft     // every paint used or bought
	Unfinished []string        // under a budget: ids of the units that wait
	Reasons    []PlanReason    // why no plan exists
	Seconds    float64
}

// Proven reports whether the plan is known to be the cheapest there is.
func (l ShoppingList) Proven() bool { return l.Status == optimize.Optimal }

// Order is what to buy at one shop.
type Order struct {
	Shop     string
	Lines    []OrderLine
	Goods    inventory.Money
	Delivery inventory.Money
	Total    inventory.Money
}

// OrderLine is a number of boxes of one product.
type OrderLine struct {
	Product string
	Count   int64
	Price   inventory.Money // for one
	Sum     inventory.Money
	Paints  []string // ids of the paints in it that the plan uses
	Unused  []string // ids of the paints in it that the plan does not use
}

// PlannedStep is one step of one unit with the way the plan does it.
type PlannedStep struct {
	Unit       string
	Step       string
	Figures    int
	Match      string
	Option     string
	Kind       estimate.OptionKind
	Label      string
	Mix        inventory.Mix
	Thinning   *inventory.Thinning
	Compromise int
	Difference float64 // CIEDE2000, of a way by colour; 0: not known
	Takes      []estimate.PlannedUse
	Why        string // for anything but the recipe's own: why it was chosen
}

// PaintLeft follows one paint through the plan: Have + Bought - Needed = Left.
type PaintLeft struct {
	Paint  string
	Have   inventory.Volume // on the shelf, usable
	Needed inventory.Volume
	Bought inventory.Volume // usable volume of the new pots
	Pots   int64            // new pots, singly or in sets
	Left   inventory.Volume
}

// FromShelf is what of the need the shelf serves.
func (p PaintLeft) FromShelf() inventory.Volume { return min(p.Have, p.Needed) }

// StandIns are the steps done another way than the recipe's own.
func (l ShoppingList) StandIns() []PlannedStep {
	var out []PlannedStep
	for _, s := range l.Steps {
		if s.Kind != estimate.OwnOption {
			out = append(out, s)
		}
	}
	return out
}

// NewShoppingList tells the answer to a question. The result must be one of
// q.Problem; a result that names what the question does not hold is an error.
func NewShoppingList(q *Question, r *optimize.Result) (*ShoppingList, error) {
	l := &ShoppingList{Force: q.Needs.Force, Status: r.Status, Currency: q.Problem.Currency,
		Confidence: q.Rules.confidence(), Seconds: r.Seconds}
	for _, x := range r.Reasons {
		l.Reasons = append(l.Reasons, q.reason(x))
	}
	if r.Totals == nil {
		return l, nil
	}
	t := r.Totals
	l.Goods, l.Delivery = l.money(t.Goods), l.money(t.Delivery)
	l.Total, l.Objective, l.Bound = l.money(t.Goods+t.Delivery), l.money(t.Objective), l.money(t.Bound)
	l.Points, l.Boxes = t.Points, t.Boxes
	if err := l.balance(q, r); err != nil {
		return nil, err
	}
	if err := l.orders(q, r); err != nil {
		return nil, err
	}
	if err := l.steps(q, r); err != nil {
		return nil, err
	}
	if q.Problem.Rules.Budget != nil {
		for _, g := range q.Problem.Groups {
			if !isMust(g.ID) && !slices.Contains(r.Finished, g.ID) {
				l.Unfinished = append(l.Unfinished, g.ID)
			}
		}
	}
	return l, nil
}

func (l *ShoppingList) money(minor int64) inventory.Money {
	return inventory.MoneyOfMinor(minor, l.Currency)
}

func (l *ShoppingList) orders(q *Question, r *optimize.Result) error {
	price := map[[2]string]int64{}
	for _, o := range q.Problem.Offers {
		price[[2]string{o.Product, o.Shop}] = o.Price
	}
	used := map[string]bool{}
	for _, b := range l.Balance {
		used[b.Paint] = b.Needed > 0
	}
	for _, bill := range r.Shops {
		o := Order{
			Shop:     bill.Shop,
			Goods:    l.money(bill.Goods),
			Delivery: l.money(bill.Fee),
			Total:    l.money(bill.Goods + bill.Fee),
		}
		for _, b := range r.Buy {
			if b.Shop != bill.Shop {
				continue
			}
			each, ok := price[[2]string{b.Product, b.Shop}]
			product := q.Index.Products[b.Product]
			if !ok || product == nil {
				return fmt.Errorf("the plan buys %s at %s, which is not on offer", b.Product, b.Shop)
			}
			line := OrderLine{
				Product: b.Product,
				Count:   b.Count,
				Price:   l.money(each),
				Sum:     l.money(each * b.Count),
			}
			for _, c := range product.Contents {
				list := &line.Unused
				if used[c.Paint] {
					list = &line.Paints
				}
				if !slices.Contains(*list, c.Paint) {
					*list = append(*list, c.Paint)
				}
			}
			o.Lines = append(o.Lines, line)
		}
		l.Orders = append(l.Orders, o)
	}
	return nil
}

func (l *ShoppingList) balance(q *Question, r *optimize.Result) error {
	pots := map[string]int64{}
	for _, b := range r.Buy {
		p := q.Index.Products[b.Product]
		if p == nil {
			return fmt.Errorf("the plan buys %s, which is not in the catalogue", b.Product)
		}
		for _, c := range p.Contents {
			pots[c.Paint] += int64(c.Count) * b.Count
		}
	}
	for _, b := range r.Paints {
		if isMust(b.Paint) || (b.NeedUL == 0 && b.BuyUL == 0) {
			continue
		}
		l.Balance = append(l.Balance, PaintLeft{
			Paint:  b.Paint,
			Have:   inventory.Volume(b.HaveUL),
			Needed: inventory.Volume(b.NeedUL),
			Bought: inventory.Volume(b.BuyUL),
			Pots:   pots[b.Paint],
			Left:   inventory.Volume(b.LeftUL),
		})
	}
	return nil
}

func (l *ShoppingList) steps(q *Question, r *optimize.Result) error {
	chosen := map[string]string{}
	for _, c := range r.Choices {
		chosen[c.Need] = c.Option
	}
	for _, n := range q.Needs.List {
		id, ok := chosen[n.ID()]
		if !ok {
			continue // waits for another budget
		}
		i := slices.IndexFunc(n.Options, func(o estimate.Option) bool { return o.ID == id })
		if i < 0 {
			return fmt.Errorf("the plan does %s with %s, which is none of its options", n.ID(), id)
		}
		o := n.Options[i]
		s := PlannedStep{
			Unit:       n.Unit,
			Step:       n.Step,
			Figures:    n.Figures,
			Match:      n.Match,
			Option:     o.ID,
			Kind:       o.Kind,
			Label:      o.Label,
			Mix:        o.Mix,
			Thinning:   o.Thinning,
			Compromise: o.Compromise,
			Difference: o.Difference,
		}
		for _, u := range o.Uses {
			s.Takes = append(s.Takes, estimate.PlannedUse{Paint: u.Paint, Volume: q.takes(n.ID(), u)})
		}
		l.Steps = append(l.Steps, s)
	}
	for i := range l.Steps {
		if l.Steps[i].Kind != estimate.OwnOption {
			l.Steps[i].Why = l.whyChosen(q, &l.Steps[i])
		}
	}
	return nil
}
