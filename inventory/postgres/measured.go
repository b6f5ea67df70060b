package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	"halfpot/inventory/colour"
	queries "halfpot/sql"
)

func queueMeasured(b *pgx.Batch, c *inventory.Catalogue) {
	queue(b, queries.ListSpectra, func(r struct {
		Paint           string
		NM, Reflectance []float64
	}) error {
		s := inventory.Spectrum{Paint: r.Paint}
		for i, nm := range r.NM {
			s.Readings = append(s.Readings, colour.Reading{NM: nm, Reflectance: r.Reflectance[i]})
		}
		c.Spectra = append(c.Spectra, s)
		return nil
	})
	queue(b, queries.ListTrialMixes, func(r struct{ Mix, Seen, Note string }) error {
		seen, err := inventory.ParseColour(r.Seen)
		c.TrialMixes = append(c.TrialMixes, inventory.TrialMix{
			Mix:  inventory.MixOfKey(r.Mix),
			Seen: seen,
			Note: r.Note,
		})
		return err
	})
	trial := parent(&c.TrialMixes, func(t *inventory.TrialMix) string { return t.Key() })
	fresh := map[string]bool{}
	queue(b, queries.ListTrialMixParts, func(r struct {
		Mix, Paint string
		Parts      float64
	}) error {
		t := trial(r.Mix)
		if !fresh[r.Mix] {
			fresh[r.Mix], t.Mix = true, nil
		}
		t.Mix = append(t.Mix, inventory.Part{Paint: r.Paint, Parts: r.Parts})
		return nil
	})
}

func saveSpectra(ctx context.Context, tx pgx.Tx, have, want []inventory.Spectrum) (Count, error) {
	c := compare(have, want, func(s inventory.Spectrum) string { return s.Paint })
	err := put(ctx, tx, c, queries.IntoSpectrum, queries.UpdateSpectrum, func(s inventory.Spectrum) []any {
		var nm, reflectance []float64
		for _, r := range s.Readings {
			nm, reflectance = append(nm, r.NM), append(reflectance, r.Reflectance)
		}
		return []any{s.Paint, nm, reflectance}
	})
	return c.count, err
}

func saveTrialMixes(ctx context.Context, tx pgx.Tx, have, want []inventory.TrialMix) (Count, error) {
	c := compare(have, want, inventory.TrialMix.Key)
	if err := clearParts(ctx, tx, c, queries.ClearTrialMixParts, inventory.TrialMix.Key); err != nil {
		return c.count, err
	}
	err := put(ctx, tx, c, queries.IntoTrialMix, queries.UpdateTrialMix, func(t inventory.TrialMix) []any {
		return []any{t.Key(), t.Seen.String(), t.Note}
	})
	if err != nil {
		return c.count, err
	}
	var parts [][]any
	for _, t := range c.written() {
		for i, p := range t.Mix {
			parts = append(parts, []any{t.Key(), int32(i + 1), p.Paint, p.Parts})
		}
	}
	return c.count, copyInto(ctx, tx, queries.IntoTrialMixPart, parts)
}
