package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

func (a *app) productCommand() *cobra.Command {
	return holder("product", "what shops sell: single pots and sets",
		`A product is what you pay for as one item: a single pot, or a set of several.
Shops offer products at a price (halfpot offer list). Wherever a product is named,
the barcode does as well, typed or scanned.`,
		"  halfpot product list\n  halfpot product list --sets\n  halfpot product show coast-starter-set",
		a.productList(), a.productShow())
}

type productRow struct {
	ID       string     `json:"id" table:"product"`
	Name     string     `json:"name" table:"name"`
	Code     string     `json:"code" table:"code"`
	Pots     view.Count `json:"pots" table:"pots"`
	Contents string     `json:"contents" table:"holds"`
}

func newProductRow(byID *inventory.Index, p inventory.Product) productRow {
	row := productRow{ID: p.ID, Name: p.Name, Code: p.Code}
	var parts []string
	for _, k := range p.Contents {
		row.Pots += view.Count(k.Count)
		parts = append(parts, contentText(byID, k))
	}
	row.Contents = strings.Join(parts, ", ")
	return row
}

// contentText is "2 x 17 ml Pale Bone".
func contentText(byID *inventory.Index, k inventory.Content) string {
	name, size := k.Paint, view.Exactly(k.Volume, false).String()
	if p := byID.Paints[k.Paint]; p != nil {
		name, size = p.Name, amount(p, k.Volume).String()
	}
	if k.Count > 1 {
		return fmt.Sprintf("%d x %s %s", k.Count, size, name)
	}
	return size + " " + name
}

// amount is a volume of one paint that was told, about one that was reckoned; in
// items where it is counted.
func amount(p *inventory.Paint, v inventory.Volume) view.Amount {
	return view.Exactly(v, p != nil && p.Type.Counted())
}

func about(p *inventory.Paint, v inventory.Volume) view.Amount {
	return view.About(v, p != nil && p.Type.Counted())
}

func (a *app) productList() *cobra.Command {
	var sets bool
	c := &cobra.Command{
		Use: "list [WORD...]", Short: "list products",
		Long: `Lists the products. With words, only those whose id, name, number or contents
hold every word.`,
		Example: "  halfpot product list\n  halfpot product list --sets\n  halfpot product list bone",
		RunE: func(c *cobra.Command, words []string) error {
			cat, err := a.listed(c.Context())
			if err != nil {
				return err
			}
			byID := cat.Index()
			rows := []productRow{}
			for _, p := range cat.Products {
				row := newProductRow(byID, p)
				if matches(words, row.ID, row.Name, row.Code, row.Contents) && (!sets || p.Set()) {
					rows = append(rows, row)
				}
			}
			return a.list(rows, "No products yet, or none that fit. Bring some in: halfpot load products.csv")
		},
	}
	c.Flags().BoolVar(&sets, "sets", false, "only sets of several pots")
	return c
}

type productDoc struct {
	productRow
	Holds  []contentRow `json:"holds"`
	Offers []offerRow   `json:"offers"`
}

type contentRow struct {
	Paint string      `json:"paint" table:"paint"`
	Name  string      `json:"name" table:"name"`
	Size  view.Amount `json:"size" table:"size"`
	Count view.Count  `json:"count" table:"pots"`
}

func (a *app) productShow() *cobra.Command {
	return &cobra.Command{
		Use: "show PRODUCT", Short: "what is in one product and who sells it",
		Long:    "Shows the pots a product holds and every shop's price for it.",
		Example: "  halfpot product show coast-starter-set",
		Args:    cobra.ExactArgs(1),
		RunE: a.one("product", productNames, func(cat *inventory.Catalogue, id string) error {
			byID := cat.Index()
			product := *byID.Products[id]
			doc := productDoc{productRow: newProductRow(byID, product)}
			for _, k := range product.Contents {
				paint := byID.Paints[k.Paint]
				doc.Holds = append(doc.Holds, contentRow{
					Paint: k.Paint,
					Name:  paint.Title(),
					Size:  amount(paint, k.Volume),
					Count: view.Count(k.Count),
				})
			}
			for _, o := range cat.Offers {
				if o.Product == id {
					doc.Offers = append(doc.Offers, newOfferRow(byID, o))
				}
			}
			return a.show(doc, doc.Holds, func(page *view.Page) {
				page.Line("%s", product.Name)
				page.List(doc.Holds, "it holds nothing")
				page.Heading("Sold by")
				page.List(doc.Offers, "nobody on record sells it")
			})
		}),
	}
}
