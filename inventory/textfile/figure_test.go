package textfile

import (
	"math"
	"strings"
	"testing"

	"halfpot/inventory/coverage"
)

const boxes = `[[figures]]
id = "carrier"
name = "Carrier"
note = "tracked"
box = { length = "6 m", width = "300 cm", height = "2.5 m", scale = "1:56" }
regions = [
  { name = "hull", share = "100 %" },
  { name = "base", base = "60 x 35 mm", rim = "3 mm" },
  { name = "round", base = "25 mm", rim = "2 mm" },
  { name = "flat", base = "25 mm" },
]

[[figures]]
id = "wall"
name = "Wall"
box = { length = "20 cm", width = "2 cm", height = "5 cm", scale = "1:1", detail = 1 }
`

func TestBoxesAndBases(t *testing.T) {
	b, err := read("plan.toml", boxes)
	if err != nil {
		t.Fatal(err)
	}
	f := b.Catalogue.Figures
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		// 2 (6 x 3 + 6 x 2.5 + 3 x 2.5) m2 at 1:56, half as much again for detail.
		{"carrier", f[0].AreaCM2, 81 * 1e4 / (56 * 56) * 1.5},
		{"wall", f[1].AreaCM2, 2 * (20*2 + 20*5 + 2*5)},
		// Half axes 30 and 17.5 mm: h = (12.5/47.5)^2, and the perimeter is
		// pi 47.5 (1 + h/4 + h^2/64 + ...) = 151.82 mm (Ivory's series, from memory).
		{"oval base", f[0].Regions[1].AreaCM2, math.Pi*60*35/400 + 151.82*3/100},
		{"base without a rim", f[0].Regions[3].AreaCM2, math.Pi * 25 * 25 / 400},
		{"round base", f[0].Regions[2].AreaCM2, math.Pi*25*25/400 + math.Pi*25*2/100},
	} {
		if math.Abs(c.got-c.want) > 1e-4*c.want {
			t.Errorf("%s: %.3f cm2, want %.3f", c.what, c.got, c.want)
		}
	}
	if f[0].Source != coverage.Assumption ||
		!strings.HasPrefix(f[0].Note, "tracked; box of 6 x 3 x 2.5 m at 1:56") {
		t.Errorf("source %q, note %q", f[0].Source, f[0].Note)
	}
}

func TestBoxesAndBasesRefused(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"no side", `width = "300 cm", `, "", "width: found nothing"},
		{"no unit", `"6 m"`, `"6"`, "length: found"},
		{"a person's scale", `"1:56"`, `"28 mm to eye"`, `scale: found "28 mm to eye"`},
		{"no size", `"2 cm"`, `"-2 cm"`, "width"},
		{"absurd detail", "detail = 1", "detail = 50", "detail of a box"},
		{"an area too", `note = "tracked"`, `area = "5 cm2"`, "area beside a box"},
		{"a share too", `base = "25 mm"`, `base = "25 mm", share = "5 %"`, "share beside a base"},
		{"base without unit", `"60 x 35 mm"`, `"60 x 35"`, `base: found "60 x 35"`},
		{"base of a house", `"25 mm"`, `"2500 mm"`, "base"},
		{"unknown field", "detail = 1", "details = 1", "details"},
	} {
		text := strings.Replace(boxes, c.old, c.new, 1)
		if text == boxes {
			t.Fatalf("%s: nothing changed", c.name)
		}
		b, err := read("plan.toml", text)
		if err == nil {
			t.Errorf("%s: read as %+v", c.name, b.Catalogue.Figures)
		} else if !strings.Contains(err.Error(), c.want) || strings.Count(err.Error(), "plan.toml:") != 1 {
			t.Errorf("%s: %v, want one slip about %q", c.name, err, c.want)
		}
	}
}
