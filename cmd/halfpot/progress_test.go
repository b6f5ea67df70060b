package main

import (
	"strings"
	"testing"
	"time"

	"halfpot/optimize"
)

// The line that is written over again and again fits into the terminal, whatever its width,
// and says as much as there is room for.
func TestProgressFits(t *testing.T) {
	for _, s := range []optimize.Progress{
		{Bound: 24820},
		{Found: true, Best: 26184, Bound: 24820},
		{Found: true, Best: 26184, Bound: 24820, Troubles: 3},
		{Found: true, Best: 123456789, Bound: 98765432, Troubles: 1234},
	} {
		for _, width := range []int{0, 200, 120, 80, 60, 40, 20, 5, 1} {
			p := &progress{a: &app{streams: streams{errWidth: width}}, currency: "EUR"}
			line := p.line(s, p.begun.Add(75*time.Second))
			if width > 0 && len(line) >= width {
				t.Errorf("%d columns: %q", width, line)
			}
			if width >= 40 && !strings.Contains(line, "1m15s: ") {
				t.Errorf("%d columns: %q", width, line)
			}
			if s.Found && s.Best < 1e6 && width == 80 && !strings.Contains(line, "none below 248.20 EUR") {
				t.Errorf("%d columns: %q does not say what none can cost less than", width, line)
			}
			if s.Troubles > 0 && s.Best < 1e6 && (width == 0 || width >= 80) && !strings.Contains(line, "rough") {
				t.Errorf("%d columns: %q does not say that sums came out rough", width, line)
			}
		}
	}
}
