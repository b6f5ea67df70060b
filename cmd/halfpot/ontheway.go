package main

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/estimate"
	"halfpot/inventory/postgres"
)

// comingRow is pots of a paint on their way, as answers that reckon with them
// say it.
type comingRow struct {
	Order string      `json:"order"`
	Paint string      `json:"paint"`
	Size  view.Amount `json:"size"`
	Pots  int         `json:"pots"`
}

func comingRows(byID *inventory.Index, coming []desk.OnTheWay) []comingRow {
	rows := []comingRow{}
	for _, c := range coming {
		rows = append(rows, comingRow{c.Order, c.Paint, amount(byID.Paints[c.Paint], c.Size), c.Pots})
	}
	return rows
}

// noteComing says that what is on its way counts, where anything is.
func noteComing(page *view.Page, rows []comingRow) {
	pots := 0
	var orders []string
	for _, r := range rows {
		pots += r.Pots
		if !slices.Contains(orders, r.Order) {
			orders = append(orders, r.Order)
		}
	}
	if pots > 0 {
		page.Note("%s on the way (%s) counted as on the shelf; --without-orders leaves them out.",
			count(pots, "pot", "pots"), strings.Join(orders, ", "))
	}
}

// buyAndOrder works out the list and keeps it as orders.
func (a *app) buyAndOrder(c *cobra.Command, args []string, o buyOptions) error {
	q, err := a.ask(c, strings.Join(args, ""), o.ruleFlags)
	if errors.Is(err, estimate.ErrNothingLeft) {
		return a.nothingLeft(strings.Join(args, ""))
	}
	if err != nil {
		return err
	}
	ctx, cancel := limited(c.Context(), o.timeLimit)
	defer cancel()
	answer, err := q.Answer(ctx)
	if err != nil {
		return err
	}
	doc := newBuyDoc(q, answer)
	show := func() error {
		if err := a.show(doc, doc.lines(), func(page *view.Page) {
			doc.show(page, true)
			if c.Context().Err() != nil {
				page.Line("Stopped: the list was not kept as an order.")
			}
			if len(doc.Kept) > 0 {
				page.Line("Kept as %s. When it comes: halfpot order receive %s",
					strings.Join(doc.Kept, " and "), doc.Kept[0])
			}
		}); err != nil {
			return err
		}
		return outcomeOf(answer)
	}
	if !answer.Found() || len(answer.List.Orders) == 0 || c.Context().Err() != nil {
		return show()
	}
	return a.change(c, args, "halfpot order list",
		func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
			known, err := tx.Orders(ctx)
			if err != nil {
				return nil, err
			}
			var orders []inventory.Order
			for _, l := range answer.List.Orders {
				order := inventory.Order{
					Shop:     l.Shop,
					Force:    q.Force.ID,
					At:       a.now(),
					Currency: answer.List.Currency,
					Delivery: &l.Delivery,
				}
				for _, x := range l.Lines {
					order.Lines = append(order.Lines, inventory.OrderLine{
						Product: x.Product,
						Count:   int(x.Count),
						Price:   &x.Price,
					})
				}
				orders = append(orders, order)
			}
			kept, err := addOrders(ctx, tx, known, orders, o.again)
			doc.Kept = idsOf(kept)
			return show, err
		})
}
