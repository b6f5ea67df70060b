package queries

import (
	"context"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"
)

// Rebuild puts tables made anew, as they were at a version, in the place of those
// there are, and lets fill fill them: all of it or nothing. conn is the owner's; where
// commands come in as a role of their own, it gets its rights. Beyond that version
// [Migrate] goes on. A *NewerError where this program does not know the version.
func Rebuild(ctx context.Context, conn *pgx.Conn, version int, roles bool, fill func(pgx.Tx) error) error {
	files, err := fs.Glob(Migrations(), "*.sql")
	if err != nil {
		return err
	}
	if version < 1 || version > len(files) {
		return &NewerError{Database: version, Program: len(files)}
	}
	return locked(ctx, conn, func() error {
		return pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
			for _, sql := range []string{HoldWriters, DropSchema, MakeSchema, MakeVersionList} {
				if _, err := tx.Exec(ctx, sql); err != nil {
					return err
				}
			}
			for _, name := range files[:version] { // in the order of their numbers
				text, err := fs.ReadFile(Migrations(), name)
				if err != nil {
					return err
				}
				// Several statements at once, as the file has them.
				if _, err := tx.Conn().PgConn().Exec(ctx, string(text)).ReadAll(); err != nil {
					return fmt.Errorf("migration %s: %w", name, err)
				}
			}
			if _, err := tx.Exec(ctx, ListVersion, version); err != nil {
				return err
			}
			if err := fill(tx); err != nil {
				return err
			}
			if !roles {
				return nil
			}
			if _, err := tx.Exec(ctx, NameRights, rightsEdition()); err != nil {
				return err
			}
			_, err := tx.Exec(ctx, GrantRights)
			return err
		})
	})
}
