package desk

import (
	"context"

	"halfpot/inventory"
	"halfpot/inventory/shopping"
)

// Answer is what to buy, with what a painter asks next.
type Answer struct {
	*shopping.Answer
	List *shopping.ShoppingList
	// Under a budget that finishes no unit: the one that costs least to finish, or
	// nil where none can be finished at all.
	NoneFinished bool
	Cheapest     *shopping.UnitCost
	NoTime       bool // the time was up before Cheapest was known

	AtEvenChance *inventory.Money // total of the plan that has an even chance of enough; nil: not asked for, or not known

	question *Question
}

// Answer finds the best plan. Where the time is up it is the best found so far,
// and what only explains it may be left out.
func (q *Question) Answer(ctx context.Context) (*Answer, error) {
	solve, done := q.solver()
	found, err := q.Solve(ctx, solve)
	done()
	if err != nil {
		return nil, err
	}
	a := &Answer{Answer: found, question: q}
	if a.List, err = found.List(); err != nil || !found.Found() {
		return a, err
	}
	if a.NoneFinished = q.Rules.Budget != nil && len(a.List.Unfinished) == q.Needs.Units(); a.NoneFinished && a.List.Proven() {
		if err := a.findCheapest(ctx); err != nil {
			return nil, err
		}
	}
	return a, a.findEvenChance(ctx)
}

// findCheapest finds what the budget would have to be for one unit at least.
func (a *Answer) findCheapest(ctx context.Context) error {
	solve, done := a.question.explaining()
	defer done()
	unit, err := a.CheapestUnit(ctx, solve)
	if a.NoTime = timeUp(err); a.NoTime {
		return nil
	}
	a.Cheapest = unit
	return err
}

// findEvenChance finds what the plan would cost at an even chance of enough.
func (a *Answer) findEvenChance(ctx context.Context) error {
	q := a.question
	if q.Rules.Confidence <= evenChance || q.Rules.Budget != nil || ctx.Err() != nil {
		return nil
	}
	solve, done := q.solver()
	defer done()
	total, err := a.AtConfidence(ctx, solve, q.desk.stockWithComing(evenChance), evenChance)
	a.AtEvenChance = total
	return err
}

const evenChance = 0.5
