package coverage

import "math"

// Step is one painting step on one unit: what the sum of the package comment
// is made of. The factors keep their origin, so that the sum can be shown.
type Step struct {
	AreaCM2    Estimate // of one figure; above 0
	Share      Estimate // of the figure the step goes over, above 0 and at most 1
	Cover      Estimate // part of that share that gets paint, above 0 and at most 1
	WetUM      Estimate // one coat as applied, at most 2000 um
	Coats      float64  // above 0 and at most 20; 1.5 is a coat and touching up
	Efficiency Estimate // 1 - loss, at least 0.01 and at most 1
	WasteML    Estimate // each sitting, as applied; not negative
	Figures    int      // not negative
	Batch      int      // figures a sitting; 0 is all at once
}

// Sittings is how many sittings the figures of a unit take in batches:
// ceil(figures / batch), one for a batch of 0 and none for no figures.
func Sittings(figures, batch int) int {
	switch {
	case figures <= 0:
		return 0
	case batch <= 0 || batch >= figures:
		return 1
	}
	return (figures-1)/batch + 1
}

// Check names the first value out of range, or gives nil.
func (s Step) Check() error {
	share := s.Share.Median
	if !(share > 0 && share <= 1+1e-9) {
		return &RangeError{What: "share of the figure", Value: share, Want: "above 0 and at most 1 (100 %)"}
	}
	return firstError(
		aboveZero("figure area", s.AreaCM2.Median, MaxAreaCM2, "cm2"),
		aboveZero("part of the region that gets paint", s.Cover.Median, 1, ""),
		within("wet film", s.WetUM.Median, 0, MaxFilmUM, "um"),
		aboveZero("coats", s.Coats, 20, ""),
		within("efficiency", s.Efficiency.Median, 1-MaxLoss, 1, ""),
		within("waste", s.WasteML.Median, 0, 1000, "ml"),
		within("figures", float64(s.Figures), 0, 1e6, ""),
		within("batch", float64(s.Batch), 0, 1e6, ""),
	)
}

// PerFigure is the paint as applied in ml for one figure without the waste of
// a sitting: area x share x film x coats / (1 - loss).
func (s Step) PerFigure() (Estimate, error) {
	if err := s.Check(); err != nil {
		return Estimate{}, err
	}
	return s.AreaCM2.Times(s.Share).Times(s.Cover).Times(s.WetUM).
		Scale(s.Coats * mlPerCM2UM).Over(s.Efficiency), nil
}

// Volume is the paint as applied in ml for the whole unit: per figure x
// figures + waste x sittings. The figures share their errors (the same film on
// the same kind of figure), and so do the sittings; paint and waste are
// independent.
func (s Step) Volume() (Estimate, error) {
	one, err := s.PerFigure()
	if err != nil {
		return Estimate{}, err
	}
	return Sum(0, one.Scale(float64(s.Figures)), s.WasteML.Scale(float64(Sittings(s.Figures, s.Batch)))), nil
}

// PotFigures is how many figures a usable volume does at batches of b (at least
// 1) figures a sitting: n = usable / (F + W/b), all in ml, with F the paint on one
// figure and W the waste of a sitting. Film and waste err each by itself. It gives
// the share of the paint that is waste too.
func PotFigures(usable, perFigure, waste Estimate, b int) (figures Estimate, wasted float64) {
	w := waste.Scale(1 / float64(max(1, b)))
	each := Sum(0, perFigure, w)
	if each.Median <= 0 {
		return Estimate{}, 0
	}
	return usable.Over(each), w.Mean() / (w.Mean() + perFigure.Mean())
}

// TwoFigures rounds a count of figures as painters speak of it: to two digits,
// 173 to 170; below ten to one.
func TwoFigures(n float64) int {
	switch {
	case math.IsNaN(n):
		return 0
	case n < 10:
		return int(math.Max(0, math.Floor(n)))
	}
	unit := math.Pow(10, math.Floor(math.Log10(n))-1)
	return int(math.Round(n/unit) * unit)
}
