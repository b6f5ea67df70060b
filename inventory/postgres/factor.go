package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// Change is what became of a factor.
type Change string

// What can become of a factor.
const (
	Learned Change = "learned" // an observation moved it
	Pinned  Change = "pinned"  // the painter set it
	Reset   Change = "reset"   // it is forgotten; the defaults hold again
	Flagged Change = "flagged" // an observation was too odd to learn from; the factor stays
)

// FactorChange is one entry of the factors' history.
type FactorChange struct {
	Factor   inventory.Factor // as it is after the change; Updated zero means now. Of a reset only Level and Key count
	Change   Change
	Observed float64 // actual over estimated use that brought the change; 0: none did
	Job      string  // the job it was observed on; may be empty
	Note     string
}

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
// that is not a Flagged one is what holds from then on.
func (s *Store) ChangeFactors(ctx context.Context, changes []FactorChange) error {
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
func (s *Store) FactorHistory(ctx context.Context, level inventory.FactorLevel, key string) ([]FactorChange, error) {
	var changes []FactorChange
	err := s.read(ctx, func(tx pgx.Tx) error {
		rows, err := collect[struct {
			factorRow
			Change   string
			Observed *float64
			Job      *string
			Note     string
		}](ctx, tx, queries.ListFactorHistory, string(level), key)
		for _, r := range rows {
			changes = append(changes, FactorChange{Factor: r.factor(), Change: Change(r.Change), Observed: orZero(r.Observed), Job: orZero(r.Job), Note: r.Note})
		}
		return err
	})
	return changes, err
}
