package hand

import (
	"fmt"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shelf"
)

// largeShelf is so many pots with ten events each.
func largeShelf(pots int) (*inventory.Catalogue, *inventory.Shelf) {
	c := fixture.SmallCatalogue()
	s := &inventory.Shelf{}
	id := int64(0)
	for i := range pots {
		p := inventory.Pot{
			ID:      fmt.Sprintf("pot-%06d", i),
			Paint:   []string{"cloth-a", "leather", "shade", "black"}[i%4],
			Nominal: 17 * inventory.Millilitre,
		}
		for k := range 10 {
			id++
			e := inventory.PotEvent{
				ID:        id,
				At:        fixture.Noon.AddDate(0, 0, 7*k+i%5),
				Kind:      inventory.Used,
				Estimated: true,
				Volume:    fixture.Vol(.8),
			}
			switch k {
			case 0:
				e = inventory.PotEvent{ID: id, At: e.At, Kind: inventory.Bought}
			case 4, 9:
				e = inventory.PotEvent{
					ID:       id,
					At:       e.At,
					Kind:     inventory.Judged,
					Fraction: fixture.Frac(1 - .06*float64(k)),
				}
			}
			p.Events = append(p.Events, e)
		}
		s.Pots = append(s.Pots, p)
	}
	return c, s
}

// Learned and listed, with the 90 % range of each.
func BenchmarkBook100kPots1MEvents(b *testing.B) {
	c, s := largeShelf(100_000)
	idx := c.Index()
	rules := shelf.DefaultLevelRules()
	now := fixture.Noon.AddDate(0, 4, 0)
	for b.Loop() {
		book, err := NewBook(c, s, shelf.NewLevelBook(idx, shelf.Tares{}, nil, rules), Words{}, now)
		if err != nil {
			b.Fatal(err)
		}
		for _, l := range book.Levels(s, now) {
			l.LeftWithin(.9)
		}
	}
}

// Pots are worked out side by side, and each as if it stood alone.
func TestLevelsAtOnce(t *testing.T) {
	c, s := largeShelf(2*potsAtOnce + 1)
	now := fixture.Noon.AddDate(0, 4, 0)
	b := bookOf(t, c, s, Words{}, now)
	for i, l := range b.Levels(s, now) {
		alone := b.Level(&s.Pots[i], now)
		low, high := l.Range(.9)
		if lowAlone, highAlone := alone.Range(.9); l.Left() != alone.Left() || low != lowAlone ||
			high != highAlone {
			t.Fatalf("%s: %s (%s to %s), alone %s (%s to %s)",
				s.Pots[i].ID, l.Left(), low, high, alone.Left(), lowAlone, highAlone)
		}
	}
}
