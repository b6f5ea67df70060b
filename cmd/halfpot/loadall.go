package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
	"halfpot/inventory/textfile"
)

// filesOf are the CSV and TOML files of a load and its records; a folder stands
// for those in it.
func filesOf(args []string) (files, records []string, err error) {
	for _, arg := range args {
		paths := []string{arg}
		if info, err := os.Stat(arg); err == nil && info.IsDir() {
			if paths, err = filesIn(arg); err != nil {
				return nil, nil, err
			}
		}
		for _, p := range paths {
			if strings.EqualFold(filepath.Ext(p), ".jsonl") {
				records = append(records, p)
			} else {
				files = append(files, p)
			}
		}
	}
	if len(records) > 1 {
		return nil, nil, usagef("%s and %s are two records; load one at a time", records[0], records[1])
	}
	return files, records, nil
}

func filesIn(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, usagef("%v", err)
	}
	var paths []string
	for _, e := range entries {
		ext := strings.ToLower(filepath.Ext(e.Name()))
		if !e.IsDir() && !strings.HasPrefix(e.Name(), ".") &&
			slices.Contains([]string{".csv", ".toml", ".jsonl"}, ext) {
			paths = append(paths, filepath.Join(folder, e.Name()))
		}
	}
	if len(paths) == 0 {
		return nil, usagef("%s is a folder without files to load; expected .csv, .toml or %s in it",
			folder, recordFile)
	}
	return paths, nil
}

// readRecord reads the record of a load, nil where it has none.
func readRecord(ctx context.Context, paths []string) (*postgres.Record, error) {
	if len(paths) == 0 {
		return nil, nil
	}
	return await(ctx, func() (*postgres.Record, error) {
		f, err := os.Open(paths[0])
		if err != nil {
			return nil, usagef("%v", err)
		}
		defer f.Close()
		return postgres.ReadRecord(f, paths[0])
	})
}

// left is the record that lies beside the files of a load and is not part of it.
func left(args []string, rec *postgres.Record) string {
	if rec != nil {
		return ""
	}
	for _, arg := range args {
		beside := filepath.Join(filepath.Dir(arg), recordFile)
		if _, err := os.Stat(beside); err == nil {
			return beside
		}
	}
	return ""
}

// loaded is what a load did.
type loaded struct {
	postgres.Report
	Other   map[string]postgres.Count `json:"other,omitempty"`    // what only a record carries, by table
	Left    []leftRow                 `json:"left_out,omitempty"` // what the files no longer name
	Retired bool                      `json:"retired,omitempty"`  // and what became of it
	Backup  string                    `json:"backup,omitempty"`
	ahead   []inventory.Pot           // pots with events in the future
	odd     []oddLine                 // entries that don't go with the rest
}

// loadAll keeps a record, then the files beside it, which may have been changed.
func (a *app) loadAll(
	ctx context.Context,
	tx *postgres.Tx,
	rec *postgres.Record,
	bundle *textfile.Bundle,
	now time.Time,
	retire bool,
) (l loaded, err error) {
	var counts map[string]postgres.Count
	defer func() {
		if err != nil && l.Backup != "" {
			_ = os.Remove(l.Backup) // nothing was changed: a copy from before it would only mislead
		}
	}()
	left, err := leftOut(ctx, tx, bundle)
	if err != nil {
		return l, err
	}
	l.Left = leftRows(left)
	if l.Retired = retire && len(left) > 0; l.Retired {
		if l.Backup, err = a.backUpIn(ctx, tx, "before retiring what files no longer hold"); err != nil {
			return l, err
		}
	}
	if rec != nil {
		if counts, err = tx.AddRecord(ctx, rec); err != nil {
			return l, err
		}
		if err := tx.MergeAgain(ctx, counts); err != nil {
			return l, err
		}
	}
	if err := keepUnits(ctx, tx, bundle, retire); err != nil {
		return l, err
	}
	if l.Report, l.ahead, err = saveBundle(ctx, tx, bundle, now); err != nil {
		return l, err
	}
	if l.odd, err = oddLines(ctx, tx, bundle, now); err != nil {
		return l, err
	}
	if l.Retired {
		if err := retireLeft(ctx, tx, left, now); err != nil {
			return l, err
		}
	}
	l.Report, l.Other = l.Report.After(counts)
	return l, nil
}

// checkOnly does all of a load but keep it.
func (a *app) checkOnly(
	c *cobra.Command, args []string, rec *postgres.Record, bundle *textfile.Bundle, now time.Time,
) error {
	store, err := a.store(c.Context())
	if err != nil {
		return err
	}
	if rec == nil {
		_, err = checkBundle(c.Context(), store, bundle, now)
	} else {
		err = store.Change(c.Context(), postgres.NewCommand("halfpot load --check"),
			func(tx *postgres.Tx) error {
				if _, err := a.loadAll(c.Context(), tx, rec, bundle, now, false); err != nil {
					return err
				}
				return errUnchanged
			})
		if errors.Is(err, errUnchanged) {
			err = nil
		}
	}
	if err != nil {
		return err
	}
	return a.done(struct {
		Files []string `json:"files"`
		Valid bool     `json:"valid"`
	}{args, true}, "%s: nothing wrong in it.", strings.Join(args, ", "))
}

