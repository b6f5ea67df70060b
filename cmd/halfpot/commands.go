package main

import "github.com/spf13/cobra"

// commands lists every command by the part of the job it serves, in the order
// help shows them.
func (a *app) commands() []commandsIn {
	return []commandsIn{
		{"start", []*cobra.Command{a.demoCommand(), a.loadCommand(), a.saveCommand(), a.addCommand(), a.databaseCommand()}},
		{"own", []*cobra.Command{a.shelfCommand(), a.potCommand(), a.paintCommand()}},
		{"plan", []*cobra.Command{a.forceCommand(), a.recipeCommand(), a.figureCommand(), a.estimateCommand()}},
		{"buy", []*cobra.Command{a.buyCommand(), a.shopCommand(), a.productCommand(), a.offerCommand(), a.solveCommand(), a.generateCommand()}},
		{"work", []*cobra.Command{a.logCommand()}},
	}
}
