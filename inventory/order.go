package inventory

import (
	"slices"
	"time"

	"github.com/google/uuid"
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
	Delivery *Money    // what the shop asked for sending it; below zero is money off; nil: not known
	Note     string
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
)

// OrderEventKinds lists the kinds in the order above.
func OrderEventKinds() []OrderEventKind {
	return []OrderEventKind{Received, CalledOff, OrderCorrected}
}

// OrderEvent is one thing that happened to boxes of one line.
type OrderEvent struct {
	ID      int64     // given by the store, rising; unique within all orders
	Key     uuid.UUID // its own from birth and the same in every copy; nil: not given yet
	Kind    OrderEventKind
	At      time.Time
	DayOnly bool     // only the day is known: At's calendar date
	Product string   // the line's product; "" for a correction
	Count   int      // boxes of the line that it settles; 0 for a correction
	Came    string   // Received: the product that came instead; "": what was ordered
	Price   *Money   // Received: paid for one box; nil: not known
	Pots    []string // Received: ids of the pots that came in the boxes
	Undoes  int64    // OrderCorrected: ID of the event it undoes
	Note    string
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
	return slices.DeleteFunc(slices.Clone(o.Events), func(e OrderEvent) bool { return e.Kind == OrderCorrected || undone[e.ID] })
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
		default:
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
