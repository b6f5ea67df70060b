package shelf_test

import (
	"fmt"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/shelf"
)

// A pot bought full, used for one logged job and weighed after it.
func ExampleLevelBook() {
	cat := &inventory.Catalogue{Paints: []inventory.Paint{{ID: "tan", Name: "Tan", Type: inventory.Base, Density: 1.2}}}
	day := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	used := inventory.VolumeOfML(2)
	pot := inventory.Pot{ID: "tan-1", Paint: "tan", Nominal: 17 * inventory.Millilitre, Events: []inventory.PotEvent{
		{ID: 1, Kind: inventory.Bought, At: day},
		{ID: 2, Kind: inventory.Used, At: day.AddDate(0, 0, 7), Volume: &used, Estimated: true},
		{ID: 3, Kind: inventory.Weighed, At: day.AddDate(0, 0, 7), GrossGrams: 31.4, TareGrams: 14.2},
	}}
	book := shelf.NewLevelBook(cat.Index(), shelf.Tares{}, nil, shelf.DefaultLevelRules())
	l := book.Level(&pot, day.AddDate(0, 0, 8))
	low, high := l.Range(0.9)
	fmt.Printf("%s left (%s to %s)\n", l.Left(), low, high)
	fmt.Printf("enough for 13 ml, give or take a fifth: %.0f %%\n", 100*l.Enough(coverage.FromRelative(13, 0.2)))
	// Output:
	// 13.849 ml left (13.525 ml to 14.173 ml)
	// enough for 13 ml, give or take a fifth: 62 %
}
