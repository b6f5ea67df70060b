package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

func (a *app) orderCommand() *cobra.Command {
	return holder("order", "what you ordered: on its way, received, called off",
		`An order is what you ordered at one shop. What of it is still on its way counts in
halfpot estimate and halfpot buy as if it stood on the shelf. When a parcel comes,
halfpot order receive turns it, or the part of it that came, into pots. Nothing in
an order's list is ever changed; a slip is put right with halfpot order correct, a
delivery charge or note with halfpot order change.`,
		`  halfpot buy harbour-watch --order           keep the shopping list as orders
  halfpot order list
  halfpot order receive order-1               all of it came
  halfpot order bought quay-street soot-wash 2 chalk-white`,
		a.orderList(), a.orderShow(), a.orderPlace(), a.orderBought(), a.orderReceive(), a.orderCallOff(), a.orderChange(), a.orderCorrect())
}

// placedRow is one order in a list.
type placedRow struct {
	ID       string     `json:"id" table:"order"`
	Placed   view.Date  `json:"placed" table:"placed"`
	Name     string     `json:"shop_name" table:"shop"`
	Shop     string     `json:"shop"`
	Boxes    view.Count `json:"boxes" table:"ordered"`
	Coming   view.Count `json:"on_its_way" table:"coming"`
	Total    view.Money `json:"total" table:"together"`
	Delivery view.Money `json:"delivery"`
	Force    string     `json:"force" table:"for"`
	Note     string     `json:"note"`
}

func newPlacedRow(byID *inventory.Index, o inventory.Order) placedRow {
	row := placedRow{
		ID:     o.ID,
		Placed: view.Date{Time: o.At},
		Shop:   o.Shop,
		Name:   shopName(byID, o.Shop),
		Force:  o.Force,
		Note:   o.Remark(),
	}
	for _, l := range o.Lines {
		row.Boxes += view.Count(l.Count)
	}
	for _, l := range o.Outstanding() {
		row.Coming += view.Count(l.Count)
	}
	sum, known := o.Sum()
	if known {
		row.Total = view.Money(sum)
	}
	if charge := o.Charge(); charge != nil {
		row.Delivery = view.Money(*charge)
	}
	return row
}

// placedLine is one line of an order with what became of it.
type placedLine struct {
	Product   string     `json:"product"`
	Name      string     `json:"name" table:"product"`
	Ordered   view.Count `json:"ordered" table:"ordered"`
	Received  view.Count `json:"received" table:"came"`
	CalledOff view.Count `json:"called_off" table:"called off"`
	Coming    view.Count `json:"on_its_way" table:"on its way"`
	Price     view.Money `json:"price" table:"each"`
}

// happenedRow is one entry of an order's list.
type happenedRow struct {
	Number  int64      `json:"number" table:"no."`
	Day     view.Date  `json:"day" table:"day"`
	What    string     `json:"what" table:"what"`
	Count   view.Some  `json:"count" table:"items"`
	Product string     `json:"product"`
	Came    string     `json:"came"`
	Name    string     `json:"name" table:"of"`
	Price   view.Money `json:"price" table:"each"`
	Pots    []string   `json:"pots"`
	Undone  bool       `json:"undone"`
	// What the order says anew.
	Delivery view.Money `json:"delivery"`
	Remark   *string    `json:"order_note"`
	Note     string     `json:"note" table:"remark"`
}

// placedDoc is one order in full.
type placedDoc struct {
	placedRow
	Lines    []placedLine  `json:"lines" csv:"-"`
	Happened []happenedRow `json:"happened" csv:"-"`
}

