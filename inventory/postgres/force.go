package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

type unitRow struct {
	Force, ID, Name string
	Figures         int
	Figure, Recipe  string
	Undercoat       *string
	Batch           int
	Worth           *int
	AfterUnits      []string
}

type matchRow struct {
	Force    string
	Position int
	Label    string
}

type matchStepRow struct {
	Force string
	Rule  int
	Step  string
}

type matchUnitRow struct {
	Force string
	Rule  int
	Unit  string
}

type workRow struct {
	Force, Unit, Step string
	Figures           int
	Mix               string
	At                time.Time
	Day               *time.Time
	Job               string
	Minutes           int
}

func queueForces(b *pgx.Batch, c *inventory.Catalogue, zone *time.Location, until *time.Time) {
	queue(b, queries.ListForces, func(r struct{ ID, Name string }) error {
		c.Forces = append(c.Forces, inventory.Force{ID: r.ID, Name: r.Name})
		return nil
	})
	force := parent(&c.Forces, func(f *inventory.Force) string { return f.ID })
	queue(b, queries.ListUnits, func(r unitRow) error {
		f := force(r.Force)
		f.Units = append(f.Units, inventory.Unit{
			ID:        r.ID,
			Name:      r.Name,
			Figures:   r.Figures,
			Figure:    r.Figure,
			Recipe:    r.Recipe,
			Undercoat: orZero(r.Undercoat),
			Batch:     r.Batch,
			Worth:     r.Worth,
			After:     r.AfterUnits,
		})
		return nil
	})
	queue(b, queries.ListMatchRules, func(r matchRow) error {
		f := force(r.Force)
		f.Match = append(f.Match, inventory.Match{Label: r.Label})
		return nil
	})
	queue(b, queries.ListMatchSteps, func(r matchStepRow) error {
		m := &force(r.Force).Match[r.Rule-1]
		m.Steps = append(m.Steps, r.Step)
		return nil
	})
	queue(b, queries.ListMatchUnits, func(r matchUnitRow) error {
		m := &force(r.Force).Match[r.Rule-1]
		m.Units = append(m.Units, r.Unit)
		return nil
	})
	merged := inventory.Merged{}
	queue(b, queries.ListMerged, func(r mergedRow) error {
		merged[r.Paint] = r.IntoPaint
		return nil
	})
	queue(b, queries.ListWork, func(r workRow) error {
		f := force(r.Force)
		at, _ := given(r.At, r.Day, zone)
		f.Done = append(f.Done, inventory.Work{
			Unit:    r.Unit,
			Step:    r.Step,
			Figures: r.Figures,
			Mix:     merged.Key(r.Mix),
			At:      at,
			Job:     r.Job,
			Minutes: r.Minutes,
		})
		return nil
	}, until)
}

func forceID(f inventory.Force) string { return f.ID }

// withoutWork drops the work, which is logged by jobs and not part of a plan.
func withoutWork(fs []inventory.Force) []inventory.Force {
	out := make([]inventory.Force, len(fs))
	for i, f := range fs {
		f.Done = nil
		out[i] = f
	}
	return out
}

func saveForces(ctx context.Context, tx pgx.Tx, have, want []inventory.Force) (Count, error) {
	c := compare(withoutWork(have), withoutWork(want), forceID)
	err := put(ctx, tx, c, queries.IntoForce, queries.UpdateForce, func(f inventory.Force) []any {
		return []any{f.ID, f.Name}
	})
	if err != nil {
		return c.count, err
	}
	// Rules name units, so they go first.
	for _, sql := range []string{queries.ClearMatchRules, queries.ClearUnits} {
		if err := clearParts(ctx, tx, c, sql, forceID); err != nil {
			return c.count, err
		}
	}
	var units, rules, steps, members [][]any
	for _, f := range c.written() {
		for i, u := range f.Units {
			units = append(units, []any{
				f.ID, i + 1, u.ID, u.Name, u.Figures, u.Figure, u.Recipe, orNull(u.Undercoat), u.Batch,
				u.Worth, orEmpty(u.After),
			})
		}
		for i, m := range f.Match {
			rules = append(rules, []any{f.ID, i + 1, m.Label})
			for j, s := range m.Steps {
				steps = append(steps, []any{f.ID, i + 1, j + 1, s})
			}
			for j, u := range m.Units {
				members = append(members, []any{f.ID, i + 1, j + 1, u})
			}
		}
	}
	return c.count, copyAll(ctx, tx, filling{queries.IntoUnit, units}, filling{queries.IntoMatchRule, rules},
		filling{queries.IntoMatchStep, steps}, filling{queries.IntoMatchUnit, members})
}
