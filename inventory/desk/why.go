package desk

import (
	"context"

	"halfpot/inventory/shopping"
)

// nearMissTries is how many offers left out are looked at for near misses.
const nearMissTries = 8

// Why says what each part of a plan is there for.
type Why struct {
	Lines      []shopping.Stranding
	Sets       []shopping.SetReason
	Thresholds []shopping.ThresholdEffect
	OneMore    []shopping.OneMore
	NearMisses []shopping.NearMiss
	NoTime     []Telling // what the time did not reach for
}

// Telling is one of the things a Why tells.
type Telling string

// The tellings that searches of their own find.
const (
	OfSets       Telling = "sets"
	OfThresholds Telling = "thresholds"
	OfOneMore    Telling = "one more"
	OfNearMisses Telling = "near misses"
)

// Why explains the plan; each search that takes too long is left out and said so.
func (a *Answer) Why(ctx context.Context) (*Why, error) {
	q := a.question
	solve, done := q.explaining()
	defer done()
	w := &Why{Lines: a.List.Strandings(q.Question)}
	for _, p := range []struct {
		part Telling
		find func() error
	}{
		{OfSets, func() (err error) { w.Sets, err = a.Sets(ctx, solve); return err }},
		{OfThresholds, func() (err error) { w.Thresholds, err = a.Thresholds(ctx, solve); return err }},
		{OfOneMore, func() (err error) {
			w.OneMore, err = a.OneMoreFigure(ctx, solve, q.desk.Lesson.Factors, q.needRules)
			return err
		}},
		{OfNearMisses,
			func() (err error) { w.NearMisses, err = a.NearMisses(ctx, solve, nearMissTries); return err }},
	} {
		err := p.find()
		if timeUp(err) {
			w.NoTime = append(w.NoTime, p.part)
			continue
		}
		if err != nil {
			return nil, err
		}
	}
	return w, nil
}
