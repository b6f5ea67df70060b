package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

type addPotOptions struct {
	id, size, level, cost, place, opened, tare, product, bought string
}

func (a *app) addPot() *cobra.Command {
	var o addPotOptions
	var again *bool
	c := &cobra.Command{
		Use: "pot PAINT...", Short: "add pots you own",
		Long: `Adds a pot of each paint named; the beginning of a name is enough. Its size is
that of the products it is sold as, if they agree, else --size says it. Scanning
or typing the barcode on the pot says paint, product and size at once. A pot that
was begun takes --level: half, 1/3, 40% or 6ml.`,
		Example: `  halfpot add pot pale-bone --size 17ml
  halfpot add pot pale soot moss
  halfpot add pot 2000000040073
  halfpot add pot "soot wash" --level half --opened 2026-01-10 --place "top drawer"`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := texts(map[string]*string{"--place": &o.place}); err != nil {
				return err
			}
			return a.changeOrAsk(c, args, "halfpot shelf "+quoteWord(args[0]), again,
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					st, err := a.stateOf(ctx, tx)
					if err != nil {
						return nil, err
					}
					var pots []inventory.Pot
					before := inventory.Shelf{Pots: slices.Clone(st.shelf.Pots)}
					names := together(args, append(paintNames(st.cat), productNames(st.cat)...))
					if len(names) > 1 && o.id != "" {
						return nil, usagef("--id %s is for one pot; %d are named", o.id, len(names))
					}
					for _, name := range names {
						pot, err := a.newPot(st.cat, st.shelf, name, o)
						if err != nil {
							return nil, err
						}
						if twin, found := before.PotLike(pot); found && !*again {
							return nil, &alike{
								fmt.Sprintf("there is such a pot already, of that day: %s, %s",
									twin.ID, st.byID.Paints[twin.Paint].Title()),
								[]string{
									"halfpot pot show " + twin.ID,
									"halfpot pot judge " + twin.ID + " half",
								},
							}
						}
						pots = append(pots, pot)
						st.shelf.Pots = append(st.shelf.Pots, pot)
					}
					err = a.insert(ctx, tx, st.cat, postgres.Load{Pots: pots})
					return func() error { return a.showAdded(st, pots) }, err
				})
		},
	}
	a.once(c)
	completeArgs(a, c, paintNames)
	f := c.Flags()
	f.StringVar(&o.size, "size", "", "`VOLUME` on the label, like 17ml")
	f.StringVar(&o.level, "level", "", "`LEVEL` by eye: half, 1/3, 40%, 6ml (default full)")
	f.StringVar(&o.opened, "opened", "", "`DAY` it was opened, like 2026-01-10")
	f.StringVar(&o.bought, "bought", "", "`DAY` it was bought (default now)")
	f.StringVar(&o.cost, "cost", "", "`MONEY` it cost, like 3.20 EUR")
	f.StringVar(&o.place, "place", "", "`PLACE` where it stands")
	f.StringVar(&o.tare, "tare", "", "`GRAMS` it weighs empty, with its lid, like 14.2g")
	f.StringVar(&o.product, "product", "", "`PRODUCT` it came as")
	f.StringVar(&o.id, "id", "", "its `ID` (default: the paint's with a number)")
	again = a.addFlag(c)
	a.completeShelf(c, "place", placeNames)
	complete(a, c, "product", productNames)
	return c
}

// showAdded shows the pots that were added.
func (a *app) showAdded(st *state, pots []inventory.Pot) error {
	var rows []potRow
	for _, pot := range pots {
		rows = append(rows, st.potRow(pot))
	}
	if len(rows) == 1 {
		return a.done(rows[0], "Added the pot %s: %s, %s left", rows[0].ID, rows[0].Name, rows[0].Left)
	}
	if a.quiet && a.format == string(view.Text) {
		return nil
	}
	return a.show(rows, rows, func(page *view.Page) {
		for _, row := range rows {
			page.Line("Added the pot %s: %s, %s left", row.ID, row.Name, row.Left)
		}
	})
}

