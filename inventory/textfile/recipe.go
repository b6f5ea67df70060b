package textfile

import (
	"fmt"
	"slices"

	"halfpot/inventory"
)

func (b *Bundle) recipe(r *record) {
	rec := inventory.Recipe{ID: r.id("id"), Name: r.text("name")}
	if rec.ID == "" {
		r.need("name")
		rec.ID = r.slug(rec.Name, rec.Name)
	}
	if rec.ID == "" {
		return
	}
	at := "recipes." + rec.ID
	if !b.claim(r, at) {
		return
	}
	r.need("steps")
	for i, t := range r.tables("steps") {
		s := inventory.Step{ID: t.id("id"), Name: t.text("name")}
		if s.ID == "" {
			t.need("name")
			s.ID = t.slug(s.Name, s.Name)
		}
		path := fmt.Sprintf("%s.steps.%s", at, s.ID)
		if _, taken := b.places[path]; taken || s.ID == "" {
			path = fmt.Sprintf("%s.steps.%d", at, i+1)
		}
		t.named(path)
		t.step(path, &s)
		t.closed()
		rec.Steps = append(rec.Steps, s)
	}
	b.Catalogue.Recipes = append(b.Catalogue.Recipes, rec)
}

// step reads the fields of a step beside id and name.
func (r *record) step(at string, s *inventory.Step) {
	s.Kind, s.PerItem, s.Allow = inventory.StepKind(r.word("kind")), r.number("per-item"), r.list("allow")
	s.Label, s.Method = r.text("label"), inventory.Method(r.word("method"))
	s.Regions = r.regions()
	s.Share, s.FilmUM, s.Coats = r.share("share"), r.quantity("film", micrometres), r.count("coats")
	s.Optional, s.NoStandIns, s.WaitAfter = r.flag("optional"), r.flag("no-stand-ins"), r.wait("wait-after")
	s.NextWithin, s.After = r.wait("next-within"), r.list("after")
	if r.has("loss") {
		l := r.share("loss")
		s.Loss = &l
	}
	if s.Kind == "" || r.has("paint") || len(r.tables("mix")) > 0 {
		s.Mix = r.mix(at)
	}
	s.Thinning = r.thinning(at)
	for i, t := range r.tables("coats-over") {
		t.need("undercoat", "coats")
		s.CoatsOver = append(s.CoatsOver, inventory.CoatsOver{
			Undercoat: t.id("undercoat"),
			Coats:     t.count("coats"),
		})
		t.named(fmt.Sprintf("%s.coats-over.%d", at, i+1))
		t.closed()
	}
	for i, t := range r.tables("alternatives") {
		alt := fmt.Sprintf("%s.alternatives.%d", at, i+1)
		t.named(alt)
		s.Alternatives = append(s.Alternatives, inventory.Alternative{
			Label:      t.text("label"),
			Mix:        t.mix(alt),
			Thinning:   t.thinning(alt),
			Compromise: t.count("compromise"),
		})
		t.closed()
	}
}

// regions reads regions = "all", regions = ["jacket", ...] or all-but = [...].
func (r *record) regions() inventory.RegionSet {
	set := inventory.RegionSet{Names: r.list("regions"), Except: r.list("all-but")}
	if slices.Equal(set.Names, []string{"all"}) {
		set.All, set.Names = true, nil
	}
	if len(set.Except) > 0 {
		if len(set.Names) > 0 {
			r.slip("all-but", "all-but beside regions", "one of them")
		}
		set.All = true
	}
	return set
}

// mix reads paint = "id", or mix = [{ paint = "id", parts = 2 }, ...].
func (r *record) mix(at string) inventory.Mix {
	parts := r.tables("mix")
	switch {
	case r.has("paint") && len(parts) > 0:
		r.slip("paint", "paint beside a mix", "one of them")
	case r.has("paint"):
		r.alias(at+".mix", "paint")
		return inventory.Mix{{Paint: r.id("paint"), Parts: 1}}
	case len(parts) == 0:
		r.slip("paint", "no paint", `paint = "an-id", or mix = [{ paint = "an-id", parts = 2 }, ...]`)
	}
	var m inventory.Mix
	for i, t := range parts {
		t.need("paint", "parts")
		m = append(m, inventory.Part{Paint: t.id("paint"), Parts: t.number("parts")})
		t.named(fmt.Sprintf("%s.mix.%d", at, i+1))
		t.closed()
	}
	return m
}

// thinning reads thinning = { medium = "id", paint-parts = 2, medium-parts = 1 };
// without a medium it is water.
func (r *record) thinning(at string) *inventory.Thinning {
	t := r.table("thinning")
	if t == nil {
		return nil
	}
	t.need("paint-parts", "medium-parts")
	thin := inventory.Thinning{
		Medium:      t.id("medium"),
		PaintParts:  t.number("paint-parts"),
		MediumParts: t.number("medium-parts"),
	}
	t.named(at + ".thinning")
	t.closed()
	return &thin
}
