package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

var unitKeys = []key{
	{flag: "figures", usage: "how many `FIGURES`"},
	{flag: "figure", usage: "the kind of `FIGURE`", value: aID("figure", figureNames)},
	{flag: "recipe", usage: "the `RECIPE` it is painted by", value: aID("recipe", recipeNames)},
	{flag: "undercoat", usage: "the `PAINT` it is undercoated with, which may change coats", value: aID("paint", paintNames)},
	{flag: "batch", usage: "`FIGURES` at one sitting (default: all)"},
	{flag: "worth", usage: "what finishing it is worth under a budget: `N` (default: its figures)"},
}

const unitForm = `a number, a figure, a recipe and the unit's name: "12 rifleman field-blue First section"`

func (a *app) addForce() *cobra.Command {
	var id, like string
	var units []string
	c := &cobra.Command{
		Use: "force NAME", Short: "add a force: units of figures to be painted",
		Long: `Adds a force. Each --unit is a number, a figure, a recipe and the unit's name.
With --like it begins as a copy of another, unpainted. More units follow with
halfpot add unit.`,
		Example: `  halfpot add force "Harbour Watch" --unit "10 rifleman field-blue Rifles" --unit "6 gunner shirt-sleeves Battery"
  halfpot add force "Second Watch" --like harbour-watch`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot force list", func(cat *inventory.Catalogue) (handmade, error) {
				fields := map[string]any{}
				if like != "" {
					f, err := forceTyped(cat, like)
					if err != nil {
						return handmade{}, err
					}
					if fields, err = forceFields(f); err != nil {
						return handmade{}, err
					}
				}
				if err := newName("force", args[0], id,
					func(s string) bool { return cat.Index().Forces[s] != nil }, fields); err != nil {
					return handmade{}, err
				}
				list := listIn(fields, "units")
				for _, typed := range units {
					u, err := typedUnit(cat, typed)
					if err != nil {
						return handmade{}, err
					}
					list = append(list, u)
				}
				if len(list) == 0 {
					return handmade{}, usagef("a force has at least one unit: expected --unit with %s, "+
						"or --like FORCE", unitForm)
				}
				fields["units"] = list
				return forceMade(fields, "Added the force "+fields["id"].(string)), nil
			})
		},
	}
	c.Flags().StringArrayVar(&units, "unit", nil, "a `UNIT`: \"12 rifleman field-blue First section\" (may be repeated)")
	c.Flags().StringVar(&like, "like", "", "begin as a copy of `FORCE`")
	c.Flags().StringVar(&id, "id", "", "its `ID` (default: made from the name)")
	complete(a, c, "like", forceNames)
	a.once(c)
	return c
}

func (a *app) addUnit() *cobra.Command {
	c := &cobra.Command{
		Use: "unit FORCE NAME", Short: "add a unit to a force",
		Long: "Adds a unit: so many figures of a kind, painted by a recipe.",
		Example: `  halfpot add unit harbour-watch Pipers --figures 4 --figure rifleman --recipe field-blue
  halfpot add unit harbour-watch Guns --figures 6 --figure gunner --recipe shirt-sleeves --batch 3`,
		Args: cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot force show "+quoteWord(args[0]),
				func(cat *inventory.Catalogue) (handmade, error) {
					f, fields, err := forceToChange(cat, args[0])
					if err != nil {
						return handmade{}, err
					}
					u := map[string]any{}
					err = newName("unit", args[1], "", func(s string) bool { _, ok := f.Unit(s); return ok }, u)
					if err == nil {
						err = setKeys(c, cat, unitKeys, u)
					}
					if err != nil {
						return handmade{}, err
					}
					fields["units"] = append(listIn(fields, "units"), u)
					return forceMade(fields, fmt.Sprintf("Added %s to %s", u["id"], f.ID)), nil
				})
		},
	}
	return completeArg(a, a.unitFlags(c), forceNames)
}

func (a *app) changeUnit() *cobra.Command {
	var name string
	c := &cobra.Command{
		Use: "unit FORCE UNIT", Short: "change a unit of a force",
		Long: "Changes what is said of a unit and leaves the rest. Work that is logged stays.",
		Example: "  halfpot change unit harbour-watch pipers --figures 6\n" +
			"  halfpot change unit harbour-watch guns --recipe field-blue --undercoat \"\"",
		Args: cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot force show "+quoteWord(args[0]),
				func(cat *inventory.Catalogue) (handmade, error) {
					f, fields, err := forceToChange(cat, args[0])
					if err != nil {
						return handmade{}, err
					}
					id, err := lookup("unit", args[1], "halfpot force show "+f.ID, unitNames(f))
					if err != nil {
						return handmade{}, err
					}
					list := listIn(fields, "units")
					i := placeIn(list, "id", id)
					u := cloned(list[i])
					if name != "" {
						u["name"] = inventory.CleanText(name)
					}
					if err := setKeys(c, cat, unitKeys, u); err != nil {
						return handmade{}, err
					}
					list[i] = u
					fields["units"] = list
					return forceMade(fields, fmt.Sprintf("Changed %s of %s", id, f.ID)), nil
				})
		},
	}
	c.Flags().StringVar(&name, "name", "", "another `NAME`")
	return completeArg(a, a.unitFlags(c), forceNames)
}