// newPot makes a pot and its first events of what was typed.
func (a *app) newPot(
	cat *inventory.Catalogue, shelf inventory.Shelf, typed string, o addPotOptions,
) (inventory.Pot, error) {
	var pot inventory.Pot
	if product := scanned(cat, typed); product != nil {
		if product.Set() || len(product.Contents) == 0 {
			return pot, &usageError{
				fmt.Sprintf("%s is a set: add its pots one by one, with --product", product.ID),
				[]string{"halfpot product show " + product.ID},
			}
		}
		typed = product.Contents[0].Paint
		if o.product == "" {
			o.product = product.ID
		}
	}
	id, err := lookup("paint", typed, "halfpot paint list", paintNames(cat))
	if err != nil {
		return pot, err
	}
	pot.Paint, pot.Place = id, o.place
	paint := cat.Index().Paints[id]
	taken := func(s string) bool { _, ok := shelf.Pot(s); return ok }
	name := id
	if o.id == "" {
		name += "-1"
		for n := 2; taken(name); n++ {
			name = id + "-" + strconv.Itoa(n)
		}
	}
	if pot.ID, err = idOr(o.id, name, taken); err != nil {
		return pot, err
	}
	if o.product != "" {
		if pot.Product, err = lookup("product", o.product, "halfpot product list", productNames(cat)); err != nil {
			return pot, err
		}
	}
	if pot.Nominal, err = potSize(cat, paint, pot.Product, o.size); err != nil {
		return pot, err
	}
	if o.cost != "" {
		currency := ""
		if len(cat.Shops) > 0 {
			currency = cat.Shops[0].Currency
		}
		m, err := inventory.ParseMoney(o.cost, currency)
		if err != nil {
			return pot, usagef("--cost: %v", err)
		}
		pot.Cost = &m
	}
	if o.tare != "" {
		if pot.TareGrams, err = parseGrams("--tare", o.tare); err != nil {
			return pot, err
		}
	}
	return a.firstEvents(pot, paint, o)
}

// scanned is the one product with that barcode, nil where there is none.
func scanned(cat *inventory.Catalogue, typed string) (found *inventory.Product) {
	for i, p := range cat.Products {
		if inventory.SameGTIN(p.Code, typed) {
			if found != nil {
				return nil // lookup tells which
			}
			found = &cat.Products[i]
		}
	}
	return found
}

// firstEvents are those a pot enters the shelf with: bought, and where the
// painter said so, opened and judged.
func (a *app) firstEvents(pot inventory.Pot, paint *inventory.Paint, o addPotOptions) (inventory.Pot, error) {
	now := a.now()
	bought, err := parseWhen(o.bought, now)
	if err != nil {
		return pot, err
	}
	add := func(e inventory.PotEvent) { pot.Events = append(pot.Events, pot.Settled(e)) }
	if o.opened != "" {
		opened, err := parseWhen(o.opened, now)
		if err != nil {
			return pot, err
		}
		if o.bought == "" && opened.at.Before(bought.at) {
			bought = opened
		}
		add(inventory.PotEvent{Kind: inventory.Bought, At: bought.at, DayOnly: bought.dayOnly})
		add(inventory.PotEvent{Kind: inventory.Opened, At: opened.at, DayOnly: opened.dayOnly})
		pot.Opened, pot.OpenedDay = &pot.Events[1].At, opened.dayOnly
	} else {
		add(inventory.PotEvent{Kind: inventory.Bought, At: bought.at, DayOnly: bought.dayOnly})
	}
	if o.level != "" {
		e := inventory.PotEvent{Kind: inventory.Judged, At: now}
		if err := setLevel(&e, o.level, paint); err != nil {
			return pot, err
		}
		add(e)
	}
	return pot, nil
}

// potSize is the size asked for, or the only one the paint is sold in.
func potSize(cat *inventory.Catalogue, paint *inventory.Paint, product, asked string) (inventory.Volume, error) {
	if asked != "" {
		return parseAmount(asked, paint)
	}
	if paint.Type.Counted() {
		return inventory.Item, nil
	}
	var size inventory.Volume
	for _, p := range cat.Products {
		for _, k := range p.Contents {
			if k.Paint != paint.ID || product != "" && p.ID != product {
				continue
			}
			if size != 0 && size != k.Volume {
				return 0, usagef("%s is sold in %s and %s: say which with --size", paint.ID, size, k.Volume)
			}
			size = k.Volume
		}
	}
	if size == 0 {
		return 0, usagef("no product on record holds %s: say how large the pot is, like --size 17ml", paint.ID)
	}
	return size, nil
}
