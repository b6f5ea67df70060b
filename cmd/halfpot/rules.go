package main

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/postgres"
	"halfpot/inventory/shelf"
)

func (a *app) potRules() *cobra.Command {
	var set, unset string
	c := &cobra.Command{
		Use: "rules", Short: "what levels are reckoned with: errors of eye and scale, drying",
		Long: `Lists the numbers that what is left in a pot is reckoned with: how far an eye errs,
what a scale is good for, how fast a pot dries. Nobody has published them, so they
are assumptions with a range; change the ones you know better. halfpot estimate
defaults lists them with all others: films, losses, waste.`,
		Example: "  halfpot pot rules\n  halfpot pot rules --set \"level judged by eye=0.12\"\n" +
			"  halfpot pot rules --unset \"level judged by eye\"",
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if set != "" || unset != "" {
				return a.change(c, nil, "halfpot pot rules",
					func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
						rules, err := desk.LevelRules(ctx, tx)
						if err != nil {
							return nil, err
						}
						if set != "" {
							return a.setRule(ctx, tx, rules, set)
						}
						return a.unsetRule(ctx, tx, rules, unset)
					})
			}
			store, err := a.store(c.Context())
			if err != nil {
				return err
			}
			rules, err := desk.LevelRules(c.Context(), store)
			if err != nil {
				return err
			}
			rows := []factorRow{}
			for _, f := range rules.Factors() {
				rows = append(rows, newFactorRow(f))
			}
			return a.list(rows, "")
		},
	}
	a.once(c)
	c.Flags().StringVar(&set, "set", "", "change a number: `NAME=VALUE`, like \"level judged by eye=0.12\"")
	c.Flags().StringVar(&unset, "unset", "", "give `NAME` its default back")
	c.MarkFlagsMutuallyExclusive("set", "unset")
	return c
}

func (a *app) unsetRule(
	ctx context.Context, tx *postgres.Tx, rules shelf.LevelRules, typed string,
) (func() error, error) {
	name := inventory.Slug(typed)
	if err := rules.Set(name, 0); err != nil {
		return nil, err
	}
	err := tx.RemoveSetting(ctx, desk.RuleName(name))
	return func() error {
		return a.done(struct {
			Rule string `json:"rule"`
		}{name}, "%s has its default again.", typed)
	}, err
}

func (a *app) setRule(
	ctx context.Context, tx *postgres.Tx, rules shelf.LevelRules, typed string,
) (func() error, error) {
	name, number, ok := cutLast(typed, "=")
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if !ok || err != nil {
		return nil, usagef("--set %q: expected a name and a number, like \"level judged by eye=0.12\"", typed)
	}
	if err := rules.Set(name, v); err != nil {
		return nil, err
	}
	err = tx.SetSetting(ctx, desk.RuleName(name), strconv.FormatFloat(v, 'g', -1, 64))
	return func() error {
		return a.done(struct {
			Rule  string    `json:"rule"`
			Value view.Fine `json:"value"`
		}{inventory.Slug(name), view.Fine(v)}, "%s is %s from now on.", strings.TrimSpace(name), view.Fine(v))
	}, err
}
