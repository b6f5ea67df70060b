package desk

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/shopping"
)

// mostTrades bounds a trade-off: each trade is a search of its own.
const mostTrades = 60

// Trade is one way to weigh money against faithfulness: of the plans that have the
// chance asked for, none tried is as cheap with fewer points.
type Trade struct {
	List   *shopping.ShoppingList
	Points int64
	Cost   int64           // goods and delivery, minor units
	Extra  inventory.Money // dearer than the cheapest
	Chance Chance
}

// TradeOff lists the best trades between money and faithfulness to the recipes, most
// faithful first. Each plan is proven the best for its points, if the needs are as it
// reckons them; since a plan's chance hangs on more than that, the answer to the
// question as it was asked is among those tried. Whole says that the search went
// through to plans without a point, or to where there is none with fewer. Where the
// time is up, what was found so far is given.
func (q *Question) TradeOff(ctx context.Context) (trades []Trade, whole bool, err error) {
	solve, done := q.solver()
	defer done()
	var all []tried
	var most *int
	for range mostTrades {
		other, err := q.under(func(r *shopping.Rules) {
			r.CompromisePrice, r.MaxPoints = inventory.Money{}, most
		})
		if err != nil {
			return nil, false, err
		}
		var asked []float64
		if most == nil {
			asked = usualChances
		}
		first, pool, _, err := other.gather(ctx, proven(solve), asked)
		if timeUp(err) {
			break
		}
		if err != nil {
			return nil, false, err
		}
		all = append(all, pool...)
		if whole = !first.Found() || first.Result.Totals.Points == 0; whole {
			break
		}
		least := first.Result.Totals.Points
		for _, t := range pool {
			if t.chance.Enough >= q.Rules.Confidence {
				least = min(least, t.Result.Totals.Points)
			}
		}
		if whole = least == 0; whole {
			break
		}
		next := int(least) - 1
		most = &next
	}
	if whole && len(all) > 0 {
		// Orders in the recipes' own colours are reckoned otherwise than those with no
		// point to spend, and may be better.
		faithful, err := q.under(func(r *shopping.Rules) {
			r.ExactColours, r.CompromisePrice = true, inventory.Money{}
		})
		if err != nil {
			return nil, false, err
		}
		switch _, pool, _, err := faithful.gather(ctx, proven(solve), nil); {
		case err == nil:
			all = append(all, pool...)
		case !timeUp(err) && !errors.Is(err, shopping.ErrBegun):
			return nil, false, err
		}
		same, err := q.under(func(*shopping.Rules) {})
		if err != nil {
			return nil, false, err
		}
		own, err := same.answer(ctx)
		if err != nil && !timeUp(err) {
			return nil, false, err
		}
		if whole = err == nil && !own.Hasty; err == nil && own.Found() {
			all = append(all, tried{Answer: own.Answer, chance: own.Chance})
		}
	}
	trades, err = q.bestTrades(all)
	return trades, whole, err
}

