package view

import (
	"fmt"
	"strings"

	"github.com/mattn/go-runewidth"
)

// Page is text for people, built top to bottom.
type Page struct {
	b     strings.Builder
	style Style
	width int // 0: no limit

	full    bool     // columns for wide pages are shown too
	leftOut []string // headings that tables had no room for
}

// Full asks for what only wide pages show.
func (p *Page) Full() { p.full = true }

// tellLeftOut says what tables had no room for, and how to see it.
func (p *Page) tellLeftOut() {
	if len(p.leftOut) == 0 {
		return
	}
	p.Gap()
	p.Note("No room for: %s. A wider window shows all; so does adding | less -S.", strings.Join(p.leftOut, ", "))
}

// cells measures text as a terminal lays it out, whatever the locale says.
var cells = &runewidth.Condition{EastAsianWidth: false, StrictEmojiNeutral: true}

// Style is what this page can show.
func (p *Page) Style() Style { return p.style }

// Heading starts a part, with a blank line before it unless it is the first.
func (p *Page) Heading(format string, a ...any) {
	p.Gap()
	for _, line := range Wrap(Clean(fmt.Sprintf(format, a...)), p.measure()) {
		p.b.WriteString(p.style.Bold(line) + "\n")
	}
}

// Gap puts one blank line between parts.
func (p *Page) Gap() {
	if p.b.Len() > 0 && !strings.HasSuffix(p.b.String(), "\n\n") {
		p.b.WriteByte('\n')
	}
}

// Line writes one line, wrapped at the width of the terminal, or at 96 cells
// where there is none; a wrapped line hangs under its first word.
func (p *Page) Line(format string, a ...any) {
	for _, line := range Wrap(Clean(fmt.Sprintf(format, a...)), p.measure()) {
		p.b.WriteString(line + "\n")
	}
}

// Note writes a line that matters less.
func (p *Page) Note(format string, a ...any) {
	for _, line := range Wrap(Clean(fmt.Sprintf(format, a...)), p.measure()) {
		p.b.WriteString(p.style.Dim(line) + "\n")
	}
}

// Raw writes a line as it stands: a command to paste must not be broken.
func (p *Page) Raw(line string) { p.b.WriteString(Clean(line) + "\n") }

func (p *Page) measure() int {
	if p.width > 20 {
		return min(p.width, 110)
	}
	return 96
}

// Wrap breaks a text into lines of at most so many cells, each indented as the first.
func Wrap(text string, width int) []string {
	indent := text[:len(text)-len(strings.TrimLeft(text, " "))]
	var lines []string
	line := ""
	for _, word := range unbroken(text) {
		switch {
		case line == "":
			line = indent + word
		case cells.StringWidth(line)+1+cells.StringWidth(word) > width:
			lines = append(lines, line)
			line = indent + word
		default:
			line += " " + word
		}
	}
	return append(lines, line)
}

// unbroken gives the words of a text, a number together with its unit.
func unbroken(text string) []string {
	var words []string
	for _, w := range strings.Fields(text) {
		if n := len(words) - 1; n >= 0 && units[strings.TrimRight(w, ".,;:)")] &&
			strings.ContainsAny(words[n][len(words[n])-1:], "0123456789") {
			words[n] += " " + w
			continue
		}
		words = append(words, w)
	}
	return words
}

var units = map[string]bool{
	"%": true, "ml": true, "um": true, "cm2": true, "g": true, "EUR": true, "items": true,
}

// Fits is whether two texts and a gap go onto one line of a page as people hold
// it, at most 80 cells.
func (p *Page) Fits(left, right string) bool {
	return cells.StringWidth(left)+cells.StringWidth(right)+2 <= min(p.measure(), 80)
}

// Ends writes one text at the left end of a line and one at its right; where
// they don't fit, on two lines.
func (p *Page) Ends(left, right string) {
	left, right = Clean(left), Clean(right)
	width := min(p.measure(), 80)
	gap := width - cells.StringWidth(left) - cells.StringWidth(right)
	switch {
	case strings.TrimSpace(left) == "" && right == "":
	case right == "":
		p.Line("%s", left)
	case gap >= 2:
		p.b.WriteString(left + strings.Repeat(" ", gap) + right + "\n")
	default:
		p.Line("%s", left)
		if cells.StringWidth(right) > width {
			p.Line("    %s", right)
			return
		}
		p.b.WriteString(strings.Repeat(" ", width-cells.StringWidth(right)) + right + "\n")
	}
}

// Measure is how wide this page is in cells.
func (p *Page) Measure() int { return min(p.measure(), 80) }
