package inventory

import (
	"strings"
	"testing"
)

func TestParseVolume(t *testing.T) {
	for text, want := range map[string]Volume{
		"12.5 ml": 12500, "17ml": 17000, "500 ul": 500, "0.4 l": 400_000, "2 cl": 20_000,
		" 17 ML ": 17_000, "0 ml": 0, "0.001 ml": 1, "5µl": 5, "1 dl": 100_000, "+3 ml": 3000, ".5 ml": 500,
	} {
		got, err := ParseVolume(text)
		if err != nil || got != want {
			t.Errorf("ParseVolume(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for text, says := range map[string]string{
		"17": "no unit", "": "no unit", "ml": "a number and a unit", "12,5 ml": "after a point",
		"-3 ml": "below zero", "0.0001 ml": "finer than a microlitre", "3 pints": "unit",
		"1e5 ml": "unit", "1.2.3 ml": "not a number", "99999999999 l": "more than",
		strings.Repeat("9", 100) + " ml": "expected a number",
	} {
		if _, err := ParseVolume(text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("ParseVolume(%q): error %v, want one that says %q", text, err, says)
		}
	}
}

func TestVolumeRounding(t *testing.T) {
	if CeilUL(0.2) != 1 || FloorUL(0.9) != 0 || CeilUL(3) != 3 || VolumeOfML(0.0014) != 1 {
		t.Error("needs round up, stock rounds down, measures to the nearest")
	}
}

// FuzzParseVolume: what is accepted is written back and read again unchanged.
func FuzzParseVolume(f *testing.F) {
	for _, s := range []string{"12.5 ml", "17ml", "500 ul", "0.4 l", "-1 ml", "1e9 l", "µl", "١ ml"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseVolume(s)
		if err != nil {
			return
		}
		if v < 0 || v > maxParse {
			t.Fatalf("ParseVolume(%q) = %d, outside its limits", s, v)
		}
		if w, err := ParseVolume(v.String()); err != nil || w != v {
			t.Fatalf("%q reads as %d, which writes as %q and reads as %d, %v", s, v, v, w, err)
		}
	})
}
