package main

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

type receiveOptions struct {
	eventFlags
	itemFlags
	place   string
	instead []string
}

func (a *app) orderReceive() *cobra.Command {
	var o receiveOptions
	c := &cobra.Command{
		Use: "receive [ORDER [ITEM...]]", Short: "a parcel came: turn it into pots",
		Long: `Turns what came of an order into pots on the shelf, at the price paid. Without
items it is all that is on its way; the rest stays on its way. A set becomes its
pots, and its price is shared out among them. With --from or --scan and without an
order, each item goes to the oldest order of its shop that waits for it. What came
for something else needs --instead; what was never ordered, or came before, is
refused and nothing is written.

` + itemHelp,
		Example: `  halfpot order receive order-1
  halfpot order receive order-1 soot-wash 2 chalk-white --at yesterday
  halfpot order receive order-1 frost-white@2.95 --instead chalk-white
  halfpot order receive order-1 soot-wash frost-white --instead frost-white=chalk-white
  halfpot order receive --from order.csv`,
		RunE: func(c *cobra.Command, args []string) error { return a.receive(c, args, o) },
	}
	a.once(c)
	o.itemFlags.add(c)
	o.eventFlags.add(c)
	f := c.Flags()
	f.Lookup("at").Usage = "`DAY` it came, like 2026-03-01 or yesterday (default now)"
	f.StringVar(&o.place, "place", "", "`PLACE` where the pots go (default: where the paint's last pot stands)")
	f.StringArrayVar(&o.instead, "instead", nil, "the item came for `ORDERED`; of several items, CAME=ORDERED (may be repeated)")
	return a.completeOrders(c)
}

// parcelOf is a parcel and the order it came of.
type parcelOf struct {
	order  *inventory.Order
	parcel inventory.Parcel
}

func (a *app) receive(c *cobra.Command, args []string, o receiveOptions) error {
	if err := texts(map[string]*string{"--note": &o.note, "--place": &o.place}); err != nil {
		return err
	}
	order, words := "", args
	if len(args) > 0 {
		order, words = args[0], args[1:]
	}
	typed, err := o.read(a, words)
	if err != nil {
		return err
	}
	if typed, err = substituted(typed, o.instead); err != nil {
		return err
	}
	return a.change(c, args, "halfpot order list --all", func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
		cat, orders, err := readOrders(ctx, tx)
		if err != nil {
			return nil, err
		}
		now := a.now()
		when, err := parseWhen(o.at, now)
		if err != nil {
			return nil, err
		}
		if err := inventory.CheckWhen(when.at, when.dayOnly, now); err != nil {
			return nil, err
		}
		parcels, err := parcelsOf(cat, orders, order, typed)
		if err != nil {
			return nil, err
		}
		for i := range parcels {
			p := &parcels[i].parcel
			p.At, p.DayOnly, p.Place, p.Note = when.at, when.dayOnly, o.place, o.note
		}
		got, err := receiveParcels(ctx, tx, cat, parcels)
		return func() error { return a.showReceived(cat.Index(), got) }, err
	})
}

// substituted says of boxes what they came for.
func substituted(typed []boxes, instead []string) ([]boxes, error) {
	for _, s := range instead {
		came, ordered, paired := strings.Cut(s, "=")
		if !paired {
			if len(typed) != 1 || len(instead) > 1 {
				return nil, usagef("--instead %s: expected one item that came for it, or CAME=ORDERED", s)
			}
			typed[0].instead = s
			continue
		}
		i := slices.IndexFunc(typed, func(b boxes) bool { return strings.EqualFold(b.product, came) })
		if i < 0 || ordered == "" {
			return nil, usagef("--instead %s: expected one of the items that came, =, and what was ordered", s)
		}
		typed[i].instead = ordered
	}
	return typed, nil
}

// parcelsOf finds the orders that what came belongs to.
func parcelsOf(cat *inventory.Catalogue, orders []inventory.Order, typed string, items []boxes) ([]parcelOf, error) {
	if typed != "" {
		o, err := typedOrder(cat, orders, typed)
		if err != nil {
			return nil, err
		}
		parcel := inventory.Parcel{}
		for _, b := range items {
			if b.shop != "" {
				id, err := lookup("shop", b.shop, "halfpot shop list", shopNames(cat))
				if err != nil {
					return nil, err
				}
				if id != o.Shop {
					return nil, usagef("%s%s is of the shop %s, and %s was ordered at %s; without an order each row goes to one of its shop", b.where, b.product, id, o.ID, o.Shop)
				}
			}
			item, err := parcelItem(cat, o.Currency, b, func(id string) bool { _, ok := o.Line(id); return ok })
			if err != nil {
				return nil, err
			}
			parcel.Items = append(parcel.Items, item)
		}
		return []parcelOf{{&o, parcel}}, nil
	}
	open := slices.DeleteFunc(slices.Clone(orders), func(o inventory.Order) bool { return len(o.Outstanding()) == 0 })
	if len(open) == 0 {
		return nil, &usageError{"nothing is on its way: note what you bought with halfpot order bought", []string{"halfpot order list --all", "halfpot order bought --help"}}
	}
	if len(items) == 0 {
		if len(open) > 1 {
			return nil, &usageError{"several orders are on their way: say which came, " + strings.Join(idsOf(open), ", "), []string{"halfpot order list"}}
		}
		return []parcelOf{{&open[0], inventory.Parcel{}}}, nil
	}
	return allot(cat, open, items)
}

