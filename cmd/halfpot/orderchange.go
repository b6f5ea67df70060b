package main

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

func (a *app) orderChange() *cobra.Command {
	var f eventFlags
	var delivery string
	c := &cobra.Command{
		Use: "change ORDER", Short: "say an order's delivery charge or note anew",
		Long: `Says anew what an order cost to send, or its note; an empty note takes it away.
What was noted first stays in the order's list, and halfpot order correct takes
the change back. What came at a wrong price: halfpot order correct, then receive
it again with ITEM@PRICE. A wrong shop or day: call it off and place it again.`,
		Example: `  halfpot order change order-1 --delivery 3.90
  halfpot order change 1 --delivery 0 --note "fetched it myself"`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			said := c.Flags().Changed
			if !said("delivery") && !said("note") {
				return usagef("nothing to change: expected --delivery MONEY, --note TEXT or both")
			}
			return a.changeOrder(c, args, f,
				func(_ context.Context, x orderToChange) ([]inventory.OrderEvent, error) {
					o, w := x.order, x.when
					var charge *inventory.Money
					var remark *string
					if said("delivery") {
						m, err := inventory.ParseMoney(delivery, o.Currency)
						if err != nil {
							return nil, usagef("--delivery: %v", err)
						}
						charge = &m
					}
					if said("note") {
						remark = &f.note
					}
					e, err := o.PutRight(charge, remark, w.at, w.dayOnly)
					return []inventory.OrderEvent{e}, err
				})
		},
	}
	a.once(c)
	f.add(c)
	c.Flags().Lookup("note").Usage = "the order's note, `TEXT`"
	c.Flags().StringVar(&delivery, "delivery", "", "`MONEY` the shop asked for delivery")
	return a.completeOrders(c)
}

func (a *app) orderCallOff() *cobra.Command {
	var f eventFlags
	c := &cobra.Command{
		Use: "call-off ORDER [ITEM...]", Short: "what of an order will not come",
		Long: `Notes that items of an order will not come, because you or the shop called them
off; without items, all that is still on its way. They no longer count.

` + itemHelp,
		Example: "  halfpot order call-off order-1\n" +
			"  halfpot order call-off order-1 chalk-white --note \"sold out\"",
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			typed, err := typedBoxes(args[1:])
			if err != nil {
				return err
			}
			return a.changeOrder(c, args, f,
				func(_ context.Context, x orderToChange) ([]inventory.OrderEvent, error) {
					cat, o, w := x.cat, x.order, x.when
					var items []inventory.ParcelItem
					for _, b := range typed {
						item, err := parcelItem(cat, o.Currency, b, func(id string) bool {
							_, ok := o.Line(id)
							return ok
						})
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
		Example: "  halfpot order show order-1\n" +
			"  halfpot order correct order-1 2 --note \"that was another parcel\"",
		Args: cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			n, err := strconv.ParseInt(strings.TrimPrefix(args[1], "#"), 10, 64)
			if err != nil || n < 1 {
				return usagef("%q: expected the number of an entry, as halfpot order show shows it", args[1])
			}
			return a.changeOrder(c, args, f,
				func(ctx context.Context, x orderToChange) ([]inventory.OrderEvent, error) {
					tx, o, w := x.tx, x.order, x.when
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

// orderToChange is an order that a change is about to be added to.
type orderToChange struct {
	tx    *postgres.Tx
	cat   *inventory.Catalogue
	order inventory.Order
	when  when // as it was typed
}

// changeOrder adds to an order's list and shows the order.
func (a *app) changeOrder(
	c *cobra.Command,
	args []string,
	f eventFlags,
	events func(context.Context, orderToChange) ([]inventory.OrderEvent, error),
) error {
	if err := texts(map[string]*string{"--note": &f.note}); err != nil {
		return err
	}
	return a.change(c, args, "halfpot order show "+quoteWord(args[0]),
		func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
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
			more, err := events(ctx, orderToChange{tx, cat, o, w})
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
