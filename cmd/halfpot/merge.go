package main

import (
	"context"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

func (a *app) mergeCommand() *cobra.Command {
	return holder("merge", "one paint or pot that was entered twice",
		`Makes one of two entries of the same thing. The first named goes, the second stays
and takes over all that was noted of the first. A backup is made before.`,
		`  halfpot merge paint bone-pale pale-bone
  halfpot merge pot pale-bone-2 pale-bone-1`,
		a.mergePaint(), a.mergePot())
}

func (a *app) mergePaint() *cobra.Command {
	var evenSo bool
	c := &cobra.Command{
		Use: "paint GOES STAYS", Short: "one paint that was entered twice",
		Long: `The pots, products, recipes, stand-ins, undercoats and logged work of the first are
the second's from then on, and the first is no more. Files that still name it mean
the second. Two paints of different types are refused; those whose maker, number or
colour differ need --even-so. A factor you set for the first holds for the second,
if that has none.`,
		Example: "  halfpot merge paint bone-pale pale-bone",
		Args:    cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.change(c, args, "halfpot paint list",
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					cat, err := tx.LoadCatalogue(ctx)
					if err != nil {
						return nil, err
					}
					gone, stays, err := twoOf("paint", args, "halfpot paint list", paintNames(&cat))
					if err != nil {
						return nil, err
					}
					idx := cat.Index()
					if err := idx.Paints[stays].CheckMerge(idx.Paints[gone]); err != nil {
						if gone != stays {
							typ := string(idx.Paints[stays].Type)
							err = hinted{err, []string{"halfpot change paint " + gone + " --type " + typ}}
						}
						return nil, err
					}
					if why := idx.Paints[gone].Unlike(idx.Paints[stays]); why != "" && !evenSo {
						return nil, &usageError{
							fmt.Sprintf("%s and %s look like two paints: found %s; nothing was changed. "+
								"If they are one all the same, add --even-so", gone, stays, why),
							[]string{"halfpot paint show " + gone, "halfpot paint show " + stays},
						}
					}
					backup, err := a.backUpIn(ctx, tx, "before merging "+gone)
					if err != nil {
						return nil, err
					}
					if err := tx.MergePaint(ctx, gone, stays); err != nil {
						return nil, err
					}
					after, err := tx.LoadCatalogue(ctx)
					return func() error {
						return a.showMerged("paint", gone, stays, backup, productsAlike(&after, stays))
					}, err
				})
		},
	}
	c.Flags().BoolVar(&evenSo, "even-so", false, "they are one paint, though maker, number or colour differ")
	return completeArgs(a, a.onceOf(c), paintNames)
}

func (a *app) mergePot() *cobra.Command {
	c := &cobra.Command{
		Use: "pot GOES STAYS", Short: "one pot that was entered twice",
		Long: `What was noted of the first is noted of the second as well: readings, what was drawn
and spilled, on the days it happened. The first is taken back as entered by mistake.
Pots of different paints or sizes are refused.`,
		Example: "  halfpot merge pot pale-bone-2 pale-bone-1",
		Args:    cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.change(c, args, "halfpot shelf",
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					st, err := a.stateOf(ctx, tx)
					if err != nil {
						return nil, err
					}
					gone, stays, err := twoOf("pot", args, "halfpot shelf", potNames(st.cat, st.shelf))
					if err != nil {
						return nil, err
					}
					from, _ := st.shelf.Pot(gone)
					to, _ := st.shelf.Pot(stays)
					pot, changes, err := inventory.MergePots(from, to, a.now(), "the same pot as "+stays)
					if err != nil {
						return nil, err
					}
					for _, o := range st.Orders {
						for _, e := range o.Standing() {
							if slices.Contains(e.Pots, gone) {
								return nil, &usageError{
									fmt.Sprintf("%s came with %s, so it is there; nothing was changed. "+
										"Where the other was entered by mistake, merge the other way round", gone, o.ID),
									[]string{
										"halfpot merge pot " + stays + " " + gone,
										"halfpot order show " + o.ID,
									},
								}
							}
						}
					}
					backup, err := a.backUpIn(ctx, tx, "before merging "+gone)
					if err != nil {
						return nil, err
					}
					events := make([]postgres.NewEvent, len(changes))
					for i, ch := range changes {
						events[i] = postgres.NewEvent(ch)
					}
					if err := tx.ChangePots(ctx, pot); err != nil {
						return nil, err
					}
					_, err = tx.AddEvents(ctx, events)
					return func() error { return a.showMerged("pot", gone, stays, backup, nil) }, err
				})
		},
	}
	return a.completeShelf(a.onceOf(c), "", potNames)
}

// twoOf finds the two things that were typed.
func twoOf(kind string, typed []string, list string, things []named) (first, second string, err error) {
	if first, err = lookup(kind, typed[0], list, things); err != nil {
		return "", "", err
	}
	second, err = lookup(kind, typed[1], list, things)
	return first, second, err
}

// onceOf is once for a command that is built in one expression.
func (a *app) onceOf(c *cobra.Command) *cobra.Command {
	a.once(c)
	return c
}

// backUpIn keeps a copy of everything as it is while a change is made, and before
// it has changed anything.
func (a *app) backUpIn(ctx context.Context, tx *postgres.Tx, why string) (string, error) {
	return a.keepBackup(why, func(w io.Writer) error { return tx.WriteRecord(ctx, w, a.now(), why) })
}

// productsAlike are the products that hold just what another of that paint holds.
func productsAlike(cat *inventory.Catalogue, paint string) (pairs [][2]string) {
	for i, p := range cat.Products {
		if !slices.ContainsFunc(p.Contents, func(k inventory.Content) bool { return k.Paint == paint }) {
			continue
		}
		before := inventory.Catalogue{Products: cat.Products[:i]}
		if twin, found := before.ProductLike(inventory.Product{Contents: p.Contents}); found {
			pairs = append(pairs, [2]string{p.ID, twin.ID})
		}
	}
	return pairs
}

func (a *app) showMerged(kind, gone, stays, backup string, alike [][2]string) error {
	doc := struct {
		Kind   string `json:"kind"`
		Gone   string `json:"gone"`
		Stays  string `json:"stays"`
		Backup string `json:"backup"`
	}{kind, gone, stays, backup}
	if a.quiet && a.format == string(view.Text) {
		return nil
	}
	return a.showOne(doc, func(page *view.Page) {
		page.Line("%s is %s now. The backup made before: %s", gone, stays, a.short(backup))
		for _, p := range alike {
			page.Line("%s and %s hold the same now. To be rid of one: halfpot remove product %s",
				p[0], p[1], p[0])
		}
	})
}
