package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"halfpot/testdata"
)

// asked is everything that can be asked for, each answer as JSON.
func (d *bench) asked(forces ...string) map[string]string {
	d.t.Helper()
	answers := map[string]string{}
	ask := func(args ...string) string {
		d.t.Helper()
		out := d.must(append(args, "--format", "json")...)
		answers[strings.Join(args, " ")] = out
		return out
	}
	ids := regexp.MustCompile(`(?m)^    "id": "([a-z0-9-]+)"`)
	each := func(list string, f func(id string)) {
		for _, m := range ids.FindAllStringSubmatch(list, -1) {
			f(m[1])
		}
	}
	each(ask("shelf"), func(id string) { ask("pot", "events", id) })
	for _, list := range []string{"paint", "product", "shop", "figure", "recipe", "force"} {
		n := 0
		each(ask(list, "list"), func(id string) {
			if n++; n <= 3 {
				ask(list, "show", id)
			}
		})
	}
	ask("offer", "list")
	ask("log")
	ask("estimate", "factors")
	for _, f := range forces {
		ask("force", "show", f)
		ask("log", f)
		ask("estimate", f)
		ask("progress", f)
	}
	return answers
}

// sameAnswers compares what two databases answer.
func sameAnswers(t *testing.T, got, want map[string]string) {
	t.Helper()
	for q, a := range want {
		if got[q] != a {
			is, was := strings.Split(got[q], "\n"), strings.Split(a, "\n")
			for i := range min(len(is), len(was)) {
				if is[i] != was[i] {
					t.Errorf("halfpot %s, line %d: %s, want %s", q, i+1, is[i], was[i])
				}
			}
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d answers, want %d", len(got), len(want))
	}
}

// recordOf is the rows of a saved folder's record, without the list of changes, to which
// a load adds itself.
func recordOf(t *testing.T, folder string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(folder, recordFile))
	if err != nil {
		t.Fatal(err)
	}
	var rows []string
	for _, line := range strings.Split(string(data), "\n") {
		if strings.HasPrefix(line, `{"`) && !strings.HasPrefix(line, `{"change"`) && !strings.HasPrefix(line, `{"halfpot"`) && !strings.HasPrefix(line, `{"rows"`) {
			rows = append(rows, line)
		}
	}
	return strings.Join(rows, "\n")
}

// moveHouse saves, loads in an empty place, and compares all that can be asked, and the
// folder that is saved from there.
func (d *bench) moveHouse(forces ...string) {
	d.t.Helper()
	t := d.t
	folder := filepath.Join(t.TempDir(), "copy")
	d.must("save", folder)
	new := newBench(t)
	new.now = d.now
	new.must("load", folder)
	sameAnswers(t, new.asked(forces...), d.asked(forces...))
	if out := new.must("load", folder); !strings.Contains(out, "Nothing has changed") {
		t.Errorf("a second load says\n%s", out)
	}
	if out := d.must("load", folder); !strings.Contains(out, "Nothing has changed") {
		t.Errorf("loaded where it came from, it says\n%s", out)
	}
	again := filepath.Join(t.TempDir(), "again")
	new.must("save", again)
	if got, want := recordOf(t, again), recordOf(t, folder); got != want {
		t.Error("the record saved from the new place is another")
	}
	for _, name := range savedNames() {
		a, errA := os.ReadFile(filepath.Join(folder, name))
		b, errB := os.ReadFile(filepath.Join(again, name))
		if name != recordFile && (!bytes.Equal(a, b) || os.IsNotExist(errA) != os.IsNotExist(errB)) {
			t.Errorf("%s is another", name)
		}
	}
}

func demoFolder(t *testing.T) string {
	folder := filepath.Join(t.TempDir(), "demo")
	if err := os.CopyFS(folder, testdata.Demo()); err != nil {
		t.Fatal(err)
	}
	if _, err := fs.Stat(testdata.Demo(), "pots.csv"); err != nil {
		t.Fatal(err)
	}
	return folder
}

