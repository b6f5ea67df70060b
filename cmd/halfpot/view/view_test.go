package view

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"halfpot/inventory"
)

var update = flag.Bool("update", false, "rewrite the golden files in testdata")

type row struct {
	ID     string   `json:"id" table:"pot"`
	Colour Swatch   `json:"colour" table:"colour"`
	Name   string   `json:"name" table:"paint"`
	Left   Amount   `json:"left" table:"left"`
	Size   Amount   `json:"size" table:"size"`
	Chance Percent  `json:"chance" table:"enough"`
	Cost   Money    `json:"cost" table:"cost"`
	Opened Date     `json:"opened" table:"opened"`
	Labels []string `json:"labels" table:"labels" narrow:"1"`
	Inner  string   `json:"inner" csv:"-"`
}

func eur(s string) Money {
	return Money{Amount: decimal.RequireFromString(s), Currency: "EUR"}
}

func rows() []row {
	return []row{
		{ID: "bone-1", Colour: "#e8dcc0", Name: "Pale Bone", Left: Amount{
			Mid:  12500,
			Low:  10000,
			High: 15000,
		}, Size: Exactly(17000, false), Chance: 0.9991,
			Cost:   eur("3.5"),
			Opened: Date{time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC)},
			Labels: []string{"top drawer", "use first"}},
		{ID: "x", Colour: "#102030", Name: "Grüngrau, \"wide\" 筆塗り", Left: Exactly(4, false),
			Size: Exactly(9996, false)},
		{ID: "pencil", Name: "Soft Pencil", Left: Exactly(1000, true), Size: Exactly(1000, true)},
	}
}

// Golden files pin what each format prints, on a plain pipe, on terminals that
// show colour, and on a narrow one.
func TestListGolden(t *testing.T) {
	cases := []struct {
		name string
		p    Printer
		rows any
	}{
		{"plain.txt", Printer{Format: Text}, rows()},
		{"truecolour.txt", Printer{Format: Text, Style: Style{TrueColor}}, rows()},
		{"indexed.txt", Printer{Format: Text, Style: Style{Indexed}}, rows()},
		{"narrow.txt", Printer{Format: Text, Width: 70}, rows()},
		{"phone.txt", Printer{Format: Text, Width: 40}, rows()},
		{"watch.txt", Printer{Format: Text, Width: 24}, rows()},
		{"list.json", Printer{Format: JSON}, rows()},
		{"list.csv", Printer{Format: CSV}, rows()},
		{"empty.txt", Printer{Format: Text}, []row(nil)},
		{"empty.json", Printer{Format: JSON}, []row(nil)},
		{"empty.csv", Printer{Format: CSV}, []row(nil)},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var b strings.Builder
			c.p.Out = &b
			if err := c.p.List(c.rows, "no pots yet"); err != nil {
				t.Fatal(err)
			}
			golden(t, c.name, b.String())
		})
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s:\n got:\n%s\nwant:\n%s", name, got, want)
	}
}

// A pipe that closes or a disk that fills must not pass for success.
func TestWriteFailureIsAnError(t *testing.T) {
	full := errors.New("no space left on device")
	for _, f := range Formats {
		p := Printer{Out: writerFunc(func([]byte) (int, error) { return 0, full }), Format: f}
		if err := p.List(rows(), ""); !errors.Is(err, full) {
			t.Errorf("%s: got %v, want the write error", f, err)
		}
	}
}

type writerFunc func([]byte) (int, error)

func (f writerFunc) Write(b []byte) (int, error) { return f(b) }

func TestEmptyListsInsideAreLists(t *testing.T) {
	type doc struct {
		Rows []row `json:"rows"`
		Sub  *struct {
			Words []string `json:"words"`
		} `json:"sub"`
	}
	var b strings.Builder
	d := doc{Sub: &struct {
		Words []string `json:"words"`
	}{}}
	if err := (&Printer{Out: &b, Format: JSON}).Show(d, d.Rows, nil); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "null") {
		t.Errorf("a list came out as null:\n%s", b.String())
	}
}

