package inventory

import (
	"strings"
	"testing"
)

// Published check digits, from memory: the calculators of gs1.org and of GS1
// Sweden and India (GTIN-13), the articles that explain UPC-A, EAN-8 and
// ISBN-13, the worked example of the GS1 General Specifications (an SSCC, which
// has 18 digits and the same rule). The last three are computed by hand.
func TestCheckDigit(t *testing.T) {
	for digits, want := range map[string]byte{
		"629104150021": '3', "730001100001": '7', "890400021003": '7', "978030640615": '7',
		"03600024145": '7', "03600029145": '2', "9638507": '4', "37610425002123456": '9',
		"1234567": '0', "501234567890": '0', "1061414100073": '6',
	} {
		if got := CheckDigit(digits); got != want {
			t.Errorf("%s: got %c, want %c", digits, got, want)
		}
		if got := CheckDigit("0" + digits); got != want {
			t.Errorf("0%s: a zero on the left changes the digit to %c", digits, got)
		}
	}
}

func TestParseGTIN(t *testing.T) {
	for text, want := range map[string]GTIN{
		"6291041500213":       "06291041500213",
		"036000291452":        "00036000291452",
		"96385074":            "00000096385074",
		"10614141000736":      "10614141000736",
		" 6291041500213\r":    "06291041500213",
		"]E06291041500213":    "06291041500213",
		"]C10110614141000736": "10614141000736",
		"(01)10614141000736":  "10614141000736",
		"0036000291452":       "00036000291452", // a 12-digit number as some scanners send it
	} {
		if got, err := ParseGTIN(text); err != nil || got != want {
			t.Errorf("%q: got %q, %v; want %q", text, got, err, want)
		}
	}
	for text, says := range map[string]string{
		"": "8, 12, 13 or 14 digits", "123456789": "8, 12, 13 or 14", "62910415-0021": "8, 12",
		"629104150021x": "8, 12", "٦٢٩١٠٤١٥": "8, 12", "]E0": "8, 12", "6291041500214": "ends in 3",
		"036000291453": "ends in 2", "96385075": "ends in 4", "10614141000737": "ends in 6",
	} {
		if _, err := ParseGTIN(text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: error %v, want one that says %q", text, err, says)
		}
	}
	for _, length := range []string{"96385074", "036000291452", "6291041500213", "10614141000736"} {
		for i := range len(length) { // every single wrong digit is caught
			code := []byte(length)
			code[i] = '0' + (code[i]-'0'+1)%10
			if CheckCode(string(code)) == nil {
				t.Errorf("%s passed", code)
			}
		}
	}
	for _, own := range []string{"", "H101", "12345", "6291041500213", "62910415-0021", "12345678901"} {
		if err := CheckCode(own); err != nil {
			t.Errorf("%q was refused: %v", own, err)
		}
	}
	if !SameGTIN("036000291452", "0036000291452") || SameGTIN("96385074", "6291041500213") ||
		SameGTIN("H101", "H101") {
		t.Error("two are the same article where their 14 digits are")
	}
}

// FuzzParseGTIN: what is accepted is 14 digits and stays what it is.
func FuzzParseGTIN(f *testing.F) {
	for _, s := range []string{"6291041500213", "]E0", "(01)", "96385074", "0110614141000736"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		g, err := ParseGTIN(s)
		if err != nil {
			return
		}
		if again, err := ParseGTIN(string(g)); err != nil || again != g || len(g) != 14 ||
			CheckDigit(string(g[:13])) != g[13] {
			t.Fatalf("%q reads as %q, then as %q, %v", s, g, again, err)
		}
	})
}
