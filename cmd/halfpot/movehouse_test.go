package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"halfpot/testdata"
)

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
func (d *bench) moveHouse() {
	d.t.Helper()
	t := d.t
	folder := filepath.Join(t.TempDir(), "copy")
	d.must("save", folder)
	new := newBench(t)
	new.now = d.now
	new.must("load", folder)
	if out := new.must("load", folder); !strings.Contains(out, "Nothing has changed") {
		t.Errorf("a second load says\n%s", out)
	}
	if out := d.must("load", folder); !strings.Contains(out, "Nothing has changed") {
		t.Errorf("loaded where it came from, it says\n%s", out)
	}
	again := filepath.Join(t.TempDir(), "again")
	new.must("save", again)
	if got, want := recordOf(t, again), recordOf(t, folder); got != want {
		t.Errorf("the record saved from the new place is another: %s", firstDifference(want, got))
	}
	for _, name := range savedNames() {
		a, errA := os.ReadFile(filepath.Join(folder, name))
		b, errB := os.ReadFile(filepath.Join(again, name))
		if name != recordFile && (!bytes.Equal(a, b) || os.IsNotExist(errA) != os.IsNotExist(errB)) {
			t.Errorf("%s is another", name)
		}
	}
	// Asked last: a sheet that is shown is kept, so that its steps can be ticked off.
	sameAnswers(t, new.asked(), d.asked())
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

// twoWeeks are two weeks of a painter's life on the demo's desk, with slips put right,
// and what goes on after them.
func (d *bench) twoWeeks() {
	t := d.t
	t.Helper()
	day := d.now()
	d.now = func() time.Time { return day }
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
		{"order", "place", "pellam-quay", "2", "gauzecoat-hip-berry-18-ml", "gauzecoat-rain-butt-18-ml",
			"--force", f},
		{"order", "receive", "1", "gauzecoat-hip-berry-18-ml", "--place", "top drawer"},
		{"order", "change", "1", "--delivery", "1.50", "--note", "a slip of the shop's"},
		{"order", "call-off", "1", "gauzecoat-rain-butt-18-ml"},
		{"add", "pot", "matt seal", "--size", "60ml", "--id", "seal-again", "--level", "2/3"},
		{"merge", "pot", "seal-again", "parade-matt-seal"},
		{"add", "paint", "Late Baught", "--type", "base"},
		{"merge", "paint", "late-baught", "late-bought"},
		{"remove", "paint", "late-bought"},
	} {
		day = day.Add(23 * time.Hour)
		if i := slices.Index(args, "last"); i >= 0 {
			args[i] = fmt.Sprint(d.number("select max(id) from halfpot.pot_event"))
		}
		if status, out, errs := d.try(args...); status != 0 {
			t.Errorf("halfpot %s: status %d\n%s%s", strings.Join(args, " "), status, out, errs)
		}
	}
}

// A desk on which ten thousand things happened, and a painter's two weeks, moves house
// whole: in the long dose each is asked all by itself as well.
func TestBusyDeskMovesHouse(t *testing.T) {
	pots, events := 20, 25
	long := os.Getenv("HALFPOT_LONG") != ""
	if long {
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
				0: "used,%s,0.15 ml,,,,,",
				1: "judged,%s,,0.8,,,,by eye",
				2: "thinned,%s,0.1 ml,,,,,",
				3: "weighed,%s,,,30 g,12 g,,"}[e%4]
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
	for name, text := range map[string]string{
		"paints.csv":     paints.String(),
		"pots.csv":       list.String(),
		"pot-events.csv": happened.String(),
	} {
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
	d.must("load", demoFolder(t))
	d.twoWeeks()
	if long {
		d.moveHouse()
	}
	d.keepBusy(pots)
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
	if out := d.must("load", filepath.Join(copied, "paints.csv")); !strings.Contains(out,
		"which was not loaded") {
		t.Errorf("nothing says that the record was left:\n%s", out)
	}
}

// keepBusy does all that leaves a trace besides events of pots: work logged and taken
// back, orders in every state, things merged and retired, factors pinned, settings.
func (d *bench) keepBusy(times int) {
	d.t.Helper()
	f := testdata.DemoForce
	orders, jobs := d.number("select count(*) from halfpot.shop_order"), d.number("select count(*) from halfpot.job")
	for i := range times / 10 {
		d.must("order", "place", "pellam-quay", "4", "gauzecoat-hip-berry-18-ml",
			"gauzecoat-rain-butt-18-ml", "--again", "--force", f)
		order := fmt.Sprintf("order-%d", orders+i+1)
		d.must("order", "receive", order, "2", "gauzecoat-hip-berry-18-ml")
		d.must("order", "receive", order, "gauzecoat-coal-scuttle-18-ml", "--instead",
			"gauzecoat-rain-butt-18-ml")
		if i%2 == 0 {
			d.must("order", "call-off", order)
			d.must("order", "change", order, "--delivery", fmt.Sprint(i), "--note", "put right")
		}
		d.must("log", f, "staff", "skin", "--figures", "1", "--minutes", "20", "--at",
			fmt.Sprintf("2026-02-%02d", i+1))
		d.must("log", "--undo", fmt.Sprintf("job-%d", jobs+2*i+1))
	}
	d.must("log", f, "staff", "coat", "--figures", "2")
	d.must("log", f, "staff", "straps", "--same", "--with", "straps=hearth-flax-bale")
	for p := range times / 10 {
		d.must("remove", "paint", fmt.Sprintf("paint-%d", p))
	}
	last := times - 1
	d.must("merge", "paint", fmt.Sprintf("paint-%d", last), fmt.Sprintf("paint-%d", last-1))
	d.must("merge", "pot", fmt.Sprintf("pot-%d", last), fmt.Sprintf("pot-%d", last-1))
	d.must("remove", "shop", "thrushgate")
	d.must("remove", "unit", f, "mule-battery")
	d.must("estimate", "factors", "--pin", "wash=1.3")
	d.must("estimate", "factors", "--pin", "brush=0.9")
	d.must("estimate", "factors", "--reset", "brush")
	d.must("schedule", f, "--evenings", "Tue Thu 19:00-21:30", "--keep")
}
