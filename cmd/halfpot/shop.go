package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

func (a *app) shopCommand() *cobra.Command {
	return holder("shop", "shops and what they charge for delivery",
		`A shop has one currency, a delivery charge that may fall as the order grows, and
sometimes a smallest order it accepts.`,
		"  halfpot shop list\n  halfpot shop show ferry-lane-hobbies",
		a.shopList(), a.shopShow())
}

type shopRow struct {
	ID       string     `json:"id" table:"shop"`
	Name     string     `json:"name" table:"name"`
	Currency string     `json:"currency"`
	MinOrder view.Money `json:"smallest_order" table:"smallest order"`
	Charge   string     `json:"-" table:"delivery"`
	Offers   view.Count `json:"offers" table:"offers"`
	Delivery []bandRow  `json:"delivery" csv:"-"`
}

type bandRow struct {
	From view.Money `json:"from" table:"orders from"`
	Fee  view.Money `json:"fee" table:"delivery"`
}

func newShopRow(cat *inventory.Catalogue, s inventory.Shop) shopRow {
	row := shopRow{ID: s.ID, Name: s.Name, Currency: s.Currency, Charge: deliveryText(s)}
	if !s.MinOrder.IsZero() {
		row.MinOrder = view.Money(s.MinOrder)
	}
	for _, b := range s.Delivery {
		row.Delivery = append(row.Delivery, bandRow{
			inCurrency(b.From, s.Currency),
			inCurrency(b.Fee, s.Currency),
		})
	}
	for _, o := range cat.Offers {
		if o.Shop == s.ID {
			row.Offers++
		}
	}
	return row
}

func shopName(byID *inventory.Index, id string) string {
	if s := byID.Shops[id]; s != nil {
		return s.Name
	}
	return id
}

// inCurrency gives a bare zero the shop's currency, so that it shows as 0.00 EUR.
func inCurrency(m inventory.Money, currency string) view.Money {
	if m.Currency == "" {
		m.Currency = currency
	}
	return view.Money(m)
}

// deliveryText is "4.90, free from 40.00 EUR".
func deliveryText(s inventory.Shop) string {
	if len(s.Delivery) == 0 {
		return "free"
	}
	var parts []string
	for i, b := range s.Delivery {
		fee := "free"
		switch {
		case b.Fee.Amount.IsNegative():
			fee = inventory.Money{Amount: b.Fee.Amount.Neg(), Currency: s.Currency}.String() + " off"
		case !b.Fee.IsZero():
			fee = b.Fee.String()
		}
		if i > 0 {
			fee = fmt.Sprintf("%s from %s", fee, b.From)
		}
		parts = append(parts, fee)
	}
	return strings.Join(parts, ", ")
}

func (a *app) shopList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list shops", Long: "Lists the shops with what they charge for delivery.",
		Example: "  halfpot shop list",
		Args:    cobra.NoArgs,
		RunE: rowsOf(a, func(cat *inventory.Catalogue) []inventory.Shop { return cat.Shops }, newShopRow,
			"No shops yet. Bring some in: halfpot load shops.csv"),
	}
}

func (a *app) shopShow() *cobra.Command {
	return &cobra.Command{
		Use: "show SHOP", Short: "one shop: delivery and all it sells",
		Long:    "Shows a shop's delivery charges, its smallest order and every price on record.",
		Example: "  halfpot shop show ferry-lane-hobbies",
		Args:    cobra.ExactArgs(1),
		RunE: a.one("shop", shopNames, func(cat *inventory.Catalogue, id string) error {
			byID := cat.Index()
			doc := struct {
				shopRow
				Sells []offerRow `json:"sells"`
			}{shopRow: newShopRow(cat, *byID.Shops[id])}
			for _, o := range cat.Offers {
				if o.Shop == id {
					doc.Sells = append(doc.Sells, newOfferRow(byID, o))
				}
			}
			return a.show(doc, doc.Sells, func(page *view.Page) {
				page.Line("%s (%s). Delivery: %s.", doc.Name, doc.ID, doc.Charge)
				if doc.MinOrder.Currency != "" {
					page.Line("It accepts no order below %s.", doc.MinOrder)
				}
				page.List(doc.Sells, "no prices on record")
			})
		}),
	}
}