// bestTrades are those of the plans that no other betters.
func (q *Question) bestTrades(all []tried) (out []Trade, err error) {
	cost := func(t tried) int64 { return t.Result.Totals.Goods + t.Result.Totals.Delivery }
	all = slices.DeleteFunc(all, func(t tried) bool { return t.chance.Enough < q.Rules.Confidence })
	slices.SortStableFunc(all, func(a, b tried) int {
		return cmp.Or(cmp.Compare(a.Result.Totals.Points, b.Result.Totals.Points), cmp.Compare(cost(a), cost(b)))
	})
	for _, t := range all {
		if len(out) > 0 && cost(t) >= out[len(out)-1].Cost {
			continue
		}
		one := Trade{Points: t.Result.Totals.Points, Cost: cost(t), Chance: t.chance}
		if one.List, err = t.List(); err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	for i := range out {
		out[i].Extra = inventory.MoneyOfMinor(out[i].Cost-out[len(out)-1].Cost, q.Problem.Currency)
	}
	return out, nil
}

// under is the same question under changed rules.
func (q *Question) under(change func(*shopping.Rules)) (*Question, error) {
	rules := q.Rules
	rules.Reckon = nil
	change(&rules)
	other := &Question{Force: q.Force, desk: q.desk, needRules: q.needRules, reckon: q.reckon.again()}
	var err error
	other.Question, err = other.state(rules, 0)
	return other, err
}

// Weighed is what a plan's compromises are set against.
type Weighed struct {
	// dearer than the plan: all in the recipes' own colours; nil: no plan does that, or it is not
	// known
	Exact *inventory.Money
	Alone *inventory.Money // cheaper than the plan: points not counted; nil: not known
}

// weigh finds what staying exact would cost and what counting no points would save.
// Levels are searched by halves, so the exact plan may turn out better than the one
// found: then it is the answer.
func (a *Answer) weigh(ctx context.Context) error {
	q := a.question
	solve, done := q.explaining()
	defer done()
	plan := func(asked []float64, change func(*shopping.Rules)) (*shopping.Answer, error) {
		other, err := q.under(change)
		if err == nil {
			var found *shopping.Answer
			var chances []ChanceCost
			if found, chances, _, err = other.choose(ctx, solve, asked); err == nil && found.Found() {
				a.cheaper(chances)
				return found, nil
			}
		}
		if errors.Is(err, shopping.ErrBegun) || timeUp(err) {
			err = nil
		}
		return nil, err
	}
	less := func(of *shopping.Answer) *inventory.Money {
		t, own := of.Result.Totals, a.Result.Totals
		m := inventory.MoneyOfMinor(t.Goods+t.Delivery-own.Goods-own.Delivery, q.Problem.Currency)
		return &m
	}
	var exact *shopping.Answer
	if a.Result.Totals.Points > 0 {
		var err error
		exact, err = plan(usualChances, func(r *shopping.Rules) { r.ExactColours = true })
		if err != nil {
			return err
		}
		if exact != nil {
			if exact.Result.Totals.Objective <= a.Result.Totals.Objective {
				if err := a.take(exact); err != nil {
					return err
				}
			}
			a.Weighed.Exact = less(exact)
		}
	}
	if !q.Rules.CompromisePrice.IsZero() && !q.Rules.ExactColours {
		alone, err := plan(beside(q.Rules.Confidence), func(r *shopping.Rules) {
			r.CompromisePrice = inventory.Money{}
		})
		if err != nil {
			return err
		}
		if alone != nil {
			if err := a.better(ctx, solve, alone); err != nil {
				return err
			}
			a.Weighed.Alone = less(alone)
			if exact != nil {
				a.Weighed.Exact = less(exact)
			}
		}
	}
	return nil
}

// cheaper takes what plans found on the way cost for other chances, where that is
// less; what the answer itself costs stays with it.
func (a *Answer) cheaper(chances []ChanceCost) {
	weight := func(c ChanceCost) int64 {
		total, _ := c.Total.Minor()
		return total + a.question.Problem.Rules.CompromisePrice*c.Points
	}
	for i, was := range a.Chances {
		for _, c := range chances {
			if c.Asked == was.Asked && c.Asked != a.question.Rules.Confidence && weight(c) < weight(was) {
				a.Chances[i] = c
			}
		}
	}
}

// better answers the question anew, reckoned as a plan for money alone is, and takes
// that where it is better and sure enough.
func (a *Answer) better(ctx context.Context, solve shopping.Solver, alone *shopping.Answer) error {
	q := a.question
	t := alone.Result.Totals
	if t.Goods+t.Delivery >= a.Result.Totals.Objective {
		return nil
	}
	rules := q.Rules
	rules.Reckon = alone.Rules.Reckon
	other, err := alone.With(rules)
	if err != nil {
		return err
	}
	found, err := other.Solve(ctx, solve)
	if timeUp(err) ||
		err == nil && (!found.Found() || found.Result.Totals.Objective >= a.Result.Totals.Objective) {
		return nil
	}
	if err != nil {
		return err
	}
	if q.reckon.of(other, found.Result).Enough < q.Rules.Confidence {
		return nil
	}
	return a.take(found)
}

// take makes another plan the answer, as one to the question as it was asked.
func (a *Answer) take(other *shopping.Answer) (err error) {
	q := a.question
	rules := q.Rules
	rules.Reckon = other.Rules.Reckon
	if q.Question, err = other.With(rules); err != nil {
		return err
	}
	a.Answer = &shopping.Answer{Question: q.Question, Result: other.Result}
	a.Chance = q.reckon.of(q.Question, other.Result)
	for i := range a.Chances {
		t := other.Result.Totals
		price := q.Problem.Rules.CompromisePrice
		was, _ := a.Chances[i].Total.Minor()
		// Who asks for less takes a surer plan where that is better.
		better := t.Goods+t.Delivery+price*t.Points < was+price*a.Chances[i].Points
		if asked := a.Chances[i].Asked; asked == rules.Confidence || asked < rules.Confidence && better {
			a.Chances[i] = ChanceCost{
				asked,
				inventory.MoneyOfMinor(t.Goods+t.Delivery, q.Problem.Currency),
				t.Points,
				a.Chance,
			}
		}
	}
	a.List, err = a.Answer.List()
	return err
}
