package coverage

import "fmt"

// Figure is a person to be modelled. Zero fields take the usual value named
// beside them.
type Figure struct {
	StatureCM float64     // 174 cm
	WeightKG  float64     // body mass index 23
	Formula   BodyFormula // Du Bois
	Scale     Scale       // must be given
	Clo       float64     // insulation of the clothes in clo; 0 is bare skin
	Clothing  ClothingEquation
	Kit       Default // KitUsual
	Form      Default // TrueForm; Heroic where heads and hands are large
}

// Area is the paintable area of one figure in cm2 and the factors it is the
// product of, in the order they are told: body, scale, clothing, kit, form,
// reached, maker. Errors name the value out of range.
func (f Figure) Area() (Estimate, []Quantity, error) {
	assumed := f.StatureCM == 0 || f.WeightKG == 0
	if f.StatureCM == 0 {
		f.StatureCM = UsualStature
	}
	if f.WeightKG == 0 {
		f.WeightKG = UsualWeight(f.StatureCM)
	}
	if f.Kit == (Default{}) {
		f.Kit = KitUsual
	}
	if f.Form == (Default{}) {
		f.Form = TrueForm
	}
	if err := within("scale 1 to", float64(f.Scale), 1, 1000, ""); err != nil {
		return Estimate{}, nil, err
	}
	body, err := BodySurface(f.Formula, f.StatureCM, f.WeightKG)
	if err != nil {
		return Estimate{}, nil, err
	}
	cloth, err := ClothingFactor(f.Clothing, f.Clo)
	if err != nil {
		return Estimate{}, nil, err
	}
	formula := f.Formula
	if formula == "" {
		formula = DuBois
	}
	bodyFactor := Quantity{
		Name:     "body surface",
		Estimate: FromRelative(body*1e4, 0.02),
		Unit:     "cm2",
		Origin:   Published,
		Source:   string(formula) + " for the stature and weight",
	}
	if assumed {
		bodyFactor.Estimate, bodyFactor.Origin = FromRelative(body*1e4, 0.04), Assumption
		bodyFactor.Source = fmt.Sprintf("%s for an assumed build of %.0f cm and %.0f kg",
			formula, f.StatureCM, f.WeightKG)
	}
	clothing, err := clothingRange(f.Clo, cloth)
	if err != nil {
		return Estimate{}, nil, err
	}
	factors := []Quantity{
		bodyFactor,
		{Name: "scale", Estimate: Exact(1 / float64(f.Scale*f.Scale)), Origin: Given,
			Source: "one over the square of the scale"},
		clothing.Quantity("clothing"),
		f.Kit.Quantity("kit"),
		f.Form.Quantity("proportions"),
		Reached.Quantity("reached by the brush"),
		MakerSpread.Quantity("maker"),
	}
	return Multiply(factors...), factors, nil
}

// Multiply multiplies quantities taken as independent.
func Multiply(quantities ...Quantity) Estimate {
	p := Exact(1)
	for _, f := range quantities {
		p = p.Times(f.Estimate)
	}
	return p
}
