package textfile

import (
	"strings"
	"testing"

	"halfpot/inventory"
)

// Faults between records are shown where they stand in the files.
func TestCheckNamesPlaces(t *testing.T) {
	b, err := read(
		"paints.csv", "id,name,type\nbone-tone,Bone Tone,base\ndusk,Dusk,wasch\n",
		"pots.csv", "id,paint,size\np1,bone-tne,17 ml\np2,bone-tone,17 l\n",
		"offers.csv", "shop,product,price\nattic,set,3.20 USD\n",
		"shops.csv", "id,name,currency\nattic,Attic,EUR\n",
		"products.csv", "id,paint,volume\nset,bone-tone,17 ml\nset,bone,17 ml\n",
		"plan.toml", `
[[figures]]
id = "rifle"
area = "12 cm2"
regions = [{ name = "jacket", share = "60 %" }, { name = "straps", share = "50 %" }]

[[recipes]]
id = "greens"
[[recipes.steps]]
id = "coat"
regions = ["jackett"]
mix = [{ paint = "bone-tone", parts = 2 }, { paint = "duskk", parts = 1 }]

[[forces]]
id = "patrol"
units = [
  { id = "one", figures = 0, figure = "rifle", recipe = "greens" },
]
[[forces.match]]
label = "straps"
steps = ["strap"]
`)
	if err != nil {
		t.Fatal(err)
	}
	_, err = b.Check(inventory.Catalogue{})
	if err == nil {
		t.Fatal("nothing was found")
	}
	for _, want := range []string{
		`paints.csv:3:11: paints.dusk.type: found "wasch", expected one of `,
		`pots.csv:2:4: pots.p1.paint: found bone-tne, expected the id of a paint in the catalogue; nearest: bone-tone`,
		`pots.csv:3:14: pots.p2.size: found 17000 ml`,
		`offers.csv:2:11: offers.set@attic.price: found 3.20 USD, expected money in EUR`,
		`products.csv:3:5: products.set.contents.2.paint: found bone`,
		`plan.toml:5:1: figures.rifle.regions: found shares that sum to 110 %`,
		`plan.toml:12:46: recipes.greens.steps.coat.mix.2.paint: found duskk, expected the id of a paint in the catalogue; nearest: dusk`,
		`plan.toml:17:17: forces.patrol.units.one.figures: found 0`,
		`plan.toml:17:48: forces.patrol.units.one.recipe: found region jackett in step coat of recipe greens`,
		`plan.toml:21:1: forces.patrol.match.1.steps: found strap`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("got\n%v\nwhich lacks %q", err, want)
		}
	}
}

// A record with slips of its own is not blamed twice, and the rest is judged
// in the same round.
func TestCheckAddsToSlips(t *testing.T) {
	b, err := read("pots.csv", "id,paint,size\np1,bone,much\np2,none,17 ml\n")
	if err == nil || b == nil {
		t.Fatalf("got %v, %v; want a batch with slips", b, err)
	}
	_, err = b.Check(inventory.Catalogue{Paints: []inventory.Paint{{
		ID:   "bone",
		Name: "Bone",
		Type: inventory.Base,
	}}})
	slips, _ := err.(Slips)
	if len(slips) != 2 || slips[0].Line != 2 || slips[1].Line != 3 {
		t.Errorf("got %v, want one slip a line", err)
	}
	b, _ = read("pots.csv", "id,paint,size\np1,none,17 ml,\n")
	if _, err := b.Check(inventory.Catalogue{}); err == nil || strings.Contains(err.Error(), "none") {
		t.Errorf("with a row that could not be read, references were judged: %v", err)
	}
}

func TestOverReplacesAndAdds(t *testing.T) {
	old := inventory.Catalogue{Paints: []inventory.Paint{
		{ID: "a", Name: "A", Type: "base"},
		{ID: "b", Name: "B", Type: "base"},
	}}
	b, err := read("paints.csv", "id,name,type\nb,New,wash\nc,C,base\n")
	if err != nil {
		t.Fatal(err)
	}
	all, err := b.Check(old)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "paints", all.Paints, []inventory.Paint{
		old.Paints[0],
		{ID: "b", Name: "New", Type: "wash"},
		{ID: "c", Name: "C", Type: "base"},
	})
	if old.Paints[1].Name != "B" {
		t.Error("the stored catalogue was changed")
	}
}
