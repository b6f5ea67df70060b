package main

import (
	"path/filepath"
	"strings"
	"testing"
)

// The common acts take at most 25 keystrokes after "halfpot ", Enter included
// (the bound is the painters' own wish), on the demo's names as they are.
func TestCommonActsTakeFewKeystrokes(t *testing.T) {
	const most = 25
	d := newBench(t)
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "demo", "*.*"))
	if err != nil || len(files) == 0 {
		t.Fatal("the demo's files are missing: ", err)
	}
	d.must(append([]string{"load"}, files...)...)
	for _, act := range []struct{ what, typed string }{
		{"a pot bought", "add pot rain butt"},
		{"a pot judged", "pot judge deep 1/3"},
		{"a pot weighed", "pot weigh saddle 31.4g"},
		{"a step done", "log staff prime"},
		{"several steps done", "log mule prime dry"},
		{"two units at a sitting", "log staff 2 + mule skin"},
		{"a job taken back", "log --undo 2"},
	} {
		if n := len([]rune(act.typed)) + 1; n > most {
			t.Errorf("%s takes %d keystrokes: %q", act.what, n, act.typed)
		}
		d.must(strings.Fields(act.typed)...)
	}
}
