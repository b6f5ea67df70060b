package inventory

import (
	"math"

	"halfpot/inventory/coverage"
)

// LearnRules say how much painters' hands differ. The log of actual over
// estimated use on one job is
//
//	method + type within method + paint within type + job
//
// each a normal about 0. The first three share the variance of [HandSD], which
// is what the tables' own ranges come to. All are assumptions that the painter
// may change.
type LearnRules struct {
	MethodPart float64 // of the variance of HandSD: 0.60
	TypePart   float64 // 0.25
	PaintPart  float64 // 0.15
	JobSD      float64 // of the log: JobSD
	Absurd     float64 // an observation this many deviations from what was expected is flagged: 3
}

// DefaultLearnRules are the rules halfpot starts with.
func DefaultLearnRules() LearnRules {
	return LearnRules{MethodPart: 0.60, TypePart: 0.25, PaintPart: 0.15, JobSD: JobSD, Absurd: 3}
}

// SD is the deviation of one effect about the next wider one, for a method.
func (r LearnRules) SD(level FactorLevel, m Method) float64 {
	part := r.MethodPart
	switch level {
	case TypeLevel:
		part = r.TypePart
	case PaintLevel:
		part = r.PaintPart
	}
	return HandSD(m) * math.Sqrt(part)
}

// pieceSD is how far painters differ in what they use of things counted: a few
// transfers tear, a few tufts are lost. A quarter more or less, 19 times in 20;
// an assumption.
var pieceSD = math.Log(1.25) / 1.96

// HandSD is how far painters differ in what they use by a method, as the
// standard deviation of the log: the tables' ranges for film, the part that
// gets paint and the loss, and a tenth for the area. It is 0.5 for a method no
// table knows.
func HandSD(m Method) float64 {
	if sd, ok := handSD[m]; ok {
		return sd
	}
	return HandSDOf(coverage.Tables{}, m)
}

var handSD = func() map[Method]float64 {
	out := map[Method]float64{}
	for _, m := range coverage.Methods() {
		out[m] = HandSDOf(coverage.Tables{}, m)
	}
	return out
}()

// HandSDOf is [HandSD] by the painter's own tables.
func HandSDOf(t coverage.Tables, m Method) float64 {
	switch m {
	case coverage.Stick:
		return FiguresPerItem.Estimate().LogSD
	case coverage.Piece:
		return pieceSD
	}
	d, err := t.MethodDefaults(m)
	if err != nil {
		return 0.5
	}
	film, err := t.Film(m, usualKind[m], 0)
	if err != nil {
		return 0.5
	}
	return math.Hypot(math.Hypot(film.LogSD, 0.1),
		math.Hypot(d.Cover.Estimate().LogSD, d.Efficiency.Estimate().LogSD))
}

// usualKind is the kind of paint mostly put on by a method.
var usualKind = map[Method]coverage.Kind{
	coverage.Brush:    coverage.Base,
	coverage.DryBrush: coverage.DryPaint,
	coverage.Wash:     coverage.Shade,
	coverage.Airbrush: coverage.Base,
	coverage.SprayCan: coverage.Primer,
}
