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
	spare int  // may be left out on a narrow terminal, the highest first; 0: never
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
	cols = p.fit(cols)
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
		c := column{head: f.head, spare: f.spare}
		blank := true
		for i := range v.Len() {
			val := f.of(v.Index(i))
			if i == 0 {
				_, right := val.(rightAligned)
				c.right = right
				switch val.(type) {
				case string, []string:
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

// fit makes a table fit the terminal: first spare columns go, the highest first,
// then the widest text columns are shortened.
func (p *Page) fit(cols []column) []column {
	const least = 10
	if p.width <= 0 {
		return cols
	}
	for width(cols) > p.width {
		out := 0
		for i, c := range cols {
			if c.spare > cols[out].spare {
				out = i
			}
		}
		if cols[out].spare == 0 {
			break
		}
		cols = append(cols[:out:out], cols[out+1:]...)
	}
	for width(cols) > p.width {
		widest := -1
		for i, c := range cols {
			if c.text && c.width > least && (widest < 0 || c.width > cols[widest].width) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		c := &cols[widest]
		c.width--
		for i := range c.raw {
			c.raw[i] = cells.Truncate(c.raw[i], c.width, "…")
			c.cells[i] = c.raw[i]
		}
		c.head = cells.Truncate(c.head, c.width, "…")
	}
	return cols
}

func width(cols []column) int {
	total := (len(cols) - 1) * len(gutter)
	for _, c := range cols {
		total += c.width
	}
	return total
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
