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
	return a.change(c, args, "halfpot order list --all",
		func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
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

// receiveParcels keeps what came.
func receiveParcels(
	ctx context.Context, tx *postgres.Tx, cat *inventory.Catalogue, parcels []parcelOf,
) ([]arrived, error) {
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
		if e.Kind == inventory.Received && e.Price == nil &&
			slices.ContainsFunc(g.pots, func(p inventory.Pot) bool { return slices.Contains(e.Pots, p.ID) }) {
			page.Line("No price is known of %s, so what was spent leaves it out. "+
				"To say one: halfpot order correct %s %d, then halfpot order receive %s %s@PRICE", productName(byID, e.Box()), g.order.ID, e.ID, g.order.ID, e.Box())
		}
	}
}
