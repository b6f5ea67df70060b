package postgres

import (
	"context"
	"errors"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// Retired gives what is retired.
func (r *Reader) Retired(ctx context.Context) (inventory.Retired, error) {
	out := inventory.Retired{}
	err := r.read(ctx, func(tx pgx.Tx) error {
		rows, err := collect[struct{ Kind, ID string }](ctx, tx, queries.ListRetired)
		for _, row := range rows {
			out.With(row.Kind, row.ID)
		}
		return err
	})
	return out, err
}

// Remove takes away a thing that nothing else names; false where something does, and
// nothing was done. The id of an offer is PRODUCT@SHOP.
func (t *Tx) Remove(ctx context.Context, kind, id string) (bool, error) {
	if _, err := t.keepCatalogue(ctx); err != nil {
		return false, err
	}
	statement, known := map[string]string{
		"paint": queries.RemovePaint, "product": queries.RemoveProduct, "shop": queries.RemoveShop,
		"offer": queries.RemoveOffer, "figure": queries.RemoveFigure, "recipe": queries.RemoveRecipe,
		"force": queries.RemoveForce, "stand-in": queries.RemoveStandIn, "spectrum": queries.RemoveSpectrum,
		"trial-mix": queries.RemoveTrialMix,
	}[kind]
	if !known {
		return false, &Error{Kind: Invalid, Text: "a " + kind + " can't be removed"}
	}
	args := []any{id}
	if one, other, paired := strings.Cut(id, "@"); paired {
		args = []any{one, other}
	}
	attempt, err := t.tx.Begin(ctx)
	if err != nil {
		return false, err
	}
	done, err := attempt.Exec(ctx, statement, args...)
	if err != nil {
		if rollback := attempt.Rollback(ctx); rollback != nil {
			return false, rollback
		}
		if pg, ok := errors.AsType[*pgconn.PgError](err); ok && pg.Code == "23503" { // something refers to it
			return false, nil
		}
		return false, err
	}
	if err := attempt.Commit(ctx); err != nil {
		return false, err
	}
	if done.RowsAffected() == 0 {
		return false, notFound(kind, id)
	}
	_, err = t.tx.Exec(ctx, queries.RemoveRetired, kind, id)
	return true, err
}

// Retire puts a thing out of lists and of what can be bought.
func (t *Tx) Retire(ctx context.Context, kind, id string) error {
	_, err := t.tx.Exec(ctx, queries.AddRetired, kind, id, t.now)
	return err
}

// BringBack undoes Retire. What is not retired is NotFound.
func (t *Tx) BringBack(ctx context.Context, kind, id string) error {
	done, err := t.tx.Exec(ctx, queries.RemoveRetired, kind, id)
	if err == nil && done.RowsAffected() == 0 {
		return &Error{Kind: NotFound, Text: "the " + kind + " " + id + " is not retired"}
	}
	return err
}