// allot deals boxes out to the orders that are on their way.
func allot(cat *inventory.Catalogue, open []inventory.Order, items []boxes) ([]parcelOf, error) {
	byShop := map[string][]inventory.ParcelItem{}
	var shops []string
	for _, b := range items {
		shop, err := shopOf(cat, open, b)
		if err != nil {
			return nil, err
		}
		waits := func(id string) bool {
			return slices.ContainsFunc(open, func(o inventory.Order) bool { _, ok := o.Line(id); return ok && o.Shop == shop })
		}
		item, err := parcelItem(cat, cat.Index().Shops[shop].Currency, b, waits)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(shops, shop) {
			shops = append(shops, shop)
		}
		byShop[shop] = append(byShop[shop], item)
	}
	var out []parcelOf
	var faults inventory.Faults
	for _, shop := range shops {
		dealt, wrong := inventory.Allot(open, shop, byShop[shop])
		faults = append(faults, wrong...)
		for i := range open {
			if len(dealt[i]) > 0 {
				out = append(out, parcelOf{&open[i], inventory.Parcel{Items: dealt[i]}})
			}
		}
	}
	return out, faults.Err()
}

// shopOf is the shop a box came from: the one it names, or the only one that
// anything is on its way from.
func shopOf(cat *inventory.Catalogue, open []inventory.Order, b boxes) (string, error) {
	if b.shop != "" {
		return lookup("shop", b.shop, "halfpot shop list", shopNames(cat))
	}
	shops := map[string]bool{}
	for _, o := range open {
		shops[o.Shop] = true
	}
	if len(shops) > 1 {
		return "", &usageError{b.where + b.product + ": orders of several shops are on their way: say of which order it came", []string{"halfpot order list"}}
	}
	return open[0].Shop, nil
}

func parcelItem(cat *inventory.Catalogue, currency string, b boxes, likely func(string) bool) (item inventory.ParcelItem, err error) {
	item.Count = b.count
	if b.instead == "" {
		item.Product, err = b.find(cat, b.product, likely)
	} else if item.Product, err = b.find(cat, b.product, func(string) bool { return true }); err == nil {
		item.Instead, err = b.find(cat, b.instead, likely)
	}
	if err == nil {
		item.Price, err = b.paid(currency)
	}
	if item.Count == 0 && (b.instead != "" || b.where != "") {
		item.Count = 1
	}
	return item, err
}

// arrived is what came of one order.
type arrived struct {
	order inventory.Order // as it stands after
	pots  []inventory.Pot
}

// receiveParcels keeps what came.
func receiveParcels(ctx context.Context, tx *postgres.Tx, cat *inventory.Catalogue, parcels []parcelOf) ([]arrived, error) {
	shelf, err := tx.Shelf(ctx)
	if err != nil {
		return nil, err
	}
	var out []arrived
	for _, p := range parcels {
		r, err := p.order.Receive(p.parcel, cat, &shelf)
		if err != nil {
			return nil, err
		}
		if _, err := tx.Insert(ctx, postgres.Load{Pots: r.Pots}); err != nil {
			return nil, err
		}
		added, err := tx.AddOrderEvents(ctx, p.order.ID, r.Events)
		if err != nil {
			return nil, err
		}
		shelf.Pots = append(shelf.Pots, r.Pots...)
		after := *p.order
		after.Events = append(slices.Clip(after.Events), added...)
		out = append(out, arrived{after, r.Pots})
	}
	return out, nil
}

// newPotLine is a pot that came.
type newPotLine struct {
	ID    string      `json:"pot" table:"new pot"`
	Name  string      `json:"paint_name" table:"paint"`
	Paint string      `json:"paint"`
	Size  view.Amount `json:"size" table:"size"`
	Cost  view.Money  `json:"cost" table:"cost"`
	Place string      `json:"place" table:"place"`
	Order string      `json:"order"`
}

type receivedDoc struct {
	Pots   []newPotLine `json:"pots"`
	Orders []placedDoc  `json:"orders"`
}

func (a *app) showReceived(byID *inventory.Index, got []arrived) error {
	doc := receivedDoc{}
	for _, g := range got {
		doc.Orders = append(doc.Orders, newPlacedDoc(byID, g.order))
		for _, p := range g.pots {
			paint := byID.Paints[p.Paint]
			row := newPotLine{
				ID:    p.ID,
				Name:  paint.Name,
				Paint: p.Paint,
				Size:  amount(paint, p.Nominal),
				Place: p.Place,
				Order: g.order.ID,
			}
			if p.Cost != nil {
				row.Cost = view.Money(*p.Cost)
			}
			doc.Pots = append(doc.Pots, row)
		}
	}
	return a.show(doc, doc.Pots, func(page *view.Page) {
		if a.quiet {
			return
		}
		page.Line("%s on the shelf:", count(len(doc.Pots), "new pot", "new pots"))
		page.List(doc.Pots, "none")
		for _, g := range got {
			unpriced(page, byID, g)
		}
		for _, o := range doc.Orders {
			page.Line("%s at %s: %s.", o.ID, o.Name, o.standing())
		}
	})
}

