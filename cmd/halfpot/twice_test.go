package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// answer runs a command at a terminal and gives an answer to what it asks.
func (d *bench) answer(said string, args ...string) (status int, asked string) {
	var o, e bytes.Buffer
	s := streams{
		in:      strings.NewReader(said + "\n"),
		inTerm:  true,
		errTerm: true,
		out:     &o,
		err:     &e,
		self:    "halfpot",
		env: func(name string) string {
			if name == "XDG_DATA_HOME" {
				return d.home
			}
			return ""
		},
	}
	status = run(context.Background(), append([]string{"--database", d.url}, args...), s, d.now)
	return status, e.String()
}

func (d *bench) write(file, text string) {
	d.t.Helper()
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		d.t.Fatal(err)
	}
}

// What is there already by all but its id is asked about at a terminal and refused
// in a pipe, with the ways out.
func TestAddedTwice(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	d.must("add", "paint", "Pale Bone", "--type", "base", "--maker", "Oskelund")
	d.refuses("such a paint already: pale-bone", "add", "paint", "pale  bone", "--type", "base")
	d.must("add", "paint", "Pale Bone", "--type", "base", "--maker", "Another")
	file := filepath.Join(t.TempDir(), "paints.csv")
	d.write(file, "maker,name,type\nAnother,Verdigris,base\nAnother,Pale Bone,base\n")
	d.refuses(file+":3:9: name: found \"Pale Bone\" without an id, expected id pale-bone-2", "load", file)
	if n := d.number("select count(*) from halfpot.paint"); n != 2 {
		t.Errorf("%d paints after a load that was refused, want 2", n)
	}
	d.must("add", "pot", "pale-bone", "--size", "17ml")
	d.refuses("--again", "add", "pot", "pale-bone", "--size", "17ml")
	if status, asked := d.answer("n", "add", "pot", "pale-bone", "--size", "17ml"); status != exitBadInput || !strings.Contains(asked, "Add another? (y/n)") {
		t.Errorf("status %d, asked %q", status, asked)
	}
	if status, asked := d.answer("y", "add", "pot", "pale-bone", "--size", "17ml"); status != exitDone {
		t.Errorf("status %d, asked %q", status, asked)
	}
	d.must("add", "pot", "pale-bone", "--size", "17ml", "--again")
	d.must("add", "pot", "pale-bone", "--size", "12ml") // another size
	if n := d.number("select count(*) from halfpot.pot"); n != 4 {
		t.Errorf("%d pots, want 4", n)
	}
	d.must("add", "shop", "Ferry Lane", "--currency", "EUR")
	d.refuses("such a shop already", "add", "shop", "ferry lane", "--currency", "EUR")
	d.must("add", "product", "Bone 17", "--holds", "pale-bone 17ml")
	d.refuses("such a product already: bone-17", "add", "product", "Other name", "--holds", "pale-bone 17ml")
	d.must("add", "offer", "bone-17", "ferry", "3.20", "--in-stock", "2")
	if out := d.must("add", "offer", "bone-17", "ferry", "3.20"); !strings.Contains(out, "as before") {
		t.Error(out)
	}
	if d.number("select stock_limit from halfpot.offer") != 2 {
		t.Error("what the shop has was forgotten")
	}
}

