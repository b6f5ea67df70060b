package main

import (
	"context"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/sql/server"
)

// completionPatience is how long a Tab may take.
const completionPatience = 2 * time.Second

// speakOfCompletion puts the completion command that cobra brings into the words
// of the rest.
func speakOfCompletion(root *cobra.Command) {
	load := map[string]string{
		"bash":       "source <(halfpot completion bash)",
		"zsh":        "source <(halfpot completion zsh)",
		"fish":       "halfpot completion fish | source",
		"powershell": "halfpot completion powershell | Out-String | Invoke-Expression",
	}
	for _, c := range root.Commands() {
		if c.Name() != "completion" {
			continue
		}
		c.Short = "let the Tab key finish commands and names"
		c.Long = "Prints what your shell needs so that the Tab key finishes commands, options, and the\n" +
			"names of your own pots, paints, places, units and steps."
		c.Example = "  source <(halfpot completion bash)"
		for _, shell := range c.Commands() {
			line := load[shell.Name()]
			shell.Short = "for " + shell.Name()
			shell.Long = "Prints what " + shell.Name() + " needs. For this window:\n\n  " + line +
				"\n\nTo have it in every window, put that line into the file your shell reads at its start."
			shell.Example = "  " + line
			if f := shell.Flags().Lookup("no-descriptions"); f != nil {
				f.Usage = "names alone, without a word on each"
			}
		}
	}
}

// complete offers the names of a kind of thing for a flag.
func complete(a *app, c *cobra.Command, flag string, names func(*inventory.Catalogue) []named) {
	_ = c.RegisterFlagCompletionFunc(flag, a.completeNames(names)) // fails only for an unknown flag
}

// completeArg offers the names of a kind of thing for the first word.
func completeArg(a *app, c *cobra.Command, names func(*inventory.Catalogue) []named) *cobra.Command {
	offer := a.completeNames(names)
	c.ValidArgsFunction = func(
		c *cobra.Command, args []string, typed string,
	) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return offer(c, args, typed)
	}
	return c
}

// completeArgs offers the names of a kind of thing for every word.
func completeArgs(a *app, c *cobra.Command, names func(*inventory.Catalogue) []named) *cobra.Command {
	c.ValidArgsFunction = a.completeNames(names)
	return c
}

// completeShelf offers things on the shelf, such as pots and places, for a flag,
// or for every word where flag is "".
func (a *app) completeShelf(
	c *cobra.Command, flag string, names func(*inventory.Catalogue, inventory.Shelf) []named,
) *cobra.Command {
	offer := func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return a.offer(func(ctx context.Context) ([]named, error) {
			cat, err := a.catalogue(ctx)
			if err != nil {
				return nil, err
			}
			shelf, err := a.opened.store.Shelf(ctx)
			return names(cat, shelf), err
		})
	}
	if flag == "" {
		c.ValidArgsFunction = offer
		return c
	}
	_ = c.RegisterFlagCompletionFunc(flag, offer) // fails only for an unknown flag
	return c
}

// completeOf offers the units and the steps of the force named by the first word,
// or of the usual one, for two flags.
func (a *app) completeOf(c *cobra.Command, unit, step string) {
	of := func(pick func(*inventory.Catalogue, inventory.Force) []named) cobra.CompletionFunc {
		return func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			return a.offer(func(ctx context.Context) ([]named, error) {
				cat, err := a.catalogue(ctx)
				if err != nil {
					return nil, err
				}
				id, err := forceOr(cat, strings.Join(args[:min(1, len(args))], ""))
				if err != nil {
					return nil, err
				}
				return pick(cat, *cat.Index().Forces[id]), nil
			})
		}
	}
	_ = c.RegisterFlagCompletionFunc(unit, of(func(_ *inventory.Catalogue, f inventory.Force) []named {
		return unitNames(f)
	}))
	_ = c.RegisterFlagCompletionFunc(step, of(func(cat *inventory.Catalogue, f inventory.Force) (out []named) {
		for _, u := range f.Units {
			out = append(out, openSteps(cat, f, u)...)
		}
		return out
	}))
}

// completeWork offers what log takes: a force or a unit of the usual one, a unit,
// and the steps left to do on it.
func (a *app) completeWork(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	return a.offer(func(ctx context.Context) ([]named, error) {
		cat, err := a.catalogue(ctx)
		if err != nil {
			return nil, err
		}
		var out []named
		if len(args) == 0 {
			out = forceNames(cat)
			if usual, err := usualForce(cat); err == nil {
				out = append(out, unitNames(*cat.Index().Forces[usual])...)
			}
			return out, nil
		}
		force, err := forceOr(cat, withForce(cat, args)[0])
		if err != nil {
			return nil, err
		}
		for i, word := range slices.Backward(args) {
			if word == "+" { // the next unit of the sitting
				args = append([]string{force}, args[i+1:]...)
				break
			}
		}
		args = withForce(cat, args)
		id, err := forceOr(cat, args[0])
		if err != nil {
			return nil, err
		}
		f := *cat.Index().Forces[id]
		if len(args) == 1 {
			return unitNames(f), nil
		}
		if id, err = lookup("unit", args[1], "", unitNames(f)); err != nil {
			return nil, err
		}
		u, _ := f.Unit(id)
		return openSteps(cat, f, u), nil
	})
}

// openSteps are the steps left to do on a unit.
func openSteps(cat *inventory.Catalogue, f inventory.Force, u inventory.Unit) []named {
	if r := cat.Index().Recipes[u.Recipe]; r != nil {
		return ids(r.Open(f, u))
	}
	return nil
}

// placeNames are the places where pots stand.
func placeNames(_ *inventory.Catalogue, s inventory.Shelf) []named {
	var places []string
	for _, p := range s.Pots {
		if p.Place != "" {
			places = append(places, p.Place)
		}
	}
	slices.Sort(places)
	return ids(slices.Compact(places))
}

// completeNames offers things of the catalogue.
func (a *app) completeNames(names func(*inventory.Catalogue) []named) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return a.offer(func(ctx context.Context) ([]named, error) {
			cat, err := a.catalogue(ctx)
			if err != nil {
				return nil, err
			}
			return names(cat), nil
		})
	}
}

// offer looks only into a database that runs: pressing Tab starts none.
func (a *app) offer(names func(context.Context) ([]named, error)) ([]string, cobra.ShellCompDirective) {
	ctx, cancel := context.WithTimeout(context.Background(), completionPatience)
	defer cancel()
	if s, err := server.Look(ctx, a.serverOptions()); err != nil || !s.Running {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	things, err := names(ctx)
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var ids []string
	for _, n := range things {
		if !n.retired && !slices.Contains(ids, n.id) {
			ids = append(ids, n.id)
		}
	}
	return ids, cobra.ShellCompDirectiveNoFileComp
}
