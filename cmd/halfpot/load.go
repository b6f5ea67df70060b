package main

import (
	"context"
	"errors"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
	"halfpot/inventory/textfile"
)

func (a *app) loadCommand() *cobra.Command {
	var dry bool
	c := &cobra.Command{
		Use: "load FILE...", Short: "bring in files: paints, pots, prices, figures, recipes, forces",
		Long: `Brings in CSV and TOML files (halfpot help files says what stands in them). Files
that belong together go in one load, in any order. It is all or nothing: with one
bad line nothing is written, and every bad line is listed with what was expected.
Loading the same files again changes nothing; a changed line changes the thing it
is about.`,
		Example: `  halfpot load paints.csv products.csv shops.csv offers.csv
  halfpot load pots.csv
  halfpot load figures.toml recipes.toml force.toml --check`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, files []string) error {
			collectMore()
			now := a.now().UTC()
			batch, err := await(c.Context(), func() (*textfile.Batch, error) { return readBatch(textfile.Options{Now: now}, files) })
			if err != nil {
				return err
			}
			load, err := a.checkBatch(c.Context(), batch, now)
			if err != nil {
				return err
			}
			if dry {
				return a.done(struct {
					Files []string `json:"files"`
					Valid bool     `json:"valid"`
				}{files, true}, "%s: nothing wrong in it.", strings.Join(files, ", "))
			}
			report, err := a.opened.store.Save(c.Context(), load)
			if err != nil {
				return err
			}
			return a.showReport(report)
		},
	}
	c.Flags().BoolVar(&dry, "check", false, "only check the files; write nothing")
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"csv", "toml"}, cobra.ShellCompDirectiveFilterFileExt
	}
	return c
}

// readBatch reads files; one that can't be opened is a usage error. What is
// wrong inside them checkBatch tells, together with all else.
func readBatch(o textfile.Options, files []string) (*textfile.Batch, error) {
	batch, err := textfile.ReadFiles(o, files...)
	if batch != nil {
		return batch, nil
	}
	if pathErr, ok := errors.AsType[*os.PathError](err); ok {
		return nil, usagef("%s: %v", pathErr.Path, pathErr.Err)
	}
	return nil, &usageError{msg: err.Error()}
}

// checkBatch looks at a batch together with what is stored: everything it
// refers to must be there, and nothing that stands may come to contradict it.
func (a *app) checkBatch(ctx context.Context, batch *textfile.Batch, now time.Time) (postgres.Load, error) {
	cat, shelf, err := a.all(ctx)
	if err != nil {
		return postgres.Load{}, err
	}
	if _, err := batch.Check(*cat); err != nil {
		return postgres.Load{}, err
	}
	load := postgres.Load{Catalogue: batch.Catalogue}
	for _, pot := range batch.Pots {
		if _, stored := shelf.Pot(pot.ID); stored && batch.Undated[pot.ID] {
			// Events the file gave no date were taken to happen at the first load.
			pot.Events = slices.DeleteFunc(slices.Clone(pot.Events), func(e inventory.PotEvent) bool { return e.At.Equal(now) })
		}
		load.Pots = append(load.Pots, pot)
	}
	return load, nil
}

type reportRow struct {
	Kind    string     `json:"kind" table:"kind"`
	New     view.Count `json:"new" table:"new"`
	Changed view.Count `json:"changed" table:"changed"`
	Same    view.Count `json:"same" table:"as before"`
}

func (a *app) showReport(r postgres.Report) error {
	rows := []reportRow{}
	for _, k := range []struct {
		kind string
		n    postgres.Count
	}{{"paints", r.Paints}, {"stand-ins", r.StandIns}, {"products", r.Products}, {"shops", r.Shops}, {"offers", r.Offers}, {"figures", r.Figures},
		{"recipes", r.Recipes}, {"forces", r.Forces}, {"pots", r.Pots}, {"pot events", r.PotEvents}, {"jobs", r.Jobs}} {
		if k.n != (postgres.Count{}) {
			rows = append(rows, reportRow{k.kind, view.Count(k.n.New), view.Count(k.n.Changed), view.Count(k.n.Same)})
		}
	}
	p, err := a.printer()
	if err != nil {
		return err
	}
	if p.Format == view.Text && a.quiet {
		return nil
	}
	return p.Show(r, rows, func(page *view.Page) {
		page.List(rows, "The files hold nothing.")
		if t := r.Total(); len(rows) > 0 && t.New == 0 && t.Changed == 0 {
			page.Line("Nothing has changed: all of it was there already.")
		}
	})
}

// save writes what was added by hand after looking at it together with what is
// stored.
func (a *app) save(ctx context.Context, l postgres.Load) error {
	cat, err := a.catalogue(ctx)
	if err != nil {
		return err
	}
	whole := (&textfile.Batch{Catalogue: l.Catalogue}).Over(*cat)
	faults := whole.Validate()
	shelf := inventory.Shelf{Pots: slices.Clone(l.Pots)}
	faults = append(faults, shelf.Validate(whole.Index(), a.now())...)
	if err := faults.Err(); err != nil {
		return err
	}
	_, err = a.opened.store.Save(ctx, l)
	return err
}
