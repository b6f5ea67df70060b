package desk

import (
	"context"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/hand"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
)

// WeighFirst is the pot whose weighing is worth most to an order.
type WeighFirst struct {
	Pot   string
	Saves inventory.Money // the order is that much cheaper if the pot holds what is likely
}

// findWeighFirst looks at the pots that make up most of the doubt: what the order
// would cost if one of them were known to hold what is likely.
func (q *Question) findWeighFirst(ctx context.Context, solve shopping.Solver, now *optimize.Result) (*WeighFirst, error) {
	d := q.desk
	all, err := d.estimator().Sensitivity(&q.Force, d.withComing(), q.needRules)
	if err != nil {
		return nil, err
	}
	var best *WeighFirst
	most := int64(0)
	for _, in := range estimate.WeighFirst(all, weighed) {
		r := q.reckon.again()
		if !r.known(in.Of) {
			continue
		}
		rules := q.Rules
		rules.Reckon = nil
		other, err := q.stateBy(r, rules, 0)
		if err != nil {
			return nil, err
		}
		found, err := other.Solve(ctx, patient(solve, patience))
		if timeUp(err) {
			return best, nil
		}
		if err != nil {
			return nil, err
		}
		if !found.Found() || found.Result.Status != optimize.Optimal || r.of(other, found.Result).Enough < rules.Confidence {
			continue
		}
		if saved := now.Totals.Objective - found.Result.Totals.Objective; saved > most {
			most = saved
			best = &WeighFirst{in.Of, inventory.MoneyOfMinor(saved, q.Problem.Currency)}
		}
	}
	return best, nil
}

// known makes a pot hold exactly what is likely, false for one that is not there.
func (r *reckoner) known(pot string) bool {
	for i := range r.d.Shelf.Pots {
		p := &r.d.Shelf.Pots[i]
		if p.ID != pot {
			continue
		}
		x := r.d.book.PotDraws(r.draws, p.ID, p, r.d.At)
		if x == nil {
			return false
		}
		likely := hand.At(x, evenChance)
		stock := make(map[string][]float64, len(r.stock))
		for id, s := range r.stock {
			stock[id] = s
		}
		of := make([]float64, len(x))
		for k := range of {
			of[k] = stock[p.Paint][k] - x[k] + likely
		}
		stock[p.Paint] = of
		r.stock = stock
		return true
	}
	return false
}
