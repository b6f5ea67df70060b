package paper

import (
	_ "embed"
	"html/template"
	"io"
	"strings"
	"sync"
)

// Bars is batches over evenings: what is done when.
type Bars struct {
	Title    string
	Evenings []string // "3 Mar"
	Rows     []BarRow
}

// BarRow is a batch: how much of each evening it takes, 0 to 1, and what.
type BarRow struct {
	Name  string
	Parts []float64
	Texts []string
}

// Cell sizes of the picture, in its own units.
const (
	nameWidth = 180
	cellWidth = 44
	rowHeight = 22
	topHeight = 60
)

type svgBar struct {
	X, Y, W int
	Text    string
}

type svgText struct {
	X, Y int
	Text string
}

//go:embed bars.svg
var svgSource string

var svg = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("bars.svg").Parse(svgSource))
})

// SVG draws a bar for each batch over the evenings.
func (b Bars) SVG(w io.Writer) error {
	type drawing struct {
		Title         string
		Width, Height int
		Names, Days   []svgText
		Bars          []svgBar
		Lines         []int
		Foot          int
	}
	d := drawing{
		Title:  b.Title,
		Width:  nameWidth + cellWidth*len(b.Evenings) + 10,
		Height: topHeight + rowHeight*len(b.Rows) + 10,
	}
	d.Foot = d.Height - 10
	for i, e := range b.Evenings {
		d.Days = append(d.Days, svgText{nameWidth + i*cellWidth + 2, topHeight - 8, e})
		d.Lines = append(d.Lines, nameWidth+i*cellWidth)
	}
	for i, r := range b.Rows {
		y := topHeight + i*rowHeight
		d.Names = append(d.Names, svgText{4, y + 15, r.Name})
		for j, p := range r.Parts {
			if p > 0 {
				d.Bars = append(d.Bars, svgBar{
					X:    nameWidth + j*cellWidth + 1,
					Y:    y + 3,
					W:    max(4, int(p*(cellWidth-2))),
					Text: r.Texts[j],
				})
			}
		}
	}
	return svg().Execute(w, d)
}

// Text draws the same with characters: a column an evening, fuller the more of
// it the batch takes. It is cut into blocks that fit the width.
func (b Bars) Text(width int) []string {
	longest := 0
	for _, r := range b.Rows {
		longest = max(longest, len([]rune(r.Name)))
	}
	longest = min(longest, max(12, width/2))
	cell := 7
	per := max(1, (width-longest-1)/cell)
	var out []string
	for at := 0; at < len(b.Evenings); at += per {
		end := min(len(b.Evenings), at+per)
		if at > 0 {
			out = append(out, "")
		}
		out = append(out, strings.TrimRight(pad("", longest)+" "+row(b.Evenings[at:end], cell), " "))
		for _, r := range b.Rows {
			var cells []string
			some := false
			for _, p := range r.Parts[at:end] {
				some = some || p > 0
				cells = append(cells, strings.Repeat("█", min(cell-1, int(p*float64(cell-1)+0.999))))
			}
			if some || len(b.Evenings) <= per {
				out = append(out, strings.TrimRight(pad(r.Name, longest)+" "+row(cells, cell), " "))
			}
		}
	}
	return out
}

func row(cells []string, width int) string {
	var s strings.Builder
	for _, c := range cells {
		s.WriteString(pad(c, width))
	}
	return s.String()
}

func pad(s string, width int) string {
	r := []rune(s)
	if len(r) > width {
		return string(r[:width-1]) + "…"
	}
	return s + strings.Repeat(" ", width-len(r))
}
