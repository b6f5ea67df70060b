package coverage

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
func (f Figure) Area() (Estimate, []Factor, error) {
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
	factors := []Factor{
		{"body surface", FromRelative(body*1e4, 0.02), "cm2", Published, string(formula) + " for the stature and weight"},
		{"scale", Exact(1 / float64(f.Scale*f.Scale)), "", Given, "one over the square of the scale"},
		{"clothing", FromRelative(cloth, 0.05), "", Published, "clothing area factor, ISO 9920 and ISO 7730"},
		f.Kit.Factor("kit"),
		f.Form.Factor("proportions"),
		Reached.Factor("reached by the brush"),
		MakerSpread.Factor("maker"),
	}
	return Product(factors...), factors, nil
}

// Product multiplies factors taken as independent.
func Product(factors ...Factor) Estimate {
	p := Exact(1)
	for _, f := range factors {
		p = p.Times(f.Estimate)
	}
	return p
}
