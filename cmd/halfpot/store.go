package main

import (
	"context"
	"errors"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/hand"
	"halfpot/inventory/postgres"
	"halfpot/inventory/shelf"
	"halfpot/inventory/textfile"
	"halfpot/optimize"
	"halfpot/sql/server"
)

// opened is the database of this run.
type opened struct {
	store *postgres.Store
	where *server.Database
}

// store finds the database, making and starting a private one if need be, and
// brings its tables up to date. A run opens it once.
func (a *app) store(ctx context.Context) (*postgres.Store, error) {
	if a.opened != nil {
		return a.opened.store, nil
	}
	db, err := server.Open(ctx, a.serverOptions())
	if err != nil {
		return nil, err
	}
	st, err := postgres.Open(ctx, db.URL, postgres.Options{Now: a.now, Announce: func(step string) { a.note("%s", step) }})
	if err != nil {
		return nil, err
	}
	a.opened = &opened{st, db}
	return st, nil
}

func (a *app) close() {
	if a.opened != nil {
		a.opened.store.Close()
		a.opened = nil
	}
}

// catalogue is everything but the shelf.
func (a *app) catalogue(ctx context.Context) (*inventory.Catalogue, error) {
	st, err := a.store(ctx)
	if err != nil {
		return nil, err
	}
	cat, err := st.LoadCatalogue(ctx)
	return &cat, err
}

// all is the catalogue and the shelf.
func (a *app) all(ctx context.Context) (*inventory.Catalogue, inventory.Shelf, error) {
	cat, err := a.catalogue(ctx)
	if err != nil {
		return nil, inventory.Shelf{}, err
	}
	shelf, err := a.opened.store.Shelf(ctx)
	if err != nil {
		return nil, inventory.Shelf{}, err
	}
	return cat, shelf, nil
}

// state is all that estimates and purchases rest on, at one time.
type state struct {
	cat     *inventory.Catalogue
	byID    *inventory.Index
	shelf   inventory.Shelf
	levels  []shelf.Level // of the shelf's pots, in their order
	lesson  hand.Lesson
	untold  []hand.Untaught
	factors inventory.Factors // of the lesson
	book    *shelf.LevelBook
	at      time.Time // when all this is so
}

func (a *app) state(ctx context.Context) (*state, error) {
	cat, shelf, err := a.all(ctx)
	if err != nil {
		return nil, err
	}
	st := &state{cat: cat, byID: cat.Index(), shelf: shelf, at: present(shelf, a.now())}
	rules, err := a.levelRules(ctx)
	if err != nil {
		return nil, err
	}
	return st, a.learnAll(ctx, st, rules)
}

// learnAll works out what the shelf's pots have taught, and with that what is
// left in each.
func (a *app) learnAll(ctx context.Context, st *state, rules shelf.LevelRules) error {
	tares := shelf.LearnTares(&st.shelf, st.byID, rules)
	if err := a.learn(ctx, st, shelf.NewLevelBook(st.byID, tares, nil, rules)); err != nil {
		return err
	}
	st.factors = st.lesson.Factors
	st.book = shelf.NewLevelBook(st.byID, tares, st.factors, rules)
	st.levels = st.book.Levels(&st.shelf, st.at)
	return nil
}

// stock is what the shelf has of each paint with a chance of being there.
func (s *state) stock(confidence float64) inventory.Stock {
	return shelf.StockOf(s.levels, confidence)
}

// potRow is one pot with its level, as the shelf shows it.
func (s *state) potRow(a *app, pot inventory.Pot) potRow {
	return newPotRow(s.byID, pot, s.level(a, pot))
}

// level is what is left in a pot, new events included.
func (s *state) level(a *app, pot inventory.Pot) shelf.Level {
	return s.book.Level(&pot, present(inventory.Shelf{Pots: []inventory.Pot{pot}}, a.now()))
}

// clockSkew is how far the clock that dated an event may be ahead of this one:
// another computer's, or this one's before it was put right.
const clockSkew = 5 * time.Minute

// present is now, or the time of the last event where a clock a little ahead
// has dated it: what was noted counts at once.
func present(s inventory.Shelf, now time.Time) time.Time {
	at, latest := now, now.Add(clockSkew)
	for i := range s.Pots {
		for j := range s.Pots[i].Events {
			if t := s.Pots[i].Events[j].At; t.After(at) && t.Before(latest) {
				at = t
			}
		}
	}
	return at
}

// badInput tells errors that what was typed or read is wrong from others.
func badInput(err error) bool {
	if errors.As(err, new(*optimize.InvalidError)) {
		return true
	}
	if errors.As(err, new(inventory.Faults)) || errors.As(err, new(textfile.Slips)) || errors.As(err, new(inventory.Fault)) {
		return true
	}
	if e, ok := errors.AsType[*postgres.Error](err); ok {
		return e.Kind == postgres.Invalid || e.Kind == postgres.NotFound || e.Kind == postgres.Conflict
	}
	return false
}
