package main

import (
	"context"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

type placeOptions struct {
	eventFlags
	itemFlags
	force, delivery, place string
	again                  bool
}

func (a *app) orderPlace() *cobra.Command {
	var o placeOptions
	c := &cobra.Command{
		Use: "place [SHOP] ITEM...", Short: "note what you ordered at a shop",
		Long: `Notes an order you placed yourself. Prices and delivery are the shop's on record
where you don't say them. With --from, the rows say the shop, and each shop gets an
order of its own.

` + itemHelp,
		Example: `  halfpot order place quay-street soot-wash 2 chalk-white
  halfpot order place quay-street 2xchalk-white@2.95 --delivery 3.90 --at yesterday
  halfpot order place --from order.csv`,
		RunE: func(c *cobra.Command, args []string) error { return a.placeOrder(c, args, o, false) },
	}
	o.add(a, c)
	c.Flags().Lookup("at").Usage = "`DAY` it was placed, like 2026-03-01 or yesterday (default now)"
	return completeArg(a, c, shopNames)
}

func (a *app) orderBought() *cobra.Command {
	var o placeOptions
	c := &cobra.Command{
		Use: "bought [SHOP] ITEM...", Short: "note what you bought and took home at once",
		Long: `Notes an order and that all of it came: the pots stand on the shelf at once, each
with what it cost. A set becomes its pots.

` + itemHelp,
		Example: `  halfpot order bought quay-street soot-wash chalk-white edge-pencil
  halfpot order bought quay-street 3xchalk-white@2.50 --place "top drawer"
  halfpot order bought --from order.csv`,
		RunE: func(c *cobra.Command, args []string) error { return a.placeOrder(c, args, o, true) },
	}
	o.add(a, c)
	c.Flags().Lookup("at").Usage = "`DAY` it was bought, like 2026-03-01 or yesterday (default now)"
	c.Flags().StringVar(&o.place, "place", "", "`PLACE` where the pots go (default: where the paint's last pot stands)")
	return completeArg(a, c, shopNames)
}

func (o *placeOptions) add(a *app, c *cobra.Command) {
	a.once(c)
	o.itemFlags.add(c)
	o.eventFlags.add(c)
	f := c.Flags()
	f.StringVar(&o.force, "force", "", "the `FORCE` it is for")
	f.StringVar(&o.delivery, "delivery", "", "`MONEY` the shop asked for delivery")
	f.BoolVar(&o.again, "again", false, "place it although the same was ordered there on that day")
	complete(a, c, "force", forceNames)
}

func (a *app) placeOrder(c *cobra.Command, args []string, o placeOptions, bought bool) error {
	if err := texts(map[string]*string{"--note": &o.note, "--place": &o.place}); err != nil {
		return err
	}
	words, shop := args, ""
	if o.from == "" {
		if len(args) == 0 || len(args) == 1 && !o.scan {
			return &usageError{
				"expected a shop and what was ordered there",
				[]string{"halfpot shop list", c.CommandPath() + " --help"},
			}
		}
		shop, words = args[0], args[1:]
	} else if len(args) > 1 {
		return usagef("the items are read from %s: expected at most a shop beside it", o.from)
	} else if len(args) == 1 {
		shop, words = args[0], nil
	}
	typed, err := o.read(a, words)
	if err != nil {
		return err
	}
	return a.change(c, args, "halfpot order list --all",
		func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
			cat, known, err := readOrders(ctx, tx)
			if err != nil {
				return nil, err
			}
			orders, err := a.newOrders(cat, shop, typed, o, bought)
			if err != nil {
				return nil, err
			}
			kept, err := addOrders(ctx, tx, known, orders, o.again)
			if err != nil {
				return nil, err
			}
			byID := cat.Index()
			if !bought {
				return func() error { return a.showPlaced(byID, kept) }, nil
			}
			var parcels []parcelOf
			for i := range kept {
				parcels = append(parcels, parcelOf{
					&kept[i],
					inventory.Parcel{At: kept[i].At, DayOnly: kept[i].DayOnly, Place: o.place},
				})
			}
			got, err := receiveParcels(ctx, tx, cat, parcels)
			return func() error { return a.showReceived(byID, got) }, err
		})
}

