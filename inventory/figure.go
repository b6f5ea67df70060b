package inventory

import "halfpot/inventory/coverage"

// FigureType is a kind of figure, vehicle or terrain piece: how large its
// surface is and how it divides into regions.
type FigureType struct {
	ID       string
	Name     string
	AreaCM2  float64  // painted area of the whole without its base, cm2; 0: computed from Body
	Body     *Body    // a person to scale; used only where AreaCM2 is 0
	Regions  []Region // disjoint; shares sum to at most 1
	Material Material // what it is cast in; "": not known
	Source   Origin   // where AreaCM2 comes from: given, measured (a mesh), assumption; "" means given
	Note     string   // for example the mesh file the area was measured on
}

// Material is what a figure is made of.
type Material string

// The materials.
const (
	Plastic Material = "plastic"
	Metal   Material = "metal"
	Resin   Material = "resin"
	Printed Material = "printed"
)

// Materials lists them.
func Materials() []Material { return []Material{Plastic, Metal, Resin, Printed} }

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
