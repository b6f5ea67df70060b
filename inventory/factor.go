package inventory

import (
	"math"
	"time"

	"halfpot/inventory/coverage"
)

// FactorLevel is how wide a learned factor reaches.
type FactorLevel string

// Levels from wide to narrow; a narrow one outranks a wide one.
const (
	MethodLevel FactorLevel = "method"
	TypeLevel   FactorLevel = "type"
	PaintLevel  FactorLevel = "paint"
)

// Factor is what halfpot has learned of the painter's own hand: the paint that
// goes onto figures over what the tables say, and beside it the waste of a
// sitting likewise, as normal distributions of their natural logarithms.
type Factor struct {
	Level        FactorLevel
	Key          string // method, paint type or paint id, by Level
	LogMean      float64
	LogSD        float64 // standard deviation of the log of the factor itself, > 0
	Observations int     // jobs it rests on
	Pinned       bool    // set by the painter; no longer learns
	Updated      time.Time

	// Of the waste of a sitting; WasteSD 0: nothing known beyond the tables.
	WasteMean, WasteSD float64
	Together           float64 // covariance of both logs
	JobFilm, JobWaste  float64 // scatter of one job and of one sitting, sd of the log; 0: JobSD, WasteJobSD
}

// WasteJobSD is how far the waste of one sitting scatters about the painter's
// own, as the standard deviation of the log. Assumption.
const WasteJobSD = 0.4

// JobSD is how far one job's use scatters about the painter's own average, as
// the standard deviation of the log. Assumption: a unit's worth of one step
// differs by about a fifth from one time to the next (range 0.1 to 0.4).
const JobSD = 0.2

// Factors are what has been learned, in any order, at most one a level and key.
type Factors []Factor

// Find gives the factor of one level and key.
func (fs Factors) Find(level FactorLevel, key string) (Factor, bool) {
	for _, f := range fs {
		if f.Level == level && f.Key == key {
			return f, true
		}
	}
	return Factor{}, false
}

// For gives the narrowest factor that has been learned or pinned for a paint
// put on by a method. Types and paints are learned with their usual method;
// other work goes by the method alone. What a wider factor leaves open of this
// paint widens its LogSD. False where nothing has been learned: then the
// factor is 1 and the ranges of the defaults say how sure that is.
func (fs Factors) For(m Method, p Paint) (Factor, bool) {
	return FactorFor(m, &p, fs.Find)
}

// FactorFor is [Factors.For] over any way to find a factor.
func FactorFor(m Method, p *Paint, find func(FactorLevel, string) (Factor, bool)) (Factor, bool) {
	rules := DefaultLearnRules()
	open := 0.0
	for _, k := range []struct {
		level FactorLevel
		key   string
		open  float64 // deviation that the next wider level leaves open
	}{
		{PaintLevel, p.ID, rules.SD(PaintLevel, m)},
		{TypeLevel, string(p.Type), rules.SD(TypeLevel, m)},
		{MethodLevel, string(m), 0},
	} {
		if k.level == MethodLevel || m == p.Type.UsualMethod() {
			if f, ok := find(k.level, k.key); ok && (f.Observations > 0 || f.Pinned || f.WasteSD > 0) {
				if !f.Pinned {
					f.LogSD = math.Hypot(f.LogSD, open)
				}
				return f, true
			}
		}
		open = math.Hypot(open, k.open)
	}
	return Factor{}, false
}

// Film is the factor of the film for one more job: its own uncertainty and the
// scatter of jobs together.
func (f Factor) Film() coverage.Estimate {
	return coverage.Estimate{Median: math.Exp(f.LogMean), LogSD: math.Hypot(f.LogSD, orElse(f.JobFilm, JobSD))}
}

// Waste is the factor of the waste of so many sittings (at least 1): their
// scatter averages out.
func (f Factor) Waste(sittings int) coverage.Estimate {
	job := orElse(f.JobWaste, WasteJobSD)
	s2 := math.Log1p(math.Expm1(job*job) / float64(max(1, sittings)))
	return coverage.Estimate{
		Median: math.Exp(f.WasteMean + job*job/2 - s2/2),
		LogSD:  math.Sqrt(f.WasteSD*f.WasteSD + s2),
	}
}

func orElse(v, other float64) float64 {
	if v > 0 {
		return v
	}
	return other
}

// ChangeKind is what became of a factor.
type ChangeKind string

// What can become of a factor.
const (
	FactorLearned ChangeKind = "learned" // an observation moved it
	FactorPinned  ChangeKind = "pinned"  // the painter set it
	FactorReset   ChangeKind = "reset"   // what was learned before is forgotten
	FactorFlagged ChangeKind = "flagged" // an observation was too odd to learn from; the factor stays
)

// FactorChange is one entry of the factors' history.
type FactorChange struct {
	Factor   Factor // as it is after the change, Updated when; of a reset only Level, Key and Updated count
	Change   ChangeKind
	Observed float64 // actual over estimated use that brought the change; 0: none did
	Job      string
	Note     string
}
