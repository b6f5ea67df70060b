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

// Figures is how many figures ml of paint as applied are enough for when one
// takes perFigure and each sitting of batch figures (0: all at once) wastes
// waste, all in ml: the largest n with n x perFigure + sittings(n) x waste <= ml.
// It is capped at a million; nothing used a figure gives that cap when the
// waste fits. Negative or NaN numbers are errors.
func Figures(ml, perFigure, waste float64, batch int) (int, error) {
	const most = 1_000_000
	if err := firstError(within("volume", ml, 0, 1e9, "ml"),
		within("paint for one figure", perFigure, 0, 1e6, "ml"), within("waste", waste, 0, 1e6, "ml"),
		within("batch", float64(batch), 0, most, "")); err != nil {
		return 0, err
	}
	enough := func(n int) bool {
		return float64(n)*perFigure+float64(Sittings(n, batch))*waste <= ml*(1+1e-12)
	}
	low, high := 0, most+1
	for high-low > 1 {
		if mid := (low + high) / 2; enough(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low, nil
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

// SplitParts shares a volume (any unit, not negative) among the parts of a mix:
// 3 ml at 2:1 are 2 ml and 1 ml. At least one part, each above 0 and at most
// 1000. A mix wastes as one: split after the waste is added.
func SplitParts(volume float64, parts []float64) ([]float64, error) {
	if err := within("volume", volume, 0, math.MaxFloat64, ""); err != nil {
		return nil, err
	}
	if len(parts) == 0 {
		return nil, &RangeError{What: "parts of a mix", Want: "at least one"}
	}
	var sum float64
	for _, p := range parts {
		if err := aboveZero("parts of a mix", p, 1000, ""); err != nil {
			return nil, err
		}
		sum += p
	}
	out := make([]float64, len(parts))
	for i, p := range parts {
		out[i] = volume * p / sum
	}
	return out, nil
}

// Thinned splits a volume as applied into paint and medium for a thinning of
// thinner parts of medium to one part of paint (0 to 50).
func Thinned(volume, thinner float64) (paint, medium float64, err error) {
	if err := firstError(within("volume", volume, 0, math.MaxFloat64, ""),
		within("thinning", thinner, 0, MaxThinner, "parts")); err != nil {
		return 0, 0, err
	}
	paint = volume / (1 + thinner)
	return paint, volume - paint, nil
}
