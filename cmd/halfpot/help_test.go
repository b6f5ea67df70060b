package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfpot/inventory/textfile"
	"halfpot/optimize/problemfile"
)

// walk calls f with every command of the tree that a user can type.
func walk(c *cobra.Command, f func(*cobra.Command)) {
	f(c)
	for _, sub := range c.Commands() {
		walk(sub, f)
	}
}

// Every command's help says what it does, shows real examples and ends with
// the exit statuses; no two flags of a command share a name or a shorthand.
func TestHelpOfEveryCommand(t *testing.T) {
	seen := 0
	walk(newRoot(&app{}, nil), func(c *cobra.Command) {
		if c.IsAdditionalHelpTopicCommand() || c.Name() == "help" || isCompletion(c) {
			return
		}
		seen++
		path := c.CommandPath()
		if c.Short == "" || strings.HasSuffix(c.Short, ".") {
			t.Errorf("%s: Short %q: want one line without a full stop", path, c.Short)
		}
		if c.Long == "" {
			t.Errorf("%s has no description", path)
		}
		for line := range strings.Lines(c.Long) {
			if len([]rune(strings.TrimRight(line, "\n"))) > 84 {
				t.Errorf("%s: help line too long: %q", path, line)
			}
		}
		checkExamples(t, c)
		if !strings.Contains(c.UsageString(), "Exit status:") {
			t.Errorf("%s: help does not end with the exit statuses", path)
		}
		shorthands := map[string]string{}
		c.InheritedFlags()
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if f.Usage == "" {
				t.Errorf("%s: --%s has no description", path, f.Name)
			}
			switch what, _ := pflag.UnquoteUsage(f); what {
			case "string", "strings", "stringArray", "int", "uint", "float", "duration":
				t.Errorf("%s: help calls the value of --%s %q: name it in backquotes in its description",
					path, f.Name, what)
			}
			if f.Shorthand == "" {
				return
			}
			if other := shorthands[f.Shorthand]; other != "" {
				t.Errorf("%s: -%s means both --%s and --%s", path, f.Shorthand, other, f.Name)
			}
			shorthands[f.Shorthand] = f.Name
		})
	})
	if seen < 10 {
		t.Errorf("walked only %d commands", seen)
	}
}

// A command is built by its own name, and alone it says and takes the same as
// among all others.
func TestCommandBuiltAlone(t *testing.T) {
	all := newRoot(&app{}, nil)
	for _, g := range (&app{}).commands() {
		for _, c := range g.commands {
			root := newRoot(&app{}, []string{c.name, "--help"})
			alone, _, err := root.Find([]string{c.name})
			if err != nil || alone.Name() != c.name || len(root.Commands()) != 1 {
				t.Errorf("%s: built %q below a root of %d commands, %v",
					c.name, alone.Name(), len(root.Commands()), err)
				continue
			}
			among, _, err := all.Find([]string{c.name})
			if err != nil {
				t.Errorf("%s among all: %v", c.name, err)
				continue
			}
			walk(among, func(among *cobra.Command) {
				path := strings.Fields(among.CommandPath())[1:]
				alone, _, err := root.Find(path)
				if err != nil || alone.UsageString() != among.UsageString() {
					t.Errorf("%s: help differs when it is built alone (%v)", strings.Join(path, " "), err)
				}
			})
		}
	}
}

func isCompletion(c *cobra.Command) bool {
	return strings.HasPrefix(c.CommandPath()+" ", "halfpot completion ")
}

// An example must be a command line that parses: real names of commands and
// flags, the right number of words.
func checkExamples(t *testing.T, c *cobra.Command) {
	t.Helper()
	if c.Example == "" {
		t.Errorf("%s has no example", c.CommandPath())
		return
	}
	for line := range strings.Lines(c.Example) {
		text, _, _ := regexpTwoSpaces(strings.TrimSpace(line))
		if text == "" {
			continue
		}
		words, err := shellWords(text)
		if err != nil || len(words) < 2 || words[0] != "halfpot" {
			t.Errorf("%s: example %q is not a halfpot command line", c.CommandPath(), line)
			continue
		}
		root := newRoot(&app{}, nil)
		at, rest, err := root.Find(words[1:])
		if err != nil {
			t.Errorf("%s: example %q: %v", c.CommandPath(), line, err)
			continue
		}
		if err := at.ParseFlags(rest); err != nil {
			t.Errorf("%s: example %q: %v", c.CommandPath(), line, err)
			continue
		}
		if err := at.ValidateArgs(at.Flags().Args()); err != nil {
			t.Errorf("%s: example %q: %v", c.CommandPath(), line, err)
		}
	}
}

var twoSpaces = regexp.MustCompile(` {2,}`)

// regexpTwoSpaces parts an example from the remark after it.
func regexpTwoSpaces(s string) (text, remark string, ok bool) {
	parts := twoSpaces.Split(s, 2)
	if len(parts) == 2 {
		return parts[0], parts[1], true
	}
	return parts[0], "", false
}

// shellWords splits a command line at blanks outside double quotes and stops
// at a pipe or a redirection.
func shellWords(s string) ([]string, error) {
	var words []string
	var word strings.Builder
	quoted, any := false, false
	for _, r := range s + " " {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case r == ' ' && !quoted:
			if w := word.String(); w == "|" || w == ">" || w == "<" {
				return words, nil
			}
			if any || word.Len() > 0 {
				words = append(words, word.String())
			}
			word.Reset()
			any = false
		default:
			word.WriteRune(r)
		}
	}
	return words, nil
}

// testRun runs the whole program with buffers for streams.
func testRun(t *testing.T, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	s := streams{
		in:   strings.NewReader(""),
		out:  &o,
		err:  &e,
		env:  func(string) string { return "" },
		self: "halfpot",
	}
	now := func() time.Time { return time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC) }
	return run(context.Background(), args, s, now), o.String(), e.String()
}

