package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// How long a change waits for others that write, and does nothing itself while
// it holds them up.
const (
	waitForWriters = "120s"
	sleepAtMost    = "120s"
)

// How long it is asked what became of a change; and for a caller who wants to
// stop, how long the commit may still take and how long is asked then: with
// [closeWithin] under five seconds.
const (
	askFor        = 20 * time.Second
	stopAfter     = 2 * time.Second
	askTheStopped = 1500 * time.Millisecond
)

// Command is what asks for a change.
type Command struct {
	// Key is the command's own. A command that is repeated with the same key is
	// done once: the second time is a *[RepeatedError].
	Key uuid.UUID
	// What it does, such as the words it was called with. The same key for
	// something else is a Conflict.
	What string
}

// NewCommand is a command with a key of its own.
func NewCommand(what string) Command { return Command{uuid.New(), what} }

// RepeatedError says that a command of this key was done before. Nothing was
// written this time.
type RepeatedError struct{ At time.Time }

func (e *RepeatedError) Error() string {
	return fmt.Sprintf("this was done already, on %s; nothing was changed", e.At.Format("2006-01-02 15:04"))
}

// Tx is the database while a change is made. What is read from it is so until
// the change is done, because nobody else writes meanwhile.
type Tx struct {
	Reader
	tx      pgx.Tx
	command Command
	now     time.Time // as the database can keep it, in the zone of the store's clock
	born    int       // events so far

	catalogue *inventory.Catalogue // as it was before the first change to it
	paints    bool                 // paints that were there have changed
	pots      map[string]*inventory.Pot
	orders    map[string]bool // those that were added or added to
	lastEvent int64
}

// Change is how everything is written. It makes sure that nobody else writes,
// calls f to read and write through the Tx, looks at the whole of what has come
// of it, and commits; where f or the look finds fault, nothing is written. What
// was wrong before is no fault of this change. When the connection is lost as
// the change is committed, the database is asked by the command's key what became
// of it; where there is no answer the error is of kind Unknown.
//
// Once f has returned nil, ending ctx no longer stops the change: it is either
// done or not, and the error says which.
func (s *Store) Change(ctx context.Context, c Command, f func(*Tx) error) error {
	committing, err := s.attempt(ctx, c, f)
	if err == nil || !committing {
		return ofChange(err)
	}
	if pg, ok := errors.AsType[*pgconn.PgError](err); ok && pg.Severity == "ERROR" {
		return translate(err) // a rule was broken at the end, and the server has said so
	}
	done, askErr := s.done(ctx, c.Key)
	switch {
	case askErr != nil:
		return &Error{
			Kind: Unknown,
			Err:  askErr,
			Text: "the connection to the database was lost while the change was being written, " +
				"and it can't be asked what became of it: it may have been written",
		}
	case done:
		return nil
	}
	return &Error{
		Kind: Unavailable,
		Text: "the connection to the database was lost; nothing was written, so run the same command again",
	}
}

// attempt makes the change, and tells whether it got as far as the commit.
func (s *Store) attempt(ctx context.Context, c Command, f func(*Tx) error) (committing bool, err error) {
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return false, err
	}
	defer conn.Release()
	tx, err := conn.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.ReadCommitted})
	if err != nil {
		return false, err
	}
	// After the commit this does nothing.
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }()
	if _, err := tx.Exec(ctx, queries.LimitChange, waitForWriters, sleepAtMost); err != nil {
		return false, err
	}
	if _, err := tx.Exec(ctx, queries.HoldWriters); err != nil {
		return false, err
	}
	t := s.newTx(tx, c)
	if err := t.begin(ctx); err != nil {
		return false, err
	}
	if err := f(t); err != nil {
		return false, err
	}
	if err := t.validate(ctx); err != nil {
		return false, err
	}
	if _, err := tx.Exec(ctx, queries.AddChange, c.Key, c.What, t.now); err != nil {
		return false, err
	}
	if err := ctx.Err(); err != nil {
		return false, err
	}
	// From here on only the server decides. A caller that wants to stop waits a little for its word.
	last, cancel := context.WithCancel(context.WithoutCancel(ctx))
	defer cancel()
	defer context.AfterFunc(ctx, func() { time.AfterFunc(stopAfter, cancel) })()
	return true, tx.Commit(last)
}

func (s *Store) newTx(tx pgx.Tx, c Command) *Tx {
	now := s.now()
	t := &Tx{
		tx:      tx,
		command: c,
		now:     instant(now).In(now.Location()),
		pots:    map[string]*inventory.Pot{},
		orders:  map[string]bool{},
	}
	t.Reader = Reader{
		func(_ context.Context, f func(pgx.Tx) error) error { return translate(f(tx)) },
		now.Location,
	}
	return t
}

// begin finds out whether the command was done before.
func (t *Tx) begin(ctx context.Context) error {
	var what string
	var at time.Time
	switch err := t.tx.QueryRow(ctx, queries.FindChange, t.command.Key).Scan(&what, &at); {
	case err == nil && what != t.command.What:
		return &Error{
			Kind: Conflict,
			Text: fmt.Sprintf("the key %s was used for something else: %s", t.command.Key, what),
		}
	case err == nil:
		return &RepeatedError{at.In(t.now.Location())}
	case !errors.Is(err, pgx.ErrNoRows):
		return err
	}
	return t.tx.QueryRow(ctx, queries.LastEvent).Scan(&t.lastEvent)
}

// done asks whether a command was done. It waits for writers first: a server
// that has not yet heard of the lost connection may be finishing the change.
func (s *Store) done(ctx context.Context, key uuid.UUID) (bool, error) {
	asking, cancel := context.WithTimeout(context.WithoutCancel(ctx), s.askFor)
	defer cancel()
	defer context.AfterFunc(ctx, func() { time.AfterFunc(askTheStopped, cancel) })()
	var err error
	for wait := 100 * time.Millisecond; ; wait = min(2*wait, 2*time.Second) {
		var done bool
		if done, err = s.look(asking, key); err == nil {
			return done, nil
		}
		select {
		case <-asking.Done():
			return false, err
		case <-time.After(wait):
		}
	}
}

func (s *Store) look(ctx context.Context, key uuid.UUID) (done bool, err error) {
	if s.again != nil {
		if err := s.again(ctx); err != nil {
			return false, err
		}
	}
	err = pgx.BeginTxFunc(ctx, s.pool, pgx.TxOptions{IsoLevel: pgx.ReadCommitted}, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, queries.LimitChange, "10s", sleepAtMost); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, queries.HoldWriters); err != nil {
			return err
		}
		var what string
		var at time.Time
		err := tx.QueryRow(ctx, queries.FindChange, key).Scan(&what, &at)
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		done = err == nil
		return err
	})
	return done, err
}

// birth is the key of the next event that this change brings about.
func (t *Tx) birth() uuid.UUID {
	t.born++
	return uuid.NewSHA1(t.command.Key, fmt.Appendf(nil, "event %d", t.born))
}