func newPlacedDoc(byID *inventory.Index, o inventory.Order) placedDoc {
	d := placedDoc{placedRow: newPlacedRow(byID, o)}
	for _, l := range o.Lines {
		received, off := o.Settled(l.Product)
		row := placedLine{
			Product:   l.Product,
			Name:      productName(byID, l.Product),
			Ordered:   view.Count(l.Count),
			Received:  view.Count(received),
			CalledOff: view.Count(off),
			Coming:    view.Count(l.Count - received - off),
		}
		if l.Price != nil {
			row.Price = view.Money(*l.Price)
		}
		d.Lines = append(d.Lines, row)
	}
	standing := o.Standing()
	for _, e := range o.Events {
		row := happenedRow{
			Number:  e.ID,
			Day:     view.Date{Time: e.At},
			What:    strings.ReplaceAll(string(e.Kind), "-", " "),
			Count:   view.Some(e.Count),
			Product: e.Product,
			Came:    e.Came,
			Pots:    e.Pots,
			Note:    e.Note,
		}
		switch e.Kind {
		case inventory.OrderCorrected:
			row.What = fmt.Sprintf("undid no. %d", e.Undoes)
		case inventory.OrderPutRight:
			var said []string
			if e.Delivery != nil {
				row.Delivery = view.Money(*e.Delivery)
				said = append(said, deliveryWords(row.Delivery))
			}
			if row.Remark = e.Remark; e.Remark != nil {
				said = append(said, "note: "+orWord(*e.Remark, "none"))
			}
			row.Name = strings.Join(said, "; ")
		default:
			row.Name = productName(byID, e.Box())
		}
		row.Undone = e.Kind != inventory.OrderCorrected &&
			!slices.ContainsFunc(standing, func(s inventory.OrderEvent) bool { return s.ID == e.ID })
		if e.Came != "" {
			row.Name += " instead of " + productName(byID, e.Product)
		}
		if row.Undone {
			row.What += " (undone)"
		}
		if e.Price != nil {
			row.Price = view.Money(*e.Price)
		}
		d.Happened = append(d.Happened, row)
	}
	return d
}

func productName(byID *inventory.Index, id string) string {
	if p := byID.Products[id]; p != nil {
		return orWord(p.Name, id)
	}
	return id
}

func (d placedDoc) show(page *view.Page) {
	page.Line("%s at %s, placed on %s: %s.", d.ID, d.Name, d.Placed.CSVValue(), d.standing())
	page.List(d.Lines, "")
	switch {
	case d.Total.Currency != "" && d.Delivery.Currency != "":
		page.Line("%s, together %s", deliveryWords(d.Delivery), d.Total)
	case d.Total.Currency != "":
		page.Line("together %s", d.Total)
	}
	if len(d.Happened) > 0 {
		page.Heading("What came of it")
		page.List(d.Happened, "")
	}
	if d.Note != "" {
		page.Note("%s", d.Note)
	}
}

// standing says how far an order is.
func (d placedDoc) standing() string {
	switch {
	case d.Coming == d.Boxes:
		return count(int(d.Boxes), "item is on its way", "items, all on their way")
	case d.Coming == 0:
		return "nothing is on its way any more"
	}
	return fmt.Sprintf("%d of %d items are still on their way", d.Coming, d.Boxes)
}

func (a *app) orderList() *cobra.Command {
	var all bool
	var on string
	c := &cobra.Command{
		Use: "list", Short: "list orders that are on their way",
		Long: "Lists the orders of which something is still on its way; with --all every order.",
		Example: "  halfpot order list\n  halfpot order list --all\n" +
			"  halfpot order list --on 2026-03-01        what was on its way then",
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			cat, orders, day, err := a.ordersOn(c.Context(), on)
			if err != nil {
				return err
			}
			byID, rows, settled := cat.Index(), []placedRow{}, 0
			for _, o := range orders {
				row := newPlacedRow(byID, o)
				if row.Coming == 0 && !all {
					settled++
					continue
				}
				rows = append(rows, row)
			}
			return a.show(rows, rows, func(page *view.Page) {
				nothing := "Nothing is on its way. Keep a shopping list as an order: halfpot buy FORCE --order"
				if on != "" {
					noteDay(page, day)
					nothing = "Nothing was on its way."
				}
				page.List(rows, nothing)
				if settled > 0 {
					page.Note("%s settled: --all shows them.", count(settled, "order is", "orders are"))
				}
			})
		},
	}
	c.Flags().BoolVar(&all, "all", false, "orders of which nothing is on its way any more too")
	onFlag(c, &on)
	return c
}

