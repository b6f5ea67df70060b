// Package queries holds all the SQL of halfpot: the migrations that make its
// tables, and the statements that read and write them, each a file of its own.
//
// The package's name is not that of its folder, so that it never hides
// database/sql.
package queries

import (
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

const versionTable = "halfpot.migration"

// NewerError says that the database was made by a newer halfpot, which this
// one must not touch.
type NewerError struct{ Database, Program int }

func (e *NewerError) Error() string {
	return fmt.Sprintf("the database is newer than this halfpot: its tables are at version %d, "+
		"this program knows up to %d; use the newer halfpot, nothing was touched", e.Database, e.Program)
}

// Migrations are the files that make the tables, NNN_name.sql, in a folder of
// their own.
func Migrations() fs.FS {
	sub, err := fs.Sub(migrationFiles, "migrations")
	if err != nil {
		panic(err) // the name is a constant and valid
	}
	return sub
}

// ForeignError says that the database holds something of another program's
// under the name that halfpot's own tables need.
type ForeignError struct{}

func (e *ForeignError) Error() string {
	return `the database has a schema "halfpot" that is not halfpot's: it holds other tables; nothing was touched, so give another database`
}

// Migrate brings the database's tables up to what this program needs. Several
// programs may call it at once: one works, the others wait for it. announce is
// called before each migration with its name; nil means silence. The error is
// a *NewerError where the database is beyond this program, a *ForeignError where
// another's tables are in the way. A migration is run whole or not at all, and
// those before one that fails stay. before is called once ahead of the first, where
// there are tables already, and its error ends it.
func Migrate(ctx context.Context, conn *pgx.Conn, announce func(name string), before ...Before) error {
	version, err := currentVersion(ctx, conn)
	// Mostly nothing is to be done, and then no lock is needed: versions only rise.
	if done, err := finished(version, err); done {
		return err
	}
	return migrate(ctx, conn, announce, before)
}

// Before is what is done before tables are changed, such as a backup of them.
type Before func(context.Context, *pgx.Conn) error

// MigrateAs is Migrate for a database whose tables belong to another role than
// that of conn: owner connects as it where there is something to do, and conn's
// role gets the rights that commands need.
func MigrateAs(
	ctx context.Context,
	conn *pgx.Conn,
	owner func(context.Context) (*pgx.Conn, error),
	announce func(name string),
	before ...Before,
) error {
	version, err := currentVersion(ctx, conn)
	if pg, ok := errors.AsType[*pgconn.PgError](err); ok && pg.Code == "42501" { // no rights yet
		version, err = 0, nil
	}
	if done, err := finished(version, err); err != nil {
		return err
	} else if done {
		given, err := rightsGiven(ctx, conn)
		if err != nil || given == rightsEdition() {
			return err
		}
	}
	as, err := owner(ctx)
	if err != nil {
		return err
	}
	defer as.Close(context.WithoutCancel(ctx)) // it has done what it was for
	if err := migrate(ctx, as, announce, before); err != nil {
		return err
	}
	return locked(ctx, as, func() error { return grant(ctx, as) })
}

// finished tells whether a version leaves nothing to do, or forbids it.
func finished(version int, err error) (bool, error) {
	if err != nil {
		return true, err
	}
	files, err := fs.Glob(Migrations(), "*.sql")
	if err != nil {
		return true, fmt.Errorf("migrations: %w", err)
	}
	latest := len(files) // they are numbered without gaps
	if version > latest {
		return true, &NewerError{Database: version, Program: latest}
	}
	return version == latest, nil
}

func migrate(ctx context.Context, conn *pgx.Conn, announce func(name string), before []Before) error {
	return locked(ctx, conn, func() error {
		var own bool
		if err := conn.QueryRow(ctx, IsHalfpots).Scan(&own); err != nil {
			return err
		}
		if !own {
			return &ForeignError{}
		}
		for _, sql := range []string{MakeSchema, AdoptVersions} {
			if _, err := conn.Exec(ctx, sql); err != nil {
				return err
			}
		}
		// Looked at again: whoever held the lock before may have been newer.
		version, err := currentVersion(ctx, conn)
		if done, err := finished(version, err); done {
			return err
		}
		for _, f := range before {
			if version == 0 {
				break
			}
			if err := f(ctx, conn); err != nil {
				return err
			}
		}
		return apply(ctx, conn.Config(), version, announce)
	})
}

// grant gives commands their rights. The lock must be held.
func grant(ctx context.Context, conn *pgx.Conn) error {
	return pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, NameRights, rightsEdition()); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, GrantRights)
		return err
	})
}

// rightsEdition names the rights that this program gives.
func rightsEdition() string {
	sum := sha256.Sum256([]byte(GrantRights))
	return "rights " + hex.EncodeToString(sum[:8])
}

func rightsGiven(ctx context.Context, conn *pgx.Conn) (edition string, err error) {
	err = conn.QueryRow(ctx, RightsGiven).Scan(&edition)
	return edition, err
}

// apply runs the migrations beyond version, over a connection of its own.
func apply(ctx context.Context, config *pgx.ConnConfig, version int, announce func(name string)) (err error) {
	db := stdlib.OpenDB(*config)
	defer func() { err = errors.Join(err, db.Close()) }()
	p, err := goose.NewProvider(goose.DialectPostgres, db, Migrations(), goose.WithTableName(versionTable),
		goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	for _, m := range p.ListSources() {
		if m.Version <= int64(version) {
			continue
		}
		if announce != nil {
			announce(m.Path)
		}
		if _, err := p.ApplyVersion(ctx, m.Version, true); err != nil {
			return fmt.Errorf("migration %s: %w", m.Path, err)
		}
	}
	return nil
}

// currentVersion is 0 for a database without halfpot's tables.
func currentVersion(ctx context.Context, conn *pgx.Conn) (int, error) {
	var made bool
	if err := conn.QueryRow(ctx, HasSchema).Scan(&made); err != nil || !made {
		return 0, err
	}
	var version int
	err := conn.QueryRow(ctx, SchemaVersion).Scan(&version)
	if pg, ok := errors.AsType[*pgconn.PgError](err); ok && pg.Code == "42703" { // it has no such column
		return 0, &ForeignError{}
	}
	return version, err
}

const releaseWithin = 2 * time.Second

// locked runs f while this connection holds the migration lock, which the
// server lets go of when the connection ends, however it ends.
func locked(ctx context.Context, conn *pgx.Conn, f func() error) (err error) {
	if _, err := conn.Exec(ctx, HoldMigrations); err != nil {
		return err
	}
	defer func() {
		// A silent server lets go by itself, since the connection ends.
		soon, cancel := context.WithTimeout(context.WithoutCancel(ctx), releaseWithin)
		defer cancel()
		if _, unlockErr := conn.Exec(soon, ReleaseMigrations); err == nil && !conn.IsClosed() {
			err = unlockErr
		}
	}()
	return f()
}
