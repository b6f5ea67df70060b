package textfile

import (
	"strings"
	"testing"
)

// Published check digits: gs1.org, gs1.se and gs1india.org calculators, the
// UPC-A of the standard's own article, a known ISBN-13; the last ones computed.
func TestCheckDigit(t *testing.T) {
	for digits, want := range map[string]byte{
		"629104150021": '3', "730001100001": '7', "890400021003": '7', "03600024145": '7', "978030640615": '7',
		"9638507": '4', "1234567": '0', "501234567890": '0', "1061414100073": '6', "0061414100073": '9',
	} {
		if got := checkDigit(digits); got != want {
			t.Errorf("%s: got %c, want %c", digits, got, want)
		}
		if got := checkDigit("0" + digits); got != want {
			t.Errorf("0%s: a zero on the left changes the digit to %c", digits, got)
		}
	}
}

func TestBarcodeSlips(t *testing.T) {
	for i := range 13 { // every single wrong digit is caught
		code := []byte("6291041500213")
		code[i] = '0' + (code[i]-'0'+1)%10
		if barcodeFits(string(code)) {
			t.Errorf("%s passed", code)
		}
	}
	for _, own := range []string{"", "H101", "12345", "6291041500213", "62910415-0021"} {
		if !barcodeFits(own) {
			t.Errorf("%q was refused", own)
		}
	}
	_, err := read("products.csv", "id,code,paint,volume\na,6291041500214,b,17 ml\n")
	if err == nil || !strings.Contains(err.Error(), `products.csv:2:3: code: found "6291041500214", expected a barcode that ends in 3`) {
		t.Errorf("got %v", err)
	}
}
