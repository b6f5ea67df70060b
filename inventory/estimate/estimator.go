package estimate

import (
	"fmt"
	"math"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// Estimator works out how much paint steps take. It keeps the look-ups and
// figure areas of one catalogue and is not safe for use by several goroutines.
type Estimator struct {
	Index    *inventory.Index
	tables   coverage.Tables
	factors  map[factorKey]inventory.Factor
	areas    map[string]figureArea
	standIns []inventory.StandIn
	subs     map[string][]substitute
}

type factorKey struct {
	level inventory.FactorLevel
	key   string
}

type figureArea struct {
	area    coverage.Estimate
	factors []coverage.Quantity
	err     error
}

// NewEstimator makes an estimator of a catalogue that passes
// [inventory.Catalogue.Validate] and what has been learned so far.
func NewEstimator(c *inventory.Catalogue, learned inventory.Factors) *Estimator {
	e := &Estimator{
		Index:    c.Index(),
		tables:   c.Tables,
		factors:  map[factorKey]inventory.Factor{},
		areas:    map[string]figureArea{},
		standIns: c.StandIns,
		subs:     map[string][]substitute{},
	}
	for _, f := range learned {
		if f.Observations > 0 || f.Pinned || f.WasteSD > 0 {
			e.factors[factorKey{f.Level, f.Key}] = f
		}
	}
	return e
}

// StepSum is how the paint for one step comes about, with every number that
// goes into it: volume as applied = area x share x cover x film x coats / (1 -
// loss) x figures + waste x sittings, times what has been learned.
type StepSum struct {
	Step    coverage.Step
	Method  inventory.Method
	Paint   string              // the paint whose type sets film and loss: the largest part of the mix
	Factors []coverage.Quantity // in the order of the sum
	Learned *inventory.Factor   // nil: nothing learned yet
	Thinner float64             // parts of medium to one of paint, 0: as it comes
	PerItem float64             // counted paints: figures one item does; 0: by volume
	// Applied is the whole volume put to use, paint and medium, in ml (for
	// counted paints in items).
	Applied coverage.Estimate
}

// Sum works out one step on a number of figures of a unit, done with a mix
// and thinning that the step accepts. It fails only on values that
// [inventory.Catalogue.Validate] refuses.
func (e *Estimator) Sum(
	u inventory.Unit, s *inventory.Step, mix inventory.Mix, th *inventory.Thinning, figures int,
) (StepSum, error) {
	main := e.MainPaint(mix)
	fig := e.Index.Figures[u.Figure]
	if main == nil || fig == nil {
		return StepSum{}, fmt.Errorf("unit %s, step %s: a paint or the figure type is not in the catalogue",
			u.ID, s.ID)
	}
	sum := StepSum{Method: s.Method, Paint: main.ID}
	if sum.Method == "" {
		sum.Method = main.Type.UsualMethod()
	}
	if th != nil && th.PaintParts > 0 {
		sum.Thinner = th.MediumParts / th.PaintParts
	}
	coats := s.CoatsOn(u.Undercoat)
	if main.Type.Counted() {
		return e.countedSum(sum, s, main, figures, coats), nil
	}
	def, err := e.tables.StepDefaults(sum.Method, main.Type.Kind())
	if err != nil {
		return StepSum{}, fmt.Errorf("unit %s, step %s: %w", u.ID, s.ID, err)
	}
	area, share, areaFactors, err := e.stepArea(fig, s.Regions)
	if err != nil {
		return StepSum{}, fmt.Errorf("unit %s, step %s: %w", u.ID, s.ID, err)
	}
	cover := e.coverFactor(s, main.Type, def)
	film, err := e.film(s, sum.Method, main.Type, mix, sum.Thinner)
	if err != nil {
		return StepSum{}, fmt.Errorf("unit %s, step %s: %w", u.ID, s.ID, err)
	}
	eff := def.Efficiency.Quantity("reaches the figure")
	if s.Loss != nil {
		eff = coverage.Quantity{
			Name:     "reaches the figure",
			Estimate: coverage.Exact(1 - *s.Loss),
			Origin:   coverage.Given,
			Source:   "the step's loss",
		}
	}
	waste := def.WasteML.Quantity("waste a sitting")
	sum.Step = coverage.Step{
		AreaCM2:    area,
		Share:      share,
		Cover:      cover.Estimate,
		WetUM:      film.Estimate,
		Coats:      float64(coats),
		Efficiency: eff.Estimate,
		WasteML:    waste.Estimate,
		Figures:    figures,
		Batch:      u.Batch,
	}
	sum.Factors = append(areaFactors,
		coverage.Quantity{
			Name:     "share of the figure",
			Estimate: share,
			Origin:   coverage.Given,
			Source:   "regions of the figure type",
		},
		cover, film,
		coverage.Quantity{
			Name:     "coats",
			Estimate: coverage.Exact(float64(coats)),
			Origin:   coverage.Given,
			Source:   "the recipe",
		},
		eff, waste)
	sum.Learned = e.learned(sum.Method, main)
	if sum.Applied, err = sum.volume(); err != nil {
		return StepSum{}, fmt.Errorf("unit %s, step %s: %w", u.ID, s.ID, err)
	}
	return sum, nil
}

// nothingLearned stands in for the hand where no pot has taught anything: then
// the ranges of the tables say how unsure film and waste are.
var nothingLearned = inventory.Factor{}

// Film and waste of a job in ml: what the tables say, by how much this painter
// differs, and how far one job scatters. What the painter's own pots have taught
// stands in for the spread of the defaults, film, cover and loss; that of the
// area stays, because the next figure type may be another.
func (s *StepSum) parts() (film, waste coverage.Estimate, together float64, err error) {
	sittings := coverage.Sittings(s.Step.Figures, s.Step.Batch)
	if s.Learned == nil {
		one, err := s.Step.PerFigure()
		return one.Scale(float64(s.Step.Figures)).Times(nothingLearned.Film()),
			s.Step.WasteML.Scale(float64(sittings)).Times(nothingLearned.Waste(sittings)), 0, err
	}
	known := s.Step
	for _, n := range []*coverage.Estimate{
		&known.AreaCM2, &known.Share, &known.Cover, &known.WetUM, &known.Efficiency,
	} {
		n.LogSD = 0
	}
	one, err := known.PerFigure()
	return one.Scale(float64(s.Step.Figures)).Times(s.Learned.Film()).Times(s.areaSpread()),
		coverage.Exact(s.Step.WasteML.Median * float64(sittings)).Times(s.wasteFactor(sittings)), s.Learned.Together, err
}

// wasteFactor is that of the hand, or the tables' range where only the film was
// set.
func (s *StepSum) wasteFactor(sittings int) coverage.Estimate {
	if s.Learned.WasteSD > 0 {
		return s.Learned.Waste(sittings)
	}
	w := s.Learned.Waste(sittings)
	w.LogSD = math.Hypot(w.LogSD, s.Step.WasteML.LogSD)
	return w
}

// volume is the applied volume on one job, in ml.
func (s *StepSum) volume() (coverage.Estimate, error) {
	film, waste, together, err := s.parts()
	if err != nil {
		return coverage.Estimate{}, err
	}
	return coverage.SumOfTwo(film, waste, together), nil
}

// Tabled is what the tables say of a step without the painter's hand: film and
// waste in ml, and the sittings.
func (s *StepSum) Tabled() (film, waste float64, sittings int) {
	if s.PerItem > 0 {
		return float64(s.Step.Figures) * s.Step.Coats / s.PerItem, 0, 1
	}
	sittings = coverage.Sittings(s.Step.Figures, s.Step.Batch)
	one, err := s.Step.PerFigure()
	if err != nil {
		return 0, 0, sittings
	}
	return one.Median * float64(s.Step.Figures), s.Step.WasteML.Median * float64(sittings), sittings
}

// areaSpread is how unsure the area is, as a factor about 1.
func (s *StepSum) areaSpread() coverage.Estimate {
	return coverage.Estimate{Median: 1, LogSD: s.Step.AreaCM2.LogSD}
}

func (e *Estimator) countedSum(sum StepSum, s *inventory.Step, p *inventory.Paint, figures, coats int) StepSum {
	usual := inventory.FiguresPerItem
	if sum.Method == coverage.Piece {
		usual = inventory.FiguresPerSheet
	}
	per := usual.Quantity("figures an item does")
	sum.Step = coverage.Step{Figures: figures, Coats: float64(coats)}
	switch {
	case s.PerItem > 0:
		per = coverage.Quantity{
			Name:     per.Name,
			Estimate: coverage.Exact(s.PerItem),
			Unit:     per.Unit,
			Origin:   coverage.Given,
			Source:   "the recipe",
		}
	case sum.Method == coverage.Piece:
		sum.Step.AreaCM2.LogSD = per.LogSD // stays however much was learned of spoilt ones
	}
	sum.PerItem = per.Median
	sum.Factors = []coverage.Quantity{
		{Name: "coats", Estimate: coverage.Exact(float64(coats)), Origin: coverage.Given, Source: "the recipe"},
		per}
	sum.Applied = coverage.Exact(float64(figures * coats)).Over(per.Estimate)
	if sum.Learned = e.learned(sum.Method, p); sum.Learned != nil {
		sum.Applied = coverage.Exact(sum.Applied.Median).Times(sum.Learned.Film())
	}
	return sum
}

func (e *Estimator) learned(m inventory.Method, p *inventory.Paint) *inventory.Factor {
	f, ok := inventory.FactorFor(m, p, func(l inventory.FactorLevel, key string) (inventory.Factor, bool) {
		f, ok := e.factors[factorKey{l, key}]
		return f, ok
	})
	if !ok {
		return nil
	}
	return &f
}

// MainPaint is the paint with the most parts, the first among equals.
func (e *Estimator) MainPaint(m inventory.Mix) *inventory.Paint {
	best := -1
	for i, p := range m {
		if best < 0 || p.Parts > m[best].Parts {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	return e.Index.Paints[m[best].Paint]
}

// stepArea is the area of one figure and the share of it a step's regions
// take. Where a base joins in, the area is that of the regions and the share 1.
func (e *Estimator) stepArea(
	f *inventory.FigureType, set inventory.RegionSet,
) (area, share coverage.Estimate, factors []coverage.Quantity, err error) {
	a, ok := e.areas[f.ID]
	if !ok {
		a.area, a.factors, a.err = f.Area()
		e.areas[f.ID] = a
	}
	if a.err != nil {
		return area, share, nil, a.err
	}
	part, own, err := f.Cover(set)
	if err != nil {
		return area, share, nil, err
	}
	factors = append(make([]coverage.Quantity, 0, len(a.factors)+8), a.factors...) // Sum adds the rest
	switch {
	case own == 0:
		return a.area, coverage.Exact(part), factors, nil
	case part == 0:
		base := coverage.Exact(own)
		only := coverage.Quantity{
			Name:     "base area",
			Estimate: base,
			Unit:     "cm2",
			Origin:   coverage.Given,
			Source:   "figure type",
		}
		return base, coverage.Exact(1), []coverage.Quantity{only}, nil
	}
	factors = append(factors, coverage.Quantity{
		Name:     "base area",
		Estimate: coverage.Exact(own),
		Unit:     "cm2",
		Origin:   coverage.Given,
		Source:   "figure type",
	})
	return coverage.Sum(0, a.area.Scale(part), coverage.Exact(own)), coverage.Exact(1), factors, nil
}

func (e *Estimator) coverFactor(
	s *inventory.Step, t inventory.PaintType, def coverage.MethodDefault,
) coverage.Quantity {
	const name = "part of it that gets paint"
	switch {
	case s.Share > 0:
		d := coverage.Default{
			Value:  s.Share,
			Low:    s.Share * 0.8,
			High:   min(1, s.Share*1.25),
			Origin: coverage.Given,
			Source: "the step's share",
		}
		return d.Quantity(name)
	case t == inventory.Highlight && def.Method == coverage.Brush:
		return e.tables.EdgeCover().Quantity(name)
	}
	return def.Cover.Quantity(name)
}

// film is the wet film of one coat as applied.
func (e *Estimator) film(
	s *inventory.Step, m inventory.Method, t inventory.PaintType, mix inventory.Mix, thinner float64,
) (coverage.Quantity, error) {
	if s.FilmUM > 0 {
		return coverage.Quantity{
			Name:     "wet film",
			Estimate: coverage.Exact(s.FilmUM),
			Unit:     "um",
			Origin:   coverage.Given,
			Source:   "the step's film",
		}, nil
	}
	f, err := e.tables.Film(m, t.Kind(), e.solids(mix))
	if err != nil {
		return f, err
	}
	if thinner > 0 && (m == coverage.Airbrush || m == coverage.DryBrush || m == coverage.SprayCan) {
		// These films are of undiluted paint; the same dry film takes 1 + t of it
		// thinned (WFT = DFT (1 + t) / VS).
		f.Estimate = f.Scale(1 + thinner)
	}
	return f, nil
}

// solids is the volume solids of a mix, 0 where one of its paints' is not known.
func (e *Estimator) solids(m inventory.Mix) float64 {
	sum := 0.0
	for _, p := range m {
		paint := e.Index.Paints[p.Paint]
		if paint == nil || paint.VolumeSolids == 0 {
			return 0
		}
		sum += p.Parts * paint.VolumeSolids
	}
	return sum / m.Total()
}
