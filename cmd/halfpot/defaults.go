package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/desk"
	"halfpot/inventory/postgres"
	"halfpot/inventory/shelf"
)

func (a *app) estimateDefaults() *cobra.Command {
	var set, unset string
	c := &cobra.Command{
		Use:   "defaults",
		Short: "films, losses and waste that everything is reckoned with, and what you set of them",
		Long: `Lists every number that halfpot takes where neither a recipe nor your own pots say
otherwise: the film of each kind of paint (um, wet), the part of the paint that
reaches the figure by each method (the rest is lost), what is left over each
sitting, how much of a surface dry-brushing and edging catch; then what levels of
pots are reckoned with. Nobody has published them for figures, so most are
assumptions, with the range they lie in nine times out of ten. Last comes the
compromise price: what halfpot buy may spend to avoid one point of compromise.

--set changes one for everything from now on; give its range in brackets, or its
width stays. What your pots teach comes on top. halfpot save keeps what you set.`,
		Example: `  halfpot estimate defaults
  halfpot estimate defaults --set "film one-coat=70 (50 to 100)"
  halfpot estimate defaults --set "waste brush=0.5"
  halfpot estimate defaults --set "compromise price=0.50 EUR"
  halfpot estimate defaults --unset "film one-coat"`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if set != "" || unset != "" {
				return a.change(c, nil, "halfpot estimate defaults",
					func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
						if done, is, err := a.pointPriceTyped(ctx, tx, set, unset); is {
							return done, err
						}
						tables, err := desk.PaintTables(ctx, tx)
						if err != nil {
							return nil, err
						}
						rules, err := desk.LevelRules(ctx, tx)
						if err != nil {
							return nil, err
						}
						if set != "" {
							return a.setDefault(ctx, tx, tables, rules, set)
						}
						return a.unsetDefault(ctx, tx, tables, rules, unset)
					})
			}
			store, err := a.store(c.Context())
			if err != nil {
				return err
			}
			tables, err := desk.PaintTables(c.Context(), store)
			if err != nil {
				return err
			}
			rules, err := desk.LevelRules(c.Context(), store)
			if err != nil {
				return err
			}
			rows := []factorRow{}
			for _, f := range append(tables.Factors(), rules.Factors()...) {
				rows = append(rows, newFactorRow(f))
			}
			row, ok, err := pointPriceRow(c.Context(), store)
			if err != nil {
				return err
			}
			if ok {
				rows = append(rows, row)
			}
			return a.list(rows, "")
		},
	}
	a.once(c)
	c.Flags().StringVar(&set, "set", "", "change a number: `NAME=VALUE`, or \"NAME=VALUE (FROM to TO)\"")
	c.Flags().StringVar(&unset, "unset", "", "give `NAME` its default back")
	c.MarkFlagsMutuallyExclusive("set", "unset")
	return c
}

// tableNamed finds the default a painter means, false where it is none of films,
// losses, waste and covers.
func tableNamed(typed string) (string, bool) {
	for _, n := range coverage.TableNames() {
		if inventory.Slug(n) == inventory.Slug(typed) {
			return n, true
		}
	}
	return "", false
}

func (a *app) setDefault(
	ctx context.Context, tx *postgres.Tx, t coverage.Tables, rules shelf.LevelRules, typed string,
) (func() error, error) {
	name, number, ok := cutLast(typed, "=")
	table, known := tableNamed(name)
	if ok && !known && !strings.Contains(number, "(") {
		done, err := a.setRule(ctx, tx, rules, typed)
		var fault inventory.Fault
		if errors.As(err, &fault) && fault.Path == "rules" {
			return nil, unknownDefault(name)
		}
		return done, err
	}
	if ok && !known {
		return nil, unknownDefault(name)
	}
	v, low, high, err := readRange(number)
	if !ok || err != nil {
		return nil, usagef("--set %q: expected a name and a number, "+
			"like \"waste brush=0.5\" or \"film one-coat=70 (50 to 100)\"", typed)
	}
	changed, err := t.With(table, v, low, high)
	if err != nil {
		return nil, usagef("--set %q: %s", typed, err)
	}
	for _, f := range changed.Factors() {
		if f.Name != table {
			continue
		}
		low, high := f.Shown()
		row := newFactorRow(f)
		err := tx.SetSetting(ctx, desk.TableName(table), fmt.Sprintf("%g %g %g", f.Median, low, high))
		return func() error {
			return a.done(row, "%s is %s from now on (%s to %s).",
				table, withUnit(row.Value, row.Unit), row.Low, row.High)
		}, err
	}
	return nil, unknownDefault(name)
}

func withUnit(v view.Fine, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%s %s", v, unit))
}

func (a *app) unsetDefault(
	ctx context.Context, tx *postgres.Tx, t coverage.Tables, rules shelf.LevelRules, typed string,
) (func() error, error) {
	table, known := tableNamed(typed)
	if !known {
		done, err := a.unsetRule(ctx, tx, rules, typed)
		var fault inventory.Fault
		if errors.As(err, &fault) && fault.Path == "rules" {
			return nil, unknownDefault(typed)
		}
		return done, err
	}
	if !t.Changed(table) {
		return nil, usagef("--unset %q: it has its default already", typed)
	}
	err := tx.RemoveSetting(ctx, desk.TableName(table))
	return func() error {
		return a.done(struct {
			Name string `json:"name"`
		}{table}, "%s has its default again.", table)
	}, err
}

// unknownDefault says that there is no such default, and what comes near.
func unknownDefault(typed string) error {
	names := append(slices.Clone(coverage.TableNames()), pointPriceWords)
	for _, f := range shelf.LevelDefaults() {
		names = append(names, f.Name)
	}
	near := inventory.Nearest(strings.ToLower(strings.TrimSpace(typed)), names, 2)
	if len(near) > 0 {
		return usagef("there is no default %q; do you mean %s?",
			strings.TrimSpace(typed), strings.Join(near, " or "))
	}
	return usagef("there is no default %q; halfpot estimate defaults lists them all", strings.TrimSpace(typed))
}

// readRange reads "70", "70 um" or "70 (50 to 100)".
func readRange(typed string) (v, low, high float64, err error) {
	head, tail, ranged := strings.Cut(typed, "(")
	for _, unit := range []string{"um", "ml"} {
		head = strings.TrimSuffix(strings.TrimSpace(head), unit)
	}
	if v, err = number(head); err != nil || !ranged {
		return v, 0, 0, err
	}
	from, to, ok := strings.Cut(strings.TrimSuffix(strings.TrimSpace(tail), ")"), "to")
	if !ok || !strings.HasSuffix(strings.TrimSpace(tail), ")") {
		return 0, 0, 0, errors.New("no range")
	}
	if low, err = number(from); err != nil {
		return 0, 0, 0, err
	}
	high, err = number(to)
	return v, low, high, err
}

// number reads "0.6" or "60 %".
func number(typed string) (float64, error) {
	share, percent := strings.CutSuffix(strings.TrimSpace(typed), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(share), 64)
	if percent {
		v /= 100
	}
	return v, err
}
