package shopping

import (
	"context"
	"slices"

	"halfpot/inventory"
	"halfpot/optimize"
)

// UnitCost is what finishing one unit costs, goods and delivery, with the
// whole shelf to itself.
type UnitCost struct {
	Unit string
	Cost inventory.Money
}

// CheapestUnit finds the unit that costs least to finish where there is a
// budget: nothing can be finished for less. Must-buys are in the order too.
// It is nil where no unit can be finished for any money, and, as under a
// budget, units that are worth nothing don't count. One search a unit; the
// first of the force wins a tie. The solver must give proven answers only.
func (q *Question) CheapestUnit(ctx context.Context, solve Solver) (*UnitCost, error) {
	var best *UnitCost
	for _, g := range q.Problem.Groups {
		if isMust(g.ID) || g.Worth == 0 {
			continue
		}
		r, err := solve(ctx, q.alone(g.ID))
		if err != nil {
			return nil, err
		}
		if r.Totals == nil {
			continue
		}
		if c := inventory.MoneyOfMinor(cost(r), q.Problem.Currency); best == nil ||
			c.Amount.LessThan(best.Cost.Amount) {
			best = &UnitCost{g.ID, c}
		}
	}
	return best, nil
}

// alone is the problem of finishing one unit for the least money.
func (q *Question) alone(unit string) *optimize.Problem {
	p := varied(q.Problem)
	p.Rules.Budget, p.Rules.CompromisePrice, p.Groups = nil, 0, nil
	p.Needs = slices.DeleteFunc(p.Needs, func(n optimize.Need) bool {
		return n.Group != unit && !isMust(n.Group)
	})
	return p
}
