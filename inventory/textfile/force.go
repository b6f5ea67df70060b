package textfile

import (
	"fmt"

	"halfpot/inventory"
)

func (b *Bundle) force(r *record) {
	f := inventory.Force{ID: r.id("id"), Name: r.text("name")}
	if f.ID == "" {
		r.need("name")
		f.ID = r.slug(f.Name, f.Name)
	}
	if f.ID == "" {
		return
	}
	at := "forces." + f.ID
	if !b.claim(r, at) {
		return
	}
	r.need("units")
	for i, t := range r.tables("units") {
		u := inventory.Unit{
			ID:        t.id("id"),
			Name:      t.text("name"),
			Figures:   t.count("figures"),
			Figure:    t.id("figure"),
			Recipe:    t.id("recipe"),
			Undercoat: t.id("undercoat"),
			Batch:     t.count("batch"),
			After:     t.list("after"),
		}
		if u.ID == "" {
			t.need("name")
			u.ID = t.slug(u.Name, u.Name)
		}
		t.need("figures", "figure", "recipe")
		if t.has("worth") {
			n := t.count("worth")
			u.Worth = &n
		}
		path := fmt.Sprintf("%s.units.%s", at, u.ID)
		if _, taken := b.places[path]; taken || u.ID == "" {
			path = fmt.Sprintf("%s.units.%d", at, i+1)
		}
		t.named(path)
		t.closed()
		f.Units = append(f.Units, u)
	}
	for i, t := range r.tables("match") {
		f.Match = append(f.Match, inventory.Match{
			Label: t.text("label"),
			Steps: t.list("steps"),
			Units: t.list("units"),
		})
		t.need("label", "steps")
		t.named(fmt.Sprintf("%s.match.%d", at, i+1))
		t.closed()
	}
	b.Catalogue.Forces = append(b.Catalogue.Forces, f)
}
