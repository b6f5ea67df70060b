package textfile

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/uuid"

	"halfpot/inventory"
	"halfpot/testdata"
)

// Short texts that would take a reader minutes or gigabytes are refused by what
// they hold, with the place.
func TestBombsAreRefused(t *testing.T) {
	times := func(n int, f func(i int) string) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(f(i))
		}
		return b.String()
	}
	for _, c := range []struct{ name, text, says string }{
		{"dotted.toml", strings.Repeat("a.", 500) + "a = 1\n", "1:32: found a key of more than 16 parts"},
		{"dotted-often.toml",
			times(80_000, func(i int) string { return fmt.Sprintf("a.b.c.k%d = 1\n", i) }),
			"too many keys that belong together"},
		{"keys.toml", times(150_000, func(i int) string { return fmt.Sprintf("k%d=1\n", i) }),
			"too many keys that belong together"},
		{"tables.toml", times(100_000, func(i int) string { return fmt.Sprintf("[a.b%d]\n", i) }),
			"too many keys that belong together"},
		{"deep.toml", "a = " + strings.Repeat("[", 100_000) + strings.Repeat("]", 100_000),
			"1:21: found brackets more than 16 deep"},
		{"deep-tables.toml", "a = " + strings.Repeat("{a=", 100_000), "brackets more than 16 deep"},
		{"values.toml", "a = [" + strings.Repeat("1,", 100_000) + "]", "more than 20000 values in one list"},
		{"long.toml",
			"[" + strings.Repeat("a", 1_000_000) + "]\n" +
				times(1000, func(i int) string { return fmt.Sprintf("k%d = 1\n", i) }),
			"keys that are too long"},
		{"long-list.toml",
			"[" + strings.Repeat("a", 1_000_000) + "]\nk = [" + strings.Repeat("{a=1},", 15_000) + "]\n",
			"keys that are too long"},
		{"commas.csv", strings.Repeat(",", 5_000_000), "1: found more than 200 fields in one row"},
		{"commas-later.csv", "name,type\n\"a\nb\",wash\nx\"y,wash\n" + strings.Repeat(",", 5_000_000),
			"5: found more than 200 fields in one row"},
		{"rows.csv",
			"name,type\n" + times(110_000, func(i int) string { return fmt.Sprintf("p%d,wash\n", i) }),
			"more than 100000 rows"},
		{"large.toml", "# " + strings.Repeat("x", MaxTOMLBytes), "found a file of 3 MB, expected at most 2 MB"},
	} {
		_, err := Read(Options{Now: now}, Source{c.name, strings.NewReader(c.text), int64(len(c.text))})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %.300v, want %q", c.name, err, c.says)
		}
	}
}

// What looks like a bomb to a reader of bytes but is none: text, comments, and
// many small tables.
func TestNoBombs(t *testing.T) {
	dots, brackets := strings.Repeat(".", 40), strings.Repeat("[{", 40)
	var text strings.Builder
	fmt.Fprintf(&text, "# %s%s\n[[paints]]\nname = \"a%s%s\\\"%s\"\ntype = 'wash'\n",
		dots, brackets, dots, brackets, dots)
	fmt.Fprintf(&text, "[[paints]]\nname = '''b%s%s'''\nmaker = \"\"\"%s\"\"\"\ntype = 'wash'\n",
		dots, brackets, brackets)
	for i := range 20_000 {
		fmt.Fprintf(&text, "[[paints]]\nid = 'p%d'\nname = 'P %d'\ntype = 'wash'\n", i, i)
	}
	b, err := Read(Options{Now: now}, Source{"paints.toml", strings.NewReader(text.String()), -1})
	if err != nil || len(b.Catalogue.Paints) != 20_002 {
		t.Fatalf("%.300v", err)
	}
}

// Names are looked for only where a slip is shown: of thousands, fifty.
func TestNearestOnlyWhereShown(t *testing.T) {
	asked := 0
	var faults inventory.Faults
	var slips Slips
	for range 3000 {
		near := func() []string { asked++; return []string{"bone"} }
		faults = append(faults, inventory.Fault{Path: "p", Found: "x", Expected: "y", Nearest: near})
		slips = append(slips, Slip{File: "f", Found: "x", Expected: "y", Nearest: near})
	}
	for _, err := range []error{faults, slips} {
		asked = 0
		text := err.Error()
		if asked != MaxShown || !strings.HasSuffix(text, "\nand 2950 more") ||
			strings.Count(text, "; nearest: bone\n") != MaxShown {
			t.Errorf("%T: looked %d times, %d lines", err, asked, strings.Count(text, "\n")+1)
		}
	}
}

// Slips that are not kept are counted all the same.
func TestSlipsBeyondAreCounted(t *testing.T) {
	text := "name,type\n" + strings.Repeat(",wash\n", 5000)
	b, err := Read(Options{Now: now}, Source{"paints.csv", strings.NewReader(text), -1})
	if err == nil || !strings.HasSuffix(err.Error(), "\nand 4950 more") {
		t.Errorf("%.2000v", err)
	}
	if _, err := b.Check(inventory.Catalogue{}); err == nil ||
		!strings.HasSuffix(err.Error(), "\nand 4950 more") {
		t.Errorf("checked: %.2000v", err)
	}
}

