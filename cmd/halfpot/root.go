package main

import (
	"errors"
	"fmt"
	"regexp"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

// Groups of commands, in the order help shows them.
var commandGroups = []*cobra.Group{
	{ID: "start", Title: "To begin:"},
	{ID: "own", Title: "What you own:"},
	{ID: "plan", Title: "What you want to paint:"},
	{ID: "buy", Title: "What to buy:"},
	{ID: "work", Title: "At the bench:"},
}

// badTime is what the reader of flags says of a time that is none.
var badTime = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^invalid argument "(.*)" for "(--[a-z-]+)" flag: time: `)
})

// belowNothing is how an amount below nothing, such as -3ml, looks to the
// reader of flags.
var belowNothing = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^unknown shorthand flag: '[0-9]' in (-[0-9].*)$`)
})

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
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		if below := belowNothing().FindStringSubmatch(err.Error()); below != nil {
			return usagef("found %s, expected no less than nothing", below[1])
		}
		if time := badTime().FindStringSubmatch(err.Error()); time != nil {
			return usagef("%s %s: expected a time with its unit, like 30s or 2m", time[2], time[1])
		}
		if twice, ok := errors.AsType[givenTwice](err); ok {
			return usagef("%s", twice)
		}
		return &usageError{unknownFlag(c, err).Error(), []string{c.CommandPath() + " --help"}}
	})
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

// helpOrUnknown is what a command that only holds others does by itself: help
// when nothing follows, and the nearest names when something unknown does.
func helpOrUnknown(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return c.Help()
	}
	e := &usageError{msg: fmt.Sprintf("%q is not a command of %s", args[0], c.CommandPath())}
	var names []string
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() {
			names = append(names, sub.Name())
		}
	}
	near := inventory.Nearest(args[0], names, 3)
	if other := elsewhere(args[0]); other != "" && !c.HasParent() {
		near = []string{other}
	}
	for _, name := range near {
		e.hints = append(e.hints, c.CommandPath()+" "+name)
	}
	if len(e.hints) == 0 {
		e.hints = []string{c.CommandPath() + " --help"}
	}
	return e
}

// flagsProblem puts what the library finds wrong with the flags together in words of ours.
func flagsProblem(c *cobra.Command, err error) error {
	msg := err.Error()
	listed := func(names, between string) string {
		return "--" + strings.ReplaceAll(names, between, " and --")
	}
	if names, ok := strings.CutPrefix(msg, `required flag(s) "`); ok {
		msg = listed(strings.TrimSuffix(names, `" not set`), `", "`) + " missing"
	} else if _, names, ok := strings.Cut(msg, " none of the others can be; ["); ok {
		msg = listed(strings.TrimSuffix(names, "] were all set"), " ") + " exclude each other: give one of them"
	}
	return &usageError{msg, []string{c.CommandPath() + " --help"}}
}

// elsewhere is the command that a word of other programs stands for, "" for none.
func elsewhere(word string) string {
	switch strings.ToLower(word) {
	case "list", "ls", "stock", "inventory":
		return "shelf"
	case "import":
		return "load"
	case "export":
		return "save"
	case "delete", "rm":
		return "remove"
	case "edit", "set":
		return "change"
	case "undo":
		return "log --help" // it has --undo
	}
	return ""
}

// unknownFlag says more of a flag that c doesn't know; other errors stay as they are.
func unknownFlag(c *cobra.Command, err error) error {
	unknown, ok := errors.AsType[*pflag.NotExistError](err)
	if !ok || unknown.GetSpecifiedShortnames() != "" {
		return err
	}
	typed := unknown.GetSpecifiedName()
	if typed == "on" {
		return pastOnly(c)
	}
	return fmt.Errorf("%w%s", err, inventory.NearestText(func() (near []string) {
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		for _, name := range inventory.Nearest(typed, names, 2) {
			near = append(near, "--"+name)
		}
		return near
	}))
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

// argsProblem says which words of the usage line are missing, or what is one
// too many; an error of a command's own check is left as it is.
func argsProblem(c *cobra.Command, args []string, err error) string {
	wanted := strings.Fields(c.Use)[1:]
	var needed []string // those outside of brackets
	depth := 0
	for _, word := range wanted {
		if depth == 0 && !strings.Contains(word, "[") {
			needed = append(needed, word)
		}
		depth += strings.Count(word, "[") - strings.Count(word, "]")
	}
	problem := err.Error()
	switch {
	case len(args) < len(needed):
		missing := strings.Join(needed[len(args):], " and ")
		problem = strings.TrimSuffix(missing, "...") + " missing"
	case !strings.Contains(c.Use, "...") && len(args) > len(wanted):
		problem = strconv.Quote(args[len(wanted)]) + " is one word too many"
		if len(wanted) > 0 {
			problem += " (a name of several words needs quotes)"
		}
	}
	return problem + "; usage: " + c.UseLine()
}

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
