package paper

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"os"

	goical "github.com/emersion/go-ical"
	"golang.org/x/net/html"
)

// nasty is text that would break a page if it were not escaped.
const nasty = `2 <b>moss</b> & "thatch" | eave * _x_ [a](b)`

func sheets() []Sheet {
	return []Sheet{
		{Title: nasty, When: "Tue 3 Mar, 19:00-21:00", Foot: "73 min", Rules: []string{
			nasty,
		}, Cautions: []string{"Spraying: outdoors."},
			Steps: []SheetStep{{Number: 4, Name: nasty, Mix: nasty, Pour: "1.2 ml: 16 + 8 drops",
				How: "brush; jacket", Time: "19:00, 28 min", Then: "wash from 20:14"}}},
		{Title: "second"},
	}
}

func guide() Guide {
	return Guide{
		Title: nasty,
		Intro: "For 10 figures.",
		Steps: []GuideStep{
			{Number: 1, Name: nasty, With: nasty, How: "brush; all", Wait: "Then wait 1 h.",
				Or: []string{nasty}},
			{Number: 2, Name: "x", Opt: true},
		},
		Paints: []GuidePaint{{Name: nasty, Maker: "M", Range: "R", Code: "C", Amount: "1.2 ml",
			Or: []string{nasty}}},
		Amounts:  "for 10 figures",
		Cart:     []CartLine{{"1", nasty, "S", "2.95 EUR"}},
		CartNote: "proven",
		Rules:    []string{nasty},
		Cautions: []string{"Spraying: outdoors."},
	}
}

