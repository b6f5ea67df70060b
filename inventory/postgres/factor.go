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

func (r factorRow) factor() inventory.Factor {
	return inventory.Factor{Level: inventory.FactorLevel(r.Level), Key: r.Key, LogMean: r.LogMean, LogSD: r.LogSD,
		Observations: r.Observations, Pinned: r.Pinned, Updated: r.At.UTC()}
}

// Factors gives the factors that hold now, from wide to narrow and by key.
func (s *Store) Factors(ctx context.Context) (inventory.Factors, error) {
	var fs inventory.Factors
	err := s.read(ctx, func(tx pgx.Tx) error {
		rows, err := collect[factorRow](ctx, tx, queries.ListFactors)
		for _, r := range rows {
			fs = append(fs, r.factor())
		}
		return err
	})
	return fs, err
}

// ChangeFactors appends to the history of factors; the last entry of a factor
// that is not FactorFlagged is what holds from then on. A Factor.Updated of zero
// means now; of a reset only Level and Key count.
func (s *Store) ChangeFactors(ctx context.Context, changes []inventory.FactorChange) error {
	if len(changes) == 0 {
		return nil
	}
	return s.write(ctx, func(tx pgx.Tx) error {
		b := &pgx.Batch{}
		now := s.moment()
		for _, c := range changes {
			f := c.Factor
			at := instant(f.Updated)
			if f.Updated.IsZero() {
				at = now
			}
			b.Queue(queries.AddFactorChange, string(f.Level), f.Key, string(c.Change), f.LogMean, f.LogSD, f.Observations, f.Pinned,
				orNull(c.Observed), orNull(c.Job), c.Note, at)
		}
		return tx.SendBatch(ctx, b).Close()
	})
}

// FactorHistory gives what became of a factor, oldest first. An empty level or
// key stands for all.
func (s *Store) FactorHistory(ctx context.Context, level inventory.FactorLevel, key string) ([]inventory.FactorChange, error) {
	var changes []inventory.FactorChange
	err := s.read(ctx, func(tx pgx.Tx) error {
		rows, err := collect[struct {
			factorRow
			Change   string
			Observed *float64
			Job      *string
			Note     string
		}](ctx, tx, queries.ListFactorHistory, string(level), key)
		for _, r := range rows {
			changes = append(changes, inventory.FactorChange{Factor: r.factor(), Change: inventory.ChangeKind(r.Change), Observed: orZero(r.Observed), Job: orZero(r.Job), Note: r.Note})
		}
		return err
	})
	return changes, err
}
