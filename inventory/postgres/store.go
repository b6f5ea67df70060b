// Package postgres keeps the values of package inventory in PostgreSQL.
//
// Every exported method of [Store] is one transaction: it is done whole or not
// at all, also when the connection is lost on the way. All that is written goes
// through [Store.Change], where what a change rests on is read, it is made, and
// the whole is looked at before it counts. The SQL itself lives in package sql.
package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	decimal "github.com/jackc/pgx-shopspring-decimal"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	queries "halfpot/sql"
)

// Store is the database of one painter. It is safe for use by several
// goroutines.
type Store struct {
	Reader
	pool  *pgxpool.Pool
	now   func() time.Time
	again func(context.Context) error

	askFor time.Duration // how long it is asked what became of a change
}

// Reader reads what is kept: from a [Store] each time on one unchanging view of
// the database, from a [Tx] what its change rests on. Times come in the zone of
// the store's clock; one of which only the day is known comes on that day.
type Reader struct {
	read func(context.Context, func(pgx.Tx) error) error
	zone func() *time.Location
}

// Options tune a store; the zero value is ready to use.
type Options struct {
	// Now is the clock; nil means time.Now. A transaction reads it once.
	Now func() time.Time
	// Announce is told about each migration that is run; nil means silence.
	Announce func(string)
	// Backup keeps a record of the database that is written before its tables
	// are brought up to date; nil means that none is.
	Backup func(why string, write func(io.Writer) error) error
	// Owner is the URL as which tables are made and changed; empty means that
	// the database's own user does that too.
	Owner string
	// Trust looks at a connection to a database of which nobody knows yet that it
	// answers: within seconds it must, and an error of Trust's is as if it did not. nil
	// means that it is known.
	Trust func(*pgconn.PgConn) error
	// Again is called before a change whose connection was lost is asked after,
	// to start the server where need be; nil means that it runs by itself.
	Again func(context.Context) error
}

// UnreachedError says that nobody could connect to a database of which nobody knew
// whether it answers, or was not to.
type UnreachedError struct{ Err error }

func (e *UnreachedError) Error() string { return "the database does not answer: " + e.Err.Error() }
func (e *UnreachedError) Unwrap() error { return e.Err }

// Open connects to the database at url, as package server gives it, and brings
// its tables up to date. The error is an *Error, a *queries.NewerError, with
// Options.Trust an *UnreachedError, or the context's.
func Open(ctx context.Context, url string, opt Options) (*Store, error) {
	conf, err := pgxpool.ParseConfig(url)
	if err != nil {
		// The cause would show pieces of the URL, which may be of the password.
		return nil, &Error{Kind: Invalid, Text: "the database's URL can't be read"}
	}
	// Nothing is found by an unqualified name, so a forgotten schema shows at once.
	conf.ConnConfig.RuntimeParams["search_path"] = ""
	conf.ConnConfig.RuntimeParams["application_name"] = "halfpot"
	conf.AfterConnect = func(_ context.Context, c *pgx.Conn) error {
		decimal.Register(c.TypeMap())
		if opt.Trust == nil {
			return nil
		}
		if err := opt.Trust(c.PgConn()); err != nil {
			return &UnreachedError{err}
		}
		return nil
	}
	if opt.Trust != nil && conf.ConnConfig.ConnectTimeout == 0 {
		conf.ConnConfig.ConnectTimeout = answerWithin
	}
	pool, err := pgxpool.NewWithConfig(ctx, conf)
	if err != nil {
		return nil, translate(err)
	}
	var unkept error
	err = pool.AcquireFunc(ctx, func(c *pgxpool.Conn) error {
		announce := func(name string) {
			if opt.Announce != nil {
				opt.Announce("bringing the tables up to date: " + name)
			}
		}
		before := func(ctx context.Context, conn *pgx.Conn) error {
			if opt.Backup == nil {
				return nil
			}
			unkept = opt.Backup("before its tables were brought up to date", func(w io.Writer) error {
				return pgx.BeginTxFunc(ctx, conn,
					pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly},
					func(tx pgx.Tx) error {
						return writeRecord(ctx, tx, w, now(opt), "before its tables were brought up to date")
					})
			})
			return unkept
		}
		if opt.Owner == "" {
			return queries.Migrate(ctx, c.Conn(), announce, before)
		}
		owner := func(ctx context.Context) (*pgx.Conn, error) { return pgx.Connect(ctx, opt.Owner) }
		return queries.MigrateAs(ctx, c.Conn(), owner, announce, before)
	})
	if err != nil {
		closeSoon(pool)
		if unkept != nil {
			return nil, unkept
		}
		if opt.Trust != nil {
			if _, refused := errors.AsType[*pgconn.ConnectError](err); refused {
				return nil, &UnreachedError{err}
			}
			if un, ok := errors.AsType[*UnreachedError](err); ok {
				return nil, un
			}
		}
		if newer, ok := errors.AsType[*queries.NewerError](err); ok {
			return nil, newer
		}
		if foreign, ok := errors.AsType[*queries.ForeignError](err); ok {
			return nil, foreign
		}
		return nil, translate(err)
	}
	s := &Store{pool: pool, now: func() time.Time { return now(opt) }, again: opt.Again, askFor: askFor}
	s.Reader = Reader{s.view, func() *time.Location { return s.now().Location() }}
	return s, nil
}

