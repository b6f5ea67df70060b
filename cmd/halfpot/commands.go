package main

import (
	"strings"

	"github.com/spf13/cobra"
)

// commandsIn is a group's commands in the order help shows them.
type commandsIn struct {
	group    string
	commands []command
}

// command is a command by the word that calls it, to be built when it is needed.
type command struct {
	name  string
	build func() *cobra.Command
}

// commands lists every command by the part of the job it serves, in the order
// help shows them.
func (a *app) commands() []commandsIn {
	return []commandsIn{
		{"start", []command{
			{"demo", a.demoCommand},
			{"load", a.loadCommand},
			{"save", a.saveCommand},
			{"backup", a.backupCommand},
			{"add", a.addCommand},
			{"change", a.alterCommand},
			{"remove", a.removeCommand},
			{"merge", a.mergeCommand},
			{"database", a.databaseCommand},
		}},
		{"own",
			[]command{
				{"shelf", a.shelfCommand},
				{"pot", a.potCommand},
				{"paint", a.paintCommand},
				{"near", a.nearCommand},
				{"doubles", a.doublesCommand},
			}},
		{"plan", []command{{"force", a.forceCommand}, {"recipe", a.recipeCommand}, {"figure", a.figureCommand},
			{"estimate", a.estimateCommand}}},
		{"buy", []command{
			{"buy", a.buyCommand},
			{"order", a.orderCommand},
			{"spent", a.spentCommand},
			{"shop", a.shopCommand},
			{"product", a.productCommand},
			{"offer", a.offerCommand},
			{"solve", a.solveCommand},
			{"generate", a.generateCommand},
		}},
		{"work", []command{
			{"tonight", a.tonightCommand},
			{"sheet", a.sheetCommand},
			{"done", a.doneCommand},
			{"log", a.logCommand},
			{"schedule", a.scheduleCommand},
			{"progress", a.progressCommand},
			{"guide", a.guideCommand},
		}},
	}
}

// addCommands puts the commands below root that args can need: none for the
// version, the one that args name first, else all, as for help and for names
// nobody knows. Building all of them is a good part of what a short run takes.
func (a *app) addCommands(root *cobra.Command, args []string) {
	root.CompletionOptions.DisableDefaultCmd = true // but for the last lines below
	if len(args) == 1 && (args[0] == "--version" || args[0] == "-v") {
		return
	}
	groups := a.commands()
	add := func(group string, c command) {
		built := c.build()
		built.GroupID = group
		root.AddCommand(built)
	}
	if word := firstWord(root, args); word != "" {
		for _, g := range groups {
			for _, c := range g.commands {
				if c.name == word {
					add(g.group, c)
					return
				}
			}
		}
	}
	for _, g := range groups {
		for _, c := range g.commands {
			add(g.group, c)
		}
	}
	root.AddCommand(topics()...)
	root.CompletionOptions.DisableDefaultCmd = false
	root.InitDefaultCompletionCmd(args...)
	speakOfCompletion(root)
}

// firstWord is the first of args that is neither a flag of root nor a flag's value,
// "" where there is none or a flag stands there that root does not know.
func firstWord(root *cobra.Command, args []string) string {
	flags := root.PersistentFlags()
	for i := 0; i < len(args); i++ {
		name, long := strings.CutPrefix(args[i], "--")
		name, _, whole := strings.Cut(name, "=")
		switch f := flags.Lookup(name); {
		case !strings.HasPrefix(args[i], "-"):
			return args[i]
		case !long || f == nil:
			return ""
		case !whole && f.NoOptDefVal == "":
			i++ // its value
		}
	}
	return ""
}
