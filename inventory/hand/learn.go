package hand

import (
	"fmt"
	"math"
	"slices"
	"time"

	"halfpot/inventory"
)

// Observation is what one pot taught about one stretch of work between two
// readings.
type Observation struct {
	Pot, Paint string
	Type       inventory.PaintType
	Method     inventory.Method
	From, To   time.Time // the readings
	Actual     float64   // ml gone, without what was measured
	Estimated  float64   // ml the tables say for the work logged, nothing learned
	ReadingSD  float64   // standard deviation of the log of Actual that the readings leave
	Jobs       float64   // jobs it averages over, at least 1
	Job        string    // the last of them; may be empty
	Accepted   bool      // the painter says it is right, however odd
}

// Log is the natural logarithm of actual over estimated use.
func (o Observation) Log() float64 { return math.Log(o.Actual / o.Estimated) }

// Lesson is what a series of observations comes to.
type Lesson struct {
	Factors inventory.Factors        // every factor with an observation or a pin, wide to narrow, by key
	History []inventory.FactorChange // how they came about, by time; of one observation the narrowest first
	Flagged []Observation            // too odd to learn from
}

// Learn turns observations, and the pins and resets among the settings, into
// factors. It is a function of values: the same history gives the same
// factors in whatever order it comes.
//
// Every update is in closed form, because the tree method - type - paint of
// normal effects with normal readings has a normal posterior; what a paint's
// own pots leave open is filled from its type, and what that leaves open from
// the method. Source: Gelman et al., Bayesian Data Analysis, chapters 2 and 5
// (normal mean, and exchangeable groups with known variances); passing
// messages up and down a tree is exact (Pearl, Probabilistic Reasoning in
// Intelligent Systems, 1988, chapter 7); both from memory.
//
// The types and paints learned are those put on by their usual method; other
// work teaches the method alone. An observation is flagged, and not learned
// from, where it lies rules.Absurd standard deviations or more from what was
// expected of it: a spill, a slip of the pen, a pot mixed up.
func Learn(idx *inventory.Index, observations []Observation, settings []inventory.FactorChange, rules inventory.LearnRules) Lesson {
	t := &tree{rules: rules, idx: idx, nodes: map[nodeKey]*node{}}
	var l Lesson
	for _, s := range lessonSteps(observations, settings) {
		if s.setting != nil {
			l.History = append(l.History, t.setting(*s.setting))
			continue
		}
		leaf := t.path(s.seen.Method, s.seen.Type, s.seen.Paint)
		changes, ok := t.learn(leaf, *s.seen)
		if !ok {
			l.Flagged = append(l.Flagged, *s.seen)
		}
		l.History = append(l.History, changes...)
	}
	l.Factors = t.factors()
	return l
}

// lessonStep is an observation or a setting, in the order of time.
type lessonStep struct {
	at      time.Time
	setting *inventory.FactorChange
	seen    *Observation
}

func lessonSteps(observations []Observation, settings []inventory.FactorChange) []lessonStep {
	var steps []lessonStep
	for i := range observations {
		if o := &observations[i]; o.Actual > 0 && o.Estimated > 0 {
			steps = append(steps, lessonStep{at: o.To, seen: o})
		}
	}
	for i := range settings {
		if s := &settings[i]; s.Change == inventory.FactorPinned || s.Change == inventory.FactorReset {
			steps = append(steps, lessonStep{at: s.Factor.Updated, setting: s})
		}
	}
	slices.SortStableFunc(steps, func(a, b lessonStep) int {
		if c := a.at.Compare(b.at); c != 0 {
			return c
		}
		return cmpStep(a, b)
	})
	return steps
}

// cmpStep orders what happened at one moment: observations by pot, then
// settings, so that a reset forgets what came with it.
func cmpStep(a, b lessonStep) int {
	switch {
	case a.seen != nil && b.seen != nil:
		switch {
		case a.seen.Pot < b.seen.Pot:
			return -1
		case a.seen.Pot > b.seen.Pot:
			return 1
		}
		return 0
	case a.seen != nil:
		return -1
	case b.seen != nil:
		return 1
	}
	return 0
}

// learn takes in one observation, or flags it.
func (t *tree) learn(leaf *node, o Observation) ([]inventory.FactorChange, bool) {
	noise := square(t.rules.JobSD)/math.Max(1, o.Jobs) + square(o.ReadingSD)
	m, v := leaf.posterior()
	z := (o.Log() - m) / math.Sqrt(v+noise)
	if math.Abs(z) >= t.rules.Absurd && !o.Accepted {
		f := leaf.visible().factor()
		f.Updated = o.To
		return []inventory.FactorChange{{Factor: f, Change: inventory.FactorFlagged, Observed: o.Actual / o.Estimated, Job: o.Job,
			Note: fmt.Sprintf("pot %s: %.1f deviations from what was expected; a spill, or a slip?", o.Pot, math.Abs(z))}}, false
	}
	leaf.add(o.Log(), noise)
	var out []inventory.FactorChange
	for n := leaf; n != nil; n = n.parent {
		n.seen++
		n.updated = o.To
		if n.shown && !n.pinned {
			out = append(out, inventory.FactorChange{Factor: n.factor(), Change: inventory.FactorLearned, Observed: o.Actual / o.Estimated, Job: o.Job, Note: "pot " + o.Pot})
		}
	}
	return out, true
}