// newOrders makes an order for each shop of what was typed or listed.
func (a *app) newOrders(
	cat *inventory.Catalogue, shop string, typed []boxes, o placeOptions, bought bool,
) ([]inventory.Order, error) {
	now := a.now()
	when, err := parseWhen(o.at, now)
	if err != nil {
		return nil, err
	}
	if err := inventory.CheckWhen(when.at, when.dayOnly, now); err != nil {
		return nil, err
	}
	byID := cat.Index()
	force := ""
	if o.force != "" {
		if force, err = lookup("force", o.force, "halfpot force list", forceNames(cat)); err != nil {
			return nil, err
		}
	}
	var out []inventory.Order
	for _, b := range typed {
		at := orWord(b.shop, shop)
		if at == "" {
			return nil, usagef("%s%s: it does not say at which shop: give one before the items",
				b.where, b.product)
		}
		if shop != "" {
			at = shop
		}
		id, err := lookup("shop", at, "halfpot shop list", shopNames(cat))
		if err != nil {
			return nil, err
		}
		i := slices.IndexFunc(out, func(o inventory.Order) bool { return o.Shop == id })
		if i < 0 {
			i = len(out)
			out = append(out, inventory.Order{
				Shop:     id,
				Force:    force,
				At:       when.at,
				DayOnly:  when.dayOnly,
				Currency: byID.Shops[id].Currency,
				Note:     o.note,
			})
		}
		if err := addLine(&out[i], cat, b); err != nil {
			return nil, err
		}
	}
	for i := range out {
		if out[i].Delivery, err = deliveryOf(byID, out[i], o.delivery, bought); err != nil {
			return nil, err
		}
	}
	if o.delivery != "" && len(out) > 1 {
		return nil, usagef("--delivery is of one order: the list names %d shops", len(out))
	}
	return out, nil
}

// addLine adds boxes to an order; boxes alike are one line.
func addLine(o *inventory.Order, cat *inventory.Catalogue, b boxes) error {
	offers := map[string]inventory.Money{}
	for _, f := range cat.Offers {
		if f.Shop == o.Shop {
			offers[f.Product] = f.Price
		}
	}
	if b.instead != "" {
		return usagef("%s%s: something instead of another can only be received", b.where, b.product)
	}
	id, err := b.find(cat, b.product, func(id string) bool { _, sold := offers[id]; return sold })
	if err != nil {
		return err
	}
	price, err := b.paid(o.Currency)
	if err != nil {
		return err
	}
	if p, sold := offers[id]; price == nil && sold {
		if p.Currency == "" {
			p.Currency = o.Currency
		}
		price = &p
	}
	line := inventory.OrderLine{Product: id, Count: max(b.count, 1), Price: price}
	i := slices.IndexFunc(o.Lines, func(l inventory.OrderLine) bool { return l.Product == id })
	if i < 0 {
		o.Lines = append(o.Lines, line)
		return nil
	}
	if was := o.Lines[i].Price; (was == nil) != (price == nil) || was != nil && !was.Equal(*price) {
		return usagef("%s%s stands there twice with different prices: expected one", b.where, id)
	}
	o.Lines[i].Count += line.Count
	return nil
}

// deliveryOf is what was said, or for what is sent the shop's charge on record.
func deliveryOf(byID *inventory.Index, o inventory.Order, said string, bought bool) (*inventory.Money, error) {
	if said != "" {
		m, err := inventory.ParseMoney(said, o.Currency)
		if err != nil {
			return nil, usagef("--delivery: %v", err)
		}
		return &m, nil
	}
	goods, known := o.Goods()
	if bought || !known {
		return nil, nil
	}
	m := byID.Shops[o.Shop].DeliveryFor(goods)
	return &m, nil
}

// addOrders keeps orders, unless the same was ordered on the same day.
func addOrders(
	ctx context.Context, tx *postgres.Tx, known, orders []inventory.Order, again bool,
) ([]inventory.Order, error) {
	var kept []inventory.Order
	for _, o := range orders {
		for i := range known {
			if k := &known[i]; !again && k.SameAs(&o) {
				return nil, &usageError{
					k.ID + " at " + o.Shop + " of " + k.At.Format("2006-01-02") +
						" is of just the same; nothing was written. If you ordered it twice, add --again",
					[]string{"halfpot order show " + k.ID},
				}
			}
		}
		added, err := tx.AddOrder(ctx, o)
		if err != nil {
			return nil, err
		}
		kept = append(kept, added)
	}
	return kept, nil
}

func (a *app) showPlaced(byID *inventory.Index, orders []inventory.Order) error {
	docs, rows := []placedDoc{}, []placedRow{}
	for _, o := range orders {
		docs = append(docs, newPlacedDoc(byID, o))
		rows = append(rows, newPlacedRow(byID, o))
	}
	return a.show(docs, rows, func(page *view.Page) {
		if a.quiet {
			return
		}
		for i, d := range docs {
			if i > 0 {
				page.Gap()
			}
			d.show(page)
		}
		page.Note("When it comes: halfpot order receive %s", strings.Join(idsOf(orders), " or "))
	})
}

func idsOf(orders []inventory.Order) []string {
	var out []string
	for _, o := range orders {
		out = append(out, o.ID)
	}
	return out
}
