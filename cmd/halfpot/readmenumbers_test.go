package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The README's paragraph "Number by number" tells the sum shown above it,
// which TestREADME compares with what the program prints; here the paragraph
// is compared with that sum.
func TestREADMENumberByNumber(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(text), "Number by number:")
	if !ok {
		t.Fatal("README.md has no paragraph Number by number")
	}
	told, _, _ := strings.Cut(rest, "\n\n")
	told = strings.Join(strings.Fields(told), " ")
	shown := before[strings.LastIndex(before, "```console"):]
	value := map[string]string{}
	var sum, last string // last is a name that stands on a line of its own, above its values
	for line := range strings.Lines(shown) {
		indented := strings.HasPrefix(line, "  ")
		line = strings.TrimSpace(line)
		if f := strings.Fields(line); indented && last != "" && len(f) > 0 {
			value[last] = f[0]
		}
		last = ""
		if !indented && !strings.Contains(line, "  ") {
			last = line
		}
		if name, after, ok := strings.Cut(line, "  "); ok && strings.TrimSpace(after) != "" {
			value[name] = strings.Fields(after)[0]
		}
		if strings.Contains(line, " cm2 x ") {
			sum = line
		}
	}
	var area, share, film, reaches, hand, waste float64
	var figures int
	if _, err := fmt.Sscanf(sum, "%g cm2 x %g x %g um x 0.0001 / %g x %d figures x %g + %g ml",
		&area, &share, &film, &reaches, &figures, &hand, &waste); err != nil {
		t.Fatalf("the sum %q: %v", sum, err)
	}
	each := area * share * film * 0.0001 / reaches
	for _, want := range []string{
		"a body surface of " + value["body surface"] + " cm2",
		"times " + value["clothing"] + " for thick clothes",
		value["kit"] + " for the kit",
		value["reached by the brush"] + " because",
		fmt.Sprintf("a figure of %.1f cm2", area),
		fmt.Sprintf("%.0f %% of it", share*100),
		fmt.Sprintf("%g um wet", film),
		fmt.Sprintf("%.3f ml a figure, %.1f ml for six", each, each*float64(figures)),
	} {
		if !strings.Contains(told, want) {
			t.Errorf("the paragraph lacks %q, which the sum above it shows", want)
		}
	}
	if figures != 6 || reaches != 0.6 || waste != 0.3 || hand != 1 {
		t.Errorf("the paragraph says six figures, four tenths lost and 0.3 ml of waste; the sum is %q", sum)
	}
}
