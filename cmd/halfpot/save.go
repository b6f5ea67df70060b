package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"github.com/google/renameio/v2"
	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/postgres"
	"halfpot/inventory/textfile"
)

func (a *app) saveCommand() *cobra.Command {
	var over bool
	c := &cobra.Command{
		Use: "save FOLDER", Short: "write all you have into a folder that halfpot load reads",
		Long: `Writes paints, products, shops, prices and pots as CSV, and figures, recipes and
forces as TOML, to be read and changed. Beside them goes ` + recordFile + `: everything
there is, with the log of work, what was learned, settings and orders. Load the
folder in an empty place and all of it is there again; load it where it came from
and nothing changes. A folder that holds other files is left alone; an older copy
is replaced with --over.`,
		Example: "  halfpot save copy\n  halfpot save copy --over\n  halfpot --home /tmp/other load copy",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			written, err := a.saveInto(c.Context(), args[0], over)
			if err != nil {
				return err
			}
			return a.done(struct {
				Folder string   `json:"folder"`
				Files  []string `json:"files"`
			}{args[0], written}, "Wrote %s into %s.", count(len(written), "file", "files"), args[0])
		},
	}
	c.Flags().BoolVar(&over, "over", false, "replace a copy that is there already")
	return c
}

// recordFile is the file of a saved folder that holds everything.
const recordFile = "record.jsonl"

// savedFile is one file and how it is written; empty ones are left out.
type savedFile struct {
	name  string
	count int
	write func(io.Writer) error
}

func filesToSave(cat *inventory.Catalogue, shelf inventory.Shelf) []savedFile {
	byID := cat.Index()
	pots := slices.Clone(shelf.Pots)
	events, bands := 0, 0
	for i := range pots {
		pots[i].Events = slices.Clone(pots[i].Events)
		events += len(pots[i].Events)
		for j := range pots[i].Events {
			pots[i].Events[j].Job = "" // the log it points into is in the record
		}
	}
	for _, s := range cat.Shops {
		bands += len(s.Delivery)
	}
	plans := inventory.Catalogue{Figures: cat.Figures, Recipes: cat.Recipes, Forces: cat.Forces}
	return []savedFile{
		{"paints.csv", len(cat.Paints), func(w io.Writer) error { return textfile.WritePaints(w, cat.Paints) }},
		{"stand-ins.csv", len(cat.StandIns),
			func(w io.Writer) error { return textfile.WriteStandIns(w, cat.StandIns) }},
		{"spectra.csv", len(cat.Spectra),
			func(w io.Writer) error { return textfile.WriteSpectra(w, cat.Spectra) }},
		{"trial-mixes.csv", len(cat.TrialMixes),
			func(w io.Writer) error { return textfile.WriteTrialMixes(w, cat.TrialMixes) }},
		{"products.csv", len(cat.Products),
			func(w io.Writer) error { return textfile.WriteProducts(w, cat.Products, byID) }},
		{"shops.csv", len(cat.Shops), func(w io.Writer) error { return textfile.WriteShops(w, cat.Shops) }},
		{"delivery.csv", bands, func(w io.Writer) error { return textfile.WriteDelivery(w, cat.Shops) }},
		{"offers.csv", len(cat.Offers), func(w io.Writer) error { return textfile.WriteOffers(w, cat.Offers) }},
		{"pots.csv", len(pots), func(w io.Writer) error { return textfile.WritePots(w, pots, byID) }},
		{"pot-events.csv", events, func(w io.Writer) error { return textfile.WritePotEvents(w, pots) }},
		{"plans.toml", len(plans.Figures) + len(plans.Recipes) + len(plans.Forces),
			func(w io.Writer) error { return textfile.WriteTOML(w, plans, nil) }},
	}
}

// savedNames are the names that save may give a file.
func savedNames() []string {
	names := []string{recordFile}
	for _, f := range filesToSave(&inventory.Catalogue{}, inventory.Shelf{}) {
		names = append(names, f.name)
	}
	return names
}