func (a *app) unitFlags(c *cobra.Command) *cobra.Command {
	keyFlags(c, unitKeys)
	complete(a, c, "figure", figureNames)
	complete(a, c, "recipe", recipeNames)
	complete(a, c, "undercoat", paintNames)
	a.once(c)
	return c
}

func (a *app) changeForce() *cobra.Command {
	var name string
	var alike, free []string
	c := &cobra.Command{
		Use: "force FORCE", Short: "change a force: its name, and what must look alike",
		Long: `Changes a force's name, and which steps must look alike in which units: --alike is
a name for it, the steps or labels, and, where not all units are meant, the units.
Units are added with halfpot add unit.`,
		Example: `  halfpot change force harbour-watch --name "The Harbour Watch"
  halfpot change force harbour-watch --alike "one leather: straps, boots in rifles, guns"
  halfpot change force harbour-watch --not-alike "one leather"`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot force show "+quoteWord(args[0]),
				func(cat *inventory.Catalogue) (handmade, error) {
					f, fields, err := forceToChange(cat, args[0])
					if err != nil {
						return handmade{}, err
					}
					if name != "" {
						fields["name"] = inventory.CleanText(name)
					}
					list := listIn(fields, "match")
					for _, label := range free {
						i := placeIn(list, "label", inventory.CleanText(label))
						if i < 0 {
							return handmade{}, &usageError{
								fmt.Sprintf("--not-alike: %s has nothing that must look alike by "+
									"the name %q", f.ID, label),
								[]string{"halfpot force show " + f.ID},
							}
						}
						list = slices.Delete(list, i, i+1)
					}
					for _, typed := range alike {
						label, what, ok := strings.Cut(typed, ":")
						if !ok {
							return handmade{}, usagef("--alike %q: expected a name and steps, "+
								"like \"one leather: straps, boots in rifles, guns\"", typed)
						}
						steps, units, some := strings.Cut(what, " in ")
						m := map[string]any{"label": inventory.CleanText(label)}
						m["steps"], _ = commaList(cat, steps) // it never fails
						if some {
							m["units"], _ = commaList(cat, units)
						}
						if i := placeIn(list, "label", inventory.CleanText(label)); i >= 0 {
							list[i] = m
						} else {
							list = append(list, m)
						}
					}
					if fields["match"] = list; len(list) == 0 {
						delete(fields, "match")
					}
					return forceMade(fields, "Changed "+f.ID), nil
				})
		},
	}
	c.Flags().StringVar(&name, "name", "", "another `NAME`")
	c.Flags().StringArrayVar(&alike, "alike", nil, "`WHAT` must look alike: \"one leather: straps, boots in rifles, guns\" (may be repeated)")
	c.Flags().StringArrayVar(&free, "not-alike", nil, "what need not look alike any more, by its `NAME` (may be repeated)")
	a.once(c)
	return completeArg(a, c, forceNames)
}

// typedUnit reads "12 rifleman field-blue First section".
func typedUnit(cat *inventory.Catalogue, typed string) (map[string]any, error) {
	words := strings.Fields(typed)
	if len(words) < 4 || !strings.ContainsAny(words[0], "0123456789") {
		return nil, usagef("--unit %q: expected %s", typed, unitForm)
	}
	name := strings.Join(words[3:], " ")
	u := map[string]any{"figures": words[0], "name": name}
	var err error
	if u["figure"], err = aID("figure", figureNames)(cat, words[1]); err == nil {
		u["recipe"], err = aID("recipe", recipeNames)(cat, words[2])
	}
	if err != nil {
		return nil, asFlag("unit", typed, err)
	}
	u["id"], err = idOr("", name, func(string) bool { return false })
	return u, err
}

func forceTyped(cat *inventory.Catalogue, typed string) (inventory.Force, error) {
	id, err := forceOr(cat, typed)
	if err != nil {
		return inventory.Force{}, err
	}
	return *cat.Index().Forces[id], nil
}

func forceToChange(cat *inventory.Catalogue, typed string) (inventory.Force, map[string]any, error) {
	f, err := forceTyped(cat, typed)
	if err != nil {
		return f, nil, err
	}
	fields, err := forceFields(f)
	return f, fields, err
}

func forceFields(f inventory.Force) (map[string]any, error) {
	return fieldsOf("forces", inventory.Catalogue{Forces: []inventory.Force{f}})
}

func forceMade(fields map[string]any, did string) handmade {
	id, _ := fields["id"].(string)
	return handmade{"forces", fields, func(cat *inventory.Catalogue, page *view.Page) {
		planned := cat.Planned()
		row := newForceRow(planned.Index(), *planned.Index().Forces[id])
		page.Line("%s: %d figures in %s now.", did, row.Figures, count(int(row.Units), "unit", "units"))
	}}
}
