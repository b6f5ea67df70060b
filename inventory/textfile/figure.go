package textfile

import (
	"fmt"
	"strings"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

func (b *Bundle) figure(r *record) {
	f := inventory.FigureType{
		ID:       r.id("id"),
		Name:     r.text("name"),
		AreaCM2:  r.quantity("area", cm2),
		Note:     r.text("note"),
		Material: inventory.Material(r.text("material")),
		Source:   inventory.Origin(r.text("source")),
	}
	switch f.Source {
	case "", coverage.Given, coverage.Measured, coverage.Published, coverage.Practice, coverage.Assumption:
	default:
		r.slip("source", show(string(f.Source)), "given, measured, published, practice or assumption")
	}
	if f.ID == "" {
		r.need("name")
		f.ID = r.slug(f.Name, f.Name)
	}
	if f.ID == "" {
		return
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
	if t := r.table("box"); t != nil {
		r.box(t, &f)
		t.named(at + ".box")
		t.closed()
	}
	for i, t := range r.tables("regions") {
		reg := inventory.Region{Name: t.text("name"), Share: t.share("share"), AreaCM2: t.quantity("area", cm2)}
		t.need("name")
		if t.has("base") {
			t.base(&reg)
		}
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
		StatureCM: r.quantity("stature", centimetres),
		MassKG:    r.quantity("mass", kilograms),
		Formula:   coverage.BodyFormula(r.text("formula")),
		Clo:       r.number("clo"), Kit: r.number("kit"), Heroic: r.number("heroic"),
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

// box reads a vehicle, building or piece of terrain by the box around it, as
// it is in life. Terrain measured on the table has the scale "1:1".
func (r *record) box(t *record, f *inventory.FigureType) {
	for _, beside := range []string{"area", "body", "source"} {
		if r.has(beside) {
			r.slip(beside, beside+" beside a box", "one of area, body and box")
		}
	}
	t.need("length", "width", "height", "scale")
	b := inventory.Box{
		LengthM: t.quantity("length", centimetres) / 100,
		WidthM:  t.quantity("width", centimetres) / 100,
		HeightM: t.quantity("height", centimetres) / 100,
		Detail:  t.number("detail"),
	}
	b.Scale = parsed(t, "scale", `a scale, like "1:56"`, func(s string) (float64, error) {
		// "28 mm to eye" is a person's.
		n, err := coverage.ParseScale(s, coverage.UsualStature)
		if err != nil || !strings.Contains(s, ":") {
			return 0, fmt.Errorf(`a scale, like "1:56", or "1:1" for what was measured on the table`)
		}
		return float64(n), nil
	})
	if t.bad {
		f.AreaCM2 = 1 // one slip is enough: the area is not missing too
		return
	}
	made, err := b.Figure(f.ID, f.Name)
	if err != nil {
		t.slip("", err.Error(), "sides above 0 to 1000 m, and a detail of 0.5 to 10 or none (1.5)")
		f.AreaCM2 = 1
		return
	}
	if f.Note != "" {
		made.Note = f.Note + "; " + made.Note
	}
	f.AreaCM2, f.Source, f.Note = made.AreaCM2, made.Source, made.Note
}

// base reads a round or oval base, "25 mm" or "60 x 35 mm", top and rim.
func (r *record) base(reg *inventory.Region) {
	for _, beside := range []string{"area", "share"} {
		if r.has(beside) {
			r.slip(beside, beside+" beside a base", "one of share, area and base")
		}
	}
	axes := parsed(r, "base", "the size of a base", func(s string) ([2]float64, error) {
		long, short, oval := strings.Cut(s, "x")
		if !oval {
			short = s
		} else if !strings.HasSuffix(strings.TrimSpace(long), "m") {
			long = strings.TrimSpace(long) + " mm"
		}
		a, err := millimetres.parse(strings.TrimSpace(long))
		b, err2 := millimetres.parse(strings.TrimSpace(short))
		if err != nil || err2 != nil || !(a > 0 && b > 0) {
			return [2]float64{}, fmt.Errorf("the size of a round or oval base, like 25 mm or 60 x 35 mm")
		}
		return [2]float64{a, b}, nil
	})
	rim := r.quantity("rim", millimetres)
	if r.bad {
		reg.AreaCM2 = 1
		return
	}
	made, err := inventory.BaseRegion(reg.Name, axes[0], axes[1], rim)
	if err != nil {
		r.slip("base", err.Error(), "a base of up to 1000 mm and a rim of up to 100 mm")
		made.AreaCM2 = 1
	}
	reg.AreaCM2 = made.AreaCM2
}
