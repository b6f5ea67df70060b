package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfpot/sql/server/servertest"
)

// The demo acts only on what it has made: a home that holds real data, or a folder
// of files that is not its own, is refused before a byte is written.
func TestDemoTouchesOnlyItsOwn(t *testing.T) {
	if testing.Short() {
		t.Skip("makes private clusters; runs without -short")
	}
	home := servertest.MadeHome(t)
	d := newBench(t)
	d.url = ""
	own := []string{"--home", home}
	with := func(args ...string) []string { return append(append([]string{}, own...), args...) }
	d.must(with("add", "paint", "Bone", "--type", "base")...)
	for _, flag := range []string{"", "--fresh", "--clear"} {
		args := with("demo")
		if flag != "" {
			args = append(args, flag)
		}
		d.refuses("nothing was touched", args...)
		d.refuses("nothing was touched", append(args, "--demo")...)
	}
	if _, err := os.Stat(filepath.Join(home, "files")); err == nil {
		t.Error("files were written into a real home")
	}
	if out := d.must(with("paint", "list", "--format", "csv")...); !strings.Contains(out, "bone") {
		t.Errorf("the paint is gone: %s", out)
	}

	home = servertest.MadeHome(t)
	own = []string{"--home", home}
	mine := filepath.Join(home, "files", "letter.txt")
	if err := os.MkdirAll(filepath.Dir(mine), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(mine, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	d.refuses("not the demo's", with("demo")...)
	d.must(with("demo", "--clear")...)
	if err := os.Rename(mine, filepath.Join(home, "letter.txt")); err != nil {
		t.Fatal(err)
	}
	d.must(with("demo")...)
	kept := filepath.Join(home, "files", "notes.txt")
	if err := os.WriteFile(kept, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	d.must(with("pot", "judge", "parade-tusk-ground", "half")...)
	copied := filepath.Join(t.TempDir(), "copy")
	d.must(with("save", copied)...)
	files, _ := filepath.Glob(filepath.Join(copied, "*"))
	if out := d.must(with(append([]string{"load"}, files...)...)...); !strings.Contains(out,
		"Nothing has changed") {
		t.Errorf("the demo's own copy: %s", out)
	}
	d.must(with("add", "paint", "Bone", "--type", "base", "--id", "my-bone")...)
	d.refuses("now holds your own data too (my-bone)", with("demo", "--clear")...)

	home = servertest.MadeHome(t)
	own = []string{"--home", home}
	d.must(with("demo")...)
	for _, name := range []string{"files/notes.txt", "letter.txt"} {
		if err := os.WriteFile(filepath.Join(home, name), []byte("mine"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	d.must(with("demo", "--clear")...)
	left, _ := filepath.Glob(filepath.Join(home, "*"))
	inFiles, _ := filepath.Glob(filepath.Join(home, "files", "*"))
	if len(inFiles) != 1 || strings.Contains(strings.Join(left, " "), "database") {
		t.Errorf("left: %v %v", left, inFiles)
	}
}
