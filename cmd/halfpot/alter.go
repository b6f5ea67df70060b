package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

func (a *app) alterCommand() *cobra.Command {
	return holder("change",
		"change one thing by hand: a paint, shop, product, figure, recipe, step, force, unit",
		`Changes what you say and leaves the rest; an empty value takes it away. Many at once
are better changed in files: halfpot save, then halfpot load.`,
		`  halfpot change paint pale-bone --colour "#e3d6b4"
  halfpot change step field-blue varnish --wait overnight
  halfpot change unit harbour-watch pipers --figures 6`,
		a.plainChange("paint", "its name, maker, type, colour and the like",
			"  halfpot change paint pale-bone --type wash\n"+
				"  halfpot change paint \"pale bone\" --maker Oskelund --colour \"#e3d6b4\"",
			paintKeys, paintNames,
			func(cat *inventory.Catalogue, id string) (string, map[string]any, error) {
				f, err := fieldsOf("paints", inventory.Catalogue{Paints: []inventory.Paint{
					*cat.Index().Paints[id],
				}})
				return "paints", f, err
			}),
		a.plainChange("shop", "its name, delivery charges and smallest order",
			"  halfpot change shop ferry-lane --delivery \"0=4.90\" --delivery \"40=0\"\n"+
				"  halfpot change shop ferry-lane --smallest-order \"\"",
			shopKeys, shopNames,
			func(cat *inventory.Catalogue, id string) (string, map[string]any, error) {
				f, err := fieldsOf("shops", inventory.Catalogue{Shops: []inventory.Shop{*cat.Index().Shops[id]}})
				return "shops", f, err
			}),
		a.plainChange("product", "its name, barcode and what is in it",
			"  halfpot change product pale-bone-17-ml --code 2000000040073\n"+
				"  halfpot change product coast-set --holds \"pale-bone 17ml\" --holds \"soot-wash 17ml x2\"",
			productKeys, productNames,
			func(cat *inventory.Catalogue, id string) (string, map[string]any, error) {
				f, err := fieldsOf("products", inventory.Catalogue{
					Paints:   cat.Paints,
					Products: []inventory.Product{*cat.Index().Products[id]},
				})
				return "products", f, err
			}),
		a.changeFigure(), a.changeRecipe(), a.changeStep(), a.changeForce(), a.changeUnit())
}

var paintKeys = []key{
	{flag: "name", usage: "another `NAME`"}, {flag: "maker", usage: "`NAME` of its maker"}, {flag: "range", usage: "`NAME` of the maker's range"},
	{flag: "code", usage: "the maker's `CODE`"}, {flag: "type", usage: "what kind of paint: `WORD` as halfpot add paint lists them"},
	{flag: "colour", usage: "its `COLOUR` in sRGB, like #e3d6b4"}, {flag: "solids", key: "volume-solids", usage: "`SHARE` left when dry, like 35%"},
	{flag: "density", usage: "`DENSITY` in g/ml, like 1.25"},
}

var shopKeys = []key{
	{flag: "name", usage: "another `NAME`"}, {flag: "smallest-order", key: "min-order", usage: "the smallest order it accepts, `MONEY` like 10 EUR"},
	{flag: "delivery", usage: "all its delivery charges anew: `VALUE=CHARGE` from an order value on, like 0=4.90", many: true, value: func(_ *inventory.Catalogue, typed string) (any, error) {
		from, fee, ok := cutLast(typed, "=")
		if !ok {
			return nil, usagef("expected the order value and the charge, like 0=4.90")
		}
		return map[string]any{"from": from, "fee": fee}, nil
	}},
}

var productKeys = []key{
	{flag: "name", usage: "another `NAME`"}, {flag: "code", usage: "the barcode's digits, or the maker's own `NUMBER`"},
	{flag: "holds", key: "contents", usage: "all that is in it anew: `POT`, a paint and a size, like \"pale-bone 17ml x2\"", many: true, value: func(cat *inventory.Catalogue, typed string) (any, error) {
		k, err := parseContent(typed, cat)
		if err != nil {
			return nil, err
		}
		volume := k.Volume.String()
		if cat.Index().Paints[k.Paint].Type.Counted() {
			volume = "1"
		}
		return map[string]any{"paint": k.Paint, "volume": volume, "count": k.Count}, nil
	}},
}

// plainChange is the change of a thing whose flags are all keys of its own.
func (a *app) plainChange(
	kind, what, example string,
	keys []key,
	names func(*inventory.Catalogue) []named,
	of func(*inventory.Catalogue, string) (string, map[string]any, error),
) *cobra.Command {
	c := &cobra.Command{
		Use:     kind + " " + map[string]string{"paint": "PAINT", "shop": "SHOP", "product": "PRODUCT"}[kind],
		Short:   "change a " + kind + ": " + what,
		Long:    "Changes what is said and leaves the rest; an empty value takes it away.",
		Example: example,
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot "+kind+" list", func(cat *inventory.Catalogue) (handmade, error) {
				id, err := lookup(kind, args[0], "halfpot "+kind+" list", names(cat))
				if err != nil {
					return handmade{}, err
				}
				list, fields, err := of(cat, id)
				if err == nil {
					err = setKeys(c, cat, keys, fields)
				}
				return handmade{
					kind:   list,
					fields: fields,
					tell: func(_ *inventory.Catalogue, page *view.Page) {
						page.Line("Changed the %s %s.", kind, id)
					},
				}, err
			})
		},
	}
	keyFlags(c, keys)
	a.once(c)
	return completeArg(a, c, names)
}

func (a *app) changeRecipe() *cobra.Command {
	var name string
	c := &cobra.Command{
		Use: "recipe RECIPE", Short: "change a recipe's name",
		Long:    "Changes a recipe's name. Its steps are changed with halfpot change step.",
		Example: "  halfpot change recipe field-blue --name \"Field blue, summer\"",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot recipe list", func(cat *inventory.Catalogue) (handmade, error) {
				r, err := recipeTyped(cat, args[0])
				if err != nil {
					return handmade{}, err
				}
				if r.Name, err = text("--name", name); err != nil {
					return handmade{}, err
				}
				fields, err := recipeFields(r)
				return recipeMade(fields, fmt.Sprintf("Changed %s", r.ID)), err
			})
		},
	}
	c.Flags().StringVar(&name, "name", "", "another `NAME`")
	_ = c.MarkFlagRequired("name") // fails only for an unknown flag
	a.once(c)
	return completeArg(a, c, recipeNames)
}
