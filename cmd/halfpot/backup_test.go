package main

import (
	"strings"
	"testing"

	"halfpot/sql/server/servertest"
)

// Going back to a copy, and from there to what was before, on a private cluster where
// commands have a role of their own.
func TestBackupAndBack(t *testing.T) {
	if testing.Short() {
		t.Skip("makes a private cluster; runs without -short")
	}
	d := newBench(t)
	home := servertest.MadeHome(t)
	d.url = ""
	must := func(args ...string) string { return d.must(append([]string{"--home", home}, args...)...) }
	if out := must("backup", "list"); !strings.Contains(out, "no backup yet") {
		t.Errorf("at first: %s", out)
	}
	d.refuses("no backup to go back to", "--home", home, "backup", "restore")
	must("add", "paint", "Bone", "--type", "base")
	must("add", "pot", "bone", "--size", "17ml")
	early := must("shelf", "--format", "json")
	must("backup", "make")
	must("pot", "judge", "bone", "half")
	late := must("shelf", "--format", "json")
	must("backup", "restore")
	if got := must("shelf", "--format", "json"); got != early {
		t.Errorf("after going back\n%s\nwant\n%s", got, early)
	}
	must("pot", "judge", "bone", "1/3")
	d.refuses("there is no backup", "--home", home, "backup", "restore", "1999")
	list := must("backup", "list", "--format", "csv")
	if !strings.Contains(list, "by hand") || !strings.Contains(list, "before going back") {
		t.Errorf("listed are\n%s", list)
	}
	name := "" // the copy of what there was before going back
	for line := range strings.Lines(list) {
		if strings.Contains(line, "before going back") {
			name = line
		}
	}
	must("backup", "restore", strings.Trim(strings.Split(name, ",")[0], `"`))
	if got := must("shelf", "--format", "json"); got != late {
		t.Errorf("after going back from there\n%s\nwant\n%s", got, late)
	}
}
