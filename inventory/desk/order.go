package desk

import (
	"slices"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// OnTheWay is pots of one paint and size on their way with an order.
type OnTheWay struct {
	Order, Paint string
	Size         inventory.Volume
	Pots         int
}

// onItsWay lists what is outstanding of all orders, box by box.
func (d *Desk) onItsWay() []OnTheWay {
	var out []OnTheWay
	for i := range d.Orders {
		o := &d.Orders[i]
		for _, l := range o.Outstanding() {
			p := d.Index.Products[l.Product]
			if p == nil {
				continue
			}
			for _, k := range p.Contents {
				out = append(out, OnTheWay{o.ID, k.Paint, k.Volume, k.Count * l.Count})
			}
		}
	}
	return out
}

// WithoutOrders leaves what is on its way out of all answers from now on.
func (d *Desk) WithoutOrders() { d.Coming = nil }

// Coming is what is on its way and reckoned with.
func (q *Question) Coming() []OnTheWay { return q.desk.Coming }

// withComing is the levels of the pots on the shelf and of those on their way,
// each as sure as a new pot.
func (d *Desk) withComing() []shelf.Level {
	levels := slices.Clip(d.Levels)
	for _, c := range d.Coming {
		l := d.book.NewPot(c.Paint, c.Size)
		l.Pot, l.Coming = "on its way with "+c.Order, true
		for range c.Pots {
			levels = append(levels, l)
		}
	}
	return levels
}

// stockWithComing is [Desk.Stock] with what is on its way.
func (d *Desk) stockWithComing(confidence float64) inventory.Stock {
	return shelf.StockOf(d.withComing(), confidence)
}

func ordersUntil(orders []inventory.Order, at time.Time) []inventory.Order {
	var out []inventory.Order
	for _, o := range orders {
		if o, placed := o.Until(at); placed {
			out = append(out, o)
		}
	}
	return out
}