const answerWithin = 10 * time.Second

func now(o Options) time.Time {
	if o.Now == nil {
		return time.Now()
	}
	return o.Now()
}

// Restore puts what a record holds in the place of all there is in the database at
// url, as it was then: all or nothing. The tables are then brought up to date by
// [Open]. url is the owner's; roles tells that commands come in as another.
func Restore(ctx context.Context, url string, roles bool, rec *Record) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return translate(err)
	}
	defer conn.Close(context.WithoutCancel(ctx)) // it has done what it was for
	var failed error
	err = queries.Rebuild(ctx, conn, rec.Tables, roles, func(tx pgx.Tx) error {
		if _, failed = tx.Exec(ctx, queries.WritePlainly); failed == nil {
			_, failed = addRows(ctx, tx, rec)
		}
		return failed
	})
	if newer, ok := errors.AsType[*queries.NewerError](err); ok {
		return &BadRecordError{
			Name: rec.Name,
			Line: 1,
			Text: fmt.Sprintf("of another version: its tables are at version %d, this halfpot knows up to %d; "+
				"nothing was changed: use the newer halfpot", newer.Database, newer.Program),
		}
	}
	if bad, ok := errors.AsType[*BadRecordError](err); ok {
		return bad
	}
	return translate(err)
}

// Close lets go of the connections.
func (s *Store) Close() { closeSoon(s.pool) }

// closeWithin is how long a server may take to say goodbye: a silent one, whom
// Ctrl-C was to leave, would hold the program for a quarter of a minute.
const closeWithin = time.Second

func closeSoon(pool *pgxpool.Pool) {
	closed := make(chan struct{})
	go func() {
		pool.Close()
		close(closed)
	}()
	select {
	case <-closed:
	case <-time.After(closeWithin):
	}
}

// instant is a time as the database gives it back: UTC, whole microseconds.
func instant(t time.Time) time.Time { return t.UTC().Truncate(time.Microsecond) }

// view runs f on one unchanging view of the database.
func (s *Store) view(ctx context.Context, f func(pgx.Tx) error) error {
	return translate(pgx.BeginTxFunc(ctx, s.pool,
		pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, f))
}

// copyInto adds rows to a table in bulk.
func copyInto(ctx context.Context, tx pgx.Tx, t queries.Target, rows [][]any) error {
	if len(rows) == 0 {
		return nil
	}
	n, err := tx.CopyFrom(ctx, t.Table, t.Columns, pgx.CopyFromRows(rows))
	if err == nil && n != int64(len(rows)) {
		return fmt.Errorf("%d of %d rows arrived in %v", n, len(rows), t.Table)
	}
	return err
}

// queue asks for rows within a batch; each row is handed to f as a struct
// whose fields are named as the columns.
func queue[T any](b *pgx.Batch, sql string, f func(T) error, args ...any) {
	b.Queue(sql, args...).Query(func(rows pgx.Rows) error {
		all, err := pgx.CollectRows(rows, pgx.RowToStructByName[T])
		if err != nil {
			return err
		}
		for _, r := range all {
			if err := f(r); err != nil {
				return err
			}
		}
		return nil
	})
}

// The columns where null means what a zero means in Go.

func orNull[T comparable](v T) *T {
	var zero T
	if v == zero {
		return nil
	}
	return &v
}

func orZero[T any](p *T) (v T) {
	if p != nil {
		v = *p
	}
	return v
}

// Snapshot lets f read several things of one unchanging view of the database.
func (s *Store) Snapshot(ctx context.Context, f func(*Reader) error) error {
	var failed error
	err := s.view(ctx, func(tx pgx.Tx) error {
		r := Reader{func(_ context.Context, g func(pgx.Tx) error) error { return translate(g(tx)) }, s.zone}
		failed = f(&r)
		return failed
	})
	if failed != nil {
		return failed
	}
	return err
}
