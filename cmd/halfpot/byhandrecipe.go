package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
)

// stepKeys are the keys of a step, but its paint.
var stepKeys = []key{
	{flag: "regions", usage: "the `PARTS` it covers, like \"jacket, trousers\", or all", value: func(cat *inventory.Catalogue, typed string) (any, error) {
		if typed == "all" {
			return typed, nil
		}
		return commaList(cat, typed)
	}},
	{flag: "all-but", usage: "all parts but these `PARTS`", value: commaList},
	{flag: "method", usage: "`WORD`: brush, dry-brush, wash, airbrush, spray, pencil (default: usual for the paint)"},
	{flag: "kind", usage: "`WORD` for a step that is not painting: prepare, drill, glue, transfer, setting, sand, seal, tuft"},
	{flag: "coats", usage: "`N` coats"},
	{flag: "share", usage: "`SHARE` of those parts it reaches, like 15% for edges"},
	{flag: "film", usage: "wet `THICKNESS` of one coat, like \"35 um\""},
	{flag: "loss", usage: "`SHARE` that never reaches the figure, like 40% when spraying"},
	{flag: "wait", key: "wait-after", usage: "`TIME` before the next step on these parts: \"30 min\", \"2 h\", overnight"},
	{flag: "label", usage: "`WORD` for what it is about, by which a force makes units match"},
	{flag: "per-item", usage: "`N` figures that one item does, of what is counted"},
	{flag: "or", key: "alternatives", usage: "another `MIX` you would accept, with its points: \"soot-wash = 2\"", value: typedAlternative, many: true},
	{flag: "thinned", key: "thinning", usage: "thinned, `PARTS` of paint to parts of water or medium: 2:1, or \"2:1 gauze-thinner\"", value: typedThinning},
	{flag: "over", key: "coats-over", usage: "`PAINT=N`: another number of coats over that undercoat", value: typedCoatsOver, many: true},
	{flag: "allow", usage: "`RULES` of order not to be told of here, as halfpot recipe check names them", value: commaList},
	{flag: "no-stand-ins", usage: "the paint must not be replaced by a stand-in", yes: true},
	{flag: "optional", usage: "may be left out when paint or money is short", yes: true},
}

func typedAlternative(cat *inventory.Catalogue, typed string) (any, error) {
	mix, points, given := cutLast(typed, "=")
	alt := map[string]any{}
	if given {
		n, err := strconv.Atoi(strings.TrimSpace(points))
		if err != nil {
			return nil, usagef("%q: expected a mix and whole points, like \"soot-wash = 2\"", typed)
		}
		alt["compromise"] = n
	}
	return alt, typedMix(cat, strings.TrimSpace(mix), alt)
}

func typedThinning(cat *inventory.Catalogue, typed string) (any, error) {
	ratio, medium, _ := strings.Cut(typed, " ")
	paint, other, ok := strings.Cut(ratio, ":")
	p, err := strconv.ParseFloat(paint, 64)
	q, err2 := strconv.ParseFloat(other, 64)
	if !ok || err != nil || err2 != nil {
		return nil, usagef("expected parts of paint and of what thins it, like 2:1 or \"2:1 gauze-thinner\"")
	}
	t := map[string]any{"paint-parts": p, "medium-parts": q}
	if medium = strings.TrimSpace(medium); medium != "" && medium != "water" {
		if t["medium"], err = lookup("paint", medium, "halfpot paint list", paintNames(cat)); err != nil {
			return nil, err
		}
	}
	return t, nil
}

func typedCoatsOver(cat *inventory.Catalogue, typed string) (any, error) {
	paint, coats, ok := cutLast(typed, "=")
	n, err := strconv.Atoi(strings.TrimSpace(coats))
	if !ok || err != nil {
		return nil, usagef("expected an undercoat and a number of coats, like pale-bone=2")
	}
	id, err := lookup("paint", strings.TrimSpace(paint), "halfpot paint list", paintNames(cat))
	return map[string]any{"undercoat": id, "coats": n}, err
}

const stepHelp = `PAINT is a paint, or a mix by parts: "2 saddle-leather + 1 boot-black". The rest is
said as in a file: halfpot help files.`