// Two weeks of a painter's life on the demo's desk, with slips put right, move house whole.
func TestTwoWeeksMoveHouse(t *testing.T) {
	if testing.Short() {
		t.Skip("loads and asks a good many times; runs without -short")
	}
	t.Parallel()
	day := time.Date(2026, 3, 9, 19, 0, 0, 0, time.UTC)
	d := newBench(t)
	d.now = func() time.Time { return day }
	d.must("load", demoFolder(t))
	f := testdata.DemoForce
	for _, args := range [][]string{
		{"log", f, "first-section", "prime", "dry-brush", "--figures", "6"},
		{"log", f, "first-section", "skin", "--figures", "6", "--note", "a \"warm\" evening ✓"},
		{"pot", "judge", "parade-tusk-ground", "half"},
		{"estimate", "factors", "--pin", "wash=1.3"},
		{"log", f, "second-section", "prime", "--at", "2026-03-08"},
		{"log", "--undo", "job-2"},
		{"schedule", f, "--evenings", "Tue Thu 19:00-21:30", "--keep"},
		{"pot", "spill", "parade-ash-ground", "10 ml"},
		{"pot", "correct", "parade-ash-ground", "last"},
		{"estimate", "factors", "--reset", "wash"},
		{"add", "paint", "Late Bought", "--type", "base"},
		{"add", "pot", "late-bought", "--size", "17ml"},
		{"pot", "weigh", "late-bought", "31.4g", "--tare", "14.2g"},
		{"log", f, "first-section", "jacket", "--figures", "4", "--minutes", "50"},
	} {
		day = day.Add(23 * time.Hour)
		if i := slices.Index(args, "last"); i >= 0 {
			args[i] = fmt.Sprint(d.number("select max(id) from halfpot.pot_event"))
		}
		if status, out, errs := d.try(args...); status != 0 {
			t.Errorf("halfpot %s: status %d\n%s%s", strings.Join(args, " "), status, out, errs)
		}
	}
	d.moveHouse(f)
}

// A desk on which ten thousand things happened moves house whole.
func TestBusyDeskMovesHouse(t *testing.T) {
	pots, events := 20, 25
	if os.Getenv("HALFPOT_LONG") != "" {
		pots, events = 200, 50
	} else if testing.Short() {
		t.Skip("a long desk; runs without -short")
	}
	t.Parallel()
	var paints, list, happened strings.Builder
	paints.WriteString("id,name,type\n")
	list.WriteString("id,paint,size\n")
	happened.WriteString("pot,number,kind,at,volume,fraction,gross,tare,undoes,note\n")
	start := time.Date(2024, 1, 1, 18, 0, 0, 0, time.UTC)
	for p := range pots {
		fmt.Fprintf(&paints, "paint-%d,Paint %d,base\n", p, p)
		fmt.Fprintf(&list, "pot-%d,paint-%d,17 ml\n", p, p)
		for e := range events {
			at := start.AddDate(0, 0, 10*e+p%7)
			row := map[int]string{
				0: "used,%s,0.15 ml,,,,,", 1: "judged,%s,,0.8,,,,by eye", 2: "thinned,%s,0.1 ml,,,,,", 3: "weighed,%s,,,30 g,12 g,,"}[e%4]
			when := at.Format(time.DateOnly)
			if e%3 == 0 {
				when = at.Add(time.Duration(p) * time.Microsecond).Format(time.RFC3339Nano)
			}
			switch {
			case e == 0:
				row = "bought,%s,,,,,,"
			case e%11 == 10:
				row = fmt.Sprintf("corrected,%%s,,,,,%d,a slip", e) // number e is the event before
			}
			fmt.Fprintf(&happened, "pot-%d,%d,"+row+"\n", p, e+1, when)
		}
	}
	folder := t.TempDir()
	for name, text := range map[string]string{"paints.csv": paints.String(), "pots.csv": list.String(), "pot-events.csv": happened.String()} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	now := time.Date(2026, 3, 9, 19, 0, 0, 0, time.UTC)
	d := newBench(t)
	d.now = func() time.Time { return now }
	d.must("load", folder)
	if n := d.number("select count(*) from halfpot.pot_event"); n != pots*events {
		t.Errorf("%d events, want %d", n, pots*events)
	}
	d.moveHouse()
}

func TestSaveLeavesOtherFoldersAlone(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	d.must("add", "paint", "Pale Bone", "--type", "base")
	folder := t.TempDir()
	letter := filepath.Join(folder, "letter.txt")
	if err := os.WriteFile(letter, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"save", folder}, {"save", folder, "--over"}} {
		d.refuses("holds other files (letter.txt); nothing was written", args...)
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 1 {
		t.Errorf("written into a folder of others: %v", entries)
	}
	copied := filepath.Join(folder, "new", "copy")
	d.must("save", copied)
	d.refuses("is there already", "save", copied)
	// An older copy's files that this one does not have would come back with a load.
	stale := filepath.Join(copied, "pots.csv")
	if err := os.WriteFile(stale, []byte("id,paint,size\nold,pale-bone,17 ml\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	d.must("save", copied, "--over")
	if _, err := os.Stat(stale); !os.IsNotExist(err) {
		t.Error("a file of the older copy stayed")
	}
	d.refuses("two records", "load", copied, filepath.Join(copied, recordFile))
	d.refuses("without files to load", "load", filepath.Join(folder, "new"))
	if out := d.must("load", filepath.Join(copied, "paints.csv")); !strings.Contains(out, "which was not loaded") {
		t.Errorf("nothing says that the record was left:\n%s", out)
	}
}
