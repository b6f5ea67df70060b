package desk

import (
	"context"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/likeness"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
	"halfpot/optimize/exact"
)

// Doubles is what the shelf has twice, or for nothing.
type Doubles struct {
	Twins  []likeness.Pair    // paints with something left that do one job
	Pots   []*inventory.Paint // paints of which more than one pot has something left
	Unused []*inventory.Paint // that no recipe uses, nor takes as a stand-in
	// The fewest paints of the shelf with which every step can be done that the whole
	// shelf can do: each step as its recipe asks, by an alternative, or with a stand-in.
	Keep   []*inventory.Paint
	Spare  []*inventory.Paint // used by recipes, but not needed beside those
	Proven bool               // that no fewer do
	Steps  int                // so many steps of all recipes can be done
	Of     int                // of so many
}

// Doubles looks through the shelf; twins differ by at most within (CIEDE2000), and
// for up to so many points paints and mixes by colour do a step too.
func (d *Desk) Doubles(ctx context.Context, within float64, points int) (*Doubles, error) {
	owned := d.Paints(Among{Shelf: true})
	out := &Doubles{Twins: d.Palette().Twins(owned, within)}
	var ids []string
	for _, p := range owned {
		ids = append(ids, p.ID)
	}
	pots := map[string]int{}
	for i, l := range d.Levels {
		if l.Gone == "" && l.Left() > 0 {
			pots[d.Shelf.Pots[i].Paint]++
		}
	}
	tasks, used := d.tasks(ids, points)
	out.Of = d.stepsInRecipes()
	out.Steps = len(tasks)
	keep, proven, err := shopping.Fewest(ctx,
		func(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
			return exact.Solve(ctx, p, exact.Options{})
		}, ids, tasks)
	if err != nil {
		return nil, err
	}
	out.Proven = proven
	for _, p := range owned {
		if pots[p.ID] > 1 {
			out.Pots = append(out.Pots, p)
		}
		switch {
		case slices.Contains(keep, p.ID):
			out.Keep = append(out.Keep, p)
		case used[p.ID]:
			out.Spare = append(out.Spare, p)
		default:
			out.Unused = append(out.Unused, p)
		}
	}
	return out, nil
}

// eachStep calls what for every step of a recipe that is not retired and takes paint.
func (d *Desk) eachStep(what func(*inventory.Recipe, *inventory.Step)) {
	for i := range d.Catalogue.Recipes {
		r := &d.Catalogue.Recipes[i]
		if d.Catalogue.Retired.Has("recipe", r.ID) {
			continue
		}
		for j := range r.Steps {
			if s := &r.Steps[j]; len(s.Mix) > 0 {
				what(r, s)
			}
		}
	}
}

func (d *Desk) stepsInRecipes() (n int) {
	d.eachStep(func(*inventory.Recipe, *inventory.Step) { n++ })
	return n
}

// tasks are the steps that the paints owned can do, each with the paints of every
// way, and which paints any way takes.
func (d *Desk) tasks(owned []string, points int) (tasks [][][]string, used map[string]bool) {
	own := map[string]bool{}
	for _, id := range owned {
		own[id] = true
	}
	e := d.estimator()
	used = map[string]bool{}
	var nearby func(paint, undercoat string) []estimate.Nearby
	if points > 0 {
		nearby = d.Nearby(points)
	}
	d.eachStep(func(r *inventory.Recipe, s *inventory.Step) {
		var ways [][]string
		for _, o := range e.Ways(inventory.Unit{Recipe: r.ID}, s, nearby) {
			var way []string
			for _, p := range o.Mix {
				way = append(way, p.Paint)
			}
			if o.Thinning != nil && o.Thinning.Medium != "" {
				way = append(way, o.Thinning.Medium)
			}
			can := true
			for _, id := range way {
				can = can && own[id]
				used[id] = true
			}
			if can {
				ways = append(ways, way)
			}
		}
		if len(ways) > 0 {
			tasks = append(tasks, ways)
		}
	})
	return tasks, used
}
