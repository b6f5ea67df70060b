package shopping

import (
	"context"
	"errors"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/optimize"
)

// OneMore is what one more figure of a unit would cost.
type OneMore struct {
	Unit  string
	Extra inventory.Money // more than the plan as it is
	Buys  []Extra
	None  bool // no plan was found with one more
	Sure  bool // both plans are proven, so that Extra is exact
}

// Extra is a change in the number of boxes bought; below 0: fewer.
type Extra struct {
	Product string
	Shop    string
	Boxes   int64
}

// OneMoreFigure asks for each unit of the force what one more figure costs,
// with all its steps still to do. Under a budget, which fixes the money, it
// returns nothing.
func (a *Answer) OneMoreFigure(
	ctx context.Context, solve Solver, learned inventory.Factors, rules estimate.NeedRules,
) ([]OneMore, error) {
	f := a.Index.Forces[a.Needs.Force]
	if !a.Found() || f == nil || a.Problem.Rules.Budget != nil {
		return nil, nil
	}
	e := estimate.NewEstimator(a.catalogue, learned)
	var out []OneMore
	for i, u := range f.Units {
		more := *f
		more.Units = append([]inventory.Unit(nil), f.Units...)
		more.Units[i].Figures++
		// Done steps open again for the newcomer.
		needs, err := e.Needs(&more, rules)
		if errors.Is(err, estimate.ErrNothingLeft) {
			continue
		}
		if err != nil {
			return nil, err
		}
		q, err := NewQuestion(a.catalogue, needs, a.Stock, a.Rules)
		if err != nil {
			return nil, err
		}
		r, err := solve(ctx, q.Problem)
		if err != nil {
			return nil, err
		}
		one := OneMore{Unit: u.ID, None: r.Totals == nil, Sure: a.proven(r)}
		if !one.None {
			one.Extra = inventory.MoneyOfMinor(cost(r)-cost(a.Result), a.Problem.Currency)
			one.Buys = difference(a.Result, r)
		}
		out = append(out, one)
	}
	return out, nil
}

// difference lists what the second result buys more or less than the first.
func difference(from, to *optimize.Result) []Extra {
	var out []Extra
	for _, b := range to.Buy {
		if d := b.Count - bought(from, b.Product, b.Shop); d != 0 {
			out = append(out, Extra{b.Product, b.Shop, d})
		}
	}
	for _, b := range from.Buy {
		if bought(to, b.Product, b.Shop) == 0 {
			out = append(out, Extra{b.Product, b.Shop, -b.Count})
		}
	}
	return out
}

// ThresholdEffect is what a shop's delivery bands did to a plan.
type ThresholdEffect struct {
	Shop     string
	From     inventory.Money  // the band the order reached
	Fee      inventory.Money  // what that band charges
	BaseFee  inventory.Money  // what the smallest order pays
	Saved    inventory.Money  // dearer the best plan would be if the shop always charged BaseFee
	Changed  []Extra          // what the order holds because of the bands; empty: the same either way
	NextFrom *inventory.Money // the next band, nil where the last is reached
	NextFee  *inventory.Money
	Sure     bool // both plans are proven, so that Saved is exact
}

// Thresholds says for each shop used that has delivery bands what they did.
func (a *Answer) Thresholds(ctx context.Context, solve Solver) ([]ThresholdEffect, error) {
	if !a.Found() || a.Problem.Rules.Budget != nil {
		return nil, nil
	}
	cur := a.Problem.Currency
	var out []ThresholdEffect
	for _, bill := range a.Result.Shops {
		p := varied(a.Problem)
		for i := range p.Shops {
			s := &p.Shops[i]
			if s.ID != bill.Shop || len(s.Delivery) < 2 {
				continue
			}
			bands := s.Delivery
			reached := 0
			for j, b := range bands {
				if b.From <= bill.Goods {
					reached = j
				}
			}
			t := ThresholdEffect{
				Shop:    s.ID,
				From:    inventory.MoneyOfMinor(bands[reached].From, cur),
				Fee:     inventory.MoneyOfMinor(bands[reached].Fee, cur),
				BaseFee: inventory.MoneyOfMinor(bands[0].Fee, cur),
			}
			if reached+1 < len(bands) {
				from := inventory.MoneyOfMinor(bands[reached+1].From, cur)
				fee := inventory.MoneyOfMinor(bands[reached+1].Fee, cur)
				t.NextFrom, t.NextFee = &from, &fee
			}
			s.Delivery = []optimize.Band{bands[0]}
			r, err := solve(ctx, p)
			if err != nil {
				return nil, err
			}
			if r.Totals == nil {
				continue
			}
			t.Sure = a.proven(r)
			t.Saved = inventory.MoneyOfMinor(r.Totals.Objective-a.Result.Totals.Objective, cur)
			t.Changed = difference(r, a.Result)
			out = append(out, t)
		}
	}
	return out, nil
}
