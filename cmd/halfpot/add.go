package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

func (a *app) addCommand() *cobra.Command {
	return holder("add",
		"add one thing by hand: a pot, paint, product, shop, offer, stand-in, figure, recipe, force",
		`Adds one thing. Many at once are better brought in from files: halfpot load.
What you add gets an id made from its name; --id gives another.`,
		`  halfpot add paint "Pale Bone" --maker Aldermoor --range Fieldcraft --type base --colour "#e3d6b4"
  halfpot add pot pale-bone --size 17ml --level half
  halfpot add shop "Ferry Lane Hobbies" --currency EUR --delivery "0=4.90" --delivery "40=0"`,
		a.addPaint(), a.addPot(), a.addProduct(), a.addShop(), a.addOffer(), a.addStandIn(), a.addSpectrum(), a.addTrialMix(),
		a.addFigure(), a.addRecipe(), a.addStep(), a.addForce(), a.addUnit())
}

// idOr is the id asked for, or one made of a name that is still free.
func idOr(asked, name string, taken func(string) bool) (string, error) {
	if asked != "" {
		if !inventory.ValidID(asked) {
			return "", usagef("--id %q: expected lower-case letters, digits and single hyphens, like %s",
				asked, orWord(inventory.Slug(asked), "pale-bone"))
		}
		if taken(asked) {
			return "", usagef("the id %s is taken", asked)
		}
		return asked, nil
	}
	id := inventory.Slug(name)
	if id == "" {
		return "", usagef("no id can be made of %q: give one with --id", name)
	}
	free := id
	for n := 2; taken(free); n++ {
		free = id + "-" + strconv.Itoa(n)
	}
	return free, nil
}

// newID reads what there is and gives the id of a new thing of that name: the
// one asked for, or one made of the name. known are the things of its kind.
// It must be asked for within the change that adds it, so that nobody else takes it.
func newID[T any](
	ctx context.Context, tx *postgres.Tx, asked, name string, known func(*inventory.Index) map[string]*T,
) (*inventory.Catalogue, string, error) {
	cat, err := tx.LoadCatalogue(ctx)
	if err != nil {
		return nil, "", err
	}
	taken := known(cat.Index())
	id, err := idOr(asked, name, func(s string) bool { return taken[s] != nil })
	return &cat, id, err
}

func orWord(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func (a *app) addPaint() *cobra.Command {
	var p inventory.Paint
	var id, typ, colour, solids, density string
	var again *bool
	c := &cobra.Command{
		Use: "paint NAME", Short: "add a paint",
		Long: `Adds a paint as its maker sells it, whatever the size of the pot. Where you don't
know volume solids or density, the type's defaults hold.`,
		Example: `  halfpot add paint "Pale Bone" --maker Aldermoor --range Fieldcraft --type base
  halfpot add paint "Soot Wash" --type wash --colour "#2b2622" --solids 12%`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			p.Name, p.Type = args[0], inventory.PaintType(typ)
			if err := texts(map[string]*string{
				"NAME":    &p.Name,
				"--maker": &p.Maker,
				"--range": &p.Range,
				"--code":  &p.Code,
			}); err != nil {
				return err
			}
			var err error
			if colour != "" {
				k, err := inventory.ParseColour(colour)
				if err != nil {
					return usagef("--%v", err)
				}
				p.Colour = &k
			}
			if p.VolumeSolids, err = parseShare("--solids", solids); err != nil {
				return err
			}
			if p.Density, err = parseDensity(density); err != nil {
				return err
			}
			return a.changeOrAsk(c, args, "halfpot paint list", again,
				func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					cat, free, err := newID(ctx, tx, id, p.Name,
						func(x *inventory.Index) map[string]*inventory.Paint { return x.Paints })
					if err != nil {
						return nil, err
					}
					if twin, found := cat.PaintLike(p); found && !*again {
						return nil, &alike{
							fmt.Sprintf("there is such a paint already: %s, %s", twin.ID, twin.Title()),
							[]string{"halfpot paint show " + twin.ID, "halfpot add pot " + twin.ID},
						}
					}
					p.ID = free
					err = a.insert(ctx, tx, cat, postgres.Load{Catalogue: inventory.Catalogue{
						Paints: []inventory.Paint{p},
					}})
					return func() error {
						return a.done(newPaintRow(p), "Added the paint %s: %s, %s",
							p.ID, p.Title(), p.Type.Words())
					}, err
				})
		},
	}
	f := c.Flags()
	words(c, f, &typ, "type", "what kind of paint", paintTypeNames())
	f.StringVar(&p.Maker, "maker", "", "`NAME` of its maker")
	f.StringVar(&p.Range, "range", "", "`NAME` of the maker's range")
	f.StringVar(&p.Code, "code", "", "the maker's `CODE`")
	f.StringVar(&colour, "colour", "", "its `COLOUR` in sRGB, like #e3d6b4")
	f.StringVar(&solids, "solids", "", "`SHARE` left when dry, the volume solids, like 35% (see the maker's data sheet)")
	f.StringVar(&density, "density", "", "`DENSITY` in g/ml, like 1.25")
	f.StringVar(&id, "id", "", "its `ID` (default: made from the name)")
	again = a.addFlag(c)
	a.once(c)
	_ = c.MarkFlagRequired("type") // fails only for an unknown flag
	return c
}

func paintTypeNames() []string {
	var names []string
	for _, t := range inventory.PaintTypes() {
		names = append(names, string(t))
	}
	return names
}

// parseShare reads "35%" or "0.35"; an empty text is 0, not known.
func parseShare(flag, s string) (float64, error) {
	if s == "" {
		return 0, nil
	}
	f, err := inventory.ParseShare(s)
	if err != nil || f == 0 {
		return 0, usagef("%s %q: expected a share like 35%% or 0.35", flag, s)
	}
	return f, nil
}

func parseDensity(s string) (float64, error) {
	if s == "" {
		return 0, nil
	}
	f, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), "g/ml")), 64)
	if err != nil || !(f >= 0.5 && f <= 5) {
		return 0, usagef("--density %q: expected grams a millilitre, 0.5 to 5, like 1.25", s)
	}
	return f, nil
}
