package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// arrows says which rooms of the house a room may import; DEVELOPERS.md has
// the picture. Packages below cmd may import everything.
var arrows = map[string][]string{
	"inventory":                  {"inventory/coverage"},
	"inventory/shelf":            {"inventory", "inventory/coverage"},
	"inventory/estimate":         {"inventory", "inventory/coverage", "inventory/shelf"},
	"inventory/hand":             {"inventory", "inventory/coverage", "inventory/shelf", "inventory/estimate"},
	"inventory/shopping":         {"inventory", "inventory/coverage", "inventory/estimate", "optimize"},
	"inventory/coverage":         {},
	"inventory/internal/fixture": {"inventory"},
	"inventory/colour":           {},
	"inventory/mesh":             {},
	"inventory/desk":             {"inventory", "inventory/coverage", "inventory/shelf", "inventory/estimate", "inventory/hand", "inventory/shopping", "optimize", "optimize/exact"},
	"inventory/textfile":         {"inventory", "inventory/coverage"},
	"inventory/postgres":         {"inventory", "inventory/coverage", "sql"},
	"optimize":                   {"optimize/internal/words"},
	"optimize/problemfile":       {"optimize", "optimize/internal/words", "optimize/internal/whole"},
	"optimize/generate":          {"optimize"},
	"optimize/lp":                {},
	"optimize/setcover":          {"optimize/internal/flat", "optimize/internal/pseudocost", "optimize/internal/whole"},
	"optimize/exact":             {"optimize", "optimize/setcover", "optimize/internal/flat", "optimize/internal/pseudocost", "optimize/internal/whole", "optimize/internal/words"},
	// Helpers of all rooms of the optimiser, and of their tests.
	"optimize/internal/flat":       {},
	"optimize/internal/pseudocost": {},
	"optimize/internal/testkit":    {"optimize", "optimize/generate"},
	"optimize/internal/whole":      {},
	"optimize/internal/words":      {},
	"sql":                          {},
	"sql/server":                   {},
	"sql/server/servertest":        {"sql", "sql/server"},
	"testdata":                     {},

	"inventory/painting":           {"inventory", "inventory/colour", "inventory/coverage", "inventory/estimate", "inventory/painting/timetable"},
	"inventory/painting/timetable": {},
}

// No room may import one that the picture gives it no arrow to. Tests may
// reach further: they bring rooms together on purpose.
func TestImportArrows(t *testing.T) {
	top := filepath.Join("..", "..")
	seen := map[string]bool{}
	err := filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(top, path)
		if err != nil {
			return err
		}
		if d.IsDir() {
			if rel != "." && strings.HasPrefix(d.Name(), ".") || rel == "cmd" || rel == "out" {
				return fs.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(rel, ".go") || strings.HasSuffix(rel, "_test.go") {
			return nil
		}
		room := filepath.ToSlash(filepath.Dir(rel))
		seen[room] = true
		checkArrows(t, path, room)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for room := range arrows {
		if room != "testdata" && !seen[room] {
			t.Errorf("%s: no such room; has the house changed?", room)
		}
	}
}

func checkArrows(t *testing.T, path, room string) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
	if err != nil {
		t.Error(err)
		return
	}
	allowed, known := arrows[room]
	if !known {
		for above := room; !known && strings.Contains(above, "/"); {
			above = above[:strings.LastIndex(above, "/")]
			allowed, known = arrows[above] // a helper package inside a room
		}
		if !known {
			t.Errorf("%s: the room %q is not in the picture", path, room)
			return
		}
	}
	for _, imp := range file.Imports {
		name, err := strconv.Unquote(imp.Path.Value)
		if err != nil {
			t.Error(err)
			continue
		}
		to, ours := strings.CutPrefix(name, "halfpot/")
		if !ours || to == room || strings.HasPrefix(to, room+"/internal") {
			continue
		}
		ok := false
		for _, a := range allowed {
			ok = ok || a == to
		}
		if !ok {
			t.Errorf("%s: %s must not import %s", path, room, to)
		}
	}
}
