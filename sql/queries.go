// Package queries holds all the SQL of halfpot: the migrations that make its
// tables, and the statements that read and write them, each a file of its own.
//
// The package's name is not that of its folder, so that it never hides
// database/sql.
package queries

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"
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
	return fmt.Sprintf("the database is newer than this halfpot: its tables are at version %d, this program knows up to %d; use the newer halfpot, nothing was touched", e.Database, e.Program)
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

// Migrate brings the database's tables up to what this program needs. Several
// programs may call it at once: one works, the others wait for it. announce is
// called before each migration with its name; nil means silence. The error is
// a *NewerError where the database is beyond this program. A migration is run
// whole or not at all, and those before one that fails stay.
func Migrate(ctx context.Context, conn *pgx.Conn, announce func(name string)) error {
	files, err := fs.Glob(Migrations(), "*.sql")
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	latest := len(files) // they are numbered without gaps
	// Mostly nothing is to be done, and then no lock is needed: versions only rise.
	version, err := currentVersion(ctx, conn)
	if err != nil || version == latest {
		return err
	}
	if version > latest {
		return &NewerError{Database: version, Program: latest}
	}
	return locked(ctx, conn, func() error {
		for _, sql := range []string{MakeSchema, AdoptVersions} {
			if _, err := conn.Exec(ctx, sql); err != nil {
				return err
			}
		}
		// Looked at again: whoever held the lock before may have been newer.
		version, err := currentVersion(ctx, conn)
		if err != nil {
			return err
		}
		if version > latest {
			return &NewerError{Database: version, Program: latest}
		}
		return apply(ctx, conn.Config(), version, announce)
	})
}

// apply runs the migrations beyond version, over a connection of its own.
func apply(ctx context.Context, config *pgx.ConnConfig, version int, announce func(name string)) (err error) {
	db := stdlib.OpenDB(*config)
	defer func() { err = errors.Join(err, db.Close()) }()
	p, err := goose.NewProvider(goose.DialectPostgres, db, Migrations(), goose.WithTableName(versionTable), goose.WithDisableGlobalRegistry(true))
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
	return version, err
}

// locked runs f while this connection holds the migration lock, which the
// server lets go of when the connection ends, however it ends.
func locked(ctx context.Context, conn *pgx.Conn, f func() error) (err error) {
	if _, err := conn.Exec(ctx, HoldMigrations); err != nil {
		return err
	}
	defer func() {
		if _, unlockErr := conn.Exec(context.WithoutCancel(ctx), ReleaseMigrations); err == nil && !conn.IsClosed() {
			err = unlockErr
		}
	}()
	return f()
}
