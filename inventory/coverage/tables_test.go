package coverage

import "testing"

// A default that the painter sets is what every look-up gives; the others stay.
func TestTables(t *testing.T) {
	var none Tables
	for _, e := range entries() { // every name reaches its look-up
		mine, err := none.With(e.name, e.Value/2, 0, 0)
		if err != nil {
			t.Fatalf("%s: %v", e.name, err)
		}
		changed := 0
		for _, f := range mine.Factors() {
			if f.Origin == Given {
				changed++
				if f.Name != e.name || f.Median != e.Value/2 || f.Low != short(e.Low/2) ||
					f.High != short(e.High/2) {
					t.Errorf("%s: %+v", e.name, f)
				}
			}
		}
		if changed != 1 || len(none.set) != 0 {
			t.Errorf("%s changes %d defaults", e.name, changed)
		}
		used := 0
		for _, m := range Methods() {
			for _, k := range Kinds() {
				was, _ := none.StepDefaults(m, k)
				now, err := mine.StepDefaults(m, k)
				if err != nil {
					t.Fatal(err)
				}
				filmWas, _ := none.Film(m, k, 0)
				film, err := mine.Film(m, k, 0)
				if err != nil {
					t.Fatal(err)
				}
				if was != now || filmWas.Median != film.Median {
					used++
				}
			}
		}
		if used == 0 && mine.EdgeCover() == none.EdgeCover() {
			t.Errorf("no sum uses %s", e.name)
		}
	}
	for _, bad := range []struct {
		name         string
		v, low, high float64
	}{
		{"film tea", 1, 0, 0},
		{"film base", 0, 0, 0},
		{"film base", 3000, 0, 0},
		{"reach brush", 1.2, 0, 0},
		{"waste brush", .5, .6, 1},
		{"waste brush", .5, .1, .4},
		{"waste brush", .5, 0, .6},
	} {
		if _, err := none.With(bad.name, bad.v, bad.low, bad.high); err == nil {
			t.Errorf("%+v is taken", bad)
		}
	}
	if mine, err := none.With("reach brush", .9, 0, 0); err != nil || mine.set["reach brush"].High != 1 {
		t.Errorf("a range held at all of it: %+v, %v", mine, err)
	}
}
