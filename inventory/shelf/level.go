package shelf

import (
	"math"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// Level is what can still be used of one pot, as halfpot knows it at a time:
// the filter's normal distribution held between nothing and what a full pot
// gives. Water lost does not count as paint gone, because stirring water in
// brings it back.
type Level struct {
	Pot, Paint string
	Nominal    inventory.Volume
	Measured   time.Time           // last reading by eye or scale that counted; zero: never
	By         inventory.EventKind // that reading: Judged, Weighed, or Bought of a pot not full
	Opened     bool
	OpenSince  time.Time // when it was first opened or seen open; zero for an unopened pot
	// DriedOut or GivenAway: nothing is left; Corrected: entered by mistake, it never came; ""
	// otherwise
	Gone inventory.EventKind
	// readings since it was bought that contradicted what was logged and were believed over it
	Doubts int
	// by what share of a pot the last look says more than all else that was read and used, where that
	// is much; else 0
	LookOff   float64
	Overdrawn bool    // more was logged than it held: judge or weigh it
	WaterML   float64 // water lost since, to be stirred in again, ml
	Thicken   float64 // the same as a fraction of the paint there was
	ThinDue   bool    // thinning is due
	Coming    bool    // a new pot on its way: nobody can look at it yet

	usable    held // ml, before it is held between 0 and topML
	topML     float64
	overruled int // readings believed over the record
}

// Left is the median of what can be used.
func (l Level) Left() inventory.Volume { return l.quantile(0.5) }

// AtLeast is what can be used with the given confidence (0.5 to below 1): the
// lower quantile, rounded down.
func (l Level) AtLeast(confidence float64) inventory.Volume { return l.quantile(1 - confidence) }

// Range is the central part of the distribution that holds the truth with the
// given confidence (above 0, below 1), 0.9 for the usual range.
func (l Level) Range(confidence float64) (low, high inventory.Volume) {
	return l.quantile((1 - confidence) / 2), l.quantile((1 + confidence) / 2)
}

// LeftWithin is Left and Range at once, which many pots are listed by.
func (l Level) LeftWithin(confidence float64) (left, low, high inventory.Volume) {
	if l.usable.quiet() {
		low, high = l.Range(confidence)
		return l.Left(), low, high
	}
	u := l.usable.used()
	at := func(p float64) inventory.Volume { return l.held(l.usable.quantileIn(p, &u)) }
	return at(.5), at((1 - confidence) / 2), at((1 + confidence) / 2)
}

func (l Level) quantile(p float64) inventory.Volume { return l.held(l.usable.quantile(p)) }

// held is a volume in ml held between nothing and what a full pot gives.
func (l Level) held(ml float64) inventory.Volume {
	return inventory.FloorUL(math.Min(math.Max(ml, 0), l.topML)*1000 + 1e-6)
}

// SD is the standard deviation the filter carries, in ml, before the range is
// held between empty and full. A reading that agrees with the record never
// raises it.
func (l Level) SD() float64 { return l.usable.sd }

// Mean is the expected usable volume in ml.
func (l Level) Mean() float64 { return l.usable.clamped(l.topML).mean }

// Spread is the standard deviation of the usable volume in ml, held between
// empty and full.
func (l Level) Spread() float64 { return l.usable.clamped(l.topML).sd }

// Estimate is the usable volume in ml as a lognormal of the same mean and
// deviation, for sums that want one.
func (l Level) Estimate() coverage.Estimate {
	n := l.usable.clamped(l.topML)
	if n.mean <= 0 {
		return coverage.Estimate{}
	}
	e := coverage.FromRelative(n.mean, n.sd/n.mean)
	e.Median = n.mean * math.Exp(-e.LogSD*e.LogSD/2)
	return e
}

// Full is the usable volume of a full pot in ml.
func (l Level) Full() float64 { return l.topML }

// Enough is the chance that the pot holds a need, in ml, that is known only as
// a range; coverage.Exact for a fixed volume.
func (l Level) Enough(need coverage.Estimate) float64 {
	if need.Median > 0 && l.topML <= 0 {
		return 0
	}
	top := belowLog(need, l.topML)
	if need.LogSD == 0 {
		return l.usable.above(need.Median) * top
	}
	return math.Min(top, l.usable.chance(need))
}

// LevelBook works out levels. It holds what is the same for many pots: the
// paints' densities and losses, and the empty weights learned. It is safe for
// use by several goroutines once made.
type LevelBook struct {
	Rules  LevelRules
	Tares  Tares
	models map[string]paintModel
	other  paintModel
}

// paintModel is what the filter wants to know of a paint.
type paintModel struct {
	content, contentSD float64 // paint in the volume on the label, fraction
	dead, deadSD       float64 // never comes out, fraction of the label
	density, densitySD float64 // g/ml
	water              float64 // water in the paint, fraction
	estimateSD         float64 // what estimates of its use have in common, log-sd
	liquid             bool    // can be weighed, dries, may be thinned
}

// NewLevelBook prepares for the pots of a catalogue. What has been learned of
// a paint narrows the error of the uses that were drawn by the estimate.
func NewLevelBook(idx *inventory.Index, tares Tares, learned inventory.Factors, rules LevelRules) *LevelBook {
	b := &LevelBook{
		Rules:  rules,
		Tares:  tares,
		models: make(map[string]paintModel, len(idx.Paints)),
		other:  newPaintModel(&inventory.Paint{Type: inventory.Base}),
	}
	b.other.estimateSD = rules.EstimateSD
	for id, p := range idx.Paints {
		m := newPaintModel(p)
		m.estimateSD = rules.EstimateSD
		if f, ok := learned.For(p.Type.UsualMethod(), *p); ok {
			m.estimateSD = f.LogSD
		}
		b.models[id] = m
	}
	return b
}

func newPaintModel(p *inventory.Paint) paintModel {
	if p.Type.Counted() {
		return paintModel{content: 1}
	}
	dead := coverage.DeadVolume
	m := paintModel{content: 1, dead: dead.Value, deadSD: rangeSD(dead), liquid: true}
	if p.Type.Aerosol() {
		share := coverage.CanPaintShare
		m.content, m.contentSD, m.liquid = share.Value, rangeSD(share), false
		m.dead, m.deadSD = m.dead*m.content, m.deadSD*m.content
		return m
	}
	d := p.GramsPerML()
	m.density, m.densitySD = d.Value, rangeSD(d)
	m.water = 1 - p.Solids().Value
	return m
}

// rangeSD reads a range as the central 90 % of a normal.
func rangeSD(d coverage.Default) float64 { return (d.High - d.Low) / (2 * z95) }

// z95 is the standard normal quantile of 0.95.
const z95 = 1.6448536269514722

// Level works out one pot at a time now. Events later than now do not count.
func (b *LevelBook) Level(p *inventory.Pot, now time.Time) Level {
	events := p.InOrder()
	f := newFilter(b, p, b.model(p), events)
	again := p.JudgedAgain()
	for i := range events {
		if events[i].At.After(now) {
			break
		}
		if again[events[i].ID] {
			continue
		}
		f.event(&events[i])
	}
	f.advance(now)
	l := f.level()
	if p.NeverCame() {
		l.Gone, l.usable, l.topML = inventory.Corrected, held{}, 0
	}
	return l
}

// NewPot is the level of a pot of a paint that is not owned yet.
func (b *LevelBook) NewPot(paint string, nominal inventory.Volume) Level {
	return b.Level(&inventory.Pot{Paint: paint, Nominal: nominal}, time.Time{})
}

// Levels works out every pot of a shelf, in its order.
func (b *LevelBook) Levels(s *inventory.Shelf, now time.Time) []Level {
	out := make([]Level, len(s.Pots))
	for i := range s.Pots {
		out[i] = b.Level(&s.Pots[i], now)
	}
	return out
}

// StockOf is what a shelf has of each paint with the given confidence. The
// errors of several pots of one paint partly cancel, so that two pots are
// surer than the sum of their lower ends.
func StockOf(levels []Level, confidence float64) inventory.Stock {
	sums := PaintLevels(levels)
	out := make(inventory.Stock, len(sums))
	for id, l := range sums {
		out[id] = l.AtLeast(confidence)
	}
	return out
}

// PaintLevels adds the pots of each paint into one level. A single pot stays
// as it is; of several the means and variances add, and Measured is the
// oldest reading. Pots that are gone add nothing.
func PaintLevels(levels []Level) map[string]Level {
	out := map[string]Level{}
	for _, l := range levels {
		if l.Gone != "" {
			continue
		}
		sum, ok := out[l.Paint]
		if !ok {
			out[l.Paint] = l
			continue
		}
		if sum.Pot != "" {
			sum.usable = held{normal: sum.usable.clamped(sum.topML)}
		}
		add := l.usable.clamped(l.topML)
		sum.usable = held{normal: normal{sum.usable.mean + add.mean, math.Hypot(sum.usable.sd, add.sd)}}
		sum.topML += l.topML
		sum.Pot, sum.Nominal = "", sum.Nominal+l.Nominal
		if l.Measured.Before(sum.Measured) {
			sum.Measured, sum.By = l.Measured, l.By
		}
		sum.Doubts += l.Doubts
		sum.WaterML += l.WaterML
		sum.Opened, sum.Overdrawn, sum.ThinDue = sum.Opened ||
			l.Opened, sum.Overdrawn ||
			l.Overdrawn, sum.ThinDue ||
			l.ThinDue
		out[l.Paint] = sum
	}
	return out
}

// model is what the filter wants to know of a pot's paint.
func (b *LevelBook) model(p *inventory.Pot) paintModel {
	if m, ok := b.models[p.Paint]; ok {
		return m
	}
	return b.other
}