type reportRow struct {
	Kind    string     `json:"kind" table:"kind"`
	New     view.Count `json:"new" table:"new"`
	Changed view.Count `json:"changed" table:"changed"`
	Same    view.Count `json:"same" table:"as before"`
}

// otherWords name what only a record carries.
var otherWords = map[string]string{
	"factor_history": "learned and set by hand",
	"setting":        "settings",
	"shop_order":     "orders",
	"order_event":    "order events",
	"merged":         "merged paints",
	"retired":        "retired things",
}

func (a *app) showReport(ctx context.Context, l loaded, beside string, recipes []inventory.Recipe) error {
	rows := []reportRow{}
	add := func(kind string, n postgres.Count) {
		if n != (postgres.Count{}) {
			rows = append(rows, reportRow{kind, view.Count(n.New), view.Count(n.Changed), view.Count(n.Same)})
		}
	}
	r := l.Report
	for _, k := range []struct {
		kind string
		n    postgres.Count
	}{
		{"paints", r.Paints},
		{"stand-ins", r.StandIns},
		{"spectra", r.Spectra},
		{"trial mixes", r.TrialMixes},
		{"products", r.Products},
		{"shops", r.Shops},
		{"offers", r.Offers},
		{"figures", r.Figures},
		{"recipes", r.Recipes},
		{"forces", r.Forces},
		{"pots", r.Pots},
		{"pot events", r.PotEvents},
		{"jobs", r.Jobs},
	} {
		add(k.kind, k.n)
	}
	others := make([]string, 0, len(l.Other))
	for t := range l.Other {
		others = append(others, t)
	}
	slices.Sort(others)
	for _, t := range others {
		word, ok := otherWords[t]
		if !ok {
			word = strings.ReplaceAll(t, "_", " ") + "s"
		}
		add(word, l.Other[t])
	}
	p, err := a.printer()
	if err != nil {
		return err
	}
	if p.Format == view.Text && a.quiet {
		return nil
	}
	cat, err := a.catalogue(ctx)
	if err != nil {
		return err
	}
	return p.Show(l, rows, func(page *view.Page) {
		page.List(rows, "The files hold nothing.")
		if len(rows) > 0 && !l.Retired &&
			!slices.ContainsFunc(rows, func(r reportRow) bool { return r.New != 0 || r.Changed != 0 }) {
			page.Line("Nothing has changed: all of it was there already.")
		}
		showLeft(page, l.Left, l.Retired)
		if l.Backup != "" {
			page.Line("The backup made before: %s", a.short(l.Backup))
		}
		for _, p := range l.ahead {
			page.Line("%s: %s in the future by this computer's clock, on %s; until then it does not count.",
				p.ID,
				count(len(p.Events), "entry lies", "entries lie"), p.Events[0].At.Format(time.DateOnly))
		}
		showOdd(page, l.odd)
		orderNote(page, cat, func(id string) bool {
			return slices.ContainsFunc(recipes, func(r inventory.Recipe) bool { return r.ID == id })
		})
		if beside != "" {
			page.Line("The log of work, what was learned and settings are in %s, which was not loaded: "+
				"load the folder for all of it.", beside)
		}
	})
}

// oddLine is an entry of a pot that does not go with the rest.
type oddLine struct {
	pot string
	inventory.OddEntry
}

// oddLines finds such entries of the pots that files hold, as they stand now;
// those to come are told apart.
func oddLines(ctx context.Context, tx *postgres.Tx, bundle *textfile.Bundle, now time.Time) ([]oddLine, error) {
	if len(bundle.Pots) == 0 {
		return nil, nil
	}
	kept, err := tx.Shelf(ctx)
	if err != nil {
		return nil, err
	}
	loaded := map[string]bool{}
	for _, p := range bundle.Pots {
		loaded[p.ID] = true
	}
	var out []oddLine
	for _, p := range kept.Pots {
		if !loaded[p.ID] {
			continue
		}
		for _, o := range p.Odd(now) {
			if o.Kind != inventory.ToCome {
				out = append(out, oddLine{p.ID, o})
			}
		}
	}
	return out, nil
}

// mostOdd is how many odd entries a load tells one by one.
const mostOdd = 8

func showOdd(page *view.Page, odd []oddLine) {
	for i, o := range odd {
		if i == mostOdd {
			page.Line("and %s more; halfpot pot show tells of each pot.",
				count(len(odd)-mostOdd, "such entry", "such entries"))
			break
		}
		page.Line("%s: %s of %s %s. It is kept.",
			o.pot, oddEntryWord(o.Entry.Kind), view.Date{Time: o.Entry.At}.CSVValue(), o.Text)
	}
}

func oddEntryWord(k inventory.EventKind) string {
	switch k {
	case inventory.Judged:
		return "the look"
	case inventory.Weighed:
		return "the weighing"
	}
	return "what was noted"
}
