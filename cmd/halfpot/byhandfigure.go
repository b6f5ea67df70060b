package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

// figureBody are the keys of the person a figure is reckoned from.
var figureBody = []key{
	{flag: "scale", usage: "`SCALE`: 1:56, or \"28 mm to eye\" for how tall the model stands"},
	{flag: "stature", usage: "`HEIGHT` of the real person, like \"174 cm\" (that if left out)"},
	{flag: "clo", usage: "how thickly it is dressed: `N` 0 bare, 0.7 shirt and trousers, 0.9 field uniform, 1.3 greatcoat"},
	{flag: "kit", usage: "what weapon and packs add, as a multiple: `N` 1.1 light, 1.3 usual, 1.6 heavy"},
	{flag: "heroic", usage: "what larger heads and hands add, as a multiple: `N` 1 true, 1.15 heroic"},
}

var figureKeys = []key{
	{flag: "area", usage: "its painted surface without the base, instead of a scale: `AREA` like \"9 cm2\""},
	{flag: "material", usage: "`WORD`: plastic, metal, resin, printed"},
	{flag: "note", usage: "a `REMARK`"},
}

func (a *app) addFigure() *cobra.Command {
	var id, like string
	var regions []string
	c := &cobra.Command{
		Use: "figure NAME", Short: "add a kind of figure and its parts",
		Long: `Adds a kind of figure: how large it is, and the parts that steps paint, each with
its share of the figure; a base has a size or an area of its own. With --like it
begins as a copy of another.`,
		Example: `  halfpot add figure Rifleman --scale "28 mm to eye" --clo 0.9 --region "skin 8%" --region "coat 60%" --region "base 25mm"
  halfpot add figure Sergeant --like rifleman --region "sash 4%" --region "coat 56%"`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot figure list", func(cat *inventory.Catalogue) (handmade, error) {
				fields, err := likeFigure(cat, like)
				if err != nil {
					return handmade{}, err
				}
				if err := newName("figure", args[0], id,
					func(s string) bool { return cat.Index().Figures[s] != nil }, fields); err != nil {
					return handmade{}, err
				}
				return figureMade(c, cat, fields, regions, "Added")
			})
		},
	}
	c.Flags().StringVar(&like, "like", "", "begin as a copy of `FIGURE`")
	c.Flags().StringVar(&id, "id", "", "its `ID` (default: made from the name)")
	complete(a, c, "like", figureNames)
	return a.figureFlags(c, &regions)
}

func (a *app) changeFigure() *cobra.Command {
	var name string
	var regions []string
	c := &cobra.Command{
		Use: "figure FIGURE", Short: "change a kind of figure",
		Long: `Changes what is said and leaves the rest. A region named again gets the new share;
"sash none" takes it away.`,
		Example: "  halfpot change figure rifleman --clo 1.3\n" +
			"  halfpot change figure rifleman --region \"coat 52%\" --region \"sash none\"",
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot figure list", func(cat *inventory.Catalogue) (handmade, error) {
				fields, err := likeFigure(cat, args[0])
				if err != nil {
					return handmade{}, err
				}
				if name != "" {
					fields["name"] = inventory.CleanText(name)
				}
				return figureMade(c, cat, fields, regions, "Changed")
			})
		},
	}
	c.Flags().StringVar(&name, "name", "", "another `NAME`")
	return completeArg(a, a.figureFlags(c, &regions), figureNames)
}

func (a *app) figureFlags(c *cobra.Command, regions *[]string) *cobra.Command {
	keyFlags(c, figureBody)
	keyFlags(c, figureKeys)
	c.Flags().StringArrayVar(regions, "region", nil, "a `PART` and its share, area or base: \"coat 60%\", \"base 25mm\", \"base 4.9cm2\" (may be repeated)")
	a.once(c)
	return c
}

// likeFigure is a figure's fields; none for "".
func likeFigure(cat *inventory.Catalogue, typed string) (map[string]any, error) {
	if typed == "" {
		return map[string]any{}, nil
	}
	id, err := lookup("figure", typed, "halfpot figure list", figureNames(cat))
	if err != nil {
		return nil, err
	}
	return fieldsOf("figures", inventory.Catalogue{Figures: []inventory.FigureType{*cat.Index().Figures[id]}})
}

func figureMade(
	c *cobra.Command, cat *inventory.Catalogue, fields map[string]any, regions []string, did string,
) (handmade, error) {
	body := cloned(fields["body"])
	if body == nil {
		body = map[string]any{}
	}
	if err := setKeys(c, cat, figureBody, body); err != nil {
		return handmade{}, err
	}
	if err := setKeys(c, cat, figureKeys, fields); err != nil {
		return handmade{}, err
	}
	if len(body) > 0 {
		fields["body"] = body
	}
	if c.Flags().Changed("area") {
		delete(fields, "body") // the area is known now
	} else if c.Flags().Changed("scale") {
		delete(fields, "area")
	}
	list := listIn(fields, "regions")
	for _, typed := range regions {
		name, size, ok := cutLast(inventory.CleanText(typed), " ")
		if !ok {
			return handmade{}, usagef("--region %q: expected a part and its share, area or base, "+
				"like \"coat 60%%\" or \"base 25mm\"", typed)
		}
		if number, unit := strings.TrimLeft(size, "0123456789.,"), size; number == size && size != "none" { // "25 mm", "60 x 35 mm"
			if cut, n, ok := cutLast(name, " "); ok {
				name, size = cut, n+" "+unit
			}
		}
		region := map[string]any{"name": inventory.Slug(name)}
		switch {
		case strings.HasSuffix(size, "cm2"):
			region["area"] = size
		case strings.HasSuffix(size, "mm"):
			region["base"] = size
		default:
			region["share"] = size
		}
		i := placeIn(list, "name", inventory.Slug(name))
		switch {
		case size == "none" && i < 0:
			return handmade{}, usagef("--region %q: there is no such part", typed)
		case size == "none":
			list = slices.Delete(list, i, i+1)
		case i < 0:
			list = append(list, region)
		default:
			list[i] = region
		}
	}
	if fields["regions"] = list; len(list) == 0 {
		delete(fields, "regions")
	}
	id, _ := fields["id"].(string)
	return handmade{"figures", fields, func(cat *inventory.Catalogue, page *view.Page) {
		f := cat.Index().Figures[id]
		area, _, _ := f.Area() // it was checked
		var parts []string
		for _, r := range f.Regions {
			parts = append(parts, r.Name)
		}
		page.Line("%s the figure %s: %.1f cm2; %s",
			did, id, area.Median, orWord(strings.Join(parts, ", "), "no parts named"))
	}}, nil
}
