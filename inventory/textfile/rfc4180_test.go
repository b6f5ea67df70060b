package textfile

import (
	"strings"
	"testing"
	"time"
)

// The rules of RFC 4180, section 2, one by one: lines end in CRLF (1), the last may
// not (2), a header (3), spaces belong to a field (4), quotes (5), line breaks and
// commas within them (6), a quote doubled (7).
func TestRFC4180(t *testing.T) {
	text := "name,type,maker\r\n" +
		"\"Bone, pale\",base,\"Ulver \"\"and\"\" Sons\"\r\n" +
		"\"Slag\",\"base\",Old Ulver"
	b, err := Read(Options{Now: time.Date(2026, 3, 9, 19, 0, 0, 0, time.UTC)}, Source{
		Name:   "paints.csv",
		Reader: strings.NewReader(text),
		Size:   int64(len(text)),
	})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range b.Catalogue.Paints {
		got = append(got, p.Name+"|"+p.Maker)
	}
	if want := `Bone, pale|Ulver "and" Sons; Slag|Old Ulver`; strings.Join(got, "; ") != want {
		t.Errorf("got %q, want %q", strings.Join(got, "; "), want)
	}
	// A line break within quotes is of one field.
	text = "name,type\r\n\"Two\r\nlines\",base\r\nBone,base\r\n"
	b, err = Read(Options{Now: time.Date(2026, 3, 9, 19, 0, 0, 0, time.UTC)}, Source{
		Name:   "paints.csv",
		Reader: strings.NewReader(text),
		Size:   int64(len(text)),
	})
	if err != nil || len(b.Catalogue.Paints) != 2 || b.Catalogue.Paints[1].Name != "Bone" {
		t.Errorf("%v, %v", b.Catalogue.Paints, err)
	}
}
