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
	"time"

	"halfpot/inventory"
	"halfpot/inventory/hand"
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
}

// Options say what a desk takes from outside.
type Options struct {
	Now func() time.Time
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
	Coming    []Coming    // what is on its way, reckoned with in estimates and purchases
	Lesson    hand.Lesson // what the pots have taught of the painter's hand
	Untaught  []hand.Untaught
	At        time.Time // when all this is so

	options Options
	book    *shelf.LevelBook
}

// Open loads a desk. Levels and the painter's hand are never stored: they follow
// from the pots' events, so a correction mends them too. Stored are only the
// painter's own words: rules changed, factors pinned or reset, odd readings accepted.
func Open(ctx context.Context, kept Kept, o Options) (*Desk, error) {
	cat, err := kept.LoadCatalogue(ctx)
	if err != nil {
		return nil, err
	}
	d := &Desk{Catalogue: &cat, Index: cat.Index(), options: o}
	if d.Shelf, err = kept.Shelf(ctx); err != nil {
		return nil, err
	}
	d.At = present(d.Shelf.Pots, o.Now())
	rules, err := LevelRules(ctx, kept)
	if err != nil {
		return nil, err
	}
	tares := shelf.LearnTares(&d.Shelf, d.Index, rules)
	if err := d.learn(ctx, kept, shelf.NewLevelBook(d.Index, tares, nil, rules)); err != nil {
		return nil, err
	}
	d.book = shelf.NewLevelBook(d.Index, tares, d.Lesson.Factors, rules)
	d.Levels = d.book.Levels(&d.Shelf, d.At)
	if d.Orders, err = kept.Orders(ctx); err != nil {
		return nil, err
	}
	d.Coming = d.onItsWay()
	return d, nil
}

// learn works out what the pots have taught so far.
func (d *Desk) learn(ctx context.Context, kept Kept, book *shelf.LevelBook) error {
	seen, untaught, err := hand.Observations(book, d.Catalogue, &d.Shelf, d.At)
	if err != nil {
		return err
	}
	said, err := kept.Settings(ctx)
	if err != nil {
		return err
	}
	for i := range seen {
		seen[i].Accepted = said[AcceptedName(seen[i])] == "yes"
	}
	history, err := kept.FactorHistory(ctx, "", "")
	if err != nil {
		return err
	}
	var settings []inventory.FactorChange
	for _, h := range history {
		if h.Change == inventory.FactorPinned || h.Change == inventory.FactorReset {
			settings = append(settings, inventory.FactorChange{Factor: h.Factor, Change: h.Change, Note: h.Note})
		}
	}
	d.Untaught = untaught
	d.Lesson = hand.Learn(d.Index, seen, settings, inventory.DefaultLearnRules())
	return nil
}

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
