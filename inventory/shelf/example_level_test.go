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
	for _, s := range book.ExplainLevel(&pot, day.AddDate(0, 0, 8)) {
		fmt.Printf("%s: %s\n", s.Event.Kind, s.Note)
	}
	l := book.Level(&pot, day.AddDate(0, 0, 8))
	fmt.Printf("enough for 13 ml, give or take a fifth: %.0f %%\n", 100*l.Enough(coverage.FromRelative(13, 0.2)))
	// Output:
	// bought: 16.49 ml left (15.61 to 16.49)
	// used: 14.49 ml left (12.9 to 16.08); drawn by the estimate
	// weighed: 13.85 ml left (13.53 to 14.17)
	// enough for 13 ml, give or take a fifth: 62 %
}
