package main

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/sql/server"
)

// completionPatience is how long a Tab may take.
const completionPatience = 2 * time.Second

// complete offers the names of a kind of thing for a flag.
func complete(a *app, c *cobra.Command, flag string, names func(*inventory.Catalogue) []named) {
	_ = c.RegisterFlagCompletionFunc(flag, a.completeNames(names)) // fails only for an unknown flag
}

// completeArg offers the names of a kind of thing for the first word.
func completeArg(a *app, c *cobra.Command, names func(*inventory.Catalogue) []named) *cobra.Command {
	offer := a.completeNames(names)
	c.ValidArgsFunction = func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return offer(c, args, typed)
	}
	return c
}

// completeNames looks only into a database that runs: pressing Tab starts none.
func (a *app) completeNames(names func(*inventory.Catalogue) []named) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		ctx, cancel := context.WithTimeout(context.Background(), completionPatience)
		defer cancel()
		if s, err := server.Look(ctx, a.serverOptions()); err != nil || !s.Running {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		cat, err := a.catalogue(ctx)
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var ids []string
		for _, n := range names(cat) {
			ids = append(ids, n.id)
		}
		return ids, cobra.ShellCompDirectiveNoFileComp
	}
}
