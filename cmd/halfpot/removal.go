package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

// removal is a thing to be taken away, retired or brought back.
type removal struct {
	cat         *inventory.Catalogue
	kind, id    string
	whole, part string // of what is named by two words
	now         time.Time
}

// newRemoval finds what is meant.
func (a *app) newRemoval(ctx context.Context, tx *postgres.Tx, kind string, words []string) (*removal, error) {
	cat, err := tx.LoadCatalogue(ctx)
	if err != nil {
		return nil, err
	}
	r := &removal{cat: &cat, kind: kind, now: a.now()}
	switch kind {
	case "pot":
		shelf, shelfErr := tx.Shelf(ctx)
		if shelfErr != nil {
			return nil, shelfErr
		}
		r.id, err = lookup("pot", strings.Join(words, " "), "halfpot shelf", potNames(&cat, shelf))
	case "offer":
		err = r.findOffer(words)
	case "stand-in":
		err = r.findStandIn(words)
	case "trial-mix":
		err = r.findTrialMix(words)
	case "unit":
		err = r.findUnit(words)
	case "step":
		err = r.findStep(words)
	default:
		i := slices.IndexFunc(removableKinds, func(k removableKind) bool { return k.kind == kind })
		if i < 0 {
			return nil, usagef("%q: expected one of %s", kind, strings.Join(removableWords(), ", "))
		}
		r.id, err = lookup(kind, strings.Join(words, " "), "halfpot "+kind+" list",
			removableKinds[i].names(&cat))
	}
	return r, err
}

func (r *removal) findOffer(words []string) (err error) {
	if len(words) != 2 {
		return usagef("an offer is named by its product and its shop")
	}
	if r.whole, err = lookup("product", words[0], "halfpot product list", productNames(r.cat)); err != nil {
		return err
	}
	if r.part, err = lookup("shop", words[1], "halfpot shop list", shopNames(r.cat)); err != nil {
		return err
	}
	r.id = inventory.Offer{Product: r.whole, Shop: r.part}.OfferID()
	return nil
}

func (r *removal) findStandIn(words []string) (err error) {
	if len(words) != 2 {
		return usagef("a stand-in is named by the paint asked for and the one used instead")
	}
	r.whole, r.part, err = twoOf("paint", words, "halfpot paint list", paintNames(r.cat))
	r.id = r.whole + "@" + r.part
	return err
}

func (r *removal) findTrialMix(words []string) error {
	m, err := mixOf(r.cat, strings.Join(words, " "))
	if err != nil {
		return err
	}
	r.id = m.Lowest().Key()
	return nil
}

func (r *removal) findUnit(words []string) (err error) {
	if len(words) == 1 {
		words = []string{"", words[0]} // of the only force
	}
	if len(words) != 2 {
		return usagef("a unit is named by its force and its own name")
	}
	if r.whole, err = forceOr(r.cat, words[0]); err != nil {
		return err
	}
	force := *r.cat.Index().Forces[r.whole]
	r.part, err = lookup("unit", words[1], "halfpot force show "+r.whole, unitNames(force))
	r.id = inventory.UnitID(r.whole, r.part)
	return err
}

func (r *removal) findStep(words []string) (err error) {
	if len(words) != 2 {
		return usagef("a step is named by its recipe and its own name")
	}
	if r.whole, err = lookup("recipe", words[0], "halfpot recipe list", recipeNames(r.cat)); err != nil {
		return err
	}
	recipe := *r.cat.Index().Recipes[r.whole]
	r.part, err = lookup("step", words[1], "halfpot recipe show "+r.whole, stepNames(recipe))
	r.id = r.whole + "@" + r.part
	return err
}

// neverRetired are the kinds that are taken back or gone for good.
var neverRetired = []string{"pot", "step", "stand-in", "spectrum", "trial-mix"}

// do takes the thing away, retires it or brings it back, and tells which.
func (r *removal) do(ctx context.Context, tx *postgres.Tx, anyway, back bool) (string, error) {
	if back {
		if slices.Contains(neverRetired, r.kind) {
			return "", usagef("a %s is never retired: add it again", r.kind)
		}
		return "brought back", tx.BringBack(ctx, r.kind, r.id)
	}
	orders, err := tx.Orders(ctx)
	if err != nil {
		return "", err
	}
	if !anyway {
		if err := r.refuse(orders); err != nil {
			return "", err
		}
	}
	switch r.kind {
	case "pot":
		return "taken back", r.pot(ctx, tx, orders)
	case "unit":
		return r.unit(ctx, tx)
	case "step":
		return "removed", r.step(ctx, tx)
	}
	gone, err := tx.Remove(ctx, r.kind, r.id)
	if err != nil || gone {
		return "removed", err
	}
	return "retired", tx.Retire(ctx, r.kind, r.id)
}