// Good files with bytes changed, cut, doubled and put elsewhere: the answer is a
// bundle that is valid or slips with a place, never a panic.
func TestMutatedFiles(t *testing.T) {
	rounds := 300
	if os.Getenv("HALFPOT_LONG") != "" {
		rounds = 10_000
	}
	names := testdata.DemoFiles()
	r := rand.New(rand.NewPCG(15, 13))
	refused := 0
	for range rounds {
		name := names[r.IntN(len(names))]
		data, err := fs.ReadFile(testdata.Demo(), name)
		if err != nil {
			t.Fatal(err)
		}
		for range 1 + r.IntN(4) {
			data = mutated(r, data)
		}
		b, err := ReadFS(Options{Now: now},
			fstest.MapFS{"x" + name[strings.LastIndexByte(name, '.'):]: {Data: data}},
			"x"+name[strings.LastIndexByte(name, '.'):])
		if b == nil {
			t.Fatalf("%s: no batch: %v", name, err)
		}
		if _, err := b.Check(inventory.Catalogue{}); err != nil {
			refused++
			_ = err.Error()
		}
	}
	t.Logf("%d of %d mutated files were refused", refused, rounds)
}

func mutated(r *rand.Rand, data []byte) []byte {
	if len(data) == 0 {
		return data
	}
	d := append([]byte(nil), data...)
	i, j := r.IntN(len(d)), r.IntN(len(d))
	i, j = min(i, j), max(i, j)
	switch r.IntN(5) {
	case 0:
		d[i] = byte(r.IntN(256))
	case 1:
		d[i] = ",\"'[]{}=.#\n\r-0"[r.IntN(14)]
	case 2:
		return d[:i]
	case 3:
		return append(d[:i], d[j:]...)
	case 4:
		return append(append(append([]byte(nil), d[:j]...), data[i:j]...), data[j:]...)
	}
	return d
}

// A copy of a big desk stays far below what a file may hold, so that an own copy
// always loads: 3,000 pots with 10,000 events, 120 recipes of 20 steps.
func TestOwnCopyHasRoom(t *testing.T) {
	var c inventory.Catalogue
	c.Paints = []inventory.Paint{{
		ID:   "a-paint-with-quite-a-long-name",
		Name: "A paint",
		Type: inventory.PaintTypes()[0],
	}}
	var pots []inventory.Pot
	half := 0.123456789012345
	for i := range 3000 {
		p := inventory.Pot{
			ID:        fmt.Sprintf("a-paint-with-quite-a-long-name-%d", i),
			Paint:     c.Paints[0].ID,
			Nominal:   17000,
			Place:     "the second drawer from the top",
			TareGrams: 14.2,
		}
		for j := range 10_000/3000 + 1 {
			p.Events = append(p.Events, inventory.PotEvent{
				ID:       int64(j + 1),
				Kind:     inventory.Judged,
				At:       now,
				Fraction: &half,
				Key:      uuid.New(),
				Note:     "looked at it in the evening light, by eye",
			})
		}
		pots = append(pots, p)
	}
	for i := range 120 {
		r := inventory.Recipe{ID: fmt.Sprintf("recipe-%d", i), Name: "A recipe with a name"}
		for j := range 20 {
			r.Steps = append(r.Steps, inventory.Step{
				ID:      fmt.Sprintf("step-%d", j),
				Name:    "A step with a name",
				Regions: inventory.RegionSet{Names: []string{"jacket", "trousers", "webbing"}},
				Mix:     inventory.Mix{{Paint: c.Paints[0].ID, Parts: 1}},
				Coats:   2,
				Alternatives: []inventory.Alternative{{
					Mix:        inventory.Mix{{Paint: c.Paints[0].ID, Parts: 2}},
					Compromise: 3,
				}},
			})
		}
		c.Recipes = append(c.Recipes, r)
	}
	for _, f := range []struct {
		name  string
		most  int
		write func(w *strings.Builder) error
	}{
		{"pots.csv", MaxCSVBytes, func(w *strings.Builder) error { return WritePots(w, pots, c.Index()) }},
		{"pot-events.csv", MaxCSVBytes, func(w *strings.Builder) error { return WritePotEvents(w, pots) }},
		{"plans.toml", MaxTOMLBytes, func(w *strings.Builder) error {
			return WriteTOML(w, inventory.Catalogue{Recipes: c.Recipes}, nil)
		}},
	} {
		var w strings.Builder
		if err := f.write(&w); err != nil {
			t.Fatal(err)
		}
		text := w.String()
		t.Logf("%s: %d bytes, %d lines of at most %d bytes",
			f.name, len(text), strings.Count(text, "\n"), f.most)
		if len(text)*3 > f.most || strings.Count(text, "\n")*3 > MaxRows && f.most == MaxCSVBytes {
			t.Errorf("%s: %d bytes, %d lines: less than threefold room",
				f.name, len(text), strings.Count(text, "\n"))
		}
		if f.name == "plans.toml" {
			if _, err := Read(Options{Now: now}, Source{
				f.name,
				strings.NewReader(text),
				int64(len(text)),
			}); err != nil {
				t.Errorf("%s does not load again: %.300v", f.name, err)
			}
		}
	}
}
