package main

import (
	"context"
	"errors"
	"io"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/postgres"
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
	say := func(step string) { a.note("%s", step) }
	opt := postgres.Options{
		Now:      a.now,
		Announce: say,
		Backup:   a.backupFirst,
		Again: func(ctx context.Context) error {
			_, err := server.Open(ctx, a.serverOptions())
			return err
		},
	}
	err := server.Patiently(ctx, say, func() error {
		if db, ok := server.Likely(a.serverOptions()); ok {
			likely := opt
			likely.Trust = db.Trust
			err := a.openAt(ctx, db, likely)
			if _, unreached := errors.AsType[*postgres.UnreachedError](err); !unreached {
				return err
			}
		}
		if err := a.noDemoYet(ctx); err != nil {
			return err
		}
		db, err := server.Open(ctx, a.serverOptions())
		if err != nil {
			return err
		}
		return a.openAt(ctx, db, opt)
	})
	if err != nil {
		return nil, err
	}
	return a.opened.store, nil
}

func (a *app) openAt(ctx context.Context, db *server.Database, opt postgres.Options) error {
	opt.Owner = db.Owner
	st, err := postgres.Open(ctx, db.URL, opt)
	if err == nil {
		a.opened = &opened{st, db}
	}
	return err
}

// backupFirst keeps a copy before the tables are brought up to date.
func (a *app) backupFirst(why string, write func(io.Writer) error) error {
	path, err := a.keepBackup(why, write)
	if err == nil {
		a.note("A backup of all of it as it was: %s", a.short(path))
	}
	return err
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
	cat = cat.Planned()
	return &cat, err
}

// listed is the catalogue without what is retired.
func (a *app) listed(ctx context.Context) (*inventory.Catalogue, error) {
	cat, err := a.catalogue(ctx)
	if err != nil {
		return nil, err
	}
	list := cat.Listed(cat.Retired)
	return &list, nil
}

// state is the painter's desk now.
type state struct {
	*desk.Desk
	cat   *inventory.Catalogue
	byID  *inventory.Index
	shelf inventory.Shelf
}

func (a *app) state(ctx context.Context) (*state, error) { return a.stateOn(ctx, "") }

// stateOn is the desk as it was at the end of the day typed, or now.
func (a *app) stateOn(ctx context.Context, typed string) (s *state, err error) {
	on, err := a.endOf(typed)
	if err != nil {
		return nil, err
	}
	st, err := a.store(ctx)
	if err != nil {
		return nil, err
	}
	err = st.Snapshot(ctx, func(r *postgres.Reader) error {
		s, err = a.stateAt(ctx, r, on)
		return err
	})
	return s, err
}

// stateOf is the desk as something kept has it, such as a change under way.
func (a *app) stateOf(ctx context.Context, kept desk.Kept) (*state, error) {
	return a.stateAt(ctx, kept, time.Time{})
}

func (a *app) stateAt(ctx context.Context, kept desk.Kept, on time.Time) (*state, error) {
	d, err := desk.Open(ctx, kept, desk.Options{Now: a.now, Watch: a.watch, On: on})
	if err != nil {
		return nil, err
	}
	return &state{d, d.Catalogue, d.Index, d.Shelf}, nil
}

// potRow is one pot with its level, as the shelf shows it.
func (s *state) potRow(pot inventory.Pot) potRow {
	return newPotRow(s.byID, pot, s.Level(pot), s.At)
}

// watch shows how a long search stands, on a terminal.
func (a *app) watch(currency string) (report func(optimize.Progress), done func()) {
	bar := a.newProgress(currency)
	return bar.report(), bar.end
}

// badInput tells errors that what was typed or read is wrong from others.
func badInput(err error) bool {
	if errors.As(err, new(*optimize.InvalidError)) {
		return true
	}
	if errors.As(err, new(*postgres.ClashError)) || errors.As(err, new(*postgres.BadRecordError)) {
		return true
	}
	if errors.As(err, new(inventory.Faults)) || errors.As(err, new(textfile.Slips)) ||
		errors.As(err, new(inventory.Fault)) {
		return true
	}
	if e, ok := errors.AsType[*postgres.Error](err); ok {
		return e.Kind == postgres.Invalid || e.Kind == postgres.NotFound || e.Kind == postgres.Conflict
	}
	return false
}