// unpriced says what of a parcel has no price, and how to give it one.
func unpriced(page *view.Page, byID *inventory.Index, g arrived) {
	standing := g.order.Standing()
	for _, e := range standing {
		if e.Kind == inventory.Received && e.Price == nil && slices.ContainsFunc(g.pots, func(p inventory.Pot) bool { return slices.Contains(e.Pots, p.ID) }) {
			page.Line("No price is known of %s, so what was spent leaves it out. To say one: halfpot order correct %s %d, then halfpot order receive %s %s@PRICE", productName(byID, e.Box()), g.order.ID, e.ID, g.order.ID, e.Box())
		}
	}
}

func (a *app) orderCallOff() *cobra.Command {
	var f eventFlags
	c := &cobra.Command{
		Use: "call-off ORDER [ITEM...]", Short: "what of an order will not come",
		Long: `Notes that items of an order will not come, because you or the shop called them
off; without items, all that is still on its way. They no longer count.

` + itemHelp,
		Example: "  halfpot order call-off order-1\n  halfpot order call-off order-1 chalk-white --note \"sold out\"",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			typed, err := typedBoxes(args[1:])
			if err != nil {
				return err
			}
			return a.changeOrder(c, args, f, func(_ context.Context, _ *postgres.Tx, cat *inventory.Catalogue, o inventory.Order, w when) ([]inventory.OrderEvent, error) {
				var items []inventory.ParcelItem
				for _, b := range typed {
					item, err := parcelItem(cat, o.Currency, b, func(id string) bool { _, ok := o.Line(id); return ok })
					if err != nil {
						return nil, err
					}
					items = append(items, item)
				}
				return o.CallOff(items, w.at, w.dayOnly, f.note)
			})
		},
	}
	a.once(c)
	f.add(c)
	return a.completeOrders(c)
}

func (a *app) orderCorrect() *cobra.Command {
	var f eventFlags
	c := &cobra.Command{
		Use: "correct ORDER NUMBER", Short: "undo an entry of an order that was a slip",
		Long: `Undoes one entry of an order's list, by its number in halfpot order show. Both
stay in the list. A receipt that is undone takes its pots off the shelf again, as
long as nothing was noted of them since.`,
		Example: "  halfpot order show order-1\n  halfpot order correct order-1 2 --note \"that was another parcel\"",
		Args:    cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			n, err := strconv.ParseInt(strings.TrimPrefix(args[1], "#"), 10, 64)
			if err != nil || n < 1 {
				return usagef("%q: expected the number of an entry, as halfpot order show shows it", args[1])
			}
			return a.changeOrder(c, args, f, func(ctx context.Context, tx *postgres.Tx, _ *inventory.Catalogue, o inventory.Order, w when) ([]inventory.OrderEvent, error) {
				shelf, err := tx.Shelf(ctx)
				if err != nil {
					return nil, err
				}
				e, changes, err := o.Undo(n, w.at, f.note, &shelf)
				if err != nil {
					return nil, err
				}
				e.DayOnly = w.dayOnly
				var events []postgres.NewEvent
				for _, x := range changes {
					x.Event.DayOnly = w.dayOnly
					events = append(events, postgres.NewEvent{Pot: x.Pot, Event: x.Event})
				}
				_, err = tx.AddEvents(ctx, events)
				return []inventory.OrderEvent{e}, err
			})
		},
	}
	a.once(c)
	f.add(c)
	return a.completeOrders(c)
}

// changeOrder adds to an order's list and shows the order.
func (a *app) changeOrder(c *cobra.Command, args []string, f eventFlags, events func(context.Context, *postgres.Tx, *inventory.Catalogue, inventory.Order, when) ([]inventory.OrderEvent, error)) error {
	if err := texts(map[string]*string{"--note": &f.note}); err != nil {
		return err
	}
	return a.change(c, args, "halfpot order show "+quoteWord(args[0]), func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
		cat, orders, err := readOrders(ctx, tx)
		if err != nil {
			return nil, err
		}
		o, err := typedOrder(cat, orders, args[0])
		if err != nil {
			return nil, err
		}
		now := a.now()
		w, err := parseWhen(f.at, now)
		if err != nil {
			return nil, err
		}
		if err := inventory.CheckWhen(w.at, w.dayOnly, now); err != nil {
			return nil, err
		}
		more, err := events(ctx, tx, cat, o, w)
		if err != nil {
			return nil, err
		}
		if _, err := tx.AddOrderEvents(ctx, o.ID, more); err != nil {
			return nil, err
		}
		after, err := tx.Order(ctx, o.ID)
		return func() error {
			doc := newPlacedDoc(cat.Index(), after)
			return a.show(doc, doc.Lines, func(page *view.Page) {
				if !a.quiet {
					doc.show(page)
				}
			})
		}, err
	})
}
