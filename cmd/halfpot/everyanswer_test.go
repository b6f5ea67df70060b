package main

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// answersNothing are commands that write, or whose answer is not of what is kept. A
// command that only shows is asked, so that a new one is asked too.
var answersNothing = []string{
	"demo", "save", "backup", "database", "figure measure", "solve", "generate", "completion", "exit-codes",
	"files", "output", "help",
}

// alsoAnswer are questions to commands that can write too, and what more can be asked
// of those that can't: forms of a command under which it tells something of its own.
var alsoAnswer = []string{
	"estimate FORCE", "estimate --pot POT", "estimate factors", "estimate defaults", "log", "log FORCE",
	"pot check", "buy FORCE --without-orders",
	"shelf --gone", "shelf --on yesterday", "pot show POT --on yesterday",
	"force show FORCE --on yesterday", "estimate FORCE --on yesterday",
	"order list --all", "order list --all --on yesterday", "spent --by shop", "spent --by force",
	"spent --by paint", "spent --by figure",
	"tonight FORCE --evenings daily_19:00-21:00", "schedule FORCE --evenings daily_19:00-21:00",
	"recipe restate RECIPE --shelf", "near PAINT --shelf",
}

// questions are all that can be asked of what is kept, by the tree of commands, with
// capitals for the name of a thing.
func questions() (out []string) {
	walk(newRoot(&app{}, nil), func(c *cobra.Command) {
		path := strings.TrimPrefix(c.CommandPath(), "halfpot ")
		outside := func(name string) bool { return path == name || strings.HasPrefix(path, name+" ") }
		if c.HasSubCommands() || c.Flags().Lookup("once") != nil ||
			slices.ContainsFunc(answersNothing, outside) {
			return
		}
		for _, arg := range strings.Fields(c.Use)[1:] {
			if _, thing, either := strings.Cut(arg, "|"); either && thing != "" {
				arg, _, _ = strings.Cut(arg, "|")
			}
			if arg = strings.Trim(arg, "[]"); arg == "UNIT" || strings.HasSuffix(arg, "...") {
				break
			}
			path += " " + arg
		}
		out = append(out, path)
	})
	return append(out, alsoAnswer...)
}

// aThing is a capital word of a question: what is asked of one after the other.
var aThing = regexp.MustCompile(`\b[A-Z]{3,}\b`)

// asked is everything that can be asked for, each answer as JSON: of each kind of thing
// some, or all in the long dose.
func (d *bench) asked() map[string]string {
	d.t.Helper()
	id := regexp.MustCompile(`(?m)^    "id": "([a-z0-9-]+)"`)
	things := map[string][]string{}
	for kind, list := range map[string]string{
		"POT":     "shelf",
		"PAINT":   "paint list",
		"PRODUCT": "product list",
		"SHOP":    "shop list",
		"FIGURE":  "figure list",
		"RECIPE":  "recipe list",
		"FORCE":   "force list",
		"ORDER":   "order list --all",
	} {
		for _, m := range id.FindAllStringSubmatch(d.must(append(strings.Fields(list), "--format", "json")...),
			-1) {
			things[kind] = append(things[kind], m[1])
		}
		if few := 2; os.Getenv("HALFPOT_LONG") == "" && len(things[kind]) > few {
			all := things[kind]
			things[kind] = []string{all[0], all[len(all)-1]}
		}
	}
	answers, good := map[string]string{}, 0
	ask := func(question string) {
		words := strings.Fields(question)
		for i := range words {
			words[i] = strings.ReplaceAll(words[i], "_", " ")
		}
		status, out, errs := d.try(append(words, "--format", "json")...)
		if status == 0 || status == exitNoPlan {
			good++
		}
		answers[question] = fmt.Sprintf("status %d\n%s%s", status, out, errs)
	}
	for _, q := range questions() {
		kind := aThing.FindString(q)
		if kind == "" {
			ask(q)
			continue
		}
		if _, known := things[kind]; !known {
			d.t.Errorf("halfpot %s: the test knows no %s to ask it of", q, kind)
		}
		for _, id := range things[kind] {
			ask(strings.Replace(q, kind, id, 1))
		}
	}
	if good < len(answers)*3/4 {
		for q, a := range answers {
			if !strings.HasPrefix(a, "status 0") {
				d.t.Logf("halfpot %s: %s", q, statusLine(a))
			}
		}
		d.t.Errorf("%d of %d questions were answered", good, len(answers))
	}
	return answers
}

func statusLine(s string) string { return strings.Join(strings.SplitN(s, "\n", 3)[:2], " ") }

// sameAnswers compares what two databases answer.
func sameAnswers(t *testing.T, got, want map[string]string) {
	t.Helper()
	for q, a := range want {
		if is, was := strings.Split(got[q], "\n"), strings.Split(a, "\n"); got[q] != a {
			wrong := 0
			for i := range min(len(is), len(was)) {
				if is[i] != was[i] && wrong < 5 {
					wrong++
					t.Errorf("halfpot %s, line %d: %s, want %s", q, i+1, is[i], was[i])
				}
			}
			if wrong == 0 {
				t.Errorf("halfpot %s: %d lines, want %d", q, len(is), len(was))
			}
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d answers, want %d", len(got), len(want))
	}
}
