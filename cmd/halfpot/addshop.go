package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

func (a *app) addProduct() *cobra.Command {
	var p inventory.Product
	var holds []string
	var id string
	var again *bool
	c := &cobra.Command{
		Use: "product [NAME]", Short: "add a product: a single pot or a set",
		Long: `Adds what a shop sells as one item. Each --holds names a paint, the size of its pot
and, for several of a kind, how many; one kind of pot needs no NAME. With the
barcode's digits as --code, the product is found by scanning it.`,
		Example: `  halfpot add product "Pale Bone 17 ml" --holds "pale-bone 17ml" --code 2000000040073
  halfpot add product --holds "pale-bone 17ml"
  halfpot add product "Coast starter set" --holds "pale-bone 17ml" --holds "soot-wash 17ml x2"`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if len(holds) == 0 {
				return usagef("--holds missing: expected what is in it, like --holds \"pale-bone 17ml\"")
			}
			if len(args) == 0 && len(holds) > 1 {
				return usagef("NAME missing: expected one for a product that holds several")
			}
			if len(args) > 0 {
				p.Name = args[0]
			}
			if err := texts(map[string]*string{"NAME": &p.Name, "--code": &p.Code}); err != nil {
				return err
			}
			if err := inventory.CheckCode(p.Code); err != nil {
				return usagef("--code %v", err)
			}
			return a.changeOrAsk(c, args, "halfpot product list", again,
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					cat, err := tx.LoadCatalogue(ctx)
					if err != nil {
						return nil, err
					}
					idx := cat.Index()
					p.Contents = nil // a change may be tried again
					for _, h := range holds {
						k, err := parseContent(h, &cat)
						if err != nil {
							return nil, err
						}
						p.Contents = append(p.Contents, k)
					}
					named := p.Name
					if len(args) == 0 {
						k := p.Contents[0]
						paint := idx.Paints[k.Paint]
						counted := paint.Type.Counted()
						p.Name, named = k.Label(paint.Name, counted), k.Label(k.Paint, counted)
					}
					taken := func(s string) bool { return idx.Products[s] != nil }
					if p.ID, err = idOr(id, named, taken); err != nil {
						return nil, err
					}
					if twin, found := cat.ProductLike(p); found && !*again {
						return nil, &alike{
							fmt.Sprintf("there is such a product already: %s, %s",
								twin.ID, newProductRow(idx, *twin).Contents),
							[]string{
								"halfpot product show " + twin.ID,
								"halfpot add offer " + twin.ID + " SHOP PRICE",
							},
						}
					}
					err = a.insert(ctx, tx, &cat, postgres.Load{Catalogue: inventory.Catalogue{
						Products: []inventory.Product{p},
					}})
					return func() error {
						row := newProductRow(idx, p)
						return a.done(row, "Added the product %s: %s", row.ID, row.Contents)
					}, err
				})
		},
	}
	f := c.Flags()
	f.StringArrayVar(&holds, "holds", nil, "`POT` in it: a paint and a size, like \"pale-bone 17ml\" or \"pale-bone 17ml x2\" (may be repeated)")
	f.StringVar(&p.Code, "code", "", "the `NUMBER` on the label: the barcode's digits, or the maker's own")
	f.StringVar(&id, "id", "", "its `ID` (default: made from the name)")
	again = a.addFlag(c)
	a.once(c)
	return c
}

// parseContent reads "pale-bone 17ml x2": a paint, a volume where it is not
// counted by the piece, and a number of pots.
func parseContent(s string, cat *inventory.Catalogue) (inventory.Content, error) {
	k := inventory.Content{Count: 1}
	words := strings.Fields(s)
	if n := len(words); n > 1 && strings.HasPrefix(words[n-1], "x") {
		count, err := strconv.Atoi(words[n-1][1:])
		if err != nil || count < 1 {
			return k, usagef("--holds %q: expected a number of pots after the x, like x2", s)
		}
		k.Count, words = count, words[:n-1]
	}
	byID := cat.Index()
	if len(words) == 0 {
		return k, usagef("--holds %q: expected a paint and a size, like %q", s, "pale-bone 17ml")
	}
	// The size may be written with a blank: "17 ml".
	for split := len(words); split >= 1; split-- {
		id, err := lookup("paint", strings.Join(words[:split], " "), "halfpot paint list", paintNames(cat))
		if err != nil {
			if split == 1 {
				return k, err
			}
			continue
		}
		k.Paint = id
		size := strings.Join(words[split:], " ")
		if size == "" {
			if !byID.Paints[id].Type.Counted() {
				return k, usagef("--holds %q: expected the size of the pot after the paint, like 17ml", s)
			}
			k.Volume = inventory.Item
			return k, nil
		}
		k.Volume, err = parseAmount(size, byID.Paints[id])
		return k, err
	}
	return k, nil
}

