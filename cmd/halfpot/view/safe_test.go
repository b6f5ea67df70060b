package view

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"

	"halfpot/inventory/textfile"
)

type textRow struct {
	Name  string   `json:"name" table:"name"`
	Words []string `json:"words" table:"words"`
	Kind  kindWord `json:"kind" table:"kind"`
	Count Count    `json:"count" table:"count"`
}

type kindWord string

// evil is text as a file or a person might give it.
var evil = []string{
	"=1+1", "+1", "-1", "@x", "\t=1", "\r=1", "'quoted", "plain", "\x1b[2J\x1b]0;title\x07", "\u009b31m",
	"\x7f", "\u202egnp.exe", "\u2066a\u2069", "\u061c\u200e\u200f", "a\u2028b\u2029c", "\U000e0041", "a\nb",
	"\xff\xfe", "漢字 Ärmel",
}

func printed(t *testing.T, p Printer, name string) string {
	t.Helper()
	var b strings.Builder
	p.Out = &b
	if err := p.List([]textRow{{name, []string{name}, kindWord(name), -3}}, ""); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Whatever the text, no format lets a character through that steers a terminal.
func TestNoFormatLetsControlsThrough(t *testing.T) {
	for _, name := range evil {
		for _, p := range []Printer{
			{Format: Text},
			{Format: Text, Width: 20},
			{Format: JSON},
			{Format: CSV},
			{Format: ExactCSV, Terminal: true},
		} {
			out := printed(t, p, name)
			for _, r := range out {
				if commands(r) && r != '\n' && (r != '\t' || p.Format == Text) {
					t.Errorf("%s of %q lets %U through: %q", p.Format, name, r, out)
				}
			}
		}
	}
}

// A spreadsheet gets nothing that it would run, numbers stay numbers, and
// halfpot's own reader gets the text back; exact CSV carries it as it is.
func TestCSVForSpreadsheets(t *testing.T) {
	for _, name := range evil {
		for _, f := range []Format{CSV, ExactCSV} {
			rows, err := csv.NewReader(strings.NewReader(printed(t, Printer{Format: f}, name))).ReadAll()
			if err != nil {
				t.Fatal(err)
			}
			if rows[1][3] != "-3" {
				t.Errorf("%s: a number came out as %q", f, rows[1][3])
			}
			want := name
			if f == CSV {
				want = textfile.Protect(name)
				if strings.ContainsAny(rows[1][0][:1], "=+-@\t\r\n") {
					t.Errorf("%q came out as %q", name, rows[1][0])
				}
				if cleanCell(name) != name {
					continue
				}
			}
			if got := rows[1][:3]; f == CSV || !strings.Contains(name, "\r") { // the CSV reader drops a CR before LF
				if !reflect.DeepEqual(got, []string{want, want, want}) {
					t.Errorf("%s of %q: %q", f, name, got)
				}
			}
		}
	}
}

// JSON says the same with its escapes as without them (RFC 8259, section 7),
// however the writes fall.
func TestSafeJSONIsTheSameJSON(t *testing.T) {
	for _, name := range evil {
		plain, err := json.Marshal(name)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if _, err := io.Copy(SafeJSON(&b), iotest.OneByteReader(strings.NewReader(string(plain)))); err != nil {
			t.Fatal(err)
		}
		var was, is string
		if err := json.Unmarshal(plain, &was); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal([]byte(b.String()), &is); err != nil || is != was {
			t.Errorf("%s came out as %s, %v", plain, b.String(), err)
		}
	}
}
