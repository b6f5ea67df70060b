package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

type factorRow struct {
	Level, Key     string
	LogMean, LogSD float64
	Observations   int
	Pinned         bool
	At             time.Time
}

func (r factorRow) factor(zone *time.Location) inventory.Factor {
	return inventory.Factor{
		Level:        inventory.FactorLevel(r.Level),
		Key:          r.Key,
		LogMean:      r.LogMean,
		LogSD:        r.LogSD,
		Observations: r.Observations,
		Pinned:       r.Pinned,
		Updated:      r.At.In(zone),
	}
}

// Factors gives the factors that hold now, from wide to narrow and by key.
func (r *Reader) Factors(ctx context.Context) (inventory.Factors, error) {
	var fs inventory.Factors
	err := r.read(ctx, func(tx pgx.Tx) error {
		rows, err := collect[factorRow](ctx, tx, queries.ListFactors)
		for _, row := range rows {
			fs = append(fs, row.factor(r.zone()))
		}
		return err
	})
	return fs, err
}

// ChangeFactors appends to the history of factors; the last entry of a factor
// that is not FactorFlagged is what holds from then on. A Factor.Updated of zero
// means now; of a reset only Level and Key count.
func (t *Tx) ChangeFactors(ctx context.Context, changes []inventory.FactorChange) error {
	b := &pgx.Batch{}
	for _, c := range changes {
		f := c.Factor
		at := instant(f.Updated)
		if f.Updated.IsZero() {
			at = t.now
		}
		b.Queue(queries.AddFactorChange, string(f.Level), f.Key, string(c.Change), f.LogMean, f.LogSD,
			f.Observations, f.Pinned,
			orNull(c.Observed), orNull(c.Job), c.Note, at, t.birth())
	}
	return t.tx.SendBatch(ctx, b).Close()
}

// ChangeFactors is [Tx.ChangeFactors] as a change of its own.
func (s *Store) ChangeFactors(ctx context.Context, changes []inventory.FactorChange) error {
	return s.Change(ctx, NewCommand("change factors"), func(tx *Tx) error {
		return tx.ChangeFactors(ctx, changes)
	})
}

// FactorHistory gives what became of a factor, oldest first. An empty level or
// key stands for all.
func (r *Reader) FactorHistory(
	ctx context.Context, level inventory.FactorLevel, key string,
) ([]inventory.FactorChange, error) {
	var changes []inventory.FactorChange
	err := r.read(ctx, func(tx pgx.Tx) error {
		rows, err := collect[struct {
			factorRow
			Change   string
			Observed *float64
			Job      *string
			Note     string
		}](ctx, tx, queries.ListFactorHistory, string(level), key)
		for _, row := range rows {
			changes = append(changes, inventory.FactorChange{
				Factor:   row.factor(r.zone()),
				Change:   inventory.ChangeKind(row.Change),
				Observed: orZero(row.Observed),
				Job:      orZero(row.Job),
				Note:     row.Note,
			})
		}
		return err
	})
	return changes, err
}
