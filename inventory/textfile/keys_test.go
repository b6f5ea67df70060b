package textfile

import (
	"slices"
	"testing"
)

// The keys found by asking the readers hold those that every demo file and copy
// is written with, in tables within tables too.
func TestKeys(t *testing.T) {
	keys := Keys()
	for table, want := range map[string][]string{
		"": {"figures", "forces", "offers", "paints", "pots", "products",
			"recipes", "shops", "spectra", "stand-ins", "trial-mixes"},
		"figures": {"area", "body", "box", "id", "material", "name", "note",
			"regions", "source"},
		"recipes.steps.alternatives.thinning": {"medium", "medium-parts", "paint-parts"},
		"pots.events": {"at", "estimated", "fraction", "gross", "job", "key",
			"kind", "moment", "note", "number", "tare", "undoes", "volume"},
		"figures.regions": {"area", "base", "name", "rim", "share"},
	} {
		if !slices.Equal(keys[table], want) {
			t.Errorf("[%s]: got %q, want %q", table, keys[table], want)
		}
	}
}