func (a *app) addRecipe() *cobra.Command {
	var id, like, first string
	c := &cobra.Command{
		Use: "recipe NAME [PAINT]", Short: "add a recipe: a copy of another, or with its first step",
		Long: `Adds a recipe, as a copy of another (--like) to be changed step by step, or with its
first step: --step names it. More follow with halfpot add step.

` + stepHelp,
		Example: `  halfpot add recipe "Field blue" --like sand-uniform
  halfpot add recipe "Field blue" tusk-ground --step Prime --regions all --wait "2 h"`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot recipe list", func(cat *inventory.Catalogue) (handmade, error) {
				fields := map[string]any{}
				if (like != "") == (first != "") {
					return handmade{}, usagef("a recipe begins as a copy of another (--like) or with its " +
						"first step (--step): expected one of the two")
				}
				if like != "" {
					r, err := recipeTyped(cat, like)
					if err != nil {
						return handmade{}, err
					}
					if fields, err = recipeFields(r); err != nil {
						return handmade{}, err
					}
				}
				if err := newName("recipe", args[0], id,
					func(s string) bool { return cat.Index().Recipes[s] != nil }, fields); err != nil {
					return handmade{}, err
				}
				if first != "" {
					step, err := newStep(c, cat, first, args[1:], nil)
					if err != nil {
						return handmade{}, err
					}
					fields["steps"] = []any{step}
				}
				return recipeMade(fields, fmt.Sprintf("Added the recipe %s", fields["id"])), nil
			})
		},
	}
	c.Flags().StringVar(&like, "like", "", "begin as a copy of `RECIPE`")
	c.Flags().StringVar(&first, "step", "", "`NAME` of its first step")
	c.Flags().StringVar(&id, "id", "", "its `ID` (default: made from the name)")
	complete(a, c, "like", recipeNames)
	return a.stepFlags(c)
}

func (a *app) addStep() *cobra.Command {
	var before, after string
	c := &cobra.Command{
		Use: "step RECIPE NAME [PAINT]", Short: "add a step to a recipe",
		Long: `Adds a step at the end of a recipe, or before or after another.

` + stepHelp,
		Example: `  halfpot add step field-blue "Blue coat" deep-blue --regions jacket --coats 2 --wait "1 h"
  halfpot add step field-blue Straps "2 saddle-leather + 1 boot-black" --regions webbing --or "saddle-leather = 2" --before varnish
  halfpot add step field-blue Transfers --kind transfer --regions jacket`,
		Args: cobra.RangeArgs(2, 3),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot recipe show "+quoteWord(args[0]),
				func(cat *inventory.Catalogue) (handmade, error) {
					r, fields, err := recipeToChange(cat, args[0])
					if err != nil {
						return handmade{}, err
					}
					step, err := newStep(c, cat, args[1], args[2:], r.Steps)
					if err != nil {
						return handmade{}, err
					}
					list := listIn(fields, "steps")
					at, err := stepPlace(r, before, after, len(list))
					if err != nil {
						return handmade{}, err
					}
					fields["steps"] = slices.Insert(list, at, any(step))
					return recipeMade(fields, fmt.Sprintf("Added %s to %s as step %d",
						step["id"], r.ID, at+1)), nil
				})
		},
	}
	c.Flags().StringVar(&before, "before", "", "put it before `STEP`")
	c.Flags().StringVar(&after, "after", "", "put it after `STEP`")
	c.MarkFlagsMutuallyExclusive("before", "after")
	return completeArg(a, a.stepFlags(c), recipeNames)
}

