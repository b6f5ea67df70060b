package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	queries "halfpot/sql"
)

// Settings gives the painter's settings by name. What a name and its value
// mean is the caller's business.
func (r *Reader) Settings(ctx context.Context) (map[string]string, error) {
	settings := map[string]string{}
	err := r.read(ctx, func(tx pgx.Tx) error {
		rows, err := collect[struct{ Name, Value string }](ctx, tx, queries.ListSettings)
		for _, row := range rows {
			settings[row.Name] = row.Value
		}
		return err
	})
	return settings, err
}

// SetSetting sets one setting. Names are slugs.
func (t *Tx) SetSetting(ctx context.Context, name, value string) error {
	_, err := t.tx.Exec(ctx, queries.PutSetting, name, value, t.now)
	return err
}

// SetSetting is [Tx.SetSetting] as a change of its own.
func (s *Store) SetSetting(ctx context.Context, name, value string) error {
	return s.Change(ctx, NewCommand("set "+name), func(tx *Tx) error { return tx.SetSetting(ctx, name, value) })
}

// RemoveSetting gives a setting its default back. One that is not set is
// NotFound.
func (t *Tx) RemoveSetting(ctx context.Context, name string) error {
	done, err := t.tx.Exec(ctx, queries.RemoveSetting, name)
	if err == nil && done.RowsAffected() == 0 {
		return &Error{Kind: NotFound, Text: fmt.Sprintf("the setting %q is not set", name)}
	}
	return err
}

// RemoveSetting is [Tx.RemoveSetting] as a change of its own.
func (s *Store) RemoveSetting(ctx context.Context, name string) error {
	return s.Change(ctx, NewCommand("remove "+name), func(tx *Tx) error { return tx.RemoveSetting(ctx, name) })
}
