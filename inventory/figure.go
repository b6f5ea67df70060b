package inventory

import "halfpot/inventory/coverage"

// FigureType is a kind of figure, vehicle or terrain piece: how large its
// surface is and how it divides into regions.
type FigureType struct {
	ID      string
	Name    string
	AreaCM2 float64  // painted area of the whole without its base, cm2; 0: computed from Body
	Body    *Body    // a person to scale; used only where AreaCM2 is 0
	Regions []Region // disjoint; shares sum to at most 1
	Source  Origin   // where AreaCM2 comes from: given, measured (a mesh), assumption; "" means given
	Note    string   // for example the mesh file the area was measured on
}

// Body describes a person, from which body surface and scale give the area.
// A factor of 0 means its default.
type Body struct {
	StatureCM float64              // of the real person, 50 to 250; 0: 174
	MassKG    float64              // 3 to 300; 0: body mass index 23
	Scale     float64              // N of 1:N, 1 to 1000; must be given
	Formula   coverage.BodyFormula // "": Du Bois
	Clo       float64              // insulation of the clothes in clo, 0 (bare) to 4
	Kit       float64              // weapon, helmet, packs and folds, times the clothed area; 0: usual kit, 1.3
	Heroic    float64              // enlarged heads and hands, times the area; 0: true proportions, 1
}

// Region is a named part of a figure. It has either a share of the figure's
// area or, where it is not part of that (a base), an area of its own.
type Region struct {
	Name    string  // a slug: "jacket", "base-top"
	Share   float64 // fraction of the figure's area, above 0 to 1
	AreaCM2 float64 // own area beyond the figure's, cm2; used where Share is 0
}

// Region finds a region by name.
func (f FigureType) Region(name string) (Region, bool) {
	for _, r := range f.Regions {
		if r.Name == name {
			return r, true
		}
	}
	return Region{}, false
}

// Area is the painted area of one figure without its base in cm2, with the
// factors it is the product of.
func (f FigureType) Area() (coverage.Estimate, []coverage.Factor, error) {
	if f.AreaCM2 > 0 {
		d := coverage.Default{Value: f.AreaCM2, Low: f.AreaCM2 * 0.9, High: f.AreaCM2 * 1.1, Unit: "cm2", Origin: f.Source, Source: f.Note}
		switch f.Source {
		case "":
			d.Origin = coverage.Given
		case coverage.Assumption:
			d.Low, d.High = f.AreaCM2*0.7, f.AreaCM2*1.4
		}
		fac := d.Factor("figure area")
		return fac.Estimate, []coverage.Factor{fac}, nil
	}
	b := Body{}
	if f.Body != nil {
		b = *f.Body
	}
	fig := coverage.Figure{StatureCM: b.StatureCM, WeightKG: b.MassKG, Formula: b.Formula, Scale: coverage.Scale(b.Scale), Clo: b.Clo}
	if b.Kit > 0 {
		fig.Kit = coverage.Default{Value: b.Kit, Low: b.Kit * 0.9, High: b.Kit * 1.1, Origin: coverage.Given, Source: "kit factor of the figure type"}
	}
	if b.Heroic > 0 {
		fig.Form = coverage.Default{Value: b.Heroic, Low: b.Heroic * 0.95, High: b.Heroic * 1.05, Origin: coverage.Given, Source: "proportions of the figure type"}
	}
	return fig.Area()
}