func TestDetectStyle(t *testing.T) {
	cases := []struct {
		name     string
		terminal bool
		noColour bool
		env      map[string]string
		want     Depth
	}{
		{"pipe", false, false, map[string]string{"TERM": "xterm-256color", "COLORTERM": "truecolor"}, Plain},
		{"flag beats all", true, true,
			map[string]string{"TERM": "xterm-256color", "COLORTERM": "truecolor"}, Plain},
		{"NO_COLOR beats COLORTERM", true, false,
			map[string]string{"TERM": "xterm", "COLORTERM": "truecolor", "NO_COLOR": "1"}, Plain},
		{"dumb", true, false, map[string]string{"TERM": "dumb", "COLORTERM": "truecolor"}, Plain},
		{"no TERM", true, false, nil, Plain},
		{"24 bit", true, false, map[string]string{"TERM": "xterm", "COLORTERM": "24bit"}, TrueColor},
		{"256", true, false, map[string]string{"TERM": "screen-256color"}, Indexed},
		{"eight", true, false, map[string]string{"TERM": "linux"}, Basic},
	}
	for _, c := range cases {
		got := DetectStyle(c.terminal, c.noColour, func(k string) string { return c.env[k] })
		if got.Depth != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got.Depth, c.want)
		}
	}
}

// The cube and grey ramp of a 256-colour terminal: xterm's published levels.
func TestCube(t *testing.T) {
	for _, c := range []struct {
		r, g, b uint8
		want    int
	}{
		{0, 0, 0, 16}, {255, 255, 255, 231}, {255, 0, 0, 196}, {0, 0, 255, 21},
		{128, 128, 128, 244}, {95, 135, 175, 67}, {8, 8, 8, 232}, {238, 238, 238, 255},
	} {
		if got := cube(c.r, c.g, c.b); got != c.want {
			t.Errorf("cube(%d, %d, %d) = %d, want %d", c.r, c.g, c.b, got, c.want)
		}
	}
}

func TestTextCannotSteerTheTerminal(t *testing.T) {
	type r struct {
		Name string `json:"name" table:"name"`
	}
	var b strings.Builder
	p := Printer{Out: &b, Format: Text}
	if err := p.List([]r{{"red\x1b[2J\u202egreen\nnext"}}, ""); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(b.String(), "\x1b\u202e") || strings.Count(b.String(), "\n") != 2 {
		t.Errorf("control characters came through: %q", b.String())
	}
}

func TestWrap(t *testing.T) {
	var b strings.Builder
	p := Printer{Out: &b, Format: Text, Width: 30}
	err := p.Show(nil, nil, func(page *Page) {
		page.Line("  an indented line that is far too long for so narrow a terminal")
	})
	if err != nil {
		t.Fatal(err)
	}
	want := "  an indented line that is far\n  too long for so narrow a\n  terminal\n"
	if b.String() != want {
		t.Errorf("got %q, want %q", b.String(), want)
	}
}

func TestParseFormat(t *testing.T) {
	if f, err := ParseFormat("JSON"); err != nil || f != JSON {
		t.Errorf("got %v, %v", f, err)
	}
	_, err := ParseFormat("xml")
	if err == nil || !strings.Contains(err.Error(), "table, json, csv or exact-csv") {
		t.Errorf("got %v, want the legal formats named", err)
	}
}

// What is counted is bought whole.
func TestShortageOfItems(t *testing.T) {
	for _, c := range []struct {
		short inventory.Volume
		want  string
	}{{0, ""}, {230, "1 item"}, {inventory.Item, "1 item"}, {2010, "3 items"}} {
		if got := (Shortage{Mid: c.short, Counted: true}).WithoutRange(); got != c.want {
			t.Errorf("%d thousandths of an item short: %q, want %q", c.short, got, c.want)
		}
	}
}