func TestUsageErrors(t *testing.T) {
	cases := []struct {
		args []string
		want []string // on standard error
	}{
		{[]string{"byu"}, []string{`"byu" is not a command`, "try: halfpot buy"}},
		{[]string{"--format", "xml"}, []string{"table, json, csv or exact-csv"}},
		{[]string{"laod"}, []string{"of halfpot\n  try: halfpot load\n"}},
		{[]string{"help", "pots"}, []string{`no help on "pots"; nearest: pot`}},
		{[]string{"buy", "--max-shops", "two"}, []string{"--max-shops two: expected a whole number"}},
		{[]string{"shelf", "--low"}, []string{"--low: nothing follows"}},
		{[]string{"demo", "--fresh", "--clear"}, []string{"--clear and --fresh exclude each other"}},
		{[]string{"add", "shop", "Mill"}, []string{"--currency missing", "try: halfpot add shop --help"}},
		{[]string{"done"}, []string{"STEP missing; usage: halfpot done [UNIT] STEP..."}},
		{[]string{"-demo", "shelf"}, []string{"-demo: expected two dashes: --demo"}},
		{[]string{"-quiet", "shelf"}, []string{"-quiet: expected two dashes"}},
		{[]string{"stock"}, []string{"try: halfpot shelf"}},
		{[]string{"--bogus"}, []string{"unknown flag: --bogus", "try: halfpot --help"}},
		{[]string{"--dmeo", "shelf"}, []string{"unknown flag: --dmeo; nearest: --demo"}},
		{[]string{"buy", "--onyl", "set"}, []string{"unknown flag: --onyl"}},
		{[]string{"buy", "--on", "today"}, []string{"knows only today"}},
		{[]string{"help", "nonsense"}, []string{`no help on "nonsense"`}},
		{[]string{"--bogus", "--format", "json"}, []string{`"error":"unknown flag: --bogus"`, `"exit_status":2`}},
	}
	for _, c := range cases {
		code, out, errs := testRun(t, c.args...)
		if code != exitBadInput || out != "" {
			t.Errorf("%q: status %d, output %q; want status 2 and none", c.args, code, out)
		}
		for _, w := range c.want {
			if !strings.Contains(errs, w) {
				t.Errorf("%q: standard error %q lacks %q", c.args, errs, w)
			}
		}
	}
}

// Before halfpot demo --demo has nothing to work on, says so, and makes nothing.
func TestNoDemoYet(t *testing.T) {
	home := t.TempDir()
	t.Setenv("XDG_DATA_HOME", home)
	for _, args := range [][]string{{"shelf"}, {"buy", "salt-pass"}} {
		code, out, errs := testRun(t, append([]string{"--demo"}, args...)...)
		if code != exitBadInput || out != "" || !strings.Contains(errs, "no demo yet") ||
			!strings.Contains(errs, "try: halfpot demo") {
			t.Errorf("%q: status %d, %q, %q", args, code, out, errs)
		}
	}
	if made, err := os.ReadDir(home); err != nil || len(made) > 0 {
		t.Errorf("made %v, %v", made, err)
	}
}

func TestHelpTopics(t *testing.T) {
	for _, c := range topics() {
		code, out, errs := testRun(t, "help", c.Name())
		if code != exitDone || !strings.HasPrefix(out, c.Long[:20]) || errs != "" {
			t.Errorf("help %s: status %d, standard error %q, output %.40q", c.Name(), code, errs, out)
		}
	}
}

// The page of files has a line for every key that the readers know, and no
// other; none is wider than a terminal.
func TestFilesPageHasEveryKey(t *testing.T) {
	known := textfile.Keys()
	listed := map[string][]string{}
	for _, table := range fileTables {
		for _, k := range table.keys {
			if k[1] == "" {
				t.Errorf("[%s] %s: nothing is said of it", table.path, k[0])
			}
			listed[table.path] = append(listed[table.path], k[0])
		}
		slices.Sort(listed[table.path])
	}
	for table, keys := range known {
		if table != "" && !slices.Equal(keys, listed[table]) {
			t.Errorf("[%s]: the readers know %q, the page lists %q", table, keys, listed[table])
		}
	}
	for table := range listed {
		if known[table] == nil {
			t.Errorf("the page lists [%s], which no reader knows", table)
		}
	}
	example := textfile.Source{Name: "example.toml", Reader: strings.NewReader(filesExample), Size: -1}
	if b, err := textfile.Read(textfile.Options{Now: time.Now()}, example); err != nil ||
		len(b.Catalogue.Figures) != 1 || len(b.Catalogue.Recipes) != 1 {
		t.Errorf("the page's example: %v", err)
	}
	page := filesPage()
	for line := range strings.Lines(page) {
		if len([]rune(line)) > 81 {
			t.Errorf("wider than 80: %s", line)
		}
	}
	for _, l := range textfile.Lists() { // columns that TOML has no key for must be there too
		for _, c := range l.Columns {
			if !strings.Contains(page, c) {
				t.Errorf("%s: the column %s is not on the page", l.Name, c)
			}
		}
	}
	for _, size := range []int{textfile.MaxCSVBytes, textfile.MaxTOMLBytes, problemfile.MaxFile} {
		if !strings.Contains(page, fmt.Sprintf("%d MB", size>>20)) {
			t.Errorf("the page names no limit of %d MB", size>>20)
		}
	}
}

func TestVersion(t *testing.T) {
	code, out, _ := testRun(t, "--version")
	if code != exitDone || !strings.HasPrefix(out, "halfpot ") || !strings.Contains(out, "go1.") {
		t.Errorf("status %d, %q", code, out)
	}
}
