package main

import (
	"context"
	"os"

	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/postgres"
	"halfpot/inventory/textfile"
)

func (a *app) addSpectrum() *cobra.Command {
	c := &cobra.Command{
		Use: "spectrum PAINT FILE", Short: "note the colour of a paint as an instrument measured it",
		Long: `Reads a CSV file of the columns wavelength (nm) and reflectance (0.42 or 42 %), as
measured on a dry, opaque patch. It must reach from 400 to 700 nm with a reading at
least every 20 nm. A measured colour counts before a swatch, and mixes are reckoned
with it. Many paints at once: a file with a column paint beside them, halfpot load.`,
		Example: "  halfpot add spectrum old-tusk old-tusk.csv\n  halfpot remove spectrum old-tusk",
		Args:    cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.change(c, args, "halfpot paint show "+args[0],
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					cat, err := tx.LoadCatalogue(ctx)
					if err != nil {
						return nil, err
					}
					id, err := lookup("paint", args[0], "halfpot paint list", paintNames(&cat))
					if err != nil {
						return nil, err
					}
					f, err := os.Open(args[1])
					if err != nil {
						return nil, usagef("%v", err)
					}
					defer f.Close()
					bundle, err := textfile.ReadSpectrum(textfile.Options{Now: a.now()},
						textfile.Source{Name: args[1], Reader: f, Size: -1}, id)
					if err != nil {
						return nil, &usageError{msg: err.Error()}
					}
					if _, err := bundle.Check(cat); err != nil {
						return nil, &usageError{msg: err.Error()}
					}
					_, err = tx.Save(ctx, postgres.Load{Catalogue: inventory.Catalogue{
						Spectra: bundle.Catalogue.Spectra,
					}})
					n := len(bundle.Catalogue.Spectra[0].Readings)
					return func() error {
						p := cat.Index().Paints[id]
						return a.done(struct {
							Paint    string `json:"paint"`
							Readings int    `json:"readings"`
						}{id, n}, "Noted %s of %s", count(n, "reading", "readings"), p.Title())
					}, err
				})
		},
	}
	a.once(c)
	return completeArg(a, c, paintNames)
}

// spectrumNames are the paints of which a spectrum was measured.
func spectrumNames(c *inventory.Catalogue) (out []named) {
	has := map[string]bool{}
	for _, s := range c.Spectra {
		has[s.Paint] = true
	}
	for _, n := range paintNames(c) {
		if has[n.id] {
			out = append(out, n)
		}
	}
	return out
}
