package postgres

import (
	"fmt"
	"os"
	"runtime"
	"testing"
	"time"

	"halfpot/inventory"
)

// bigShelf has pots in every state, ten events each, and the events of
// different pots recorded in turn as they are in life.
func bigShelf(b *testing.B, pots int) *Store {
	b.Helper()
	s := open(b)
	mustSave(b, s, Load{Catalogue: example()})
	all := make([]inventory.Pot, pots)
	for i := range all {
		all[i] = inventory.Pot{
			ID:        fmt.Sprintf("pot-%d", i),
			Paint:     "zest-bone",
			Product:   "zest-bone-17",
			Nominal:   17000,
			Place:     "shelf",
			TareGrams: 11,
			Cost:      ptr(eur("3.20")),
		}
	}
	began := time.Now()
	for round := range 10 {
		for i := range all {
			at := noon.Add(time.Duration(round*pots+i-10*pots) * time.Second)
			e := inventory.PotEvent{
				Kind:      inventory.Used,
				At:        at,
				Volume:    ptr(inventory.Volume(100 + i%50)),
				Estimated: true,
			}
			switch round {
			case 0:
				e = inventory.PotEvent{Kind: inventory.Bought, At: at}
			case 1:
				e = inventory.PotEvent{Kind: inventory.Opened, At: at}
			case 4, 7:
				e = inventory.PotEvent{Kind: inventory.Judged, At: at, Fraction: ptr(float64(i%100) / 100)}
			case 9:
				e = inventory.PotEvent{Kind: inventory.Weighed, At: at, GrossGrams: 12 + float64(i%15)}
			}
			all[i].Events = []inventory.PotEvent{e}
		}
		mustSave(b, s, Load{Pots: all})
	}
	b.Logf("%d pots with %d events saved in %v", pots, 10*pots, time.Since(began))
	do(b, s, "analyze halfpot.pot, halfpot.pot_event")
	return s
}

// BenchmarkEachPot lists a shelf of 10,000 pots with 100,000 events and
// reports the greatest heap seen on the way. Filling it takes half a minute, so that
// without HALFPOT_LONG it is one of 500.
func BenchmarkEachPot(b *testing.B) {
	many := 500
	if os.Getenv("HALFPOT_LONG") != "" {
		many = 10_000
	}
	s := bigShelf(b, many)
	var peak uint64
	for b.Loop() {
		pots, events := 0, 0
		err := s.EachPot(b.Context(), func(p inventory.Pot) error {
			pots++
			events += len(p.Events)
			if pots%1_000 == 0 {
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				peak = max(peak, m.HeapInuse+m.StackInuse)
			}
			return nil
		})
		if err != nil || pots != many || events != 10*many {
			b.Fatalf("%d pots, %d events, %v", pots, events, err)
		}
	}
	b.ReportMetric(float64(peak)/1e6, "MB-peak")
}

func BenchmarkLoadCatalogue(b *testing.B) {
	s := open(b)
	c := example()
	for i := range 2000 {
		c.Paints = append(c.Paints, inventory.Paint{
			ID:   fmt.Sprintf("paint-%d", i),
			Name: "Paint",
			Type: inventory.Base,
		})
		c.Products = append(c.Products, inventory.Product{
			ID:       fmt.Sprintf("box-%d", i),
			Contents: []inventory.Content{{Paint: c.Paints[len(c.Paints)-1].ID, Volume: 17000, Count: 1}},
		})
		c.Offers = append(c.Offers, inventory.Offer{
			Product: fmt.Sprintf("box-%d", i),
			Shop:    "corner",
			Price:   eur("3"),
		})
	}
	mustSave(b, s, Load{Catalogue: c})
	for b.Loop() {
		if _, err := s.LoadCatalogue(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
}
