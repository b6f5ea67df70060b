package inventory

import (
	"fmt"

	"halfpot/inventory/coverage"
)

// Area is the painted area of one figure without its base in cm2, with the
// factors it is the product of. An area that is given or measured on a mesh is
// taken as right to a tenth, a guessed one to a third; one from a body has the
// range of its factors.
func (f FigureType) Area() (coverage.Estimate, []coverage.Quantity, error) {
	if f.AreaCM2 > 0 {
		d := coverage.Default{
			Value:  f.AreaCM2,
			Low:    f.AreaCM2 * 0.9,
			High:   f.AreaCM2 * 1.1,
			Unit:   "cm2",
			Origin: f.Source,
			Source: f.Note,
		}
		if d.Source == "" {
			d.Source = "figure type " + f.ID
		}
		switch f.Source {
		case "":
			d.Origin = coverage.Given
		case coverage.Assumption:
			d.Low, d.High = f.AreaCM2*0.7, f.AreaCM2*1.4
		}
		fac := d.Quantity("figure area")
		return fac.Estimate, []coverage.Quantity{fac}, nil
	}
	b := Body{}
	if f.Body != nil {
		b = *f.Body
	}
	fig := coverage.Figure{
		StatureCM: b.StatureCM,
		WeightKG:  b.MassKG,
		Formula:   b.Formula,
		Scale:     coverage.Scale(b.Scale),
		Clo:       b.Clo,
	}
	if b.Kit > 0 {
		fig.Kit = coverage.Default{
			Value:  b.Kit,
			Low:    b.Kit * 0.9,
			High:   b.Kit * 1.1,
			Origin: coverage.Given,
			Source: "kit factor of the figure type",
		}
	}
	if b.Heroic > 0 {
		fig.Form = coverage.Default{
			Value:  b.Heroic,
			Low:    b.Heroic * 0.95,
			High:   b.Heroic * 1.05,
			Origin: coverage.Given,
			Source: "proportions of the figure type",
		}
	}
	return fig.Area()
}

// RegionArea is one region of a figure with its area.
type RegionArea struct {
	Name  string
	Share float64           // of the figure's area; 0: it has an area of its own
	Area  coverage.Estimate // cm2
}

// RegionAreas gives the area of every region in the order of the figure type.
// Regions with a share have the range of the whole figure.
func (f FigureType) RegionAreas() ([]RegionArea, error) {
	whole, _, err := f.Area()
	if err != nil {
		return nil, err
	}
	out := make([]RegionArea, len(f.Regions))
	for i, r := range f.Regions {
		out[i] = RegionArea{r.Name, r.Share, whole.Scale(r.Share)}
		if r.Share == 0 {
			out[i].Area = coverage.Exact(r.AreaCM2)
		}
	}
	return out, nil
}

// Box is a vehicle, a building or a piece of terrain by the box around it.
type Box struct {
	LengthM, WidthM, HeightM float64 // in life, m
	Scale                    float64 // N of 1:N; 1 for terrain measured on the table
	Detail                   float64 // surface over that of the box; 0: 1.5
}

// Figure makes a figure type of a box. Its area is an assumption, with the
// range that goes with one.
func (b Box) Figure(id, name string) (FigureType, error) {
	area, err := coverage.BoxArea(b.LengthM, b.WidthM, b.HeightM, coverage.Scale(b.Scale))
	if err != nil {
		return FigureType{}, err
	}
	detail := b.Detail
	if detail == 0 {
		detail = coverage.BoxDetail.Value
	}
	if !(detail >= 0.5 && detail <= 10) {
		return FigureType{}, &coverage.RangeError{
			What:  "detail of a box",
			Value: detail,
			Want:  "0.5 to 10 times its surface",
		}
	}
	return FigureType{ID: id, Name: name, AreaCM2: area * detail, Source: coverage.Assumption,
		Note: fmt.Sprintf("box of %g x %g x %g m at 1:%g, times %g for detail",
			b.LengthM, b.WidthM, b.HeightM, b.Scale, detail)}, nil
}

// BaseRegion is a round or oval base of the given axes in mm, its top and, where
// a height of the rim above 0 is given, its rim: many paint that apart, or not.
func BaseRegion(name string, aMM, bMM, rimMM float64) (Region, error) {
	top, err := coverage.BaseTop(aMM, bMM)
	if err != nil {
		return Region{}, err
	}
	rim, err := coverage.BaseRim(aMM, bMM, rimMM)
	if err != nil {
		return Region{}, err
	}
	return Region{Name: name, AreaCM2: top + rim}, nil
}

// FormulaArea is the figure's area by one body-surface formula.
type FormulaArea struct {
	Formula coverage.BodyFormula
	AreaCM2 float64
}

// AreaByFormula compares the published formulas on a figure reckoned from a
// body, the one in use first; nothing for a figure whose area is given.
func (f FigureType) AreaByFormula() ([]FormulaArea, error) {
	if f.AreaCM2 > 0 || f.Body == nil {
		return nil, nil
	}
	used := f.Body.Formula
	if used == "" {
		used = coverage.DuBois
	}
	out := []FormulaArea{{Formula: used}}
	for _, k := range coverage.BodyFormulas {
		if k != used {
			out = append(out, FormulaArea{Formula: k})
		}
	}
	for i := range out {
		b := *f.Body
		b.Formula = out[i].Formula
		f.Body = &b
		area, _, err := f.Area()
		if err != nil {
			return nil, err
		}
		out[i].AreaCM2 = area.Median
	}
	return out, nil
}

// Cover is the share of the figure's area that a set of regions takes, and
// the area in cm2 of those with an area of their own. All is the whole figure
// with its base, named or not.
func (f FigureType) Cover(set RegionSet) (share, ownCM2 float64, err error) {
	names := set.Names
	if set.All {
		share, names = 1, set.Except
		for _, r := range f.Regions {
			if r.Share == 0 {
				ownCM2 += r.AreaCM2
			}
		}
	}
	sign := 1.0
	if set.All {
		sign = -1
	}
	for _, n := range names {
		r, ok := f.Region(n)
		if !ok {
			return 0, 0, fmt.Errorf("figure %s has no region %s", f.ID, n)
		}
		if r.Share != 0 {
			share += sign * r.Share
		} else {
			ownCM2 += sign * r.AreaCM2
		}
	}
	// Sums of shares such as 0.1 leave crumbs behind.
	if share < 1e-9 {
		share = 0
	}
	if ownCM2 < 1e-9 {
		ownCM2 = 0
	}
	if share == 0 && ownCM2 == 0 {
		return 0, 0, fmt.Errorf("nothing of figure %s is left to paint", f.ID)
	}
	return min(share, 1), ownCM2, nil
}
