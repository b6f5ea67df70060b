package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/postgres"
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
		Example: "  halfpot demo\n  halfpot --demo buy salt-pass --compare\n  halfpot demo --fresh\n" +
			"  halfpot demo --clear",
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			a.demo, a.makesDemo = true, true
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

// noDemoYet refuses --demo where halfpot demo has not set anything up: an empty desk
// would look like one that is broken.
func (a *app) noDemoYet(ctx context.Context) error {
	if !a.demo || a.makesDemo || a.home != "" || a.database != "" {
		return nil
	}
	look, err := server.Look(ctx, a.serverOptions())
	if err != nil || look.Made || look.Trouble != "" {
		return err
	}
	return &usageError{"there is no demo yet", []string{"halfpot demo"}}
}

// demoMark is the setting by which the demo knows a database of its own.
const demoMark = "made-by-demo"

// demoDatabase tells what the demo would work on: is there a database, and has
// the demo made it? One that holds anything else is refused.
func (a *app) demoDatabase(ctx context.Context) (there, ours bool, err error) {
	look, err := server.Look(ctx, a.serverOptions())
	if err != nil || look.Private && !look.Made {
		return false, false, err
	}
	store, err := a.store(ctx)
	if err != nil {
		return true, false, err
	}
	ours, err = a.demoOwns(ctx, store)
	return true, ours, err
}

// demoOwns tells whether the demo has made what a database holds; false where it
// holds nothing. Anything else is refused.
func (a *app) demoOwns(ctx context.Context, r demoReading) (bool, error) {
	refused := &usageError{
		"this database holds other data than the demo's, and nothing was touched: " +
			"the demo goes into a place of its own",
		[]string{"halfpot --home /tmp/demo demo"},
	}
	settings, err := r.Settings(ctx)
	if err != nil {
		return false, err
	}
	cat, err := r.LoadCatalogue(ctx)
	if err != nil {
		return false, err
	}
	shelf, err := r.Shelf(ctx)
	if err != nil {
		return false, err
	}
	jobs, err := r.Jobs(ctx, "")
	if err != nil {
		return false, err
	}
	marked := settings[demoMark] != ""
	own := a.homeFolder() == demoHome() && a.database == "" // where nobody keeps anything else
	if marked && own {
		return true, nil
	}
	others, some, err := othersThanDemo(&cat, shelf)
	switch {
	case err != nil:
		return false, err
	case !marked && !some && len(jobs) == 0 && len(settings) == 0:
		return false, nil
	case len(others) == 0 && (marked || own):
		return true, nil
	case marked:
		refused.msg = "this database was the demo's, but now holds your own data too (" +
			strings.Join(others[:min(3, len(others))], ", ") + "), and nothing was touched"
		refused.hints = []string{"halfpot save FOLDER"}
	}
	return false, refused
}

type demoReading interface {
	desk.Kept
	Jobs(context.Context, string) ([]postgres.Job, error)
}

// othersThanDemo are the ids of what is not from the demo's files, and whether
// there is anything at all.
func othersThanDemo(cat *inventory.Catalogue, shelf inventory.Shelf) (others []string, some bool, err error) {
	bundle, err := textfile.ReadFS(textfile.Options{Now: time.Unix(0, 0).UTC()}, testdata.Demo(),
		testdata.DemoFiles()...)
	if err != nil {
		return nil, false, err
	}
	demo := map[string]bool{}
	eachID(&bundle.Catalogue, bundle.Pots, func(id string) { demo[id] = true })
	eachID(cat, shelf.Pots, func(id string) {
		some = true
		if !demo[id] {
			others = append(others, id)
		}
	})
	return others, some, nil
}

func eachID(c *inventory.Catalogue, pots []inventory.Pot, f func(string)) {
	for _, p := range c.Paints {
		f(p.ID)
	}
	for _, p := range c.Products {
		f(p.ID)
	}
	for _, s := range c.Shops {
		f(s.ID)
	}
	for _, g := range c.Figures {
		f(g.ID)
	}
	for _, r := range c.Recipes {
		f(r.ID)
	}
	for _, o := range c.Forces {
		f(o.ID)
	}
	for _, p := range pots {
		f(p.ID)
	}
}

// clearDemo removes the demo's own database and files, and nothing else.
func (a *app) clearDemo(ctx context.Context) error {
	if a.database != "" {
		return usagef("--fresh and --clear are for the demo's own database, not for one given with --database")
	}
	there, ours, err := a.demoDatabase(ctx)
	if err != nil {
		return err
	}
	if there && ours {
		a.close()
		folder, err := server.Path(a.serverOptions())
		if err != nil {
			return err
		}
		if _, err := server.Stop(ctx, a.serverOptions()); err != nil {
			return err
		}
		if err := os.RemoveAll(folder); err != nil {
			return fmt.Errorf("take the demo away: %w", err)
		}
	}
	if err := a.removeDemoFiles(); err != nil {
		return err
	}
	_ = os.Remove(a.homeFolder()) // stays where it holds anything else
	return nil
}

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
	if _, _, err := a.demoDatabase(ctx); err != nil {
		return err
	}
	if err := a.demoMayWrite(); err != nil {
		return err
	}
	a.note("Setting up an invented painter's desk in %s ...", a.short(a.homeFolder()))
	paths, err := a.writeDemoFiles()
	if err != nil {
		return err
	}
	a.note("Loading %d files ...", len(paths))
	now := a.now()
	bundle, err := readBundle(textfile.Options{Now: now}, paths)
	if err != nil {
		return err
	}
	store, err := a.store(ctx)
	if err != nil {
		return err
	}
	err = store.Change(ctx, postgres.NewCommand("halfpot demo"), func(tx *postgres.Tx) error {
		// Once more, now that nobody else writes.
		if _, err := a.demoOwns(ctx, tx); err != nil {
			return err
		}
		if _, _, err := saveBundle(ctx, tx, bundle, now); err != nil {
			return err
		}
		return tx.SetSetting(ctx, demoMark, now.UTC().Format(time.RFC3339))
	})
	if err != nil {
		return err
	}
	return a.walkDemo(ctx)
}