// saveInto writes everything, as it is at one moment, into a folder.
func (a *app) saveInto(ctx context.Context, folder string, over bool) ([]string, error) {
	store, err := a.store(ctx)
	if err != nil {
		return nil, err
	}
	if err := maySave(folder, over); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("write into %s: %w", folder, err)
	}
	var written []string
	err = store.Snapshot(ctx, func(r *postgres.Reader) error {
		cat, err := r.LoadCatalogue(ctx)
		if err != nil {
			return err
		}
		shelf, err := r.Shelf(ctx)
		if err != nil {
			return err
		}
		files := slices.DeleteFunc(filesToSave(&cat, shelf), func(f savedFile) bool { return f.count == 0 })
		files = append(files, savedFile{
			name:  recordFile,
			count: 1,
			write: func(w io.Writer) error { return r.WriteRecord(ctx, w, a.now(), "saved") },
		})
		written, err = replaceAll(folder, files)
		return err
	})
	if err != nil {
		return nil, err
	}
	return written, removeStale(folder, written)
}

// maySave refuses a folder that holds anything but an older copy.
func maySave(folder string, over bool) error {
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return usagef("%v; expected a folder, new or empty", err)
	}
	ours := savedNames()
	var others, copied []string
	for _, e := range entries {
		switch {
		case strings.HasPrefix(e.Name(), "."): // the system's own
		case slices.Contains(ours, e.Name()) && e.Type().IsRegular():
			copied = append(copied, e.Name())
		default:
			others = append(others, e.Name())
		}
	}
	switch {
	case len(others) > 0:
		return usagef("%s holds other files (%s); nothing was written: give a folder of its own, "+
			"new or empty", folder, strings.Join(others[:min(3, len(others))], ", "))
	case len(copied) > 0 && !over:
		return &usageError{
			fmt.Sprintf("%s is there already; nothing was written", filepath.Join(folder, copied[0])),
			[]string{"halfpot save " + quoteWord(folder) + " --over"},
		}
	}
	return nil
}

// removeStale takes away the files of an older copy that this one does not have,
// which a load would bring back.
func removeStale(folder string, written []string) error {
	for _, name := range savedNames() {
		path := filepath.Join(folder, name)
		if slices.Contains(written, path) {
			continue
		}
		if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// replaceAll writes all files aside, each whole and on the disk, before the first
// takes its place: a disk that fills up leaves the old copy as it was.
func replaceAll(folder string, files []savedFile) ([]string, error) {
	var aside []*renameio.PendingFile
	defer func() {
		for _, f := range aside {
			_ = f.Cleanup() // does nothing for those that took their place
		}
	}()
	var written []string
	for _, f := range files {
		path := filepath.Join(folder, f.name)
		failed := func(err error) error {
			return fmt.Errorf("write %s: %w; what stood there is as it was", path, err)
		}
		pending, err := renameio.NewPendingFile(path, renameio.WithTempDir(folder),
			renameio.WithPermissions(0o644), renameio.WithExistingPermissions())
		if err != nil {
			return nil, failed(err)
		}
		aside = append(aside, pending)
		w := bufio.NewWriter(pending)
		if err := errors.Join(f.write(w), w.Flush(), pending.Sync()); err != nil {
			return nil, failed(err)
		}
		written = append(written, path)
	}
	for _, f := range aside {
		if err := f.CloseAtomicallyReplace(); err != nil {
			return nil, fmt.Errorf("write into %s: %w", folder, err)
		}
	}
	return written, syncFolder(folder)
}

// syncFolder makes sure that the new names are on the disk too.
func syncFolder(folder string) error {
	d, err := os.Open(folder)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, errors.ErrUnsupported) || errors.Is(err, syscall.EINVAL) {
		err = nil // a file system that can't
	}
	return errors.Join(err, d.Close())
}
