package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

type stepRow struct {
	Recipe          string
	Position        int
	ID, Name, Label string
	AllRegions      bool
	Share           *float64
	Method          string
	NoStandIns      bool
	Coats           int
	Optional        bool
	WaitAfter       time.Duration
	FilmUM          *float64 `db:"film_um"`
	Loss            *float64
	Kind            string
	PerItem         float64
	Allow           []string
	NextWithin      time.Duration
	AfterSteps      []string
}

type stepRegionRow struct {
	Recipe  string
	Step    int
	LeftOut bool
	Name    string
}

type coatsOverRow struct {
	Recipe    string
	Step      int
	Undercoat string
	Coats     int
}

type choiceRow struct {
	Recipe       string
	Step, Choice int
	Label        string
	Compromise   int
	Medium       *string
	PaintParts   *float64
	MediumParts  *float64
}

type partRow struct {
	Recipe       string
	Step, Choice int
	Paint        string
	Parts        float64
}

func queueRecipes(b *pgx.Batch, c *inventory.Catalogue) {
	queue(b, queries.ListRecipes, func(r struct{ ID, Name string }) error {
		c.Recipes = append(c.Recipes, inventory.Recipe{ID: r.ID, Name: r.Name})
		return nil
	})
	recipe := parent(&c.Recipes, func(r *inventory.Recipe) string { return r.ID })
	queue(b, queries.ListRecipeSteps, func(r stepRow) error {
		rec := recipe(r.Recipe)
		rec.Steps = append(rec.Steps, inventory.Step{
			ID:         r.ID,
			Name:       r.Name,
			Label:      r.Label,
			Regions:    inventory.RegionSet{All: r.AllRegions},
			Share:      orZero(r.Share),
			Method:     inventory.Method(r.Method),
			NoStandIns: r.NoStandIns,
			Coats:      r.Coats,
			Optional:   r.Optional,
			WaitAfter:  r.WaitAfter,
			FilmUM:     orZero(r.FilmUM),
			Loss:       r.Loss,
			Kind:       inventory.StepKind(r.Kind),
			PerItem:    r.PerItem,
			Allow:      r.Allow,
			NextWithin: r.NextWithin,
			After:      r.AfterSteps,
		})
		return nil
	})
	step := func(id string, position int) *inventory.Step { return &recipe(id).Steps[position-1] }
	queue(b, queries.ListStepRegions, func(r stepRegionRow) error {
		set := &step(r.Recipe, r.Step).Regions
		if r.LeftOut {
			set.Except = append(set.Except, r.Name)
		} else {
			set.Names = append(set.Names, r.Name)
		}
		return nil
	})
	queue(b, queries.ListStepCoatsOver, func(r coatsOverRow) error {
		s := step(r.Recipe, r.Step)
		s.CoatsOver = append(s.CoatsOver, inventory.CoatsOver{Undercoat: r.Undercoat, Coats: r.Coats})
		return nil
	})
	queue(b, queries.ListStepChoices, func(r choiceRow) error {
		s := step(r.Recipe, r.Step)
		var thin *inventory.Thinning
		if r.PaintParts != nil {
			thin = &inventory.Thinning{
				Medium:      orZero(r.Medium),
				PaintParts:  orZero(r.PaintParts),
				MediumParts: orZero(r.MediumParts),
			}
		}
		if r.Choice == 0 {
			s.Thinning = thin
		} else {
			s.Alternatives = append(s.Alternatives, inventory.Alternative{
				Label:      r.Label,
				Thinning:   thin,
				Compromise: r.Compromise,
			})
		}
		return nil
	})
	queue(b, queries.ListStepParts, func(r partRow) error {
		s := step(r.Recipe, r.Step)
		mix := &s.Mix
		if r.Choice > 0 {
			mix = &s.Alternatives[r.Choice-1].Mix
		}
		*mix = append(*mix, inventory.Part{Paint: r.Paint, Parts: r.Parts})
		return nil
	})
}

// orEmpty keeps an empty list from being written as null.
func orEmpty(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

func recipeID(r inventory.Recipe) string { return r.ID }

// recipeRows are the rows of recipes' parts, by table.
type recipeRows struct{ steps, regions, coatsOver, choices, parts [][]any }

func (rows *recipeRows) add(recipe string, position int, s inventory.Step) {
	rows.steps = append(rows.steps, []any{
		recipe, position, s.ID, s.Name, s.Label, s.Regions.All, orNull(s.Share), string(s.Method),
		s.NoStandIns, s.Coats, s.Optional, s.WaitAfter, orNull(s.FilmUM), s.Loss, string(s.Kind), s.PerItem,
		orEmpty(s.Allow), s.NextWithin, orEmpty(s.After),
	})
	for leftOut, names := range map[bool][]string{false: s.Regions.Names, true: s.Regions.Except} {
		for i, name := range names {
			rows.regions = append(rows.regions, []any{recipe, position, leftOut, i + 1, name})
		}
	}
	for i, c := range s.CoatsOver {
		rows.coatsOver = append(rows.coatsOver, []any{recipe, position, i + 1, c.Undercoat, c.Coats})
	}
	rows.addChoice(recipe, position, 0, inventory.Alternative{Mix: s.Mix, Thinning: s.Thinning})
	for i, a := range s.Alternatives {
		rows.addChoice(recipe, position, i+1, a)
	}
}

func (rows *recipeRows) addChoice(recipe string, step, choice int, a inventory.Alternative) {
	row := []any{recipe, step, choice, a.Label, int64(a.Compromise)}
	if t := a.Thinning; t != nil {
		row = append(row, orNull(t.Medium), t.PaintParts, t.MediumParts)
	} else {
		row = append(row, nil, nil, nil)
	}
	rows.choices = append(rows.choices, row)
	for i, p := range a.Mix {
		rows.parts = append(rows.parts, []any{recipe, step, choice, i + 1, p.Paint, p.Parts})
	}
}

func saveRecipes(ctx context.Context, tx pgx.Tx, have, want []inventory.Recipe) (Count, error) {
	c := compare(have, want, recipeID)
	err := put(ctx, tx, c, queries.IntoRecipe, queries.UpdateRecipe, func(r inventory.Recipe) []any {
		return []any{r.ID, r.Name}
	})
	if err != nil {
		return c.count, err
	}
	if err := clearParts(ctx, tx, c, queries.ClearRecipeSteps, recipeID); err != nil {
		return c.count, err
	}
	var rows recipeRows
	for _, r := range c.written() {
		for i, s := range r.Steps {
			rows.add(r.ID, i+1, s)
		}
	}
	return c.count, copyAll(ctx, tx,
		filling{queries.IntoRecipeStep, rows.steps}, filling{queries.IntoStepRegion, rows.regions},
		filling{queries.IntoStepCoatsOver, rows.coatsOver},
		filling{queries.IntoStepChoice, rows.choices},
		filling{queries.IntoStepPart, rows.parts})
}
