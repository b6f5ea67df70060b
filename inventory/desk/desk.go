// Package desk is one painter's desk at one moment: it loads what is kept,
// works out once what is left in every pot and what the pots have taught of the
// painter's hand, and answers questions: [Desk.Pots], [Desk.Estimate],
// [Desk.Servings], [Desk.Question] with [Question.Answer] and [Answer.Why],
// [Desk.Log]. Whatever shows answers, a command or a page, asks here.
//
// It is the only room that knows both what is kept and a solver.
package desk

import (
	"context"
	"strings"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/hand"
	"halfpot/inventory/likeness"
	"halfpot/inventory/shelf"
	"halfpot/optimize"
)

// Kept is what a desk is loaded from: a store, or a change to it under way.
type Kept interface {
	LoadCatalogue(context.Context) (inventory.Catalogue, error)
	Shelf(context.Context) (inventory.Shelf, error)
	Settings(context.Context) (map[string]string, error)
	FactorHistory(ctx context.Context, level inventory.FactorLevel, key string) ([]inventory.FactorChange, error)
	Orders(context.Context) ([]inventory.Order, error)
	// CatalogueAt is LoadCatalogue with the work as it stood at a time.
	CatalogueAt(ctx context.Context, at time.Time) (inventory.Catalogue, error)
	Retired(context.Context) (inventory.Retired, error)
}

// Options say what a desk takes from outside.
type Options struct {
	Now func() time.Time
	// On, where it is not zero, is a moment gone by: the desk is as it was then, by
	// what is dated until then.
	On time.Time
	// Watch begins to follow a search for a plan in a currency. The report is
	// called now and then, from any goroutine, and may be nil; done ends it. A
	// Watch of nil follows none.
	Watch func(currency string) (report func(optimize.Progress), done func())
}

// Desk is all that answers rest on, at one time.
type Desk struct {
	Catalogue *inventory.Catalogue
	Index     *inventory.Index // of the catalogue
	Shelf     inventory.Shelf
	Levels    []shelf.Level // of the shelf's pots, in their order
	Orders    []inventory.Order
	Coming    []OnTheWay  // what is on its way, reckoned with in estimates and purchases
	Lesson    hand.Lesson // what the pots have taught of the painter's hand
	At        time.Time   // when all this is so

	options Options
	whole   *inventory.Catalogue // retired work too, which teaches the hand
	rules   shelf.LevelRules
	words   hand.Words
	book    *hand.Book
	palette *likeness.Palette // made when first asked for
	point   inventory.Money   // what a point of compromise is worth, kept or usual
}

// Open loads a desk. Levels and the painter's hand are never stored: they follow
// from the pots' events, so a correction mends them too. Stored are only the
// painter's own words: rules changed, factors pinned or reset, odd readings accepted.
func Open(ctx context.Context, kept Kept, o Options) (*Desk, error) {
	said, err := kept.Settings(ctx)
	if err != nil {
		return nil, err
	}
	kept = settled{kept, said}
	load := kept.LoadCatalogue
	if !o.On.IsZero() {
		load = func(ctx context.Context) (inventory.Catalogue, error) { return kept.CatalogueAt(ctx, o.On) }
		o.Now = func() time.Time { return o.On }
	}
	cat, err := load(ctx)
	if err != nil {
		return nil, err
	}
	retired, err := kept.Retired(ctx)
	if err != nil {
		return nil, err
	}
	cat.Offers = cat.Sold(retired)
	if cat.Tables, err = PaintTables(ctx, kept); err != nil {
		return nil, err
	}
	// What was painted of retired units still teaches the hand.
	d := &Desk{Catalogue: &cat, Index: cat.Index(), options: o}
	if d.Shelf, err = kept.Shelf(ctx); err != nil {
		return nil, err
	}
	if !o.On.IsZero() {
		d.Shelf = d.Shelf.Until(o.On)
	}
	d.At = present(d.Shelf.Pots, o.Now())
	if d.rules, err = LevelRules(ctx, kept); err != nil {
		return nil, err
	}
	if d.point, err = pointPrice(ctx, kept, &cat); err != nil {
		return nil, err
	}
	if d.words, err = painterWords(ctx, kept, o.On); err != nil {
		return nil, err
	}
	d.whole = d.Catalogue
	if d.book, err = d.learn(&d.Shelf, d.At); err != nil {
		return nil, err
	}
	planned := cat.Planned()
	d.Catalogue, d.Index = &planned, planned.Index()
	d.Lesson = d.book.Lesson()
	d.Levels = d.book.Levels(&d.Shelf, d.At)
	if d.Orders, err = kept.Orders(ctx); err != nil {
		return nil, err
	}
	if !o.On.IsZero() {
		d.Orders = ordersUntil(d.Orders, o.On)
	}
	d.Coming = d.onItsWay()
	return d, nil
}

// settled has asked for the settings already.
type settled struct {
	Kept
	said map[string]string
}

func (s settled) Settings(context.Context) (map[string]string, error) { return s.said, nil }

// learn is the hand that a shelf teaches.
func (d *Desk) learn(s *inventory.Shelf, at time.Time) (*hand.Book, error) {
	idx := d.whole.Index()
	return hand.NewBook(d.whole, s,
		shelf.NewLevelBook(idx, shelf.LearnTares(s, idx, d.rules), nil, d.rules), d.words, at)
}

// painterWords are the pins, resets and answers about readings that are kept;
// where on is not zero, as of then.
func painterWords(ctx context.Context, kept Kept, on time.Time) (hand.Words, error) {
	said, err := kept.Settings(ctx)
	if err != nil {
		return hand.Words{}, err
	}
	history, err := kept.FactorHistory(ctx, "", "")
	if err != nil {
		return hand.Words{}, err
	}
	var words hand.Words
	for name := range said {
		if strings.HasPrefix(name, acceptedName) { // asked for every reading there is
			words.Accepts = func(pot string, at time.Time) bool { return said[AcceptedName(pot, at)] == "yes" }
			break
		}
	}
	for _, h := range history {
		if !on.IsZero() && h.Factor.Updated.After(on) {
			continue
		}
		if h.Change == inventory.FactorPinned || h.Change == inventory.FactorReset {
			words.Settings = append(words.Settings, inventory.FactorChange{
				Factor: h.Factor,
				Change: h.Change,
				Note:   h.Note,
			})
		}
	}
	return words, nil
}

// FactorHistory tells how the factors came about, oldest first.
func (d *Desk) FactorHistory() []inventory.FactorChange { return d.book.History(&d.Shelf) }

// present is now, or the time of the last event where a clock a little ahead
// has dated it: what was noted counts at once.
func present(pots []inventory.Pot, now time.Time) time.Time {
	at, latest := now, now.Add(inventory.ClockSkew)
	for i := range pots {
		for j := range pots[i].Events {
			if t := pots[i].Events[j].At; t.After(at) && t.Before(latest) {
				at = t
			}
		}
	}
	return at
}
