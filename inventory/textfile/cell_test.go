package textfile

import "testing"

// The cells of OWASP's page on CSV injection, and what must stay as it is.
func TestProtect(t *testing.T) {
	for in, want := range map[string]string{
		`=HYPERLINK("http://x")`: `'=HYPERLINK("http://x")`, "+1+1": "'+1+1", "-2+3": "'-2+3", "@SUM(1)": "'@SUM(1)", "\t=1": "'\t=1", "\r=1": "'\r=1", "\n=1": "'\n=1",
		"＝1": "'＝1", "＠x": "'＠x", " =1": "' =1", "\u00a0=1": "'\u00a0=1", "'tis": "''tis", "'": "''",
		"": "", "Pale Bone": "Pale Bone", "a=b": "a=b", "1-2": "1-2", " x": " x", "漢字": "漢字",
	} {
		if got := Protect(in); got != want {
			t.Errorf("Protect(%q) = %q, want %q", in, got, want)
		}
	}
}

// FuzzProtect: whatever the text, it comes back, and no spreadsheet runs it.
func FuzzProtect(f *testing.F) {
	for _, s := range []string{"", "'", "''=1", "=1", " -", "\r\n@", "＋1", "\xff="} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p := Protect(s)
		if back := Unprotect(p); back != s {
			t.Fatalf("%q came back as %q by way of %q", s, back, p)
		}
		if p != "" && p[0] != '\'' && runs(p) {
			t.Fatalf("%q is written as %q", s, p)
		}
	})
}