func pages(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for name, write := range map[string]func(io.Writer) error{
		"sheet.html": func(w io.Writer) error { return SheetsHTML(w, nasty, sheets()) },
		"guide.html": func(w io.Writer) error { return GuideHTML(w, guide()) },
		"sheet.md":   func(w io.Writer) error { return SheetsMarkdown(w, nasty, sheets()) },
		"guide.md":   func(w io.Writer) error { return GuideMarkdown(w, guide()) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		out[name] = b.String()
	}
	return out
}

// void elements have no end tag (HTML Living Standard, 13.1.2).
var void = map[string]bool{"meta": true, "br": true, "link": true, "img": true, "hr": true, "input": true}

// The pages are read by golang.org/x/net/html: every tag is closed in order and
// what the painter wrote stays text.
func TestPagesAreWellFormed(t *testing.T) {
	for name, text := range pages(t) {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		var open []string
		z := html.NewTokenizer(strings.NewReader(text))
		for {
			switch z.Next() {
			case html.ErrorToken:
				if !errors.Is(z.Err(), io.EOF) || len(open) > 0 {
					t.Errorf("%s: %v, still open %v", name, z.Err(), open)
				}
			case html.StartTagToken:
				tag, _ := z.TagName()
				if string(tag) == "b" {
					t.Errorf("%s: the painter's text became a tag", name)
				}
				if !void[string(tag)] {
					open = append(open, string(tag))
				}
				continue
			case html.EndTagToken:
				tag, _ := z.TagName()
				if len(open) == 0 || open[len(open)-1] != string(tag) {
					t.Fatalf("%s: </%s> closes %v", name, tag, open)
				}
				open = open[:len(open)-1]
				continue
			default:
				continue
			}
			break
		}
	}
}

// html-validate (npm) reads them too where HALFPOT_HTML_VALIDATE names it.
func TestPagesPassAValidator(t *testing.T) {
	tool := os.Getenv("HALFPOT_HTML_VALIDATE")
	if tool == "" {
		if os.Getenv("HALFPOT_LONG") != "" {
			t.Fatal("HALFPOT_HTML_VALIDATE names no html-validate, and HALFPOT_LONG asks for it")
		}
		t.Skip("HALFPOT_HTML_VALIDATE names no html-validate")
	}
	for name, text := range pages(t) {
		if strings.HasSuffix(name, ".html") {
			file := filepath.Join(t.TempDir(), name)
			if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
			if out, err := exec.Command(tool, file).CombinedOutput(); err != nil {
				t.Errorf("%s: %v\n%s", name, err, out)
			}
		}
	}
}

// Each row of a Markdown table has the cells of its head, whatever was written.
func TestMarkdownTablesHold(t *testing.T) {
	for name, text := range pages(t) {
		if !strings.HasSuffix(name, ".md") {
			continue
		}
		bars := 0
		for line := range strings.Lines(text) {
			if !strings.HasPrefix(line, "|") {
				bars = 0
				continue
			}
			n := strings.Count(line, "|") - strings.Count(line, `\|`)
			if bars > 0 && n != bars {
				t.Errorf("%s: %d bars instead of %d: %s", name, n, bars, line)
			}
			bars = n
		}
		if strings.Contains(text, "<b>") {
			t.Errorf("%s: a tag slipped through", name)
		}
	}
}

// The calendar is read by a parser of another author (emersion/go-ical), and no
// line is longer than 75 octets (RFC 5545, 3.1).
func TestCalendarIsRead(t *testing.T) {
	at := time.Date(2026, 3, 3, 19, 0, 0, 0, time.FixedZone("", 3600))
	text := "pass-guard 2/3: jacket, straps; with a comma, a \\ and a\n" +
		"line that is long enough to be folded more than once, since it goes on and on and on"
	var b bytes.Buffer
	if err := Calendar(&b, "Salt; Pass", at, []Sitting{
		{"a@halfpot", at, at.Add(2 * time.Hour), "Painting: Salt, Pass", text},
		{"b@halfpot", at.Add(24 * time.Hour), at.Add(26 * time.Hour), "x", "y"},
	}); err != nil {
		t.Fatal(err)
	}
	for line := range strings.SplitSeq(b.String(), "\r\n") {
		if len(line) > 75 || strings.Contains(line, "\n") {
			t.Errorf("line of %d octets: %q", len(line), line)
		}
	}
	cal, err := goical.NewDecoder(&b).Decode()
	if err != nil {
		t.Fatal(err)
	}
	events := cal.Events()
	if len(events) != 2 {
		t.Fatalf("%d events", len(events))
	}
	start, err1 := events[0].DateTimeStart(time.UTC)
	end, err2 := events[0].DateTimeEnd(time.UTC)
	if err := errors.Join(err1, err2); err != nil || !start.Equal(at) || !end.Equal(at.Add(2*time.Hour)) {
		t.Errorf("%s to %s, %v", start, end, err)
	}
	if got, err := events[0].Props.Text("DESCRIPTION"); err != nil || got != text {
		t.Errorf("%q, %v", got, err)
	}
	for _, must := range []string{"UID", "DTSTAMP"} { // RFC 5545, 3.6.1
		if events[1].Props.Get(must) == nil {
			t.Errorf("no %s", must)
		}
	}
}

func TestPicture(t *testing.T) {
	bars := Bars{Title: nasty, Evenings: []string{"3 Mar", "4 Mar", "5 Mar"}, Rows: []BarRow{
		{"pass-guard 1/2", []float64{0.5, 0, 1}, []string{"prime", "", nasty}},
		{"staff", []float64{0, 0.1, 0}, []string{"", "wash", ""}}}}
	var b bytes.Buffer
	if err := bars.SVG(&b); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(&b)
	rects := 0
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := tok.(xml.StartElement); ok && e.Name.Local == "rect" {
			rects++
		}
	}
	if rects != 4 { // the ground and three bars
		t.Errorf("%d rectangles", rects)
	}
	for _, width := range []int{80, 40, 20} {
		for _, line := range bars.Text(width) {
			if n := len([]rune(line)); n > width {
				t.Errorf("%d cells at %d: %q", n, width, line)
			}
		}
	}
}
