package desk

import (
	"cmp"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"halfpot/inventory"
)

// Spending is what was spent in one month, at one shop, for one force, or over
// all, in one currency. The goods of an order count on the day it was placed: what
// came at the price paid, what is on its way at the price ordered, and what was
// called off not at all. A pot noted by itself counts on the day it came.
type Spending struct {
	Of       string          // month as 2026-03, shop id or force id; "" where none was said
	Goods    inventory.Money // what came and what is on its way
	Coming   inventory.Money // of it: what is on its way
	Delivery inventory.Money
	Boxes    int // that came or are on their way; a pot noted by itself is one
	Unpriced int // of them: orders and pots with a price that is not known, which add what is known
}

// Total is goods and delivery.
func (s Spending) Total() inventory.Money {
	return inventory.Money{Amount: s.Goods.Amount.Add(s.Delivery.Amount), Currency: s.Goods.Currency}
}

// SpentBy says what spending is told by.
type SpentBy string

// The ways to tell spending.
const (
	ByMonth SpentBy = "month"
	ByShop  SpentBy = "shop"
	ByForce SpentBy = "force"
)

// Spending tells what was spent from a time on until another; zero times bound
// nothing. Rows are by what they are of, then by currency.
func (d *Desk) Spending(by SpentBy, from, until time.Time) []Spending {
	type key struct{ of, currency string }
	sums := map[key]*Spending{}
	within := func(t time.Time) bool {
		return (from.IsZero() || !t.Before(from)) && (until.IsZero() || !t.After(until))
	}
	row := func(at time.Time, shop, force, currency string) *Spending {
		k := key{map[SpentBy]string{ByMonth: at.Format("2006-01"), ByShop: shop, ByForce: force}[by], currency}
		if sums[k] == nil {
			none := inventory.Money{Currency: currency}
			sums[k] = &Spending{Of: k.of, Goods: none, Coming: none, Delivery: none}
		}
		return sums[k]
	}
	ordered := map[string]bool{}
	for i := range d.Orders {
		o := &d.Orders[i]
		for _, e := range o.Events {
			for _, p := range e.Pots {
				ordered[p] = true
			}
		}
		if within(o.At) {
			row(o.At, o.Shop, o.Force, o.Currency).addOrder(o)
		}
	}
	for i := range d.Shelf.Pots {
		p := &d.Shelf.Pots[i]
		came, ok := p.Came()
		if !ok || ordered[p.ID] || p.Cost == nil || !within(came.At) {
			continue // of pots that were there from the start nobody says what they cost
		}
		s := row(came.At, "", "", p.Cost.Currency)
		s.Goods.Amount = s.Goods.Amount.Add(p.Cost.Amount)
		s.Boxes++
	}
	var out []Spending
	for _, s := range sums {
		out = append(out, *s)
	}
	slices.SortFunc(out, func(a, b Spending) int {
		return cmp.Or(cmp.Compare(a.Of, b.Of), cmp.Compare(a.Goods.Currency, b.Goods.Currency))
	})
	return out
}

func (s *Spending) addOrder(o *inventory.Order) {
	came, coming, known := o.Spent()
	s.Goods.Amount = s.Goods.Amount.Add(came.Amount).Add(coming.Amount)
	s.Coming.Amount = s.Coming.Amount.Add(coming.Amount)
	if charge := o.Charge(); charge != nil {
		s.Delivery.Amount = s.Delivery.Amount.Add(charge.Amount)
	}
	for _, e := range o.Standing() {
		if e.Kind == inventory.Received {
			s.Boxes += e.Count
		}
	}
	for _, l := range o.Outstanding() {
		s.Boxes += l.Count
	}
	if !known {
		s.Unpriced++
	}
}

// PaintUsed is how much of a paint was taken out of its pots for painting, and
// what that cost.
type PaintUsed struct {
	Paint    string
	Used     inventory.Volume
	Cost     inventory.Money // of the pots whose price is known; no currency: of none
	Unpriced bool            // a pot that was drawn on has no price
}

// Used tells how much of each paint was used from a time on until another; zero
// times bound nothing. Paints are in the catalogue's order.
func (d *Desk) Used(from, until time.Time) []PaintUsed {
	sums := map[string]*PaintUsed{}
	for i := range d.Shelf.Pots {
		p := &d.Shelf.Pots[i]
		var used inventory.Volume
		for _, e := range p.Standing() {
			if e.Kind == inventory.Used && e.Volume != nil && (from.IsZero() || !e.At.Before(from)) &&
				(until.IsZero() || !e.At.After(until)) {
				used += *e.Volume
			}
		}
		if used == 0 {
			continue
		}
		s := sums[p.Paint]
		if s == nil {
			s = &PaintUsed{Paint: p.Paint}
			sums[p.Paint] = s
		}
		s.Used += used
		if p.Cost == nil || s.Cost.Currency != "" && s.Cost.Currency != p.Cost.Currency {
			s.Unpriced = true
			continue
		}
		s.Cost.Currency = p.Cost.Currency
		s.Cost.Amount = s.Cost.Amount.Add(p.Cost.Amount.Mul(decimalOf(used)).Div(decimalOf(p.Nominal)))
	}
	var out []PaintUsed
	for _, p := range d.Catalogue.Paints {
		if s := sums[p.ID]; s != nil {
			if digits, err := inventory.MinorDigits(s.Cost.Currency); err == nil {
				s.Cost.Amount = s.Cost.Amount.Round(digits)
			}
			out = append(out, *s)
		}
	}
	return out
}

// FigureCost is what the paint of one whole figure of a force has cost so far.
type FigureCost struct {
	Force   string
	Painted float64         // figures' worth of work done: two half-painted figures are one
	Paint   inventory.Money // drawn from pots for it; no currency: not known
	Each    inventory.Money // Paint for one figure; no currency: not known
	Known   bool            // every pot drawn on has a price
}

// FigureCosts tells it of the forces on which anything is done, in the
// catalogue's order.
func (d *Desk) FigureCosts() []FigureCost {
	var out []FigureCost
	for i := range d.Catalogue.Forces {
		f := &d.Catalogue.Forces[i]
		painted := 0.0
		for _, u := range f.Units {
			painted += d.painted(f, u)
		}
		if painted == 0 {
			continue
		}
		c := FigureCost{Force: f.ID, Painted: painted}
		var spent []inventory.Money
		if spent, c.Known = d.Spent(f); len(spent) == 1 {
			c.Paint = spent[0]
			c.Each = inventory.Money{
				Amount:   c.Paint.Amount.Div(decimal.NewFromFloat(painted)),
				Currency: c.Paint.Currency,
			}
			if digits, err := inventory.MinorDigits(c.Each.Currency); err == nil {
				c.Each.Amount = c.Each.Amount.Round(digits)
			}
		}
		out = append(out, c)
	}
	return out
}

// painted is how many figures' worth of a unit's steps is done.
func (d *Desk) painted(f *inventory.Force, u inventory.Unit) float64 {
	r := d.Index.Recipes[u.Recipe]
	if r == nil {
		return 0
	}
	steps, done := 0, 0
	for _, s := range r.Steps {
		if !s.Optional {
			steps++
			done += f.DoneOn(u, s.ID)
		}
	}
	if steps == 0 {
		return 0
	}
	return float64(done) / float64(steps)
}
