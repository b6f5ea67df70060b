package view

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

const gutter = "  "

// column is one column of a table being laid out.
type column struct {
	head  string
	right bool
	words bool // words, not a number or a swatch
	text  bool // may go over several lines
	spare int  // may be left out, the highest first; 0: never
	wide  int  // needs a page of that width; 0: any
	cells []string
	raw   []string // the same without colour, to measure
	short []string // the same without ranges; nil: there are none
	width int
	heads int // width the heading takes, which may go over several lines
}

// List writes rows, a slice of tagged structs, as an aligned table that fits the
// page (see fit). Columns that are blank in every row are left out.
func (p *Page) List(rows any, empty string) {
	v := reflect.ValueOf(rows)
	if v.Len() == 0 {
		if empty != "" {
			p.Line("%s", empty)
		}
		return
	}
	t := p.fit(p.columns(v))
	for _, head := range t.out {
		if !slices.Contains(p.leftOut, head) {
			p.leftOut = append(p.leftOut, head)
		}
	}
	t.write(p, v.Len())
}

func (p *Page) columns(v reflect.Value) []column {
	var cols []column
	for _, f := range fields(v.Type().Elem()) {
		if f.head == "" {
			continue
		}
		c := column{head: f.head, spare: f.spare, wide: f.wide}
		blank, ranged := true, false
		var short []string
		for i := range v.Len() {
			val := f.of(v.Index(i))
			if i == 0 {
				_, right := val.(rightAligned)
				c.right = right
				switch val.(type) {
				case string, []string:
					c.words = true
					c.text = len(cols) > 0 // the first column is what the user types elsewhere
				case *int:
					c.right = true
				}
			}
			shown, raw := render(val, p.style), render(val, Style{})
			if _, swatch := val.(Swatch); swatch && shown != "" {
				raw = "  "
			}
			if shown != "" {
				blank = false
			}
			plain := shown
			if r, ok := val.(ranging); ok {
				plain = r.WithoutRange()
				ranged = ranged || plain != shown
			}
			c.cells, c.raw, short = append(c.cells, shown), append(c.raw, raw), append(short, plain)
		}
		if blank {
			continue
		}
		if ranged {
			c.short = short
		}
		c.heads = cells.StringWidth(c.head)
		cols = append(cols, c.measured())
	}
	return cols
}

// measured is the column with the width that its heading and cells take.
func (c column) measured() column {
	c.width = c.heads
	for _, raw := range c.raw {
		c.width = max(c.width, cells.StringWidth(raw))
	}
	return c
}

// least is the width below which a column would cut words.
func (c column) least() int {
	n := longestWord(c.head)
	for _, raw := range c.raw {
		n = max(n, longestWord(raw))
	}
	return n
}

func longestWord(text string) int {
	n := 0
	for _, w := range unbroken(text) {
		n = max(n, cells.StringWidth(w))
	}
	return n
}

// write puts the table on the page.
func (t *table) write(p *Page, rows int) {
	lead, rest := t.cols, []column(nil)
	indent := ""
	if t.apart {
		lead, rest = t.cols[:t.lead()], t.cols[t.lead():]
		indent = gutter
	}
	if t.labels {
		for i := range rows {
			t.labelled(p, lead, rest, i)
		}
		return
	}
	head := func(c column) ([]string, []string) {
		raw := Wrap(c.head, c.width)
		shown := make([]string, len(raw))
		for i := range raw {
			shown[i] = p.style.Dim(raw[i])
		}
		return shown, raw
	}
	p.row("", lead, head)
	p.row(indent, rest, head)
	for i := range rows {
		cell := func(c column) ([]string, []string) {
			if c.text && cells.StringWidth(c.raw[i]) > c.width {
				lines := Wrap(c.raw[i], c.width)
				return lines, lines
			}
			return []string{c.cells[i]}, []string{c.raw[i]}
		}
		p.row("", lead, cell)
		p.row(indent, rest, cell)
	}
}

// labelled writes a row as a line of its own and each other cell after its heading.
func (t *table) labelled(p *Page, lead, rest []column, i int) {
	p.row("", lead, func(c column) ([]string, []string) {
		if cells.StringWidth(c.raw[i]) > p.measure() {
			lines := Wrap(c.raw[i], p.measure())
			return lines, lines
		}
		return []string{c.cells[i]}, []string{c.raw[i]}
	})
	var parts []string
	for _, c := range rest {
		if c.raw[i] != "" {
			parts = append(parts, c.head+": "+c.raw[i])
		}
	}
	for _, line := range Wrap(gutter+strings.Join(parts, "; "), p.measure()) {
		p.b.WriteString(line + "\n")
	}
}

// row writes one row, over as many lines as its highest cell takes. cell gives a
// cell's lines as shown and as measured.
func (p *Page) row(indent string, cols []column, cell func(column) (shown, raw []string)) {
	var shown, raw [][]string
	height := 0
	for _, c := range cols {
		s, r := cell(c)
		shown, raw = append(shown, s), append(raw, r)
		height = max(height, len(s))
	}
	for n := range height {
		var line strings.Builder
		line.WriteString(indent)
		for i, c := range cols {
			if i > 0 {
				line.WriteString(gutter)
			}
			text, width := "", 0
			if n < len(shown[i]) {
				text, width = shown[i][n], cells.StringWidth(raw[i][n])
			}
			pad := strings.Repeat(" ", max(0, c.width-width))
			if c.right {
				line.WriteString(pad + text)
			} else {
				line.WriteString(text + pad)
			}
		}
		p.b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
}

// render is a value's text in a table.
func render(v any, s Style) string {
	switch v := v.(type) {
	case Cell:
		return v.Cell(s)
	case string:
		return Clean(v)
	case []string:
		return Clean(strings.Join(v, ", "))
	case bool:
		if v {
			return "yes"
		}
		return ""
	case int:
		return strconv.Itoa(v)
	case *int:
		if v == nil {
			return ""
		}
		return strconv.Itoa(*v)
	}
	return Clean(fmt.Sprint(v))
}
