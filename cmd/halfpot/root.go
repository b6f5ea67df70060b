package main

import (
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
)

// Groups of commands, in the order help shows them.
var commandGroups = []*cobra.Group{
	{ID: "start", Title: "To begin:"},
	{ID: "own", Title: "What you own:"},
	{ID: "plan", Title: "What you want to paint:"},
	{ID: "buy", Title: "What to buy:"},
	{ID: "work", Title: "At the bench:"},
}

// A flag of the library for the whole program, so set once: tests build several trees at a time.
func init() { cobra.EnableCommandSorting = false }

// newRoot builds the command tree around one app, as far as args need it.
func newRoot(a *app, args []string) *cobra.Command {
	var showVersion bool
	root := &cobra.Command{
		Use:   "halfpot COMMAND",
		Short: "What is in your pots, what a force will take, and what to buy, proven cheapest",
		Long: `Halfpot keeps count of what is left in your paint pots, estimates what a
planned force of figures will take, and works out the cheapest order that
finishes it: which pots and sets, from which shops, delivery and all, with a
proof that no other order is cheaper.

It keeps its own database without any set-up. To see it all on an invented
scenario, in a place apart from your own data, run: halfpot demo`,
		Example: `  halfpot demo                        see the whole job in one go
  halfpot load paints.csv pots.csv    bring in what you own
  halfpot shelf                       what is left in every pot
  halfpot estimate harbour-watch      what that force will take
  halfpot buy harbour-watch           what to buy, and where`,
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE: func(c *cobra.Command, args []string) error {
			if showVersion {
				_, err := fmt.Fprintln(a.out, version())
				return err
			}
			return helpOrUnknown(c, args)
		},
		Args: cobra.ArbitraryArgs,
	}
	root.SetOut(a.out)
	root.SetErr(a.err)
	root.SetIn(a.in)
	root.SetUsageFunc(usage)
	root.SetFlagErrorFunc(flagProblem)
	root.CompletionOptions.HiddenDefaultCmd = false

	f := root.PersistentFlags()
	f.StringVar(&a.home, "home", "", "`FOLDER` for halfpot's own database (default: your data folder)")
	f.StringVar(&a.database, "database", "", "`URL` of a PostgreSQL database to use instead")
	f.BoolVar(&a.demo, "demo", false, "work on what halfpot demo set up, not on your own data")
	enum(root, f, &a.format, "format", string(view.Text), "how to print results", formatNames()...)
	f.BoolVarP(&a.quiet, "quiet", "q", false, "print results only")
	f.BoolVar(&a.noColour, "no-colour", false, "no colour, as with NO_COLOR set")

	root.InitDefaultHelpFlag() // stands first
	root.Flags().BoolVarP(&showVersion, "version", "v", false, "version for halfpot")

	root.AddGroup(commandGroups...)
	a.addCommands(root, args)
	root.SetHelpCommand(helpCommand(root))
	finish(root)
	if len(args) > 0 && strings.HasPrefix(args[0], cobra.ShellCompRequestCmd) {
		a.completeRest(root)
	}
	return root
}

func formatNames() (names []string) {
	for _, f := range view.Formats {
		names = append(names, string(f))
	}
	return names
}

// holder is a command that only holds others.
func holder(use, short, long, example string, subs ...*cobra.Command) *cobra.Command {
	c := &cobra.Command{Use: use + " COMMAND", Short: short, Long: long, Example: example,
		RunE: helpOrUnknown, Args: cobra.ArbitraryArgs}
	c.AddCommand(subs...)
	return c
}

// finish gives every command what all share: flags in the order written, and
// wrong arguments reported as usage errors with the usage line.
func finish(c *cobra.Command) {
	c.Flags().SortFlags = false
	c.DisableFlagsInUseLine = true
	onceOnly(c.Flags())
	if c.Runnable() && c.Annotations["exits"] == "" {
		exits(c)
	}
	if check := c.Args; check != nil {
		c.Args = func(c *cobra.Command, args []string) error {
			if err := check(c, args); err != nil {
				return &usageError{argsProblem(c, args, err), []string{c.CommandPath() + " --help"}}
			}
			return nil
		}
	}
	if work := c.RunE; work != nil {
		c.RunE = func(c *cobra.Command, args []string) error {
			if err := notEmpty(c, "home", "database"); err != nil {
				return err
			}
			if err := work(c, args); err != nil {
				return ran{err}
			}
			return nil
		}
	}
	for _, sub := range c.Commands() {
		finish(sub)
	}
}

// notEmpty refuses flags that were given without a value, as by a script whose
// variable is not set: the usual place would be taken instead of the one meant.
func notEmpty(c *cobra.Command, flags ...string) error {
	for _, name := range flags {
		if f := c.Flag(name); f != nil && f.Changed && strings.TrimSpace(f.Value.String()) == "" {
			return usagef("--%s is empty: give it a value, or leave it out for the usual place", name)
		}
	}
	return nil
}

// ran marks an error of a command's own work. What comes back without it is of
// the command line: a flag missing, flags that exclude each other.
type ran struct{ error }

func (e ran) Unwrap() error { return e.error }

// version is what the Go tool wrote into the binary: the tag of a release, or
// the commit a working copy was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "halfpot, version unknown (built without module information)"
	}
	var commit, changed string
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			commit = ", commit " + s.Value[:min(12, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = " with changes"
		}
	}
	v := info.Main.Version
	if v == "" || v == "(devel)" {
		v = "development"
	}
	return fmt.Sprintf("halfpot %s%s%s, %s", v, commit, changed, info.GoVersion)
}
