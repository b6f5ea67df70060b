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
		c.Long = "Prints what your shell needs so that the Tab key finishes commands, options, and the\nnames of your own pots, paints, places, units and steps."
		c.Example = "  source <(halfpot completion bash)"
		for _, shell := range c.Commands() {
			line := load[shell.Name()]
			shell.Short = "for " + shell.Name()
			shell.Long = "Prints what " + shell.Name() + " needs. For this window:\n\n  " + line + "\n\nTo have it in every window, put that line into the file your shell reads at its start."
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
