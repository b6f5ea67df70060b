package main

import (
	"context"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfpot/inventory"
)

// known is what names can be offered from.
type known struct {
	cat   *inventory.Catalogue
	shelf inventory.Shelf
	app   *app
}

// namedSo are the names that a capital word in a command's help stands for, after the
// words typed before it.
var namedSo = map[string]func(context.Context, known, []string) []named{
	"PAINT":   func(_ context.Context, k known, _ []string) []named { return paintNames(k.cat) },
	"PRODUCT": func(_ context.Context, k known, _ []string) []named { return productNames(k.cat) },
	"ORDERED": func(_ context.Context, k known, _ []string) []named { return productNames(k.cat) },
	"ITEM":    func(_ context.Context, k known, _ []string) []named { return productNames(k.cat) },
	"SHOP":    func(_ context.Context, k known, _ []string) []named { return shopNames(k.cat) },
	"FIGURE":  func(_ context.Context, k known, _ []string) []named { return figureNames(k.cat) },
	"RECIPE":  func(_ context.Context, k known, _ []string) []named { return recipeNames(k.cat) },
	"FORCE":   func(_ context.Context, k known, _ []string) []named { return forceNames(k.cat) },
	"RANGE":   func(_ context.Context, k known, _ []string) []named { return rangeNames(k.cat) },
	"POT":     func(_ context.Context, k known, _ []string) []named { return potNames(k.cat, k.shelf) },
	"PLACE":   func(_ context.Context, k known, _ []string) []named { return placeNames(k.cat, k.shelf) },
	"LEVEL": func(context.Context, known, []string) []named {
		return ids([]string{"full", "3/4", "half", "1/3", "1/4"})
	},
	"DAY": func(context.Context, known, []string) []named { return ids([]string{"today", "yesterday"}) },
	"UNIT": func(_ context.Context, k known, before []string) []named {
		id, err := forceOr(k.cat, strings.Join(before[:min(1, len(before))], ""))
		if err != nil {
			return nil
		}
		return unitNames(*k.cat.Index().Forces[id])
	},
	"STEP": func(_ context.Context, k known, before []string) []named {
		if len(before) == 0 {
			return nil
		}
		id, err := lookup("recipe", before[0], "", recipeNames(k.cat))
		if err != nil {
			return nil
		}
		return stepNames(*k.cat.Index().Recipes[id])
	},
	"JOB": func(ctx context.Context, k known, _ []string) (out []named) {
		jobs, err := k.app.opened.store.Jobs(ctx, "")
		if err != nil {
			return nil
		}
		for _, j := range slices.Backward(jobs) { // the last is the likeliest slip
			if j.Undoes == "" {
				out = append(out, named{id: j.ID})
			}
		}
		return out
	},
	"VOLUME": func(_ context.Context, k known, before []string) (out []named) { // sizes that paint is sold in
		for _, typed := range before {
			id, err := lookup("paint", typed, "", paintNames(k.cat))
			if err != nil {
				continue
			}
			for _, p := range k.cat.Products {
				for _, c := range p.Contents {
					if c.Paint == id {
						out = append(out, named{id: strings.ReplaceAll(c.Volume.String(), " ", "")})
					}
				}
			}
		}
		return out
	},
}

// offerNamed offers what a word in the help stands for.
func (a *app) offerNamed(word string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		return a.offer(func(ctx context.Context) ([]named, error) {
			cat, err := a.catalogue(ctx)
			if err != nil {
				return nil, err
			}
			shelf, err := a.opened.store.Shelf(ctx)
			return namedSo[word](ctx, known{cat, shelf, a}, args), err
		})
	}
}

// completeRest offers names wherever nothing else is offered yet and the help says what
// kind of thing goes there: for words by their place, for flags by their value.
func (a *app) completeRest(root *cobra.Command) {
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		for _, sub := range c.Commands() {
			walk(sub)
		}
		path := strings.TrimPrefix(c.CommandPath(), "halfpot ")
		c.Flags().VisitAll(func(f *pflag.Flag) {
			word, _ := pflag.UnquoteUsage(f)
			_, taken := c.GetFlagCompletionFunc(f.Name)
			if namedSo[word] != nil && !taken && path != "add force" { // there a unit is yet to be made
				_ = c.RegisterFlagCompletionFunc(f.Name, a.offerNamed(word)) // fails only for an unknown flag
			}
		})
		words := strings.Fields(strings.NewReplacer("[", "", "]", "").Replace(c.Use))[1:]
		if len(words) == 0 || c.HasSubCommands() {
			return
		}
		before := c.ValidArgsFunction
		c.ValidArgsFunction = func(
			c *cobra.Command, args []string, typed string,
		) ([]string, cobra.ShellCompDirective) {
			i, last := len(args), len(words)-1
			switch more := strings.HasSuffix(words[last], "..."); {
			case more && last == 1 && words[0] == "POT": // POT LEVEL POT LEVEL
				i %= 2
			case more:
				i = min(i, last)
			case i > last:
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			if word := strings.TrimSuffix(words[i], "..."); namedSo[word] != nil &&
				(before == nil || i > 0) && path != "log" {
				return a.offerNamed(word)(c, args, typed)
			}
			if before != nil {
				return before(c, args, typed)
			}
			return nil, cobra.ShellCompDirectiveDefault
		}
	}
	walk(root)
}
