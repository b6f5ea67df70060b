package main

import (
	"context"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

// grades are a painter's words for how well a stand-in serves, with their
// compromise points. Assumption.
var grades = []struct {
	word   string
	points int
}{{"same", 0}, {"hardly", 1}, {"visible", 3}, {"other-colour", 6}}

func gradeWords() (out []string) {
	for _, g := range grades {
		out = append(out, g.word)
	}
	return out
}

func (a *app) addStandIn() *cobra.Command {
	var s inventory.StandIn
	var grade string
	var points int
	c := &cobra.Command{
		Use: "stand-in PAINT USE", Short: "note that one paint may be used in place of another",
		Long: `Notes your own judgement: USE may be used where a recipe asks for PAINT. How
well it serves is a grade (same 0, hardly 1, visible 3, other-colour 6 points) or
points of your own; buy counts them. Stand-ins lead one way unless you say
--either-way, and chains are followed with their points added up.

A paint of another kind, such as a wash for an opaque paint, behaves differently
on the figure; say --other-kind where you mean it. Chains are followed over
three links at most.`,
		Example: `  halfpot add stand-in old-tusk candle-end --grade hardly --note "a shade darker"
  halfpot add stand-in gun-slate parade-slate --points 2 --either-way`,
		Args: cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			given := c.Flags().Changed("points")
			if given == (grade != "") {
				return usagef("expected --grade or --points, one of the two: how well it serves")
			}
			for _, g := range grades {
				if g.word == grade {
					points = g.points
				}
			}
			if points < 0 || points > inventory.MaxPoints {
				return usagef("--points %d: expected 0 to %d", points, inventory.MaxPoints)
			}
			s.Compromise = points
			if err := texts(map[string]*string{"--note": &s.Note}); err != nil {
				return err
			}
			return a.change(c, args, "halfpot paint show "+args[0],
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					cat, err := tx.LoadCatalogue(ctx)
					if err != nil {
						return nil, err
					}
					idx := cat.Index()
					for i, to := range []*string{&s.For, &s.Use} {
						if *to, err = lookup("paint", args[i], "halfpot paint list", paintNames(&cat)); err != nil {
							return nil, err
						}
					}
					asked, use := idx.Paints[s.For], idx.Paints[s.Use]
					if asked.Type.Kin() != use.Type.Kin() && !s.OtherKind {
						return nil, usagef("%s is %s and %s is %s: they behave differently on a figure. "+
							"Where you mean it: --other-kind",
							asked.Title(), asked.Type.Words(), use.Title(), use.Type.Words())
					}
					for _, known := range cat.StandIns {
						if known.For == s.For && known.Use == s.Use ||
							(known.EitherWay || s.EitherWay) && known.For == s.Use && known.Use == s.For {
							return nil, usagef("a stand-in of %s and %s is noted already; "+
								"to change it, load a stand-ins file", s.For, s.Use)
						}
					}
					err = a.insert(ctx, tx, &cat, postgres.Load{Catalogue: inventory.Catalogue{
						StandIns: []inventory.StandIn{s},
					}})
					return func() error {
						return a.done(standIn{use.ID, use.Title(), view.Count(s.Compromise), s.Note},
							"Noted: %s may be used for %s, %d points", use.Title(), asked.Title(), s.Compromise)
					}, err
				})
		},
	}
	f := c.Flags()
	words(c, f, &grade, "grade", "how well it serves", gradeWords())
	f.IntVar(&points, "points", 0, "`POINTS` of compromise of your own")
	f.BoolVar(&s.EitherWay, "either-way", false, "the other way round just as well")
	f.StringVar(&s.Note, "note", "", "`WORDS` about it")
	f.BoolVar(&s.OtherKind, "other-kind", false, "though the two are different kinds of paint")
	a.once(c)
	return completeArg(a, c, paintNames)
}
