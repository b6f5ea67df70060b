package main

import (
	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

func (a *app) offerCommand() *cobra.Command {
	return holder("offer", "which shop sells which product at which price",
		`An offer is one product at one shop: its price for one item and, where the shop
has said so, how many it has.`,
		"  halfpot offer list --shop ferry-lane-hobbies\n  halfpot offer list bone",
		a.offerList())
}

type offerRow struct {
	Product string     `json:"product" table:"product"`
	Name    string     `json:"name" table:"name"`
	Shop    string     `json:"shop" table:"shop"`
	Price   view.Money `json:"price" table:"price"`
	Limit   *int       `json:"limit" table:"in stock"`
}

func newOfferRow(byID *inventory.Index, o inventory.Offer) offerRow {
	row := offerRow{Product: o.Product, Shop: o.Shop, Price: view.Money(o.Price), Limit: o.Limit}
	if p := byID.Products[o.Product]; p != nil {
		row.Name = p.Name
	}
	return row
}

func (a *app) offerList() *cobra.Command {
	var shop string
	c := &cobra.Command{
		Use: "list [WORD...]", Short: "list offers",
		Long:    "Lists offers. With words, only those whose product or shop holds every word.",
		Example: "  halfpot offer list\n  halfpot offer list bone --format csv",
		RunE: func(c *cobra.Command, words []string) error {
			cat, err := a.listed(c.Context())
			if err != nil {
				return err
			}
			if shop != "" {
				if shop, err = lookup("shop", shop, "halfpot shop list", shopNames(cat)); err != nil {
					return err
				}
			}
			byID := cat.Index()
			rows := []offerRow{}
			for _, o := range cat.Offers {
				row := newOfferRow(byID, o)
				if matches(words, row.Product, row.Name, row.Shop) && (shop == "" || row.Shop == shop) {
					rows = append(rows, row)
				}
			}
			return a.list(rows, "No offers yet, or none that fit. Bring some in: halfpot load offers.csv")
		},
	}
	c.Flags().StringVar(&shop, "shop", "", "only offers of `SHOP`")
	return c
}
