package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	queries "halfpot/sql"
)

type figureRow struct {
	ID, Name string
	AreaCM2  *float64 `db:"area_cm2"`
	// The person: all nil without one.
	StatureCM    *float64 `db:"stature_cm"`
	MassKG       *float64 `db:"mass_kg"`
	Scale        *float64
	Formula      *string
	Clo          *float64
	Kit          *float64
	Heroic       *float64
	Source, Note string
	Material     string
}

type regionRow struct {
	Figure, Name string
	Share        *float64
	AreaCM2      *float64 `db:"area_cm2"`
}

func queueFigures(b *pgx.Batch, c *inventory.Catalogue) {
	queue(b, queries.ListFigures, func(r figureRow) error {
		f := inventory.FigureType{
			ID:       r.ID,
			Name:     r.Name,
			AreaCM2:  orZero(r.AreaCM2),
			Source:   inventory.Origin(r.Source),
			Note:     r.Note,
			Material: inventory.Material(r.Material),
		}
		if r.Scale != nil {
			f.Body = &inventory.Body{StatureCM: orZero(r.StatureCM), MassKG: orZero(r.MassKG), Scale: *r.Scale,
				Formula: coverage.BodyFormula(orZero(r.Formula)),
				Clo:     orZero(r.Clo),
				Kit:     orZero(r.Kit),
				Heroic:  orZero(r.Heroic)}
		}
		c.Figures = append(c.Figures, f)
		return nil
	})
	figure := parent(&c.Figures, func(f *inventory.FigureType) string { return f.ID })
	queue(b, queries.ListFigureRegions, func(r regionRow) error {
		f := figure(r.Figure)
		f.Regions = append(f.Regions, inventory.Region{
			Name:    r.Name,
			Share:   orZero(r.Share),
			AreaCM2: orZero(r.AreaCM2),
		})
		return nil
	})
}

func figureID(f inventory.FigureType) string { return f.ID }

func figureValues(f inventory.FigureType) []any {
	v := []any{f.ID, f.Name, orNull(f.AreaCM2)}
	if b := f.Body; b != nil {
		v = append(v, b.StatureCM, b.MassKG, b.Scale, string(b.Formula), b.Clo, b.Kit, b.Heroic)
	} else {
		v = append(v, nil, nil, nil, nil, nil, nil, nil)
	}
	return append(v, string(f.Source), f.Note, string(f.Material))
}

func saveFigures(ctx context.Context, tx pgx.Tx, have, want []inventory.FigureType) (Count, error) {
	c := compare(have, want, figureID)
	if err := put(ctx, tx, c, queries.IntoFigure, queries.UpdateFigure, figureValues); err != nil {
		return c.count, err
	}
	if err := clearParts(ctx, tx, c, queries.ClearFigureRegions, figureID); err != nil {
		return c.count, err
	}
	var regions [][]any
	for _, f := range c.written() {
		for i, r := range f.Regions {
			regions = append(regions, []any{f.ID, i + 1, r.Name, orNull(r.Share), orNull(r.AreaCM2)})
		}
	}
	return c.count, copyInto(ctx, tx, queries.IntoFigureRegion, regions)
}
