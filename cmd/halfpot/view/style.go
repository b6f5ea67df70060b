package view

import (
	"fmt"
	"os"
	"strconv"
	"strings"
)

// Style is what the place we write to can show. The zero value is plain text.
type Style struct {
	Depth Depth
}

// Depth is how many colours a terminal shows.
type Depth int

const (
	Plain     Depth = iota // no colour at all
	Basic                  // emphasis and the eight named colours: no swatches
	Indexed                // 256 colours
	TrueColor              // 24 bits
)

// DetectStyle looks at the environment of a terminal. Colour is off where the
// output is no terminal, where the user asked for none (the flag, or NO_COLOR
// set to anything, see no-color.org) and on a dumb terminal.
func DetectStyle(terminal, noColour bool, env func(string) string) Style {
	term := env("TERM")
	switch {
	case !terminal, noColour, env("NO_COLOR") != "", term == "dumb", term == "":
		return Style{Plain}
	case env("COLORTERM") == "truecolor", env("COLORTERM") == "24bit", strings.HasSuffix(term, "-direct"):
		return Style{TrueColor}
	case strings.Contains(term, "256color"):
		return Style{Indexed}
	}
	return Style{Basic}
}

// Environ is DetectStyle's usual third argument.
var Environ = os.Getenv

// Bold marks headings.
func (s Style) Bold(text string) string { return s.sgr("1", text) }

// Dim marks what matters less.
func (s Style) Dim(text string) string { return s.sgr("2", text) }

// Warn marks what the painter should look at: too little of a paint.
func (s Style) Warn(text string) string { return s.sgr("33", text) }

func (s Style) sgr(code, text string) string {
	if s.Depth == Plain || text == "" {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

// Swatch is a paint's colour as "#rrggbb", shown as a small block of it.
type Swatch string

// Cell gives a block two cells wide where the terminal shows the colour, and
// nothing where it doesn't: List then leaves the column out.
func (c Swatch) Cell(s Style) string {
	r, g, b, ok := c.rgb()
	if !ok {
		return ""
	}
	switch s.Depth {
	case TrueColor:
		return fmt.Sprintf("\x1b[48;2;%d;%d;%dm  \x1b[0m", r, g, b)
	case Indexed:
		return fmt.Sprintf("\x1b[48;5;%dm  \x1b[0m", cube(r, g, b))
	}
	return ""
}

func (c Swatch) rgb() (r, g, b uint8, ok bool) {
	if len(c) != 7 || c[0] != '#' {
		return 0, 0, 0, false
	}
	n, err := strconv.ParseUint(string(c[1:]), 16, 32)
	return uint8(n >> 16), uint8(n >> 8), uint8(n), err == nil
}

// cube is the nearest entry of the 6x6x6 colour cube or the grey ramp that
// ISO 8613-6 terminals number from 16 (the levels are xterm's).
func cube(r, g, b uint8) int {
	levels := [6]int{0, 95, 135, 175, 215, 255}
	near := func(v uint8) int {
		best := 0
		for i, l := range levels {
			if abs(l-int(v)) < abs(levels[best]-int(v)) {
				best = i
			}
		}
		return best
	}
	dist := func(x, y, z int) int {
		dr, dg, db := x-int(r), y-int(g), z-int(b)
		return dr*dr + dg*dg + db*db
	}
	ri, gi, bi := near(r), near(g), near(b)
	grey := min(23, max(0, ((int(r)+int(g)+int(b))/3-3)/10))
	if level := 8 + 10*grey; dist(level, level, level) < dist(levels[ri], levels[gi], levels[bi]) {
		return 232 + grey
	}
	return 16 + 36*ri + 6*gi + bi
}

func abs(n int) int { return max(n, -n) }
