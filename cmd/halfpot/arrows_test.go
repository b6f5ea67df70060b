package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// top is the project's folder, seen from here.
var top = filepath.Join("..", "..")

// picture is a drawing of the house: what each room may import.
type picture map[string][]string

// readPicture reads the lines "room/  what lives there  -> rooms" of the first
// fenced block that has any. Two spaces before a room put it into the one above.
func readPicture(t *testing.T, file string) picture {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	_, block, _ := strings.Cut(string(data), "\n```\n")
	block, _, ok := strings.Cut(block, "\n```\n")
	if !ok {
		t.Fatalf("%s: no drawing of the rooms", file)
	}
	arrows := map[string]string{}
	var names []string
	above := ""
	for line := range strings.Lines(block) {
		room, _, _ := strings.Cut(strings.TrimSpace(line), " ")
		if !strings.HasSuffix(room, "/") {
			if _, rest, more := strings.Cut(line, "->"); more && len(names) > 0 { // a line that goes on
				arrows[names[len(names)-1]] = rest
			}
			continue
		}
		room = strings.TrimSuffix(room, "/")
		if strings.HasPrefix(line, " ") {
			room = above + "/" + room
		} else {
			above = room
		}
		_, arrows[room], _ = strings.Cut(line, "->")
		names = append(names, room)
	}
	p := picture{}
	remark := regexp.MustCompile(`\(.*?\)`)
	for room, text := range arrows {
		p[room] = []string{}
		for _, to := range strings.Split(remark.ReplaceAllString(text, ""), ",") {
			to = strings.TrimSpace(to)
			all, below := strings.CutPrefix(to, "all of ")
			switch {
			case to == "" || to == "nothing":
			case to == "any":
				p[room] = append(p[room], names...)
			case below:
				p[room] = append(p[room], slices.DeleteFunc(slices.Clone(names), func(n string) bool {
					return n != all && !strings.HasPrefix(n, all+"/")
				})...)
			default:
				at := slices.IndexFunc(names, func(n string) bool {
					return n == to || path.Base(n) == to && n != room
				})
				if at < 0 {
					t.Errorf("%s: %s has an arrow to %q, which is no room", file, room, to)
					continue
				}
				p[room] = append(p[room], names[at])
			}
		}
	}
	return p
}

// roomOf is the room a folder belongs to: the nearest above with a line.
func (p picture) roomOf(folder string) string {
	for ; folder != "."; folder = path.Dir(folder) {
		if _, ok := p[folder]; ok {
			return folder
		}
	}
	return ""
}

// imported says for each folder of ours which others its files import, those of
// its tests apart.
func imported(t *testing.T) (code, tests map[string][]string) {
	t.Helper()
	code, tests = map[string][]string{}, map[string][]string{}
	err := filepath.WalkDir(top, func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && file != top && strings.HasPrefix(d.Name(), ".") {
			return fs.SkipDir
		}
		if !strings.HasSuffix(file, ".go") {
			return nil
		}
		rel, err := filepath.Rel(top, filepath.Dir(file))
		if err != nil {
			return err
		}
		folder := filepath.ToSlash(rel)
		into := code
		if strings.HasSuffix(file, "_test.go") {
			into = tests
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		into[folder] = append(into[folder], "")
		for _, imp := range parsed.Imports {
			name, err := strconv.Unquote(imp.Path.Value)
			if err != nil {
				return err
			}
			if to, ours := strings.CutPrefix(name, "halfpot/"); ours {
				into[folder] = append(into[folder], to)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return code, tests
}

// DEVELOPERS.md draws the rooms and their arrows: no import without an arrow, no
// arrow without an import, no folder outside the rooms. Tests may reach further:
// they bring rooms together on purpose, and so do folders that only tests import.
func TestImportArrows(t *testing.T) {
	p := readPicture(t, filepath.Join(top, "DEVELOPERS.md"))
	code, _ := imported(t)
	needed := map[string]bool{} // folders that the program itself is made of
	for _, list := range code {
		for _, to := range list {
			needed[to] = true
		}
	}
	used := map[[2]string]bool{}
	lived := map[string]bool{}
	for folder, list := range code {
		room := p.roomOf(folder)
		if room == "" {
			t.Errorf("%s: DEVELOPERS.md has no line for it", folder)
			continue
		}
		lived[room] = true
		if folder != room && !needed[folder] {
			continue // a helper of tests
		}
		for _, to := range list {
			there := p.roomOf(to)
			if there == room || to == "" {
				continue
			}
			if strings.Contains(to, "/internal/") {
				continue // the compiler says who may
			}
			used[[2]string{room, there}] = true
			if !slices.Contains(p[room], there) {
				t.Errorf("%s imports %s: DEVELOPERS.md gives it no arrow to there", folder, to)
			}
			if strings.Contains(folder, "/internal/") {
				t.Errorf("%s imports %s: a helper that several rooms may share imports none", folder, to)
			}
		}
	}
	for room, list := range p {
		if !lived[room] {
			t.Errorf("DEVELOPERS.md has a line for %s, where nothing lives", room)
		}
		for _, to := range list {
			if room != "cmd/halfpot" && !used[[2]string{room, to}] {
				t.Errorf("DEVELOPERS.md has an arrow from %s to %s that no import follows", room, to)
			}
		}
	}
}

// DEVELOPERS.md draws no room and no arrow that the plan of the house, where it
// lies beside the checkout, does not have; what goes beyond it is said here.
func TestPictureKeepsToThePlan(t *testing.T) {
	file := filepath.Join(top, "..", "shared", "design", "architecture.md")
	if _, err := os.Stat(file); err != nil {
		if os.Getenv("HALFPOT_LONG") != "" {
			t.Fatalf("the plan is not here: %v", err)
		}
		t.Skipf("the plan is not here: %v", err)
	}
	plan, ours := readPicture(t, file), readPicture(t, filepath.Join(top, "DEVELOPERS.md"))
	// Stand-ins by colour need nouns and colour arithmetic, and none of the planned
	// rooms may know both.
	plan["inventory/likeness"] = []string{"inventory", "inventory/colour"}
	plan["inventory/desk"] = append(plan["inventory/desk"], "inventory/likeness")
	for room, list := range ours {
		if _, planned := plan[room]; !planned {
			t.Errorf("the plan has no room %s", room)
			continue
		}
		for _, to := range list {
			switch {
			case slices.Contains(plan[room], to), strings.HasPrefix(room, "cmd/"): // the screen shows the values of any room
			case to == "inventory/coverage", to == "inventory/colour": // arithmetic, which the whole trade uses
			case to == "optimize" && slices.Contains(plan[room], "optimize/exact"): // the contract that its solver keeps
			default:
				t.Errorf("the plan has no arrow from %s to %s", room, to)
			}
		}
	}
}
