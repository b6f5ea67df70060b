package desk

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shelf"
)

// bookkeeping is a desk in memory that a random painter orders for, and beside it
// the sums that a bookkeeper would keep.
type bookkeeping struct {
	t      *testing.T
	r      *rand.Rand
	cat    *inventory.Catalogue
	orders []inventory.Order
	shelf  inventory.Shelf
	at     time.Time
	last   int64
	used   map[string]inventory.Volume // by pot
}

// The products of the random painter: alone, in sets, by the piece, of one kind
// several times.
func balanceCatalogue() *inventory.Catalogue {
	c := fixture.SmallCatalogue()
	c.Paints = append(c.Paints, inventory.Paint{ID: "balance-edge", Name: "Edge", Type: inventory.Pencil})
	one := func(id, paint string, v inventory.Volume, n int) inventory.Product {
		return inventory.Product{
			ID:       id,
			Name:     id,
			Contents: []inventory.Content{{Paint: paint, Volume: v, Count: n}},
		}
	}
	c.Products = []inventory.Product{
		one("black", "black", 17_000, 1),
		one("leather", "leather", 12_000, 1),
		one("edge", "balance-edge", inventory.Item, 1),
		one("black-box", "black", 17_000, 4),
		{
			ID:   "set",
			Name: "set",
			Contents: []inventory.Content{
				{Paint: "black", Volume: 17_000, Count: 2},
				{Paint: "leather", Volume: 12_000, Count: 1},
				{Paint: "balance-edge", Volume: inventory.Item, Count: 3},
			},
		},
		{
			ID:   "pair",
			Name: "pair",
			Contents: []inventory.Content{
				{Paint: "black", Volume: 17_000, Count: 1},
				{Paint: "leather", Volume: 24_000, Count: 1},
			},
		},
	}
	c.Shops = []inventory.Shop{{ID: "balance", Name: "Balance", Currency: "EUR"}}
	c.Offers = []inventory.Offer{
		{Product: "black", Shop: "balance", Price: cents(310)},
		{Product: "leather", Shop: "balance", Price: cents(295)},
		{Product: "edge", Shop: "balance", Price: cents(199)},
	}
	return c
}

func cents(n int64) inventory.Money { return inventory.MoneyOfMinor(n, "EUR") }

func (b *bookkeeping) product() string { return b.cat.Products[b.r.IntN(len(b.cat.Products))].ID }

func (b *bookkeeping) place() {
	o := inventory.Order{
		ID:       fmt.Sprintf("order-%d", len(b.orders)+1),
		Shop:     "balance",
		Currency: "EUR",
		At:       b.at,
	}
	for _, i := range b.r.Perm(len(b.cat.Products))[:1+b.r.IntN(3)] {
		price := cents(b.r.Int64N(3000))
		o.Lines = append(o.Lines, inventory.OrderLine{
			Product: b.cat.Products[i].ID,
			Count:   1 + b.r.IntN(4),
			Price:   &price,
		})
	}
	b.orders = append(b.orders, o)
}

// parcel is some boxes of an order, sometimes too many, sometimes of what was
// never ordered, sometimes instead of another.
func (b *bookkeeping) parcel(o *inventory.Order) []inventory.ParcelItem {
	var items []inventory.ParcelItem
	for range b.r.IntN(3) {
		i := inventory.ParcelItem{Product: o.Lines[b.r.IntN(len(o.Lines))].Product, Count: b.r.IntN(4)}
		switch b.r.IntN(6) {
		case 0:
			i.Instead, i.Product = i.Product, b.product()
		case 1:
			i.Product = b.product()
		case 2:
			price := cents(b.r.Int64N(2000))
			i.Price = &price
		}
		items = append(items, i)
	}
	return items
}

func (b *bookkeeping) number() int64 { b.last++; return b.last }

// act does one thing that the rooms allow; what they refuse changes nothing.
func (b *bookkeeping) act() {
	b.at = b.at.Add(time.Minute)
	if len(b.orders) == 0 || b.r.IntN(6) == 0 {
		b.place()
		return
	}
	o := &b.orders[b.r.IntN(len(b.orders))]
	switch b.r.IntN(7) {
	case 0, 1, 2:
		got, err := o.Receive(inventory.Parcel{At: b.at, Items: b.parcel(o)}, b.cat, &b.shelf)
		if err != nil {
			return
		}
		for _, e := range got.Events {
			e.ID = b.number()
			o.Events = append(o.Events, e)
		}
		for _, p := range got.Pots {
			p.Events[0].ID = b.number()
			b.shelf.Pots = append(b.shelf.Pots, p)
		}
	case 3:
		events, err := o.CallOff(b.parcel(o), b.at, false, "")
		if err != nil {
			return
		}
		for _, e := range events {
			e.ID = b.number()
			o.Events = append(o.Events, e)
		}
	case 4:
		if len(o.Events) == 0 {
			return
		}
		e, changes, err := o.Undo(o.Events[b.r.IntN(len(o.Events))].ID, b.at, "", &b.shelf)
		if err != nil {
			return
		}
		e.ID = b.number()
		o.Events = append(o.Events, e)
		for _, c := range changes {
			for i := range b.shelf.Pots {
				if b.shelf.Pots[i].ID == c.Pot {
					c.Event.ID = b.number()
					b.shelf.Pots[i].Events = append(b.shelf.Pots[i].Events, c.Event)
				}
			}
		}
	default:
		b.use()
	}
}