func (a *app) addShop() *cobra.Command {
	var s inventory.Shop
	var id, smallest string
	var bands []string
	var again *bool
	c := &cobra.Command{
		Use: "shop NAME", Short: "add a shop and its delivery charges",
		Long: `Adds a shop. Each --delivery is an order value and the charge from there on; the
charge may fall as orders grow, never rise. Without any, delivery is free.`,
		Example: `  halfpot add shop "Ferry Lane Hobbies" --currency EUR --delivery "0=4.90" --delivery "40=0"
  halfpot add shop "Corner Counter" --currency EUR --smallest-order 10`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			s.Name, s.Currency = args[0], strings.ToUpper(s.Currency)
			if err := texts(map[string]*string{"NAME": &s.Name}); err != nil {
				return err
			}
			var err error
			if smallest != "" {
				if s.MinOrder, err = inventory.ParseMoney(smallest, s.Currency); err != nil {
					return usagef("--smallest-order: %v", err)
				}
			}
			for _, b := range bands {
				band, err := parseBand(b, s.Currency)
				if err != nil {
					return err
				}
				s.Delivery = append(s.Delivery, band)
			}
			return a.changeOrAsk(c, args, "halfpot shop list", again,
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					cat, free, err := newID(ctx, tx, id, s.Name,
						func(x *inventory.Index) map[string]*inventory.Shop { return x.Shops })
					if err != nil {
						return nil, err
					}
					if twin, found := cat.ShopLike(s); found && !*again {
						return nil, &alike{
							fmt.Sprintf("there is such a shop already: %s, %s", twin.ID, twin.Name),
							[]string{"halfpot shop show " + twin.ID, "halfpot change shop " + twin.ID},
						}
					}
					s.ID = free
					err = a.insert(ctx, tx, cat, postgres.Load{Catalogue: inventory.Catalogue{
						Shops: []inventory.Shop{s},
					}})
					return func() error {
						return a.done(newShopRow(cat, s), "Added the shop %s. Delivery: %s.",
							s.ID, deliveryText(s))
					}, err
				})
		},
	}
	f := c.Flags()
	f.StringVar(&s.Currency, "currency", "", "`CODE` of the currency of all its prices, by ISO 4217, like EUR")
	f.StringArrayVar(&bands, "delivery", nil, "delivery charge: `VALUE=CHARGE` from an order value on, like 0=4.90 or 40=0 (may be repeated)")
	f.StringVar(&smallest, "smallest-order", "", "the smallest order it accepts, `MONEY` like 10 EUR")
	f.StringVar(&id, "id", "", "its `ID` (default: made from the name)")
	again = a.addFlag(c)
	a.once(c)
	_ = c.MarkFlagRequired("currency")
	return c
}

func parseBand(s, currency string) (inventory.DeliveryBand, error) {
	from, fee, ok := strings.Cut(s, "=")
	if !ok {
		return inventory.DeliveryBand{}, usagef("--delivery %q: expected the order value and the charge, "+
			"like 0=4.90", s)
	}
	var b inventory.DeliveryBand
	var err error
	if b.From, err = inventory.ParseMoney(from, currency); err == nil {
		b.Fee, err = inventory.ParseMoney(fee, currency)
	}
	if err != nil {
		return b, usagef("--delivery %q: %v", s, err)
	}
	return b, nil
}

func (a *app) addOffer() *cobra.Command {
	var limit int
	c := &cobra.Command{
		Use: "offer PRODUCT SHOP PRICE", Short: "add or change a shop's price for a product",
		Long: `Notes what a shop asks for one item of a product. A price that is there already is
replaced. --in-stock says how many it has at most.`,
		Example: `  halfpot add offer pale-bone-17-ml ferry-lane-hobbies 3.20
  halfpot add offer "Pale Bone 17 ml" "Ferry Lane Hobbies" "3.20 EUR" --in-stock 2`,
		Args: cobra.ExactArgs(3),
		RunE: func(c *cobra.Command, args []string) error {
			return a.change(c, args, "halfpot offer list",
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					cat, err := tx.LoadCatalogue(ctx)
					if err != nil {
						return nil, err
					}
					var o inventory.Offer
					if o.Product, err = lookup("product", args[0], "halfpot product list",
						productNames(&cat)); err != nil {
						return nil, err
					}
					if o.Shop, err = lookup("shop", args[1], "halfpot shop list", shopNames(&cat)); err != nil {
						return nil, err
					}
					byID := cat.Index()
					if o.Price, err = inventory.ParseMoney(args[2], byID.Shops[o.Shop].Currency); err != nil {
						return nil, usagef("%v", err)
					}
					before := ""
					for _, old := range cat.Offers {
						if old.Product == o.Product && old.Shop == o.Shop {
							o.Limit, before = old.Limit, "; before: "+old.Price.String()
							if old.Price.Equal(o.Price) {
								before = ", as before"
							}
						}
					}
					if c.Flags().Changed("in-stock") {
						o.Limit = &limit
					}
					load := postgres.Load{Catalogue: inventory.Catalogue{Offers: []inventory.Offer{o}}}
					if err := a.checkLoad(&cat, load); err != nil {
						return nil, err
					}
					_, err = tx.Save(ctx, load)
					return func() error {
						row := newOfferRow(byID, o)
						return a.done(row, "%s at %s: %s%s", row.Name, row.Shop, fmt.Sprint(row.Price), before)
					}, err
				})
		},
	}
	a.once(c)
	c.Flags().IntVar(&limit, "in-stock", 0, "`N` items the shop has")
	return c
}
