package textfile

import (
	"bytes"
	"io/fs"
	"os"
	"strings"
	"testing"

	"halfpot/inventory"
)

// demo reads the files of the demo scenario.
func demo(t *testing.T) (*Bundle, inventory.Catalogue) {
	t.Helper()
	dir := os.DirFS("../../testdata/demo")
	names, err := fs.Glob(dir, "*.*")
	if err != nil || len(names) < 10 {
		t.Fatalf("the demo's files: %v %v", names, err)
	}
	b, err := ReadFS(Options{Now: now}, dir, names...)
	if err != nil {
		t.Fatal(err)
	}
	c, err := b.Check(inventory.Catalogue{})
	if err != nil {
		t.Fatal(err)
	}
	return b, c
}

// The demo is what its page promises.
func TestDemo(t *testing.T) {
	b, c := demo(t)
	sets := 0
	for _, p := range c.Products {
		if p.Set() {
			sets++
		}
	}
	makers := map[string]bool{}
	for _, p := range c.Paints {
		makers[p.Maker] = true
	}
	for _, n := range []struct {
		what      string
		got, want int
	}{
		{"paints", len(c.Paints), 71},
		{"makers", len(makers), 3},
		{"pots", len(b.Pots), 40},
		{"shops", len(c.Shops), 4},
		{"sets", sets, 6},
		{"recipes", len(c.Recipes), 3},
		{"units", len(c.Forces[0].Units), 4},
		{"figure types", len(c.Figures), 4},
	} {
		if n.got != n.want {
			t.Errorf("%d %s, want %d", n.got, n.what, n.want)
		}
	}
	kinds := map[inventory.EventKind]bool{}
	for _, p := range b.Pots {
		for _, e := range p.Events {
			kinds[e.Kind] = true
		}
	}
	for _, k := range inventory.EventKinds() {
		if !kinds[k] {
			t.Errorf("no pot was ever %s", k)
		}
	}
	for _, u := range c.Forces[0].Units {
		if u.Figures < 6 || u.Figures > 12 {
			t.Errorf("unit %s has %d figures, want 6 to 12", u.ID, u.Figures)
		}
	}
	mixes := 0
	for _, r := range c.Recipes {
		alternatives := 0
		for _, s := range r.Steps {
			alternatives += len(s.Alternatives)
			if len(s.Mix) == 2 && s.Mix[0].Parts == 2 && s.Mix[1].Parts == 1 {
				mixes++
			}
		}
		if alternatives == 0 {
			t.Errorf("recipe %s has no alternatives", r.ID)
		}
	}
	if mixes == 0 {
		t.Error("no recipe asks for a mix of 2 to 1")
	}
}

func TestDemoIsMarkedInvented(t *testing.T) {
	dir := os.DirFS("../../testdata/demo")
	names, err := fs.Glob(dir, "*")
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	for _, n := range names {
		text, err := fs.ReadFile(dir, n)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(text, []byte("# Invented: ")) {
			t.Errorf("%s does not begin by saying that it is invented", n)
		}
	}
}

// Written out and read again, the demo is the same.
func TestDemoRoundTrip(t *testing.T) {
	b, c := demo(t)
	var text bytes.Buffer
	if err := WriteTOML(&text, c, b.Pots); err != nil {
		t.Fatal(err)
	}
	got, err := read("demo.toml", text.String())
	if err != nil {
		t.Fatal(err)
	}
	compare(t, "demo", got, c, b.Pots)
	if !strings.Contains(text.String(), "'1 item'") {
		t.Error("pencils are not written as items")
	}
}

// Loaded a second time, the demo adds nothing to the catalogue.
func TestDemoTwice(t *testing.T) {
	b, c := demo(t)
	again, err := b.Check(c)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "paints", again.Paints, c.Paints)
	same(t, "offers", again.Offers, c.Offers)
	same(t, "recipes", again.Recipes, c.Recipes)
}

func BenchmarkReadDemo(b *testing.B) {
	dir := os.DirFS("../../testdata/demo")
	names, _ := fs.Glob(dir, "*.*")
	for b.Loop() {
		if _, err := ReadFS(Options{Now: now}, dir, names...); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadPotEvents(b *testing.B) {
	var pots, events strings.Builder
	pots.WriteString("id,paint,size\n")
	events.WriteString("pot,kind,at,fraction\n")
	for i := range 9_900 {
		id := inventory.Slug("pot " + string(rune('a'+i%26)) + strings.Repeat("x", i%7) + " " +
			formatFloat(float64(i)))
		pots.WriteString(id + ",bone,17 ml\n")
		for range 10 {
			events.WriteString(id + ",judged,2026-01-01,60 %\n")
		}
	}
	b.SetBytes(int64(pots.Len() + events.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := read("pots.csv", pots.String(), "pot-events.csv", events.String()); err != nil {
			b.Fatal(err)
		}
	}
}
