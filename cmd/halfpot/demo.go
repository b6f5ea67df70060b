package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/textfile"
	"halfpot/sql/server"
	"halfpot/testdata"
)

// demoHome is where the demo keeps its database and its files, apart from the
// painter's own.
func demoHome() string {
	xdg.Reload() // the package reads the environment only once
	return filepath.Join(xdg.DataHome, "halfpot-demo")
}

func (a *app) demoCommand() *cobra.Command {
	var fresh, clear bool
	c := &cobra.Command{
		Use: "demo", Short: "see the whole job on an invented scenario, apart from your data",
		Long: `Sets up an invented painter's desk in a folder of its own and walks through the job:
what is on the shelf, what a planned force will take, what to buy. Your own data is
not touched. The files it loads stay there to be read and changed; with --demo every
other command works on this desk too. Running it again loads the files as you have
changed them; --fresh begins anew, --clear takes it all away.`,
		Example: "  halfpot demo\n  halfpot --demo buy salt-pass --compare\n  halfpot demo --fresh\n  halfpot demo --clear",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			a.demo = true
			if fresh || clear {
				if err := a.clearDemo(c.Context()); err != nil {
					return err
				}
			}
			if clear {
				return a.done(struct {
					Cleared string `json:"cleared"`
				}{a.homeFolder()}, "The demo is gone: %s", a.short(a.homeFolder()))
			}
			return a.runDemo(c.Context())
		},
	}
	c.Flags().BoolVar(&fresh, "fresh", false, "begin anew with the files as they came")
	c.Flags().BoolVar(&clear, "clear", false, "take the demo's database and files away")
	c.MarkFlagsMutuallyExclusive("fresh", "clear")
	return c
}

// clearDemo removes the demo's own database and files, and nothing else.
func (a *app) clearDemo(ctx context.Context) error {
	if a.database != "" {
		return usagef("--fresh and --clear are for the demo's own database, not for one given with --database")
	}
	if _, err := os.Stat(a.demoFiles()); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if _, err := server.Stop(ctx, a.serverOptions()); err != nil {
		return err
	}
	database, err := server.Path(a.serverOptions())
	if err != nil {
		return err
	}
	for _, dir := range []string{database, a.demoFiles()} {
		if err := os.RemoveAll(dir); err != nil {
			return fmt.Errorf("take the demo away: %w", err)
		}
	}
	_ = os.Remove(a.homeFolder()) // stays where it holds anything of the user's
	return nil
}

func (a *app) demoFiles() string { return filepath.Join(a.homeFolder(), "files") }

// short writes a path below the user's home as the user would.
func (a *app) short(path string) string {
	if home := a.env("HOME"); home != "" && home != "/" {
		if rest, ok := strings.CutPrefix(path, home+"/"); ok {
			return "~/" + rest
		}
	}
	return path
}

func (a *app) runDemo(ctx context.Context) error {
	a.note("Setting up an invented painter's desk in %s ...", a.short(a.homeFolder()))
	paths, err := a.writeDemoFiles()
	if err != nil {
		return err
	}
	cat, err := a.catalogue(ctx)
	if err != nil {
		return err
	}
	if foreign(cat) {
		return usagef("this database holds other data than the demo's: the demo goes into one of its own")
	}
	a.note("Loading %d files ...", len(paths))
	now := a.now().UTC()
	batch, err := readBatch(textfile.Options{Now: now}, paths)
	if err != nil {
		return err
	}
	load, err := a.checkBatch(ctx, batch, now)
	if err != nil {
		return err
	}
	if _, err := a.opened.store.Save(ctx, load); err != nil {
		return err
	}
	return a.walkDemo(ctx)
}

// foreign tells a database in use for something else.
func foreign(cat *inventory.Catalogue) bool {
	demo := slices.ContainsFunc(cat.Forces, func(f inventory.Force) bool { return f.ID == testdata.DemoForce })
	return len(cat.Paints) > 0 && !demo
}

// writeDemoFiles puts the scenario's files where the user can change them;
// files that are there already stay as they are.
func (a *app) writeDemoFiles() ([]string, error) {
	dir := a.demoFiles()
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("put the demo's files into %s: %w", dir, err)
	}
	var paths []string
	for _, name := range testdata.DemoFiles() {
		path := filepath.Join(dir, name)
		paths = append(paths, path)
		data, err := fs.ReadFile(testdata.Demo(), name)
		if err != nil {
			return nil, err
		}
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err == nil {
			_, err = f.Write(data)
			err = errors.Join(err, f.Close())
		}
		if err != nil {
			return nil, fmt.Errorf("put the demo's files into %s: %w", dir, err)
		}
	}
	return paths, nil
}
