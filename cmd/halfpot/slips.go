package main

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfpot/inventory"
)

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

// belowNothing is how an amount below nothing, such as -3ml, looks to the
// reader of flags.
var belowNothing = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^unknown shorthand flag: '[0-9]' in (-[0-9].*)$`)
})

// flagExpects is what a flag of a plain type takes, "" for other types.
func flagExpects(kind string) string {
	switch kind {
	case "int", "int64":
		return "a whole number"
	case "float64":
		return "a number"
	case "duration":
		return "a time with its unit, like 30s or 2m"
	case "bool":
		return "true or false"
	}
	return ""
}

// flagProblem says in words of ours what the library finds wrong with one flag.
func flagProblem(c *cobra.Command, err error) error {
	if below := belowNothing().FindStringSubmatch(err.Error()); below != nil {
		return usagef("found %s, expected no less than nothing", below[1])
	}
	if twice, ok := errors.AsType[givenTwice](err); ok {
		return usagef("%s", twice)
	}
	if wrong, ok := errors.AsType[*pflag.InvalidValueError](err); ok {
		expected := flagExpects(wrong.GetFlag().Value.Type())
		if said, ok := strings.CutPrefix(wrong.Unwrap().Error(), "expected "); ok {
			expected = said
		}
		if expected != "" {
			return usagef("--%s %s: expected %s", wrong.GetFlag().Name, wrong.GetValue(), expected)
		}
	}
	msg := err.Error()
	if lacks, ok := errors.AsType[*pflag.ValueRequiredError](err); ok && lacks.GetSpecifiedShortnames() == "" {
		msg = "--" + lacks.GetFlag().Name + ": nothing follows, expected a value"
	}
	if unknown, ok := errors.AsType[*pflag.NotExistError](err); ok {
		typed := unknown.GetSpecifiedName()
		word, _, _ := strings.Cut(unknown.GetSpecifiedShortnames(), "=")
		switch {
		case word == "" && typed == "on":
			msg = pastOnly(c)
		case word == "":
			msg += nearestFlags(c, typed)
		default:
			if name := oneDash(c, word); name != "" {
				return usagef("-%s: expected two dashes: --%s", name, name)
			}
		}
	}
	return &usageError{msg, []string{c.CommandPath() + " --help"}}
}

// oneDash is the flag that was meant where letters after one dash are no short flags;
// the first of them may have been one, as the q of -quiet.
func oneDash(c *cobra.Command, letters string) (name string) {
	c.Flags().VisitAll(func(f *pflag.Flag) {
		if f.Name == letters || f.Shorthand != "" && f.Name == f.Shorthand+letters {
			name = f.Name
		}
	})
	return name
}

// nearestFlags ends the error of a flag that c doesn't know.
func nearestFlags(c *cobra.Command, typed string) string {
	return inventory.NearestText(func() (near []string) {
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		for _, name := range inventory.Nearest(typed, names, 2) {
			near = append(near, "--"+name)
		}
		return near
	})
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
