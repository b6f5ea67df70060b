package inventory

import (
	"strings"
	"testing"
)

func TestSlug(t *testing.T) {
	for name, want := range map[string]string{
		"Bone Tone (17 ml)":       "bone-tone-17-ml",
		"  --x--y ":               "x-y",
		"ÄÖ":                      "",
		"":                        "",
		strings.Repeat("ab-", 60): strings.Repeat("ab-", 26) + "ab",
	} {
		if got := Slug(name); got != want {
			t.Errorf("Slug(%q) = %q, want %q", name, got, want)
		}
	}
}

func TestValidID(t *testing.T) {
	for _, good := range []string{"a", "bone-tone", "17-ml", strings.Repeat("a", MaxID)} {
		if !ValidID(good) {
			t.Errorf("%q is refused", good)
		}
	}
	for _, bad := range []string{
		"", "-a", "a-", "a--b", "A", "a b", "a/b", "ä", "a:b", strings.Repeat("a", MaxID+1),
	} {
		if ValidID(bad) {
			t.Errorf("%q is taken for an id", bad)
		}
	}
}

func FuzzSlug(f *testing.F) {
	f.Add("Bone Tone (17 ml)")
	f.Add("éè--0")
	f.Fuzz(func(t *testing.T, name string) {
		if s := Slug(name); s != "" && !ValidID(s) {
			t.Fatalf("Slug(%q) = %q, which is no id", name, s)
		}
	})
}
