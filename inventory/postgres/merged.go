package postgres

import (
	"context"
	"slices"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// Merged gives the paints that turned out to be others, entered twice.
func (r *Reader) Merged(ctx context.Context) (inventory.Merged, error) {
	var m inventory.Merged
	err := r.read(ctx, func(tx pgx.Tx) (err error) {
		m, err = loadMerged(ctx, tx)
		return err
	})
	return m, err
}

func loadMerged(ctx context.Context, tx pgx.Tx) (inventory.Merged, error) {
	m := inventory.Merged{}
	rows, err := collect[mergedRow](ctx, tx, queries.ListMerged)
	for _, r := range rows {
		m[r.Paint] = r.IntoPaint
	}
	return m, err
}

type mergedRow struct{ Paint, IntoPaint string }

// MergePaint puts one paint in place of another wherever that is named, pots and
// the log of work included, and takes the other away. Merging what is not there is
// NotFound.
func (t *Tx) MergePaint(ctx context.Context, gone, stays string) error {
	before, err := t.keepCatalogue(ctx)
	if err != nil {
		return err
	}
	idx := before.Index()
	for _, id := range []string{gone, stays} {
		if idx.Paints[id] == nil {
			return notFound("paint", id)
		}
	}
	if err := idx.Paints[stays].CheckMerge(idx.Paints[gone]); err != nil {
		return err
	}
	after := inventory.Merged{gone: stays}.Catalogue(*before)
	for _, s := range before.StandIns {
		if !slices.Contains(after.StandIns, s) {
			if _, err := t.tx.Exec(ctx, queries.RemoveStandIn, s.For, s.Use); err != nil {
				return err
			}
		}
	}
	for _, m := range before.TrialMixes {
		if !slices.ContainsFunc(after.TrialMixes, func(o inventory.TrialMix) bool { return o.Key() == m.Key() }) {
			if _, err := t.tx.Exec(ctx, queries.RemoveTrialMix, m.Key()); err != nil {
				return err
			}
		}
	}
	ids, err := collect[struct{ ID string }](ctx, t.tx, queries.FindPotsOfPaint, gone)
	if err != nil {
		return err
	}
	var pots []inventory.Pot
	for _, r := range ids {
		p, err := t.Pots(ctx, r.ID)
		if err != nil {
			return err
		}
		p[0].Paint, p[0].Events = stays, nil
		pots = append(pots, p[0])
	}
	if _, err := t.Save(ctx, Load{Catalogue: after, Pots: pots}); err != nil {
		return err
	}
	if _, err := t.tx.Exec(ctx, queries.AddMerged, gone, stays, t.now); err != nil {
		return err
	}
	t.paints = true
	done, err := t.Remove(ctx, "paint", gone)
	if err == nil && !done {
		return &Error{Kind: Internal, Text: "something still names " + gone + "; nothing was changed"}
	}
	return err
}

// ChangePots writes what is said of pots besides their events.
func (t *Tx) ChangePots(ctx context.Context, pots ...inventory.Pot) error {
	bare := slices.Clone(pots)
	for i := range bare {
		bare[i].Events = nil
	}
	_, err := t.savePots(ctx, bare, false)
	return err
}
