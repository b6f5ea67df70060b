package view

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
)

// At every width a table keeps its promise: no line is wider than the page, no
// word is cut, and a column that isn't there is named below.
func TestFitHidesAndCutsNothing(t *testing.T) {
	type painter struct {
		Pot    string   `json:"pot" table:"pot"`
		Name   string   `json:"name" table:"paint"`
		Left   Amount   `json:"left" table:"left"`
		Need   Amount   `json:"need" table:"likely need" wide:"100"`
		Place  string   `json:"place" table:"place" narrow:"2"`
		By     string   `json:"by" table:"looked at by" narrow:"1"`
		Lacks  []string `json:"lacks" table:"the next one lacks"`
		Enough Percent  `json:"enough" table:"enough"`
	}
	list := []painter{
		{"bone-1", "Pale Bone", Amount{Mid: 12500, Low: 10000, High: 15000},
			Amount{Mid: 2500, Low: 1000, High: 3000}, "rack by the window", "scale",
			[]string{"Wet Moss", "Hip Berry", "Chimney Drip"}, 0.9},
		{"soot-wash-1", "Soot Wash", Amount{Mid: 500, High: 900}, Exactly(300, false), "drawer", "eye", nil, 1},
	}
	for width := 28; width <= 160; width++ {
		var b strings.Builder
		if err := (&Printer{Out: &b, Format: Text, Width: width}).List(list, ""); err != nil {
			t.Fatal(err)
		}
		out := b.String()
		for line := range strings.Lines(out) {
			if cells.StringWidth(strings.TrimRight(line, "\n")) > width {
				t.Errorf("%d cells: too wide: %q", width, line)
			}
		}
		table, told, _ := strings.Cut(out, "No room for: ")
		words := map[string]bool{}
		for _, w := range strings.FieldsFunc(out, func(r rune) bool {
			return strings.ContainsRune(" \n,;:", r)
		}) {
			words[w] = true
		}
		squeezed := strings.Join(strings.Fields(told), " ")
		for i := range reflect.TypeFor[painter]().NumField() {
			f := reflect.TypeFor[painter]().Field(i)
			head := f.Tag.Get("table")
			if strings.Contains(squeezed, head) {
				continue
			}
			for _, w := range strings.Fields(head) {
				if !words[w] {
					// A row's name stands without its heading where each cell has one.
					if strings.Contains(table, "paint: ") && f.Name == "Pot" {
						continue
					}
					t.Errorf("%d cells: heading %q neither shown whole nor named as left out:\n%s",
						width, head, out)
				}
			}
			for _, row := range list {
				for _, w := range strings.FieldsFunc(fmt.Sprint(reflect.ValueOf(row).Field(i)),
					func(r rune) bool { return strings.ContainsRune(" ,[]()", r) }) {
					if reflect.ValueOf(row).Field(i).Kind() != reflect.Struct &&
						reflect.ValueOf(row).Field(i).Kind() != reflect.Float64 && !words[w] {
						t.Errorf("%d cells: the word %q is not there whole:\n%s", width, w, out)
					}
				}
			}
		}
	}
}

// A number stays with its unit where a line is broken.
func TestWrapKeepsUnits(t *testing.T) {
	got := Wrap("level of the pot 97 %, about 12 ml, 3 items", 18)
	want := []string{"level of the pot", "97 %, about 12 ml,", "3 items"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
