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
		Use:   "remove KIND NAME...",
		Short: "take away what was never used, or retire what was; --back brings it back",
		Long: `Takes away a paint, stand-in, spectrum, trial mix, product, shop, offer, figure,
recipe, step, force, unit or pot. What nothing else names is gone; what was used is
retired: out of lists and of what can be bought, and still in history. What a force
still needs, or an order still brings, is only retired with --anyway. Some are named
by two words: an offer by product and shop, a stand-in by the two paints, a step by
its recipe, a unit by its force; a trial mix by its parts, a spectrum by its paint.
A pot that was entered by mistake is taken back; for one you no longer have there is
halfpot pot give-away.`,
		Example: `  halfpot remove paint "pale bone"
  halfpot remove offer pale-bone-17-ml ferry-lane-hobbies
  halfpot remove unit harbour-watch pipers
  halfpot remove shop ferry-lane-hobbies --back`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.change(c, args, "halfpot "+args[0]+" list",
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					r, err := a.newRemoval(ctx, tx, strings.ToLower(args[0]), args[1:])
					if err != nil {
						return nil, err
					}
					what, err := r.do(ctx, tx, anyway, back)
					named := r.kind + " " + strings.NewReplacer("@", " ", ":", " ", "+", " + ").Replace(r.id)
					return func() error {
						return a.done(struct {
							Kind string `json:"kind"`
							ID   string `json:"id"`
							Did  string `json:"did"`
						}{r.kind, r.id, what}, "%s", removedText(what, named))
					}, err
				})
		},
	}
	c.Flags().BoolVar(&anyway, "anyway", false, "also what a force still needs or an order still brings")
	c.Flags().BoolVar(&back, "back", false, "bring back what is retired")
	c.MarkFlagsMutuallyExclusive("anyway", "back")
	a.once(c)
	c.ValidArgsFunction = a.completeRemovable
	return c
}

// removedText tells what was done to a thing.
func removedText(did, named string) string {
	switch did {
	case "removed":
		return fmt.Sprintf("The %s is gone.", named)
	case "taken back":
		return fmt.Sprintf("The %s is taken back: entered by mistake.", named)
	case "retired":
		return fmt.Sprintf("The %s was used, so it is retired: out of lists, still in history. "+
			"To bring it back: halfpot remove %s --back", named, named)
	default:
		return fmt.Sprintf("The %s is back.", named)
	}
}

// removableKind is a kind that remove takes, with the names of its things; nil
// where they are not all in the catalogue, or named by two words.
type removableKind struct {
	kind  string
	names func(*inventory.Catalogue) []named
}

var removableKinds = []removableKind{
	{"paint", paintNames},
	{"stand-in", nil},
	{"spectrum", spectrumNames},
	{"trial-mix", nil},
	{"product", productNames},
	{"shop", shopNames},
	{"offer", nil},
	{"figure", figureNames},
	{"recipe", recipeNames},
	{"step", nil},
	{"force", forceNames},
	{"unit", nil},
	{"pot", nil},
}

func removableWords() (out []string) {
	for _, k := range removableKinds {
		out = append(out, k.kind)
	}
	return out
}

func (a *app) completeRemovable(
	c *cobra.Command, args []string, typed string,
) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return removableWords(), cobra.ShellCompDirectiveNoFileComp
	}
	for _, k := range removableKinds {
		if k.kind == args[0] && k.names != nil {
			return a.completeNames(k.names)(c, args, typed)
		}
	}
	// Things that are named by two words, and pots, which are not of the catalogue.
	words := map[string][]string{
		"unit":     {"FORCE", "UNIT"},
		"step":     {"RECIPE", "STEP"},
		"offer":    {"PRODUCT", "SHOP"},
		"stand-in": {"PAINT", "PAINT"},
		"pot":      {"POT"},
	}[args[0]]
	if i := len(args) - 1; i < len(words) {
		return a.offerNamed(words[i])(c, args[1:], typed)
	}
	return nil, cobra.ShellCompDirectiveNoFileComp
}
