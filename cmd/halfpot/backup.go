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
	"time"

	"github.com/adrg/xdg"
	"github.com/google/renameio/v2"
	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/postgres"
)

func (a *app) backupCommand() *cobra.Command {
	return holder("backup",
		"copies of everything, made by themselves before what can't be undone: list, make, restore",
		`Before the tables are brought up to date, and before going back to an older copy,
halfpot makes a copy of everything beside its database, dated. One command goes
back to it.`,
		`  halfpot backup list
  halfpot backup restore                     go back to the last one
  halfpot backup restore 2026-03-09T190000Z`,
		a.backupList(), a.backupMake(), a.backupRestore())
}

// backupFolder is where the copies of a database are kept. The database itself need
// not be on this machine; then they lie with the user's own.
func (a *app) backupFolder() string {
	home := a.homeFolder()
	if home == "" || a.database != "" {
		data := a.env("XDG_DATA_HOME")
		if !filepath.IsAbs(data) {
			xdg.Reload() // the package reads the environment only once
			data = xdg.DataHome
		}
		home = filepath.Join(data, "halfpot")
	}
	return filepath.Join(home, "backups")
}

// keepBackup writes a copy whole or not at all and gives its path.
func (a *app) keepBackup(why string, write func(io.Writer) error) (string, error) {
	folder := a.backupFolder()
	failed := func(err error) error {
		return fmt.Errorf("keep a backup in %s: %w; nothing was changed", folder, err)
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", failed(err)
	}
	name := a.now().UTC().Format("2006-01-02T150405Z") + " " + why
	path := filepath.Join(folder, name+".jsonl")
	for n := 2; ; n++ {
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
			break
		}
		path = filepath.Join(folder, fmt.Sprintf("%s (%d).jsonl", name, n))
	}
	f, err := renameio.NewPendingFile(path, renameio.WithTempDir(folder), renameio.WithPermissions(0o600))
	if err != nil {
		return "", failed(err)
	}
	defer func() { _ = f.Cleanup() }() // does nothing once it took its place
	w := bufio.NewWriter(f)
	if err := errors.Join(write(w), w.Flush()); err != nil {
		return "", failed(err)
	}
	if err := f.CloseAtomicallyReplace(); err != nil {
		return "", failed(err)
	}
	return path, syncFolder(folder)
}

// backUp makes a copy of everything as it is.
func (a *app) backUp(ctx context.Context, why string) (string, error) {
	store, err := a.store(ctx)
	if err != nil {
		return "", err
	}
	return a.keepBackup(why, func(w io.Writer) error { return store.WriteRecord(ctx, w, a.now(), why) })
}

type backupRow struct {
	Name string `json:"name" table:"backup"`
	Size int64  `json:"bytes" table:"bytes"`
	Path string `json:"path"`
}

// backups are the copies there are, the oldest first.
func (a *app) backups() ([]backupRow, error) {
	entries, err := os.ReadDir(a.backupFolder())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	rows := []backupRow{}
	for _, e := range entries {
		name, ok := strings.CutSuffix(e.Name(), ".jsonl")
		info, infoErr := e.Info()
		if ok && infoErr == nil && info.Mode().IsRegular() && !strings.HasPrefix(name, ".") {
			rows = append(rows, backupRow{name, info.Size(), filepath.Join(a.backupFolder(), e.Name())})
		}
	}
	return rows, err
}

func (a *app) backupList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "the copies there are, and what each was made before",
		Long:    "Lists the copies of everything that were made, the oldest first.",
		Example: "  halfpot backup list\n  halfpot backup list --format json",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			rows, err := a.backups()
			if err != nil {
				return err
			}
			if rows == nil {
				rows = []backupRow{}
			}
			return a.show(rows, rows, func(page *view.Page) { page.List(rows, "There is no backup yet.") })
		},
	}
}

func (a *app) backupMake() *cobra.Command {
	return &cobra.Command{
		Use: "make", Short: "make one now",
		Long: "Makes a copy of everything as it is now. To carry it elsewhere, halfpot save is\n" +
			"meant: its files can be read and changed.",
		Example: "  halfpot backup make",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			path, err := a.backUp(c.Context(), "by hand")
			if err != nil {
				return err
			}
			return a.done(struct {
				Path string `json:"path"`
			}{path}, "Made a backup: %s", a.short(path))
		},
	}
}

func (a *app) backupRestore() *cobra.Command {
	c := &cobra.Command{
		Use: "restore [BACKUP]", Short: "go back to a copy: everything is as it was then",
		Long: `Puts what a copy holds in the place of everything there is now. BACKUP is the
beginning of its name in halfpot backup list, or a file; without one it is the last.
What there is now is copied first, so that this too can be taken back.`,
		Example: "  halfpot backup restore\n  halfpot backup restore 2026-03-09T190000Z",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			path, err := a.findBackup(args)
			if err != nil {
				return err
			}
			rec, err := readRecord(c.Context(), []string{path})
			if err != nil {
				return err
			}
			kept, err := a.restore(c.Context(), rec)
			if err != nil {
				return err
			}
			was := strings.TrimSuffix(filepath.Base(path), ".jsonl")
			return a.done(struct {
				Restored string    `json:"restored"`
				Made     time.Time `json:"made"`
				Kept     string    `json:"kept"`
			}{path, rec.Made, kept}, "Everything is as it was in %s. What there was before is kept; "+
				"to return to it: halfpot backup restore", was)
		},
	}
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		rows, _ := a.backups()
		var names []string
		for _, r := range rows {
			names = append(names, r.Name)
		}
		return names, cobra.ShellCompDirectiveNoFileComp
	}
	return c
}

// findBackup is the copy that is meant.
func (a *app) findBackup(args []string) (string, error) {
	rows, err := a.backups()
	if err != nil {
		return "", err
	}
	if len(args) == 0 {
		if len(rows) == 0 {
			return "", usagef("there is no backup to go back to")
		}
		return rows[len(rows)-1].Path, nil
	}
	if info, err := os.Stat(args[0]); err == nil {
		if info.IsDir() {
			return filepath.Join(args[0], recordFile), nil
		}
		return args[0], nil
	}
	found := slices.DeleteFunc(rows, func(r backupRow) bool { return !strings.HasPrefix(r.Name, args[0]) })
	switch len(found) {
	case 1:
		return found[0].Path, nil
	case 0:
		return "", &usageError{fmt.Sprintf("there is no backup %q", args[0]), []string{"halfpot backup list"}}
	}
	return "", &usageError{
		fmt.Sprintf("%d backups begin with %q; say more of the name", len(found), args[0]),
		[]string{"halfpot backup list"},
	}
}

// restore goes back to a record, after a copy of what there is.
func (a *app) restore(ctx context.Context, rec *postgres.Record) (kept string, err error) {
	if kept, err = a.backUp(ctx, "before going back"); err != nil {
		return "", err
	}
	where := a.opened.where
	a.close()
	url, roles := where.URL, false
	if where.Owner != "" {
		url, roles = where.Owner, true
	}
	if err := postgres.Restore(ctx, url, roles, rec); err != nil {
		_ = os.Remove(kept) // nothing has changed, so nothing is to go back from
		return "", err
	}
	_, err = a.store(ctx) // brings the tables up to date
	return kept, err
}
