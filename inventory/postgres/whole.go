package postgres

import (
	"context"
	"maps"
	"slices"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// keepCatalogue remembers the catalogue as it is before this change touches it.
func (t *Tx) keepCatalogue(ctx context.Context) (*inventory.Catalogue, error) {
	if t.catalogue == nil {
		c, err := loadCatalogue(ctx, t.tx, t.now.Location())
		if err != nil {
			return nil, err
		}
		t.catalogue = &c
		return &c, nil
	}
	c, err := loadCatalogue(ctx, t.tx, t.now.Location())
	return &c, err
}

// keepPots remembers pots as they are before this change touches them, without
// their events, whose numbers tell what is new; one that is not there is nil.
func (t *Tx) keepPots(ctx context.Context, ids []string) error {
	var ask []string
	for _, id := range ids {
		if _, kept := t.pots[id]; !kept {
			t.pots[id] = nil
			ask = append(ask, id)
		}
	}
	if len(ask) == 0 {
		return nil
	}
	rows, err := collect[potRow](ctx, t.tx, queries.FindPots, ask)
	for _, r := range rows {
		p := r.pot(t.now.Location())
		t.pots[p.ID] = &p
	}
	return err
}

// validate looks at the whole as this change leaves it and refuses what is
// wrong now and was not before, so that what is wrong already can be mended step
// by step.
func (t *Tx) validate(ctx context.Context) error {
	if t.catalogue == nil && len(t.pots) == 0 && len(t.orders) == 0 {
		return nil
	}
	after, err := loadCatalogue(ctx, t.tx, t.now.Location())
	if err != nil {
		return err
	}
	before := &after
	var faults inventory.Faults
	if t.catalogue != nil {
		// A recipe may lose a step that was painted; the work that stands stays in the log.
		before = t.catalogue
		before.Forces, after.Forces = withoutWork(before.Forces), withoutWork(after.Forces)
		if now := after.Validate(); len(now) > 0 {
			faults = now.Except(before.Validate())
		}
	}
	old, idx := before.Index(), after.Index()
	look := func(p inventory.Pot) error {
		shelf := inventory.Shelf{Pots: []inventory.Pot{p}}
		now := shelf.Validate(idx, t.now)
		if len(now) == 0 {
			return nil
		}
		was, touched := t.pots[p.ID]
		switch {
		case !touched:
			was = &p
		case was == nil:
			faults = append(faults, now...)
			return nil
		}
		then := *was
		then.Events = slices.DeleteFunc(slices.Clone(p.Events), func(e inventory.PotEvent) bool {
			return e.ID > t.lastEvent
		})
		faults = append(faults, now.Except((&inventory.Shelf{Pots: []inventory.Pot{then}}).Validate(old,
			t.now))...)
		return nil
	}
	if t.paints {
		err = t.EachPot(ctx, look)
	} else if len(t.pots) > 0 {
		var pots []inventory.Pot
		if pots, err = t.Pots(ctx, slices.Sorted(maps.Keys(t.pots))...); err == nil {
			for _, p := range pots {
				err = look(p)
			}
		}
	}
	if err != nil {
		return err
	}
	for _, id := range slices.Sorted(maps.Keys(t.orders)) {
		o, err := t.Order(ctx, id)
		if err != nil {
			return err
		}
		faults = append(faults, o.Validate(idx)...)
	}
	return faults.Err()
}
