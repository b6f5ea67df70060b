package painting

import (
	"testing"

	"halfpot/inventory/textfile"
)

// The demo's recipes are by the book: with their optional
// steps and without there is nothing but hints.
func TestDemoRecipesAreByTheBook(t *testing.T) {
	batch, err := textfile.ReadFiles(textfile.Options{}, "../../testdata/demo/paints.csv",
		"../../testdata/demo/figures.toml", "../../testdata/demo/recipes.toml")
	if err != nil {
		t.Fatal(err)
	}
	c := &batch.Catalogue
	idx := c.Index()
	for i := range c.Recipes {
		for _, f := range Check(&c.Recipes[i], nil, idx) {
			if f.Severity != Mention {
				t.Errorf("%s: %+v", c.Recipes[i].ID, f)
			}
		}
	}
}
