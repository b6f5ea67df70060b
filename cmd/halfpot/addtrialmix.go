package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/likeness"
	"halfpot/inventory/postgres"
)

func (a *app) addTrialMix() *cobra.Command {
	var seen, like string
	t := inventory.TrialMix{}
	c := &cobra.Command{
		Use:   "trial-mix MIX",
		Short: "note a mix you made and what it looked like, so that mixes are predicted better",
		Long: `Notes what a mix looked like when it was dry: a colour, or a paint that it looks
like. From such trials halfpot learns how strong each paint is in a mix; all later
predictions use it. The most is learned from one part of a paint with one part of
white. What you noted: halfpot paint mixes.`,
		Example: `  halfpot add trial-mix "1 whitewash + 1 rye-crust" --seen "#b09a86"
  halfpot add trial-mix "2 old-tusk + 1 gun-slate" --like ash-cart --note "a shade warmer"
  halfpot remove trial-mix "1 whitewash + 1 rye-crust"`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if (seen == "") == (like == "") {
				return usagef("expected --seen or --like, one of the two: what the mix looked like when dry")
			}
			if err := texts(map[string]*string{"--note": &t.Note}); err != nil {
				return err
			}
			return a.change(c, args, "halfpot paint mixes",
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					cat, err := tx.LoadCatalogue(ctx)
					if err != nil {
						return nil, err
					}
					if t.Mix, err = mixOf(&cat, args[0]); err != nil {
						return nil, err
					}
					if t.Seen, err = seenColour(&cat, seen, like); err != nil {
						return nil, err
					}
					same := func(o inventory.TrialMix) bool { return o.Key() == t.Key() }
					if slices.ContainsFunc(cat.TrialMixes, same) {
						return nil, &usageError{
							"this mix is noted already; to note it anew, take that away first",
							[]string{fmt.Sprintf("halfpot remove trial-mix %s", quoteWord(args[0]))},
						}
					}
					added := inventory.Catalogue{TrialMixes: []inventory.TrialMix{t}}
					if err = a.insert(ctx, tx, &cat, postgres.Load{Catalogue: added}); err != nil {
						return nil, err
					}
					cat.TrialMixes = append(cat.TrialMixes, t)
					rows := newTrialRows(&cat)
					return func() error {
						row := rows[len(rows)-1]
						if row.Reason != "" {
							return a.done(row, "Noted, but nothing can be learned of it: %s.", row.Reason)
						}
						return a.done(row, "Noted. Predicted was a colour %.1f away; with what is learned, "+
							"%.1f. Strengths now: %s", float64(row.Before), float64(row.Now), row.Strengths)
					}, nil
				})
		},
	}
	f := c.Flags()
	f.StringVar(&seen, "seen", "", "the `COLOUR` it had when dry, like '#b09a86' or 'lab 64 6 13'")
	f.StringVar(&like, "like", "", "the `PAINT` that it looks like")
	f.StringVar(&t.Note, "note", "", "`WORDS` about it")
	a.once(c)
	complete(a, c, "like", paintNames)
	return c
}

// seenColour is a colour typed, or a paint's.
func seenColour(cat *inventory.Catalogue, seen, like string) (inventory.Colour, error) {
	if seen != "" {
		c, err := inventory.ParseColour(seen)
		if err != nil {
			return c, usagef("--seen: %v", err)
		}
		return c, nil
	}
	id, err := lookup("paint", like, "halfpot paint list", paintNames(cat))
	if err != nil {
		return inventory.Colour{}, err
	}
	if c, ok := likeness.NewPalette(cat).Shown(cat.Index().Paints[id]); ok {
		return c, nil
	}
	return inventory.Colour{}, usagef("--like %s: no colour is known of that paint; "+
		"expected a paint with a colour, or --seen", like)
}

// mixOf reads a mix of two paints or more, each once.
func mixOf(cat *inventory.Catalogue, typed string) (inventory.Mix, error) {
	m, err := partsTyped(cat, typed)
	if err != nil {
		return nil, err
	}
	for i, p := range m {
		if !(p.Parts > 0 && p.Parts <= inventory.MaxParts) {
			return nil, usagef("%g parts of %s: expected more than 0 and at most %d",
				p.Parts, p.Paint, inventory.MaxParts)
		}
		if slices.ContainsFunc(m[:i], func(o inventory.Part) bool { return o.Paint == p.Paint }) {
			return nil, usagef("%s stands in the mix twice: expected each paint once", p.Paint)
		}
	}
	if len(m) < 2 {
		return nil, usagef("%q: expected two paints or more, like \"2 old-bone + 1 boot-black\"", typed)
	}
	return m, nil
}

// trialRow is a mix that the painter made and what it teaches.
type trialRow struct {
	Mix       string          `json:"mix" table:"mix by parts"`
	Seen      view.Swatch     `json:"seen" table:"seen"`
	Before    view.Difference `json:"difference_unlearned" table:"predicted, off by"`
	Now       view.Difference `json:"difference_learned" table:"now off by"`
	Strengths string          `json:"strengths" table:"strengths" narrow:"1"`
	Note      string          `json:"note" table:"note" narrow:"2"`
	Reason    string          `json:"not_learned,omitempty"`
}

func newTrialRows(cat *inventory.Catalogue) []trialRow {
	byID, palette := cat.Index(), likeness.NewPalette(cat)
	rows := []trialRow{}
	for _, t := range palette.Trials() {
		row := trialRow{
			Mix:    mixText(byID, t.Mix),
			Seen:   view.Swatch(t.Seen.String()),
			Before: view.Difference(t.Before),
			Now:    view.Difference(t.Now),
			Note:   t.Note,
			Reason: t.Reason,
		}
		if t.Reason == "" {
			var of []string
			for _, p := range t.Mix {
				of = append(of, fmt.Sprintf("%s %.2f", byID.Paints[p.Paint].Name, palette.Strength(p.Paint)))
			}
			row.Strengths = strings.Join(of, ", ")
		}
		rows = append(rows, row)
	}
	return rows
}

func (a *app) paintMixes() *cobra.Command {
	return &cobra.Command{
		Use: "mixes", Short: "the mixes you made and noted, and how strong that shows your paints to be",
		Long: `Lists your trial mixes: what each looked like, how far off its prediction was, and
how far it is with the strengths learned from all of them. A strength of 2 says that
a part of this paint does as much in a mix as two parts of one of strength 1. Paints
of which nothing is learned have 1. Where a prediction stays far off, look at the
colour that was noted, or at the swatches of the two paints.`,
		Example: "  halfpot paint mixes\n  halfpot paint mixes --format csv",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			cat, err := a.catalogue(c.Context())
			if err != nil {
				return err
			}
			return a.list(newTrialRows(cat), "No trial mixes noted yet: halfpot add trial-mix")
		},
	}
}
