package desk

import (
	"cmp"
	"context"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/hand"
	"halfpot/inventory/shelf"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
)

// WeighFirst is the pot whose weighing is worth most to an order.
type WeighFirst struct {
	Pot   string
	Saves inventory.Money // the order is that much cheaper if the pot holds what is likely
}

// findWeighFirst looks at the pots that make up most of the doubt, and at those
// of paints that are bought though there is some: what the order would cost if
// one of them were known to hold what is likely.
func (q *Question) findWeighFirst(
	ctx context.Context, solve shopping.Solver, now *optimize.Result,
) (*WeighFirst, error) {
	all, err := q.desk.estimator().Sensitivity(&q.Force, q.desk.withComing(), q.needRules)
	if err != nil {
		return nil, err
	}
	var pots []string
	for _, in := range estimate.WeighFirst(all, weighed) {
		pots = append(pots, in.Of)
	}
	for _, id := range q.boughtThoughThere(now) {
		if !slices.Contains(pots, id) {
			pots = append(pots, id)
		}
	}
	var best *WeighFirst
	most, target := int64(0), q.Rules.Confidence
	for _, id := range pots[:min(len(pots), 2*weighed)] {
		other := *q
		other.reckon = q.reckon.with(q.held)
		if !other.reckon.known(id) {
			continue
		}
		var pool []tried
		for _, level := range []float64{
			q.Rules.Reckon.Level,
			evenChance + (q.Rules.Reckon.Level-evenChance)*.9,
		} {
			if _, err := other.try(ctx, solve, other.reckon, target, level, &pool); err != nil {
				return nil, err
			}
		}
		if err := other.spare(ctx, solve, target, &pool); err != nil {
			return nil, err
		}
		found := cheapest(pool, target)
		if found == nil {
			continue
		}
		if saved := now.Totals.Objective - found.Result.Totals.Objective; saved > most {
			most = saved
			best = &WeighFirst{id, inventory.MoneyOfMinor(saved, q.Problem.Currency)}
		}
	}
	return best, nil
}

// boughtThoughThere are the pots of paints that a plan buys though one holds
// some, the fullest first.
func (q *Question) boughtThoughThere(now *optimize.Result) []string {
	var levels []shelf.Level
	for _, b := range now.Paints {
		if b.BuyUL <= 0 {
			continue
		}
		for _, l := range q.desk.Levels {
			if l.Paint == b.Paint && l.Gone == "" && l.Left() > 0 {
				levels = append(levels, l)
			}
		}
	}
	slices.SortStableFunc(levels, func(a, b shelf.Level) int { return cmp.Compare(b.Left(), a.Left()) })
	var out []string
	for _, l := range levels {
		out = append(out, l.Pot)
	}
	return out
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
		r.ranks = r.ranks.restocked(r, p.Paint)
		return true
	}
	return false
}
