package inventory

import (
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Order is what was ordered at one shop at one time, and what became of it.
type Order struct {
	ID       string
	Key      uuid.UUID // its own from birth and the same in every copy; nil: not given yet
	Shop     string    // shop id
	Force    string    // force id; "": for no force in particular
	At       time.Time // when it was placed
	DayOnly  bool      // only the day is known: At's calendar date
	Currency string    // ISO 4217 code of all its prices
	// as first noted: what the shop asked for sending it, below zero is money off; nil: not known. See
	// Charge
	Delivery *Money
	Note     string       // as first noted; see Remark
	Lines    []OrderLine  // as ordered; never changed
	Events   []OrderEvent // in the order they were recorded; never changed or taken away
}

// OrderLine is a number of boxes of one product.
type OrderLine struct {
	Product string // product id, once an order
	Count   int    // boxes, at least 1
	Price   *Money // for one; nil: not known
}

// OrderEventKind is what happened to boxes of an order.
type OrderEventKind string

// What can happen to boxes of an order.
const (
	Received       OrderEventKind = "received"
	CalledOff      OrderEventKind = "called-off"
	OrderCorrected OrderEventKind = "corrected" // Undoes names the event that never was
	OrderPutRight  OrderEventKind = "put-right" // Delivery and Remark say anew what the order said
)

// OrderEventKinds lists the kinds in the order above.
func OrderEventKinds() []OrderEventKind {
	return []OrderEventKind{Received, CalledOff, OrderCorrected, OrderPutRight}
}

// OrderEvent is one thing that happened to boxes of one line, or to the order's own
// charge and note.
type OrderEvent struct {
	ID      int64     // given by the store, rising; unique within all orders
	Key     uuid.UUID // its own from birth and the same in every copy; nil: not given yet
	Kind    OrderEventKind
	At      time.Time
	DayOnly bool     // only the day is known: At's calendar date
	Product string   // the line's product; "" for a correction and what puts the order right
	Count   int      // boxes of the line that it settles; 0 for the same
	Came    string   // Received: the product that came instead; "": what was ordered
	Price   *Money   // Received: paid for one box; nil: not known
	Pots    []string // Received: ids of the pots that came in the boxes
	Undoes  int64    // OrderCorrected: ID of the event it undoes
	// OrderPutRight: what the shop asked for sending it, below zero is money off, and
	// the order's note; nil: as before.
	Delivery *Money
	Remark   *string
	Note     string
}

// Box is the product that came.
func (e OrderEvent) Box() string {
	if e.Came != "" {
		return e.Came
	}
	return e.Product
}

// Standing is the order's events without those undone and the corrections
// themselves, in their order.
func (o *Order) Standing() []OrderEvent {
	undone := map[int64]bool{}
	for _, e := range o.Events {
		if e.Kind == OrderCorrected {
			undone[e.Undoes] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(o.Events), func(e OrderEvent) bool {
		return e.Kind == OrderCorrected || undone[e.ID]
	})
}

// Charge is what the shop asked for sending the order, by the last word on it; nil:
// not known.
func (o *Order) Charge() *Money {
	charge := o.Delivery
	for _, e := range o.Standing() {
		if e.Delivery != nil {
			charge = e.Delivery
		}
	}
	return charge
}

// Remark is the order's note, by the last word on it.
func (o *Order) Remark() string {
	remark := o.Note
	for _, e := range o.Standing() {
		if e.Remark != nil {
			remark = *e.Remark
		}
	}
	return remark
}

// Line finds the line of a product.
func (o *Order) Line(product string) (OrderLine, bool) {
	i := slices.IndexFunc(o.Lines, func(l OrderLine) bool { return l.Product == product })
	if i < 0 {
		return OrderLine{}, false
	}
	return o.Lines[i], true
}

// Settled is how many boxes of a line have been received, and how many called off.
func (o *Order) Settled(product string) (received, calledOff int) {
	for _, e := range o.Standing() {
		switch {
		case e.Product != product:
		case e.Kind == Received:
			received += e.Count
		case e.Kind == CalledOff:
			calledOff += e.Count
		}
	}
	return received, calledOff
}

// Outstanding is what of the order is still on its way: ordered, less received,
// less called off. Lines of which nothing is are left out.
func (o *Order) Outstanding() []OrderLine {
	left := map[string]int{}
	for _, l := range o.Lines {
		left[l.Product] += l.Count
	}
	for _, e := range o.Standing() {
		left[e.Product] -= e.Count
	}
	var out []OrderLine
	for _, l := range o.Lines {
		if l.Count = left[l.Product]; l.Count > 0 {
			out = append(out, l)
		}
	}
	return out
}

// Until is the order as it was known at a time: what was placed and happened no
// later; false where it was not placed yet.
func (o Order) Until(at time.Time) (Order, bool) {
	if o.At.After(at) {
		return Order{}, false
	}
	o.Events = slices.DeleteFunc(slices.Clone(o.Events), func(e OrderEvent) bool { return e.At.After(at) })
	return o, true
}

// Goods is what the lines cost as ordered; false where a price is not known.
func (o *Order) Goods() (Money, bool) {
	sum, known := Money{Currency: o.Currency}, true
	for _, l := range o.Lines {
		if l.Price == nil {
			known = false
			continue
		}
		sum.Amount = sum.Amount.Add(l.Price.Amount.Mul(decimal.NewFromInt(int64(l.Count))))
	}
	return sum, known
}

// Sum is what the order costs: what came at the price paid, what is on its way at
// the price ordered, what was called off not at all, and delivery; false where a
// price is not known.
func (o *Order) Sum() (Money, bool) {
	came, coming, known := o.Spent()
	came.Amount = came.Amount.Add(coming.Amount)
	if charge := o.Charge(); charge != nil {
		came.Amount = came.Amount.Add(charge.Amount)
	}
	return came, known
}

// Spent is what the boxes that came cost, and those on their way, without
// delivery; false where a price is not known.
func (o *Order) Spent() (came, coming Money, known bool) {
	came, coming, known = Money{Currency: o.Currency}, Money{Currency: o.Currency}, true
	add := func(sum *Money, price *Money, count int) {
		if price == nil {
			known = false
			return
		}
		sum.Amount = sum.Amount.Add(price.Amount.Mul(decimal.NewFromInt(int64(count))))
	}
	for _, e := range o.Standing() {
		if e.Kind == Received {
			add(&came, e.Price, e.Count)
		}
	}
	for _, l := range o.Outstanding() {
		add(&coming, l.Price, l.Count)
	}
	return came, coming, known
}

// SameAs tells whether two orders are of the same boxes at the same prices and
// shop on the same day, where the first was not called off whole.
func (o *Order) SameAs(other *Order) bool {
	off := 0
	for _, e := range o.Standing() {
		if e.Kind == CalledOff {
			off += e.Count
		}
	}
	all := 0
	for _, l := range o.Lines {
		all += l.Count
	}
	return off < all && o.Shop == other.Shop && dateNumber(o.At) == dateNumber(other.At) &&
		len(o.Lines) == len(other.Lines) &&
		!slices.ContainsFunc(o.Lines, func(l OrderLine) bool {
			x, ok := other.Line(l.Product)
			return !ok || x.Count != l.Count || (x.Price == nil) != (l.Price == nil) ||
				l.Price != nil && !l.Price.Equal(*x.Price)
		})
}
