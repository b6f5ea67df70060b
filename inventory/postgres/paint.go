package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

type paintRow struct {
	ID, Maker, Range, Name, Code, Type string
	Colour                             *string
	VolumeSolids                       *float64
	DensityGML                         *float64 `db:"density_g_ml"`
	Finish, Carrier, Tone              string
}

func queuePaints(b *pgx.Batch, c *inventory.Catalogue) {
	queue(b, queries.ListPaints, func(r paintRow) error {
		p := inventory.Paint{
			ID:           r.ID,
			Maker:        r.Maker,
			Range:        r.Range,
			Name:         r.Name,
			Code:         r.Code,
			Type:         inventory.PaintType(r.Type),
			VolumeSolids: orZero(r.VolumeSolids),
			Density:      orZero(r.DensityGML),
			Finish:       inventory.Finish(r.Finish),
			Carrier:      inventory.Carrier(r.Carrier),
			Tone:         inventory.Tone(r.Tone),
		}
		if r.Colour != nil {
			colour, err := inventory.ParseColour(*r.Colour)
			if err != nil {
				return err
			}
			p.Colour = &colour
		}
		c.Paints = append(c.Paints, p)
		return nil
	})
}

func paintID(p inventory.Paint) string { return p.ID }

func paintValues(p inventory.Paint) []any {
	var colour *string
	if p.Colour != nil {
		s := p.Colour.String()
		colour = &s
	}
	return []any{
		p.ID, p.Maker, p.Range, p.Name, p.Code, string(p.Type), colour, orNull(p.VolumeSolids),
		orNull(p.Density), string(p.Finish), string(p.Carrier), string(p.Tone),
	}
}

func savePaints(ctx context.Context, tx pgx.Tx, have, want []inventory.Paint) (Count, error) {
	c := compare(have, want, paintID)
	err := put(ctx, tx, c, queries.IntoPaint, queries.UpdatePaint, paintValues)
	return c.count, err
}

type standInRow struct {
	Asked, Use string
	Compromise int
	EitherWay  bool
	Note       string
	OtherKind  bool
}

func queueStandIns(b *pgx.Batch, c *inventory.Catalogue) {
	queue(b, queries.ListStandIns, func(r standInRow) error {
		c.StandIns = append(c.StandIns, inventory.StandIn{
			For:        r.Asked,
			Use:        r.Use,
			Compromise: r.Compromise,
			EitherWay:  r.EitherWay,
			Note:       r.Note,
			OtherKind:  r.OtherKind,
		})
		return nil
	})
}

// saveStandIns also takes away what one that holds either way says already: the
// way to mend two that lead in a circle.
func saveStandIns(ctx context.Context, tx pgx.Tx, have, want []inventory.StandIn) (Count, error) {
	var asked, use []string
	for _, s := range want {
		if s.EitherWay {
			asked, use = append(asked, s.Use), append(use, s.For)
		}
	}
	if len(asked) > 0 {
		if _, err := tx.Exec(ctx, queries.ClearStandIns, asked, use); err != nil {
			return Count{}, err
		}
	}
	c := compare(have, want, func(s inventory.StandIn) string { return s.For + " " + s.Use })
	err := put(ctx, tx, c, queries.IntoStandIn, queries.UpdateStandIn, func(s inventory.StandIn) []any {
		return []any{s.For, s.Use, int64(s.Compromise), s.EitherWay, s.Note, s.OtherKind}
	})
	return c.count, err
}
