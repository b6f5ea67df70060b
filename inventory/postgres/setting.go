package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	queries "halfpot/sql"
)

// Settings gives the painter's settings by name. What a name and its value
// mean is the caller's business.
func (s *Store) Settings(ctx context.Context) (map[string]string, error) {
	settings := map[string]string{}
	err := s.read(ctx, func(tx pgx.Tx) error {
		rows, err := collect[struct{ Name, Value string }](ctx, tx, queries.ListSettings)
		for _, r := range rows {
			settings[r.Name] = r.Value
		}
		return err
	})
	return settings, err
}

// SetSetting sets one setting. Names are slugs.
func (s *Store) SetSetting(ctx context.Context, name, value string) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, queries.PutSetting, name, value, s.moment())
		return err
	})
}

// RemoveSetting gives a setting its default back. One that is not set is
// NotFound.
func (s *Store) RemoveSetting(ctx context.Context, name string) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		done, err := tx.Exec(ctx, queries.RemoveSetting, name)
		if err == nil && done.RowsAffected() == 0 {
			return &Error{Kind: NotFound, Text: fmt.Sprintf("the setting %q is not set", name)}
		}
		return err
	})
}
