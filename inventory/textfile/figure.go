package textfile

import (
	"fmt"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

func (b *Batch) figure(r *record) {
	f := inventory.FigureType{ID: r.id("id"), Name: r.text("name"), AreaCM2: r.quantity("area", cm2), Note: r.text("note"), Source: inventory.Origin(r.text("source"))}
	switch f.Source {
	case "", coverage.Given, coverage.Measured, coverage.Published, coverage.Practice, coverage.Assumption:
	default:
		r.slip("source", show(string(f.Source)), "given, measured, published, practice or assumption")
	}
	if f.ID == "" {
		r.need("name")
		f.ID = inventory.Slug(f.Name)
	}
	at := "figures." + f.ID
	if !b.claim(r, at) {
		return
	}
	if t := r.table("body"); t != nil {
		body := t.body()
		f.Body = &body
		t.named(at + ".body")
		t.closed()
	}
	for i, t := range r.tables("regions") {
		reg := inventory.Region{Name: t.text("name"), Share: t.share("share"), AreaCM2: t.quantity("area", cm2)}
		t.need("name")
		f.Regions = append(f.Regions, reg)
		t.named(fmt.Sprintf("%s.regions.%d", at, i+1))
		if _, taken := b.places[at+".regions."+reg.Name]; !taken {
			t.named(at + ".regions." + reg.Name)
		}
		t.closed()
	}
	b.Catalogue.Figures = append(b.Catalogue.Figures, f)
}

// body reads a person to scale. "28 mm to eye" is a scale for the stature
// given, or the usual one.
func (r *record) body() inventory.Body {
	body := inventory.Body{
		StatureCM: r.quantity("stature", centimetres), MassKG: r.quantity("mass", kilograms), Formula: coverage.BodyFormula(r.text("formula")),
		Clo: r.number("clo"), Kit: r.number("kit"), Heroic: r.number("heroic"),
	}
	stature := body.StatureCM
	if stature == 0 {
		stature = coverage.UsualStature
	}
	r.need("scale")
	body.Scale = parsed(r, "scale", `a scale, like "1:56" or "28 mm to eye"`, func(s string) (float64, error) {
		n, err := coverage.ParseScale(s, stature)
		if err != nil {
			return 0, fmt.Errorf(`a scale, like "1:56", "28 mm to eye" or "28 mm to top"`)
		}
		return float64(n), nil
	})
	return body
}