func (a *app) changeStep() *cobra.Command {
	var before, after, name string
	c := &cobra.Command{
		Use: "step RECIPE STEP [PAINT]", Short: "change or move a step of a recipe",
		Long: `Changes what is said of a step and leaves the rest; an empty value takes a key away.
With --before or --after it is moved. Work that is logged stays.

` + stepHelp,
		Example: `  halfpot change step field-blue straps saddle-leather
  halfpot change step field-blue varnish --wait overnight
  halfpot change step field-blue straps --after boots`,
		Args: cobra.RangeArgs(2, 3),
		RunE: func(c *cobra.Command, args []string) error {
			return a.byHand(c, args, "halfpot recipe show "+quoteWord(args[0]),
				func(cat *inventory.Catalogue) (handmade, error) {
					r, fields, err := recipeToChange(cat, args[0])
					if err != nil {
						return handmade{}, err
					}
					id, err := lookup("step", args[1], "halfpot recipe show "+r.ID, stepNames(r))
					if err != nil {
						return handmade{}, err
					}
					list := listIn(fields, "steps")
					i := stepIndex(r, id)
					step := cloned(list[i])
					if name != "" {
						step["name"] = inventory.CleanText(name)
					}
					if len(args) > 2 {
						if err := typedMix(cat, args[2], step); err != nil {
							return handmade{}, err
						}
					}
					if err := setStep(c, cat, step); err != nil {
						return handmade{}, err
					}
					list[i] = step
					if before != "" || after != "" {
						list = slices.Delete(list, i, i+1)
						rest := r
						rest.Steps = slices.Delete(slices.Clone(r.Steps), i, i+1)
						at, err := stepPlace(rest, before, after, 0)
						if err != nil {
							return handmade{}, err
						}
						list = slices.Insert(list, at, any(step))
					}
					fields["steps"] = list
					return recipeMade(fields, fmt.Sprintf("Changed %s of %s", id, r.ID)), nil
				})
		},
	}
	c.Flags().StringVar(&name, "name", "", "another `NAME`")
	c.Flags().StringVar(&before, "before", "", "move it before `STEP`")
	c.Flags().StringVar(&after, "after", "", "move it after `STEP`")
	c.MarkFlagsMutuallyExclusive("before", "after")
	return completeArg(a, a.stepFlags(c), recipeNames)
}

func (a *app) stepFlags(c *cobra.Command) *cobra.Command {
	keyFlags(c, stepKeys)
	a.once(c)
	return c
}

// newStep is a step's fields as typed, with an id that the recipe does not have yet.
func newStep(
	c *cobra.Command, cat *inventory.Catalogue, name string, paint []string, others []inventory.Step,
) (map[string]any, error) {
	step := map[string]any{}
	taken := func(id string) bool {
		return slices.ContainsFunc(others, func(s inventory.Step) bool { return s.ID == id })
	}
	name, err := text("NAME", name)
	if err != nil {
		return nil, err
	}
	if step["id"], err = idOr("", name, taken); err != nil {
		return nil, err
	}
	step["name"] = name
	if err := typedMix(cat, strings.Join(paint, ""), step); err != nil {
		return nil, err
	}
	return step, setStep(c, cat, step)
}

// setStep sets the keys typed; regions said anew are said whole.
func setStep(c *cobra.Command, cat *inventory.Catalogue, step map[string]any) error {
	if c.Flags().Changed("regions") {
		delete(step, "all-but")
	} else if c.Flags().Changed("all-but") {
		delete(step, "regions")
	}
	return setKeys(c, cat, stepKeys, step)
}

// stepPlace is where a step comes to stand.
func stepPlace(r inventory.Recipe, before, after string, otherwise int) (int, error) {
	typed := orWord(before, after)
	if typed == "" {
		return otherwise, nil
	}
	id, err := lookup("step", typed, "halfpot recipe show "+r.ID, stepNames(r))
	if err != nil {
		return 0, err
	}
	at := stepIndex(r, id)
	if after != "" {
		at++
	}
	return at, nil
}

func recipeTyped(cat *inventory.Catalogue, typed string) (inventory.Recipe, error) {
	id, err := lookup("recipe", typed, "halfpot recipe list", recipeNames(cat))
	if err != nil {
		return inventory.Recipe{}, err
	}
	return *cat.Index().Recipes[id], nil
}

func recipeToChange(cat *inventory.Catalogue, typed string) (inventory.Recipe, map[string]any, error) {
	r, err := recipeTyped(cat, typed)
	if err != nil {
		return r, nil, err
	}
	fields, err := recipeFields(r)
	return r, fields, err
}

func recipeFields(r inventory.Recipe) (map[string]any, error) {
	return fieldsOf("recipes", inventory.Catalogue{Recipes: []inventory.Recipe{r}})
}

func recipeMade(fields map[string]any, did string) handmade {
	id, _ := fields["id"].(string)
	return handmade{"recipes", fields, func(cat *inventory.Catalogue, page *view.Page) {
		if strings.HasPrefix(did, "Changed") {
			page.Line("%s.", did)
		} else {
			page.Line("%s: it has %s now.", did, count(len(cat.Index().Recipes[id].Steps), "step", "steps"))
		}
		orderNote(page, cat, func(r string) bool { return r == id })
	}}
}
