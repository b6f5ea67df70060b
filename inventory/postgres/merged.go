package postgres

import (
	"context"
	"maps"
	"slices"
	"time"

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
	if _, err := t.putInPlace(ctx, gone, stays); err != nil {
		return err
	}
	if err := t.carryPin(ctx, gone, stays); err != nil {
		return err
	}
	_, err := t.tx.Exec(ctx, queries.AddMerged, gone, stays, t.now)
	return err
}

// carryPin pins the factor of the paint that stays as that of the one that goes, if
// it has none of its own.
func (t *Tx) carryPin(ctx context.Context, gone, stays string) error {
	factors, err := t.Factors(ctx)
	if err != nil {
		return err
	}
	pin := func(paint string) int {
		return slices.IndexFunc(factors, func(f inventory.Factor) bool {
			return f.Level == inventory.PaintLevel && f.Key == paint && f.Pinned
		})
	}
	i := pin(gone)
	if i < 0 || pin(stays) >= 0 {
		return nil
	}
	carried := factors[i]
	carried.Key, carried.Updated = stays, time.Time{}
	return t.ChangeFactors(ctx, []inventory.FactorChange{{
		Factor: carried,
		Change: inventory.FactorPinned,
		Note:   "as it was of " + gone,
	}})
}

// MergeAgain does so with the paints that were merged before and are back by a
// record from before that. The counts are what was added of a kind, as AddRecord has
// them, and are lowered by what goes again.
func (t *Tx) MergeAgain(ctx context.Context, added map[string]Count) error {
	merged, err := loadMerged(ctx, t.tx)
	if err != nil || len(merged) == 0 {
		return err
	}
	cat, err := t.LoadCatalogue(ctx)
	if err != nil {
		return err
	}
	idx := cat.Index()
	for _, gone := range slices.Sorted(maps.Keys(merged)) {
		stays := merged.Of(gone)
		if idx.Paints[gone] == nil || idx.Paints[stays] == nil {
			continue
		}
		went, err := t.putInPlace(ctx, gone, stays)
		if err != nil {
			return err
		}
		for kind, n := range went {
			c := added[kind]
			c.New = max(c.New-n, 0)
			added[kind] = c
		}
	}
	return nil
}

// putInPlace gives what went, by table: the paint, and what came to be said twice.
func (t *Tx) putInPlace(ctx context.Context, gone, stays string) (went map[string]int, err error) {
	before, err := t.keepCatalogue(ctx)
	if err != nil {
		return nil, err
	}
	idx := before.Index()
	for _, id := range []string{gone, stays} {
		if idx.Paints[id] == nil {
			return nil, notFound("paint", id)
		}
	}
	if err := idx.Paints[stays].CheckMerge(idx.Paints[gone]); err != nil {
		return nil, err
	}
	after := inventory.Merged{gone: stays}.Catalogue(*before)
	went = map[string]int{
		"paint":     1,
		"stand_in":  len(before.StandIns) - len(after.StandIns),
		"spectrum":  len(before.Spectra) - len(after.Spectra),
		"trial_mix": len(before.TrialMixes) - len(after.TrialMixes),
	}
	for _, s := range before.StandIns {
		if !slices.Contains(after.StandIns, s) {
			if _, err := t.tx.Exec(ctx, queries.RemoveStandIn, s.For, s.Use); err != nil {
				return nil, err
			}
		}
	}
	for _, m := range before.TrialMixes {
		if !slices.ContainsFunc(after.TrialMixes, func(o inventory.TrialMix) bool {
			return o.Key() == m.Key()
		}) {
			if _, err := t.tx.Exec(ctx, queries.RemoveTrialMix, m.Key()); err != nil {
				return nil, err
			}
		}
	}
	ids, err := collect[struct{ ID string }](ctx, t.tx, queries.FindPotsOfPaint, gone)
	if err != nil {
		return nil, err
	}
	var pots []inventory.Pot
	for _, r := range ids {
		p, err := t.Pots(ctx, r.ID)
		if err != nil {
			return nil, err
		}
		p[0].Paint, p[0].Events = stays, nil
		pots = append(pots, p[0])
	}
	if _, err := t.Save(ctx, Load{Catalogue: after, Pots: pots}); err != nil {
		return nil, err
	}
	t.paints = true
	done, err := t.Remove(ctx, "paint", gone)
	if err == nil && !done {
		return nil, &Error{Kind: Internal, Text: "something still names " + gone + "; nothing was changed"}
	}
	return went, err
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
