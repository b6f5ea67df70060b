package main

import (
	"context"

	"github.com/spf13/cobra"

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
			return a.changeOrder(c, args, f, func(_ context.Context, _ *postgres.Tx, _ *inventory.Catalogue, o inventory.Order, w when) ([]inventory.OrderEvent, error) {
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
