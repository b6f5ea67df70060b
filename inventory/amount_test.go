package inventory

import (
	"math"
	"strings"
	"testing"
)

func TestParseAmount(t *testing.T) {
	for text, want := range map[string]float64{
		"full": 1, "Half": 0.5, "½": 0.5, "3/4": 0.75, "1/2": 0.5, " 2 / 3 ": 2.0 / 3,
		"two thirds": 2.0 / 3, "quarter": 0.25, "empty": 0, "60%": 0.6, "60 %": 0.6, "33.5%": 0.335,
		"0 %": 0, "100%": 1,
	} {
		for _, bare := range []Bare{BareNothing, BarePart, BarePieces} {
			if a, err := ParseAmount(text, bare); err != nil || a.Part == nil || a.Volume != nil ||
				math.Abs(*a.Part-want) > 1e-12 {
				t.Errorf("%q: got %v, %v; want the part %v", text, a, err, want)
			}
		}
	}
	for text, want := range map[string]Volume{
		"12ml": 12000, "12 ml": 12000, "12 ML": 12000, "0.5ml": 500, "300 ul": 300, "5µl": 5, "2 cl": 20000,
		"1 item": Item, "2items": 2 * Item, "0.25 items": Item / 4,
	} {
		a, err := ParseAmount(text, BareNothing)
		if err != nil || a.Volume == nil || a.Part != nil || *a.Volume != want ||
			a.Pieces != strings.Contains(text, "item") {
			t.Errorf("%q: got %v, %v; want %v", text, a, err, want)
		}
	}
	if a, err := ParseAmount("0.6", BarePart); err != nil || *a.Part != 0.6 {
		t.Errorf("0.6 as a part: %v, %v", a, err)
	}
	if a, err := ParseAmount("2", BarePieces); err != nil || *a.Volume != 2*Item || !a.Pieces {
		t.Errorf("2 as pieces: %v, %v", a, err)
	}
	for text, says := range map[string]string{
		"": "full, half, third", "seven": "full, half, third", "12": "full, half, third",
		"0.5": "full, half, third", "3/2": "full, half, third", "1/0": "full, half, third",
		"-1/2": "full, half, third", "140%": "0 to 100 %", "NaN%": "0 to 100 %", "-5 %": "0 to 100 %",
		"1e1%": "0 to 100 %", "12 gallons": `unit "gallons"`, "-3ml": "below zero",
		"12,5 ml": "after a point", "-1 item": "a number of items", "items": "a number of items",
		"1.5 %%": "0 to 100 %",
	} {
		if _, err := ParseAmount(text, BareNothing); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: error %v, want one that says %q", text, err, says)
		}
	}
}

// FuzzParseAmount: what is accepted is one of the two, and within bounds.
func FuzzParseAmount(f *testing.F) {
	for _, s := range []string{"half", "3/4", "60 %", "12ml", "2 items", "0.6", "1/0", "%", "½"} {
		f.Add(s, 0)
	}
	f.Fuzz(func(t *testing.T, s string, bare int) {
		a, err := ParseAmount(s, Bare(bare))
		if err != nil {
			return
		}
		if (a.Part == nil) == (a.Volume == nil) || a.Part != nil && !(*a.Part >= 0 && *a.Part <= 1) ||
			a.Volume != nil && (*a.Volume < 0 || *a.Volume > maxParse) {
			t.Fatalf("%q: %v", s, a)
		}
	})
}