// use takes a measured amount out of a pot that is there.
func (b *bookkeeping) use() {
	if len(b.shelf.Pots) == 0 {
		return
	}
	p := &b.shelf.Pots[b.r.IntN(len(b.shelf.Pots))]
	v := p.Nominal / 10
	if p.NeverCame() || b.used[p.ID]+v > p.Nominal/2 {
		return
	}
	b.used[p.ID] += v
	p.Events = append(p.Events, inventory.PotEvent{ID: b.number(), Kind: inventory.Used, At: b.at, Volume: &v})
}

// check holds orders against the shelf, as a bookkeeper closes the month: what
// came in less what went out is what is there.
func (b *bookkeeping) check(book *shelf.LevelBook) {
	b.t.Helper()
	idx := b.cat.Index()
	paid, items, volume := decimal.Zero, 0, inventory.Volume(0)
	named := map[string]bool{}
	for i := range b.orders {
		o := &b.orders[i]
		if faults := o.Validate(idx); len(faults) > 0 {
			b.t.Fatalf("%s: %v", o.ID, faults)
		}
		waiting := map[string]int{}
		for _, l := range o.Outstanding() {
			waiting[l.Product] = l.Count
		}
		for _, l := range o.Lines {
			received, off := o.Settled(l.Product)
			if l.Count != received+off+waiting[l.Product] || waiting[l.Product] < 0 {
				b.t.Fatalf("%s: of %d %s, %d came, %d called off, %d on their way",
					o.ID, l.Count, l.Product, received, off, waiting[l.Product])
			}
		}
		for _, e := range o.Standing() {
			if e.Kind != inventory.Received {
				continue
			}
			paid = paid.Add(e.Price.Amount.Mul(decimal.NewFromInt(int64(e.Count))))
			pots := 0
			for _, k := range idx.Products[e.Box()].Contents {
				pots += k.Count * e.Count
				volume += k.Volume * inventory.Volume(k.Count*e.Count)
			}
			if len(e.Pots) != pots {
				b.t.Fatalf("%s: %d pots of %d %s", o.ID, len(e.Pots), e.Count, e.Box())
			}
			items += pots
			for _, id := range e.Pots {
				if named[id] {
					b.t.Fatalf("%s came twice", id)
				}
				named[id] = true
			}
		}
	}
	cost, there, holds := decimal.Zero, 0, inventory.Volume(0)
	for i := range b.shelf.Pots {
		p := &b.shelf.Pots[i]
		level := book.Level(p, b.at)
		if p.NeverCame() {
			if level.Gone == "" || level.Left() != 0 {
				b.t.Fatalf("%s never came, and holds %s", p.ID, level.Left())
			}
			continue
		}
		if !named[p.ID] {
			b.t.Fatalf("%s came from nowhere", p.ID)
		}
		there++
		holds += p.Nominal
		cost = cost.Add(p.Cost.Amount)
		full := book.NewPot(p.Paint, p.Nominal).Mean()
		if gap := full - b.used[p.ID].ML() - level.Mean(); gap < -.02*full || gap > .02*full {
			b.t.Fatalf("%s: %.2f ml came, %.2f ml were used, %.2f ml are there",
				p.ID, full, b.used[p.ID].ML(), level.Mean())
		}
	}
	if !cost.Equal(paid) || there != items || holds != volume {
		b.t.Fatalf("paid %s, the pots cost %s; %d pots came, %d are there; %s came, %s are there",
			paid, cost, items, there, volume, holds)
	}
	if left := b.stock(); left != b.waiting() {
		b.t.Fatalf("%d pots on their way, %d are reckoned with", b.waiting(), left)
	}
}

func (b *bookkeeping) waiting() (n int) {
	idx := b.cat.Index()
	for i := range b.orders {
		for _, l := range b.orders[i].Outstanding() {
			for _, k := range idx.Products[l.Product].Contents {
				n += k.Count * l.Count
			}
		}
	}
	return n
}

func (b *bookkeeping) stock() (n int) {
	d := &Desk{Orders: b.orders, Index: b.cat.Index()}
	for _, c := range d.onItsWay() {
		n += c.Pots
	}
	return n
}

// Double-entry's own test over random histories: for money to the cent, for pots
// by the piece, for volume as on the labels, and for what the levels say.
func TestOrdersBalance(t *testing.T) {
	for seed := range 1000 {
		b := &bookkeeping{
			t:    t,
			r:    rand.New(rand.NewPCG(uint64(seed), 18)),
			cat:  balanceCatalogue(),
			at:   fixture.Noon,
			used: map[string]inventory.Volume{},
		}
		idx := b.cat.Index()
		book := shelf.NewLevelBook(idx, shelf.LearnTares(&b.shelf, idx, shelf.DefaultLevelRules()), nil,
			shelf.DefaultLevelRules())
		for range 30 {
			b.act()
		}
		b.check(book)
		if t.Failed() {
			t.Fatalf("history %d", seed)
		}
	}
}
