package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"syscall"

	"github.com/google/renameio/v2"
	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/textfile"
)

func (a *app) saveCommand() *cobra.Command {
	var over bool
	c := &cobra.Command{
		Use: "save FOLDER", Short: "write all you have into files that halfpot load reads",
		Long: `Writes paints, products, shops, prices, pots with all that happened to them, and, as
TOML, figures, recipes and forces. The files can be read, changed, kept as a copy
and loaded again, here or elsewhere. The log of work is not among them; what it
drew from the pots is. Files that are there already are left alone unless --over
is given.`,
		Example: "  halfpot save copy\n  halfpot save copy --over\n  halfpot --home /tmp/other load copy/*.csv copy/*.toml",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			cat, shelf, err := a.all(c.Context())
			if err != nil {
				return err
			}
			written, err := saveFiles(args[0], cat, shelf, over)
			if err != nil {
				return err
			}
			return a.done(struct {
				Folder string   `json:"folder"`
				Files  []string `json:"files"`
			}{args[0], written}, "Wrote %s into %s.", count(len(written), "file", "files"), args[0])
		},
	}
	c.Flags().BoolVar(&over, "over", false, "replace files that are there already")
	return c
}

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
			pots[i].Events[j].Job = "" // the log it points into stays behind
		}
	}
	for _, s := range cat.Shops {
		bands += len(s.Delivery)
	}
	plans := inventory.Catalogue{Figures: cat.Figures, Recipes: cat.Recipes, Forces: cat.Forces}
	return []savedFile{
		{"paints.csv", len(cat.Paints), func(w io.Writer) error { return textfile.WritePaints(w, cat.Paints) }},
		{"stand-ins.csv", len(cat.StandIns), func(w io.Writer) error { return textfile.WriteStandIns(w, cat.StandIns) }},
		{"products.csv", len(cat.Products), func(w io.Writer) error { return textfile.WriteProducts(w, cat.Products, byID) }},
		{"shops.csv", len(cat.Shops), func(w io.Writer) error { return textfile.WriteShops(w, cat.Shops) }},
		{"delivery.csv", bands, func(w io.Writer) error { return textfile.WriteDelivery(w, cat.Shops) }},
		{"offers.csv", len(cat.Offers), func(w io.Writer) error { return textfile.WriteOffers(w, cat.Offers) }},
		{"pots.csv", len(pots), func(w io.Writer) error { return textfile.WritePots(w, pots, byID) }},
		{"pot-events.csv", events, func(w io.Writer) error { return textfile.WritePotEvents(w, pots) }},
		{"plans.toml", len(plans.Figures) + len(plans.Recipes) + len(plans.Forces), func(w io.Writer) error { return textfile.WriteTOML(w, plans, nil) }},
	}
}

func saveFiles(folder string, cat *inventory.Catalogue, shelf inventory.Shelf, over bool) ([]string, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("write into %s: %w", folder, err)
	}
	files := slices.DeleteFunc(filesToSave(cat, shelf), func(f savedFile) bool { return f.count == 0 })
	for _, f := range files {
		_, err := os.Stat(filepath.Join(folder, f.name))
		if err == nil && !over {
			return nil, &usageError{fmt.Sprintf("%s is there already; nothing was written", filepath.Join(folder, f.name)), []string{"halfpot save " + folder + " --over"}}
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	return replaceAll(folder, files)
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
		pending, err := renameio.NewPendingFile(path, renameio.WithTempDir(folder), renameio.WithPermissions(0o644), renameio.WithExistingPermissions())
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