// A paint or a pot entered twice becomes one, everywhere and in the log, and a
// backup from before can be gone back to.
func TestMerge(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	d.home = t.TempDir()
	d.must(append([]string{"load"}, smallSet(t)...)...)
	d.must("add", "paint", "Soot Wash Again", "--type", "wash")
	d.must("add", "pot", "soot-wash-again", "--size", "17ml", "--id", "other", "--level", "half")
	d.must("add", "stand-in", "soot-wash", "soot-wash-again", "--points", "1")
	d.must("add", "paint", "Ruddle", "--type", "wash", "--colour", "#a03020", "--maker", "Aldermoor")
	d.must("add", "paint", "Verdigris", "--type", "wash", "--colour", "#20a060")
	d.must("estimate", "factors", "--pin", "ruddle=1.4")
	d.refuses("of one type", "merge", "paint", "chalk-white", "soot-wash")
	d.refuses("add --even-so", "merge", "paint", "ruddle", "verdigris")
	if out := d.must("backup", "list"); !strings.Contains(out, "no backup yet") {
		t.Errorf("a merge that was refused left a backup:\n%s", out)
	}
	d.must("merge", "paint", "aldermoor-ruddle", "verdigris", "--even-so")
	if out := d.must("estimate", "factors", "--format", "csv"); !strings.Contains(out, "paint,verdigris,1.4") {
		t.Errorf("the factor that was pinned is gone:\n%s", out)
	}
	d.refuses("the same id twice", "merge", "paint", "soot-wash", "soot-wash")
	if out := d.must("merge", "paint", "soot-wash-again", "soot-wash"); !strings.Contains(out,
		"The backup made before") {
		t.Error(out)
	}
	for what, sql := range map[string]string{
		"the paint": "select count(*) from halfpot.paint where id = 'soot-wash-again'",
		"the stand-in": "select count(*) from halfpot.stand_in where use = 'soot-wash-again' or " +
			"use = asked",
		"a pot of the gone": "select count(*) from halfpot.pot where paint = 'soot-wash-again'",
	} {
		if d.number(sql) != 0 {
			t.Errorf("%s is still there", what)
		}
	}
	// A file that still names it means the other.
	d.must("load", d.file("pots.csv", "id,paint,size\nthird,soot-wash-again,17 ml\n"))
	d.must("add", "pot", "soot-wash", "--size", "12ml", "--id", "small")
	d.refuses("found a pot of 12 ml, expected one of 17 ml", "merge", "pot", "small", "third")
	d.must("pot", "use", "third", "2ml")
	d.must("merge", "pot", "third", "other")
	if out := d.must("pot", "events", "other", "--format", "csv"); !strings.Contains(out, "used") ||
		!strings.Contains(out, "judged") {
		t.Error(out)
	}
	if out := d.must("shelf", "--format", "csv"); strings.Contains(out, "third") {
		t.Errorf("the entry that went is still on the shelf:\n%s", out)
	}
	d.refuses("taken back already", "merge", "pot", "third", "other")
}

// What files held before and no longer do is named, kept, and with --retire taken away.
func TestLoadLeavesOut(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	d.home = t.TempDir()
	d.must(append([]string{"load"}, smallSet(t)...)...)
	d.must("add", "paint", "Lone", "--type", "base") // of no maker: no file of others speaks of it
	d.must("add", "shop", "Closed Down", "--currency", "EUR")
	var shops string
	for _, f := range smallSet(t) {
		if filepath.Base(f) == "shops.csv" {
			shops = f
		}
	}
	out := d.must("load", shops)
	if !strings.Contains(out, "No longer in these files, and kept: 1 shop (closed-down)") {
		t.Error(out)
	}
	if out := d.must("load", shops, "--retire"); !strings.Contains(out,
		"taken away or retired: 1 shop (closed-down)") || !strings.Contains(out, "backup") {
		t.Error(out)
	}
	if d.number("select count(*) from halfpot.shop where id = 'closed-down'") != 0 {
		t.Error("the shop is still there")
	}
	if out := d.must("load", shops, "--retire"); strings.Contains(out, "No longer") {
		t.Error(out)
	}
}

// A unit that was painted on is retired: nothing is planned for it, and its log stays.
func TestRemoveUnit(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	d.must(append([]string{"load"}, smallSet(t)...)...)
	d.must("load", d.file("force.toml", `[[forces]]
id = "pair"
name = "Pair"
[[forces.units]]
id = "one"
figures = 2
figure = "rifleman"
recipe = "moss-uniform"
[[forces.units]]
id = "two"
figures = 3
figure = "rifleman"
recipe = "moss-uniform"
[[forces.units]]
id = "three"
figures = 4
figure = "rifleman"
recipe = "moss-uniform"
`))
	d.must("remove", "unit", "pair", "one")
	if d.number("select count(*) from halfpot.unit where force = 'pair'") != 2 {
		t.Error("the unit is still there, or more is gone")
	}
	d.must("log", "pair", "two", "1")
	if out := d.must("remove", "unit", "pair", "two"); !strings.Contains(out, "retired") {
		t.Error(out)
	}
	d.refuses("is all there is of", "remove", "unit", "pair", "three")
	if out := d.must("force", "show", "pair"); strings.Contains(out, "two") ||
		!strings.Contains(out, "4 figures in 1 unit") {
		t.Error(out)
	}
	if out := d.must("log", "pair"); !strings.Contains(out, "two") {
		t.Errorf("its log is gone:\n%s", out)
	}
	d.must("remove", "unit", "pair", "two", "--back")
	if out := d.must("force", "show", "pair"); !strings.Contains(out, "two") {
		t.Errorf("it did not come back:\n%s", out)
	}
}
