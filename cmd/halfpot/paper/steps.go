package paper

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"
)

// Steps is a trade-off as a staircase: how little of one thing is to be had for how
// much of another. The points go from left to right, Across rising and Up falling.
type Steps struct {
	Title                      string
	AcrossWords                string // "points of compromise"
	UpWords                    string // "EUR"
	Points                     []StepPoint
	Mark                       int // the point that is marked, -1: none
	MarkWords                  string
	UpText                     func(float64) string
	acrossL, acrossH, upL, upH float64
}

// StepPoint is one best trade.
type StepPoint struct{ Across, Up float64 }

func (s *Steps) ranges() {
	s.acrossL, s.acrossH = s.Points[0].Across, s.Points[0].Across
	s.upL, s.upH = s.Points[0].Up, s.Points[0].Up
	for _, p := range s.Points {
		s.acrossL, s.acrossH = min(s.acrossL, p.Across), max(s.acrossH, p.Across)
		s.upL, s.upH = min(s.upL, p.Up), max(s.upH, p.Up)
	}
}

// at is where a value lies between two, 0 to 1; 0 where they are one.
func at(v, lo, hi float64) float64 {
	if hi <= lo {
		return 0
	}
	return (v - lo) / (hi - lo)
}

// stepRows is how many lines the text picture is high.
const stepRows = 9

// Text draws the staircase with characters: o a best trade, * the marked one, dots
// what is between.
func (s Steps) Text(width int) []string {
	if len(s.Points) == 0 {
		return nil
	}
	s.ranges()
	labels := make([]string, stepRows)
	labels[0], labels[stepRows-1] = s.UpText(s.upH), s.UpText(s.upL)
	margin := max(len(labels[0]), len(labels[stepRows-1]))
	columns := max(10, min(60, width-margin-3))
	grid := make([][]rune, stepRows)
	for i := range grid {
		grid[i] = []rune(strings.Repeat(" ", columns))
	}
	column := func(p StepPoint) int { return int(at(p.Across, s.acrossL, s.acrossH)*float64(columns-1) + .5) }
	line := func(p StepPoint) int { return int((1-at(p.Up, s.upL, s.upH))*float64(stepRows-1) + .5) }
	for i, p := range s.Points {
		if i == 0 {
			continue
		}
		a := s.Points[i-1]
		for x := column(a); x <= column(p); x++ {
			grid[line(a)][x] = '·'
		}
		for y := min(line(a), line(p)); y <= max(line(a), line(p)); y++ {
			grid[y][column(p)] = '·'
		}
	}
	for i, p := range s.Points {
		mark := 'o'
		if i == s.Mark {
			mark = '*'
		}
		if grid[line(p)][column(p)] != '*' {
			grid[line(p)][column(p)] = mark
		}
	}
	var out []string
	for i, row := range grid {
		out = append(out, strings.TrimRight(fmt.Sprintf("%*s |%s", margin, labels[i], string(row)), " "))
	}
	out = append(out, strings.Repeat(" ", margin)+" +"+strings.Repeat("-", columns))
	left, right := fmt.Sprintf("%g", s.acrossL), fmt.Sprintf("%g %s", s.acrossH, s.AcrossWords)
	if gap := columns - len(left) - len(right); gap > 0 {
		left += strings.Repeat(" ", gap)
	} else {
		left += " "
	}
	return append(out, strings.Repeat(" ", margin+2)+left+right)
}

//go:embed steps.svg
var stepsSource string

var stepsSVG = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("steps.svg").Parse(stepsSource))
})

// Frame of the picture, in its own units.
const (
	stepsLeft, stepsTop, stepsWide, stepsHigh = 90, 50, 460, 240
)

// SVG draws the same as a picture.
func (s Steps) SVG(w io.Writer) error {
	if len(s.Points) == 0 {
		return fmt.Errorf("a picture of nothing")
	}
	s.ranges()
	type dot struct {
		X, Y   int
		Marked bool
		Text   string
	}
	d := struct {
		Title, Across, UpHigh, UpLow, AcrossLow, AcrossHigh, Path, MarkWords string
		Left, Top, Right, Foot, Width, Height, Below                         int
		Dots                                                                 []dot
	}{
		Title:      s.Title,
		Across:     s.AcrossWords,
		UpHigh:     s.UpText(s.upH),
		UpLow:      s.UpText(s.upL),
		AcrossLow:  fmt.Sprintf("%g", s.acrossL),
		AcrossHigh: fmt.Sprintf("%g", s.acrossH),
		MarkWords:  s.MarkWords,
		Left:       stepsLeft,
		Top:        stepsTop,
		Right:      stepsLeft + stepsWide,
		Foot:       stepsTop + stepsHigh,
		Width:      stepsLeft + stepsWide + 30,
		Height:     stepsTop + stepsHigh + 60,
		Below:      stepsTop + stepsHigh + 20,
	}
	for i, p := range s.Points {
		x := stepsLeft + int(at(p.Across, s.acrossL, s.acrossH)*stepsWide)
		y := stepsTop + int((1-at(p.Up, s.upL, s.upH))*stepsHigh)
		if i == 0 {
			d.Path = fmt.Sprintf("M%d %d", x, y)
		} else {
			d.Path += fmt.Sprintf("H%dV%d", x, y)
		}
		d.Dots = append(d.Dots, dot{
			X:      x,
			Y:      y,
			Marked: i == s.Mark,
			Text:   fmt.Sprintf("%g %s: %s", p.Across, s.AcrossWords, s.UpText(p.Up)),
		})
	}
	return stepsSVG().Execute(w, d)
}