// refuse says what speaks against taking the thing away: a force that needs it, or
// an order that still brings it.
func (r *removal) refuse(orders []inventory.Order) error {
	words := r.kind + " " + strings.ReplaceAll(r.id, "@", " ")
	anyway := "halfpot remove " + words + " --anyway"
	if needs := r.cat.Needs(r.kind, r.id, r.cat.Retired); len(needs) > 0 {
		return &usageError{
			fmt.Sprintf("the %s is still needed, by %s; without it that can't be planned as it is. "+
				"Nothing was changed", words, listed(needs)),
			[]string{anyway},
		}
	}
	if coming := inventory.Coming(orders, r.kind, r.id); len(coming) > 0 {
		return &usageError{
			fmt.Sprintf("of the %s something is still coming: %s; retired, it would come as something "+
				"nobody lists. Nothing was changed", words, listed(coming)),
			[]string{"halfpot order list", anyway},
		}
	}
	return nil
}

// onlyLookedAt is what can happen to a pot that was never painted with.
var onlyLookedAt = []inventory.EventKind{inventory.Bought, inventory.Opened, inventory.Judged, inventory.Weighed}

// pot takes back all that was noted of a pot that never was.
func (r *removal) pot(ctx context.Context, tx *postgres.Tx, orders []inventory.Order) error {
	for _, o := range orders {
		for _, e := range o.Standing() {
			if slices.Contains(e.Pots, r.id) {
				return &usageError{
					fmt.Sprintf("%s came with %s: what did not come is put right there; "+
						"nothing was changed", r.id, o.ID),
					[]string{fmt.Sprintf("halfpot order correct %s %d", o.ID, e.ID)},
				}
			}
		}
	}
	pots, err := tx.Pots(ctx, r.id)
	if err != nil {
		return err
	}
	standing := pots[0].Standing()
	if len(standing) == 0 {
		return usagef("%s was taken back already", r.id)
	}
	var events []postgres.NewEvent
	for _, e := range standing {
		if !slices.Contains(onlyLookedAt, e.Kind) {
			return &usageError{
				r.id + " was painted with, so it was there; nothing was changed. " +
					"Where it is no longer yours, or was entered twice",
				[]string{"halfpot pot give-away " + r.id, "halfpot merge pot " + r.id + " OTHER"},
			}
		}
		undo := inventory.PotEvent{
			Kind:   inventory.Corrected,
			At:     r.now,
			Undoes: e.ID,
			Note:   "entered by mistake",
		}
		events = append(events, postgres.NewEvent{Pot: r.id, Event: undo})
	}
	_, err = tx.AddEvents(ctx, events)
	return err
}

// unit takes a unit out of its force, or retires it where something was logged of it.
func (r *removal) unit(ctx context.Context, tx *postgres.Tx) (string, error) {
	jobs, err := tx.Jobs(ctx, r.whole)
	if err != nil {
		return "", err
	}
	f := *r.cat.Index().Forces[r.whole]
	left := 0
	for _, u := range f.Units {
		if u.ID != r.part && !r.cat.Retired.Has("unit", inventory.UnitID(f.ID, u.ID)) {
			left++
		}
	}
	if left == 0 {
		return "", &usageError{r.part + " is all there is of " + f.ID, []string{"halfpot remove force " + f.ID}}
	}
	for _, j := range jobs {
		if slices.ContainsFunc(j.Work, func(w inventory.Work) bool { return w.Unit == r.part }) {
			return "retired", tx.Retire(ctx, "unit", r.id)
		}
	}
	without := inventory.Catalogue{
		Forces:  []inventory.Force{f},
		Retired: inventory.Retired{}.With("unit", r.id),
	}.Planned()
	_, err = tx.Save(ctx, postgres.Load{Catalogue: inventory.Catalogue{Forces: without.Forces}})
	return "removed", err
}

// step takes a step out of its recipe.
func (r *removal) step(ctx context.Context, tx *postgres.Tx) error {
	recipe := *r.cat.Index().Recipes[r.whole]
	recipe.Steps = slices.DeleteFunc(slices.Clone(recipe.Steps), func(s inventory.Step) bool {
		return s.ID == r.part
	})
	_, err := tx.Save(ctx, postgres.Load{Catalogue: inventory.Catalogue{Recipes: []inventory.Recipe{recipe}}})
	return err
}

func stepNames(r inventory.Recipe) []named {
	return namesOf(r.Steps, func(s inventory.Step) named { return named{id: s.ID, names: []string{s.Name}} })
}
