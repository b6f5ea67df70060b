package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfpot/inventory"
)

// usage writes the part of help below the description: how to type it, examples,
// commands, flags, and last what the exit status says. It takes no template:
// text/template makes the linker keep every method there is, and the program
// starts slower for it.
func usage(c *cobra.Command) error {
	var b strings.Builder
	section := func(title, text string) {
		if text = strings.TrimRight(text, " \n"); text != "" {
			b.WriteString("\n" + title + "\n" + text + "\n")
		}
	}
	list := func(wanted func(sub *cobra.Command) bool) string {
		var lines strings.Builder
		for _, sub := range c.Commands() {
			if wanted(sub) {
				fmt.Fprintf(&lines, "  %-*s %s\n", sub.NamePadding(), sub.Name(), sub.Short)
			}
		}
		return lines.String()
	}
	b.WriteString("Usage:\n  " + c.UseLine() + "\n")
	section("Examples:", c.Example)
	if len(c.Groups()) == 0 {
		section("Commands:", list((*cobra.Command).IsAvailableCommand))
	} else {
		for _, g := range c.Groups() {
			section(g.Title, list(func(sub *cobra.Command) bool {
				return sub.GroupID == g.ID && sub.IsAvailableCommand()
			}))
		}
		section("Also:", list(func(sub *cobra.Command) bool {
			return sub.GroupID == "" && (sub.IsAvailableCommand() || sub.Name() == "help")
		}))
	}
	section("Help topics (halfpot help TOPIC):", list((*cobra.Command).IsAdditionalHelpTopicCommand))
	if c.HasAvailableLocalFlags() {
		section("Flags:", c.LocalFlags().FlagUsages())
	}
	if c.HasAvailableInheritedFlags() {
		section("Flags of every command:", c.InheritedFlags().FlagUsages())
	}
	section("Exit status:", c.Annotations["exits"])
	_, err := io.WriteString(c.OutOrStderr(), b.String())
	return err
}

// helpCommand is cobra's own help command but for two things: an unknown topic
// is an error, and it completes topics as well as commands.
func helpCommand(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND or TOPIC]",
		Short: "help on a command or a topic",
		Long: `Shows what a command does, with examples, or one of the topics listed by halfpot
--help.`,
		Example: "  halfpot help buy\n  halfpot help exit-codes",
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			at, _, err := root.Find(args)
			if err != nil {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			var names []string
			for _, c := range at.Commands() {
				if !c.Hidden {
					names = append(names, c.Name()+"\t"+c.Short)
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error {
			at, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				typed, names := strings.Join(args, " "), []string{}
				for _, c := range root.Commands() {
					names = append(names, c.Name())
				}
				return &usageError{
					fmt.Sprintf("no help on %q%s", typed, inventory.NearestText(inventory.Near(typed, names))),
					[]string{"halfpot --help"},
				}
			}
			at.InitDefaultHelpFlag()
			return at.Help()
		},
	}
}

// exits adds the exit statuses a command can end with to its help; every
// command can end with 0, 1, 2 and 130 besides.
func exits(c *cobra.Command, more ...int) *cobra.Command {
	codes := append([]int{exitDone, exitOther, exitBadInput, exitCancelled}, more...)
	slices.Sort(codes)
	var lines []string
	for _, code := range codes {
		lines = append(lines, fmt.Sprintf("  %-4d %s", code, exitMeaning[code]))
	}
	if c.Annotations == nil {
		c.Annotations = map[string]string{}
	}
	c.Annotations["exits"] = strings.Join(lines, "\n")
	return c
}

// enumValue is a flag that takes one of a few words.
type enumValue struct {
	to    *string
	legal []string
}

func (e *enumValue) String() string {
	if e.to == nil {
		return ""
	}
	return *e.to
}

func (e *enumValue) Set(s string) error {
	if s = strings.ToLower(s); !slices.Contains(e.legal, s) {
		s = inventory.Word(s)
	}
	if !slices.Contains(e.legal, s) {
		return fmt.Errorf("expected %s", oneOf(e.legal))
	}
	*e.to = s
	return nil
}

func (e *enumValue) Type() string { return strings.Join(e.legal, "|") }

// enum declares such a flag: the legal words stand in help, in the error and
// in shell completion.
func enum(c *cobra.Command, f *pflag.FlagSet, to *string, name, initial, usage string, legal ...string) {
	*to = initial
	f.Var(&enumValue{to, legal}, name, usage)
	_ = c.RegisterFlagCompletionFunc(name,
		cobra.FixedCompletions(legal, cobra.ShellCompDirectiveNoFileComp)) // fails only for an unknown flag
}

// words is enum for a flag that may be left out and has many legal words: help
// lists them below the flag's name instead of in it.
func words(c *cobra.Command, f *pflag.FlagSet, to *string, name, usage string, legal []string) {
	f.Var(&manyValue{enumValue{to, legal}}, name, usage+": "+oneOf(legal))
	_ = c.RegisterFlagCompletionFunc(name,
		cobra.FixedCompletions(legal, cobra.ShellCompDirectiveNoFileComp)) // fails only for an unknown flag
}

type manyValue struct{ enumValue }

func (*manyValue) Type() string { return "WORD" }

func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
