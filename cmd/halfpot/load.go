package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/postgres"
	"halfpot/inventory/textfile"
)

func (a *app) loadCommand() *cobra.Command {
	var dry, retire bool
	c := &cobra.Command{
		Use:   "load FILE|FOLDER...",
		Short: "bring in files: paints, pots, prices, figures, recipes, forces, or a saved copy",
		Long: `Brings in CSV and TOML files (halfpot help files says what stands in them), or a
folder of them, such as halfpot save writes. Files that belong together go in one
load, in any order. It is all or nothing: with one bad line nothing is written, and
every bad line is listed with what was expected. Loading the same files again
changes nothing; a changed line changes the thing it is about. What files held
before and no longer do is named and kept; --retire takes it out of lists, a pot as
given away, after a backup.`,
		Example: `  halfpot load paints.csv products.csv shops.csv offers.csv
  halfpot load pots.csv
  halfpot load copy                       a folder that halfpot save wrote
  halfpot load offers.csv --retire        what this shop no longer sells goes too
  halfpot load figures.toml recipes.toml force.toml --check`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			collectMore()
			now := a.now()
			files, records, err := filesOf(args)
			if err != nil {
				return err
			}
			rec, err := readRecord(c.Context(), records)
			if err != nil {
				return err
			}
			bundle, err := await(c.Context(), func() (*textfile.Bundle, error) {
				return readBundle(textfile.Options{Now: now, Shops: func() []inventory.Shop {
					cat, err := a.catalogue(c.Context())
					if err != nil {
						return nil // said again when the bundle is checked
					}
					return cat.Shops
				}}, files)
			})
			if err != nil {
				return err
			}
			if dry {
				return a.checkOnly(c, args, rec, bundle, now)
			}
			return a.change(c, args, "halfpot load --check "+quoteWord(args[0]),
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					loaded, err := a.loadAll(ctx, tx, rec, bundle, now, retire)
					return func() error {
						return a.showReport(ctx, loaded, left(args, rec), bundle.Catalogue.Recipes)
					}, err
				})
		},
	}
	a.once(c)
	c.Flags().BoolVar(&dry, "check", false, "only check the files; write nothing")
	c.Flags().BoolVar(&retire, "retire", false, "take out of lists what the files held before and no longer do")
	c.MarkFlagsMutuallyExclusive("check", "retire")
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"csv", "toml", "jsonl"}, cobra.ShellCompDirectiveFilterFileExt
	}
	return c
}

// readBundle reads files; one that can't be opened is a usage error. What is
// wrong inside them checkBundle tells, together with all else.
func readBundle(o textfile.Options, files []string) (*textfile.Bundle, error) {
	bundle, err := textfile.ReadFiles(o, files...)
	if bundle != nil {
		return bundle, nil
	}
	if pathErr, ok := errors.AsType[*os.PathError](err); ok {
		return nil, usagef("%s: %v", pathErr.Path, pathErr.Err)
	}
	return nil, &usageError{msg: err.Error()}
}

// kept is a store, or a change to it under way.
type kept interface {
	desk.Kept
	Merged(context.Context) (inventory.Merged, error)
}

// checkBundle looks at a bundle together with what is stored: everything it
// refers to must be there, and nothing that stands may come to contradict it.
func checkBundle(ctx context.Context, r kept, bundle *textfile.Bundle, now time.Time) (postgres.Load, error) {
	cat, err := r.LoadCatalogue(ctx)
	if err != nil {
		return postgres.Load{}, err
	}
	shelf, err := r.Shelf(ctx)
	if err != nil {
		return postgres.Load{}, err
	}
	merged, err := r.Merged(ctx)
	if err != nil {
		return postgres.Load{}, err
	}
	bundle.Catalogue = merged.Catalogue(bundle.Catalogue)
	for i := range bundle.Pots {
		bundle.Pots[i].Paint = merged.Of(bundle.Pots[i].Paint)
	}
	if _, err := bundle.Check(cat); err != nil {
		return postgres.Load{}, err
	}
	load := postgres.Load{Catalogue: bundle.Catalogue}
	for _, pot := range bundle.Pots {
		if stored, there := shelf.Pot(pot.ID); there {
			pot = overStored(stored, pot)
			if bundle.Told[pot.ID] {
				pot.Events = slices.DeleteFunc(slices.Clone(pot.Events), func(e inventory.PotEvent) bool {
					// How the pot came is known, and so is a level that was told without a
					// day at an earlier load.
					return tells(stored, e.Kind) ||
						e.At.Equal(now) && (e.Kind != inventory.Judged || judgedSo(stored, e))
				})
			}
		}
		load.Pots = append(load.Pots, pot)
	}
	return load, nil
}

// overStored is a pot of a file with what the file leaves open as it is kept.
func overStored(stored, pot inventory.Pot) inventory.Pot {
	if pot.Place == "" {
		pot.Place = stored.Place
	}
	if pot.Product == "" {
		pot.Product = stored.Product
	}
	if pot.Cost == nil {
		pot.Cost = stored.Cost
	}
	if pot.Opened == nil {
		pot.Opened, pot.OpenedDay = stored.Opened, stored.OpenedDay
	}
	if pot.TareGrams == 0 {
		pot.TareGrams = stored.TareGrams
	}
	return pot
}

// judgedSo tells whether a pot was judged to be that full before.
func judgedSo(p inventory.Pot, e inventory.PotEvent) bool {
	return slices.ContainsFunc(p.Events, func(o inventory.PotEvent) bool {
		return o.Kind == inventory.Judged && samePart(o.Volume, e.Volume) && samePart(o.Fraction, e.Fraction)
	})
}

func samePart[T comparable](a, b *T) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// tells tells whether a pot's own list says already that it was bought or opened.
func tells(p inventory.Pot, kind inventory.EventKind) bool {
	return (kind == inventory.Bought || kind == inventory.Opened) &&
		slices.ContainsFunc(p.Standing(), func(e inventory.PotEvent) bool { return e.Kind == kind })
}

// saveBundle keeps a bundle, and gives those of its pots that have events in the
// future: a copy from a clock that ran fast.
func saveBundle(
	ctx context.Context, tx *postgres.Tx, bundle *textfile.Bundle, now time.Time,
) (postgres.Report, []inventory.Pot, error) {
	load, err := checkBundle(ctx, tx, bundle, now)
	if err != nil {
		return postgres.Report{}, nil, err
	}
	report, err := tx.Save(ctx, load)
	if clash, ok := errors.AsType[*postgres.ClashError](err); ok {
		return report, nil, bundle.Locate(inventory.Fault{
			Path:  fmt.Sprintf("pots.%s.events.%d", clash.Pot, clash.Index+1),
			Found: "another event with the key " + clash.Key.String(),
			Expected: fmt.Sprintf("what the event says already (no. %d), which never changes, or no key",
				clash.Number),
		})
	}
	var ahead []inventory.Pot
	for _, p := range load.Pots {
		if p.Events = p.Ahead(now); len(p.Events) > 0 {
			ahead = append(ahead, p)
		}
	}
	return report, ahead, err
}

// checkLoad looks at what is added by hand together with the stored catalogue.
func (a *app) checkLoad(cat *inventory.Catalogue, l postgres.Load) error {
	whole := (&textfile.Bundle{Catalogue: l.Catalogue}).Over(*cat)
	faults := whole.Validate()
	if len(faults) > 0 {
		faults = faults.Except(cat.Validate())
	}
	shelf := inventory.Shelf{Pots: slices.Clone(l.Pots)}
	return append(faults, shelf.Validate(whole.Index(), a.now())...).Err()
}