// ordersOn is the catalogue and the orders as they were known at the end of the day
// typed, or now.
func (a *app) ordersOn(
	ctx context.Context, typed string,
) (cat *inventory.Catalogue, known []inventory.Order, day time.Time, err error) {
	if day, err = a.endOf(typed); err != nil {
		return nil, nil, day, err
	}
	if cat, err = a.catalogue(ctx); err != nil {
		return nil, nil, day, err
	}
	orders, err := a.opened.store.Orders(ctx)
	if day.IsZero() || err != nil {
		return cat, orders, day, err
	}
	for _, o := range orders {
		if was, placed := o.Until(day); placed {
			known = append(known, was)
		}
	}
	return cat, known, day, nil
}

func (a *app) orderShow() *cobra.Command {
	var on string
	c := &cobra.Command{
		Use: "show ORDER", Short: "one order: what came, what is on its way",
		Long: `Shows the lines of an order with what became of each, and its list of what
happened. An order is called by its id, by its number, or by its shop where only
one order of that shop is on its way.`,
		Example: "  halfpot order show order-1\n  halfpot order show 1",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			cat, orders, day, err := a.ordersOn(c.Context(), on)
			if err != nil {
				return err
			}
			o, err := typedOrder(cat, orders, args[0])
			if err != nil && on != "" {
				_, all, _, failed := a.ordersOn(c.Context(), "")
				if failed == nil {
					if o, failed = typedOrder(cat, all, args[0]); failed == nil {
						err = usagef("%s was not placed yet: that was on %s", o.ID, o.At.Format(time.DateOnly))
					}
				}
			}
			if err != nil {
				return err
			}
			doc := newPlacedDoc(cat.Index(), o)
			return a.show(doc, doc.Lines, func(page *view.Page) {
				if on != "" {
					noteDay(page, day)
				}
				doc.show(page)
			})
		},
	}
	onFlag(c, &on)
	return a.completeOrders(c)
}

// typedOrder finds the order that was typed.
func typedOrder(cat *inventory.Catalogue, orders []inventory.Order, typed string) (inventory.Order, error) {
	byID := cat.Index()
	names := namesOf(orders, func(o inventory.Order) named {
		n := named{id: o.ID}
		if number, ok := strings.CutPrefix(o.ID, "order-"); ok {
			n.names = append(n.names, number)
		}
		if len(o.Outstanding()) > 0 {
			n.names = append(n.names, o.Shop, shopName(byID, o.Shop))
		}
		return n
	})
	id, err := lookup("order", typed, "halfpot order list --all", names)
	if err != nil {
		return inventory.Order{}, err
	}
	return orders[slices.IndexFunc(orders, func(o inventory.Order) bool { return o.ID == id })], nil
}

// completeOrders offers the orders for the first word.
func (a *app) completeOrders(c *cobra.Command) *cobra.Command {
	c.ValidArgsFunction = func(
		c *cobra.Command, args []string, typed string,
	) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return a.completeNames(productNames)(c, args, typed)
		}
		return a.completeNames(func(*inventory.Catalogue) []named {
			orders, err := a.opened.store.Orders(context.Background())
			if err != nil {
				return nil
			}
			return namesOf(orders, func(o inventory.Order) named { return named{id: o.ID} })
		})(c, args, typed)
	}
	return c
}

// readOrders reads what a change of orders rests on.
func readOrders(ctx context.Context, tx *postgres.Tx) (*inventory.Catalogue, []inventory.Order, error) {
	cat, err := tx.LoadCatalogue(ctx)
	if err != nil {
		return nil, nil, err
	}
	orders, err := tx.Orders(ctx)
	return &cat, orders, err
}
