package view

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

const gutter = "  "

// column is one column of a table being laid out.
type column struct {
	head  string
	right bool
	text  bool // plain text: may be shortened on a narrow terminal
	cells []string
	raw   []string // the same without colour, to measure
	width int
}

// List writes rows, a slice of tagged structs, as an aligned table. Columns
// that are blank in every row are left out.
func (p *Page) List(rows any, empty string) {
	v := reflect.ValueOf(rows)
	if v.Len() == 0 {
		if empty != "" {
			p.Line("%s", empty)
		}
		return
	}
	cols := p.columns(v)
	p.fit(cols)
	p.row(cols, func(c column) (string, int) {
		return p.style.Dim(c.head), cells.StringWidth(c.head)
	})
	for i := range v.Len() {
		p.row(cols, func(c column) (string, int) { return c.cells[i], cells.StringWidth(c.raw[i]) })
	}
}

func (p *Page) columns(v reflect.Value) []column {
	var cols []column
	for _, f := range fields(v.Type().Elem()) {
		if f.head == "" {
			continue
		}
		c := column{head: f.head}
		blank := true
		for i := range v.Len() {
			val := f.of(v.Index(i))
			if i == 0 {
				_, right := val.(rightAligned)
				c.right = right
				switch val.(type) {
				case string, []string:
					c.text = true
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
			c.cells, c.raw = append(c.cells, shown), append(c.raw, raw)
			c.width = max(c.width, cells.StringWidth(raw))
		}
		if blank {
			continue
		}
		c.width = max(c.width, cells.StringWidth(c.head))
		cols = append(cols, c)
	}
	return cols
}

// fit shortens the widest text columns until the table fits the terminal.
func (p *Page) fit(cols []column) {
	const least = 10
	for p.width > 0 {
		total := (len(cols) - 1) * len(gutter)
		widest := -1
		for i, c := range cols {
			total += c.width
			if c.text && c.width > least && (widest < 0 || c.width > cols[widest].width) {
				widest = i
			}
		}
		if total <= p.width || widest < 0 {
			return
		}
		c := &cols[widest]
		c.width = max(least, c.width-1)
		for i := range c.raw {
			c.raw[i] = cells.Truncate(c.raw[i], c.width, "…")
			c.cells[i] = c.raw[i]
		}
		c.head = cells.Truncate(c.head, c.width, "…")
	}
}

func (p *Page) row(cols []column, cell func(column) (text string, width int)) {
	var line strings.Builder
	for i, c := range cols {
		if i > 0 {
			line.WriteString(gutter)
		}
		text, width := cell(c)
		pad := strings.Repeat(" ", max(0, c.width-width))
		if c.right {
			line.WriteString(pad + text)
		} else {
			line.WriteString(text + pad)
		}
	}
	p.b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
}

// render is a value's text in a table.
func render(v any, s Style) string {
	switch v := v.(type) {
	case Cell:
		return v.Cell(s)
	case string:
		return clean(v)
	case []string:
		return clean(strings.Join(v, ", "))
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
	return clean(fmt.Sprint(v))
}
