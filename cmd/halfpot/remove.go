package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

func (a *app) removeCommand() *cobra.Command {
	var anyway, back bool
	c := &cobra.Command{
		Use: "remove KIND NAME...", Short: "take away what was never used, or retire what was; --back brings it back",
		Long: `Takes away a paint, product, shop, offer, figure, recipe or force. What nothing else
names is gone; what was used is retired: out of lists and of what can be bought,
and still in history. What a force still needs is only retired with --anyway. An
offer is named by product and shop.`,
		Example: `  halfpot remove paint "pale bone"
  halfpot remove offer pale-bone-17-ml ferry-lane-hobbies
  halfpot remove shop ferry-lane-hobbies --back`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.change(c, args, "halfpot "+args[0]+" list", func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
				cat, err := tx.LoadCatalogue(ctx)
				if err != nil {
					return nil, err
				}
				kind, id, err := removable(&cat, args[0], args[1:])
				if err != nil {
					return nil, err
				}
				what, err := remove(ctx, tx, &cat, kind, id, anyway, back)
				return func() error {
					return a.done(struct {
						Kind string `json:"kind"`
						ID   string `json:"id"`
						Did  string `json:"did"`
					}{kind, id, what}, "%s", map[string]string{
						"removed":      fmt.Sprintf("The %s %s is gone.", kind, id),
						"retired":      fmt.Sprintf("The %s %s was used, so it is retired: out of lists, still in history. To bring it back: halfpot remove %s %s --back", kind, id, kind, strings.ReplaceAll(id, "@", " ")),
						"brought back": fmt.Sprintf("The %s %s is back.", kind, id)}[what])
				}, err
			})
		},
	}
	c.Flags().BoolVar(&anyway, "anyway", false, "also what a force still needs")
	c.Flags().BoolVar(&back, "back", false, "bring back what is retired")
	c.MarkFlagsMutuallyExclusive("anyway", "back")
	a.once(c)
	return c
}

// removable finds what is meant.
func removable(cat *inventory.Catalogue, kind string, words []string) (string, string, error) {
	kind = strings.ToLower(kind)
	names, known := map[string]func(*inventory.Catalogue) []named{"paint": paintNames, "product": productNames, "shop": shopNames,
		"figure": figureNames, "recipe": recipeNames, "force": forceNames}[kind]
	if kind == "offer" {
		if len(words) != 2 {
			return "", "", usagef("an offer is named by its product and its shop")
		}
		product, err := lookup("product", words[0], "halfpot product list", productNames(cat))
		if err != nil {
			return "", "", err
		}
		shop, err := lookup("shop", words[1], "halfpot shop list", shopNames(cat))
		return kind, inventory.Offer{Product: product, Shop: shop}.OfferID(), err
	}
	if !known {
		return "", "", usagef("%q: expected paint, product, shop, offer, figure, recipe or force", kind)
	}
	id, err := lookup(kind, strings.Join(words, " "), "halfpot "+kind+" list", names(cat))
	return kind, id, err
}

// remove takes a thing away, retires it or brings it back, and tells which.
func remove(ctx context.Context, tx *postgres.Tx, cat *inventory.Catalogue, kind, id string, anyway, back bool) (string, error) {
	if back {
		return "brought back", tx.BringBack(ctx, kind, id)
	}
	retired, err := tx.Retired(ctx)
	if err != nil {
		return "", err
	}
	if needs := cat.Needs(kind, id, retired); len(needs) > 0 && !anyway {
		return "", &usageError{fmt.Sprintf("the %s %s is still needed, by %s; without it that can't be planned as it is. Nothing was changed", kind, id, listed(needs)),
			[]string{"halfpot remove " + kind + " " + id + " --anyway"}}
	}
	gone, err := tx.Remove(ctx, kind, id)
	if err != nil || gone {
		return "removed", err
	}
	return "retired", tx.Retire(ctx, kind, id)
}
