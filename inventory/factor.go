package inventory

import "time"

// FactorLevel is how wide a learned factor reaches.
type FactorLevel string

// Levels from wide to narrow; a narrow one outranks a wide one.
const (
	MethodLevel FactorLevel = "method"
	TypeLevel   FactorLevel = "type"
	PaintLevel  FactorLevel = "paint"
)

// Factor is what halfpot has learned of the painter's own hand: actual use
// over estimated use, as a normal distribution of its natural logarithm.
type Factor struct {
	Level        FactorLevel
	Key          string // method, paint type or paint id, by Level
	LogMean      float64
	LogSD        float64 // standard deviation of the log of the factor itself, > 0
	Observations int     // jobs it rests on
	Pinned       bool    // set by the painter; no longer learns
	Updated      time.Time
}

// JobSD is how far one job's use scatters about the painter's own average, as
// the standard deviation of the log. Assumption: sittings differ by about a
// third (range 0.15 to 0.5).
const JobSD = 0.3

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
// put on by a method. False where nothing has: then the factor is 1 and the
// ranges of the defaults say how sure that is.
func (fs Factors) For(m Method, p Paint) (Factor, bool) {
	for _, k := range []struct {
		level FactorLevel
		key   string
	}{{PaintLevel, p.ID}, {TypeLevel, string(p.Type)}, {MethodLevel, string(m)}} {
		if f, ok := fs.Find(k.level, k.key); ok && (f.Observations > 0 || f.Pinned) {
			return f, true
		}
	}
	return Factor{}, false
}
