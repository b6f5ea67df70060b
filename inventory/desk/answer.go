package desk

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
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
	// The time was up before it was known how little of each paint is enough for the
	// chance: the plan is the best for what was reckoned, and another may do for less.
	Hasty bool

	Chance Chance // that nothing runs short with this plan
	// What other chances cost, from low to high; the plan's own among them. Empty
	// under a budget; those the time did not reach are left out.
	Chances []ChanceCost
	Weighed Weighed
	Weigh   *WeighFirst // nil: weighing no pot would save anything, or it was not looked at

	question *Question
}

// Answer finds the best plan. Where the time is up it is the best found so far,
// and what only explains it may be left out.
func (q *Question) Answer(ctx context.Context) (*Answer, error) {
	a, err := q.answer(ctx)
	if err != nil || !a.Found() {
		return a, err
	}
	if len(a.Chances) > 0 && len(a.Result.Buy) > 0 && len(q.Problem.Needs) <= quickNeeds {
		solve, done := q.explaining()
		defer done()
		a.Weigh, err = q.findWeighFirst(ctx, solve, a.Result)
	}
	return a, err
}

// answer is Answer without what pots to weigh.
func (q *Question) answer(ctx context.Context) (*Answer, error) {
	solve, done := q.solver()
	found, chances, hasty, err := q.choose(ctx, solve, usualChances)
	done()
	if err != nil {
		return nil, err
	}
	a := &Answer{Answer: found, question: q, Chances: chances, Hasty: hasty}
	if a.List, err = found.List(); err != nil || !found.Found() {
		return a, err
	}
	a.Chance = q.reckon.of(q.Question, found.Result)
	if a.NoneFinished = q.Rules.Budget != nil && len(a.List.Unfinished) == q.Needs.Units(); a.NoneFinished && a.List.Proven() {
		if err := a.findCheapest(ctx); err != nil {
			return nil, err
		}
	}
	if len(a.Chances) > 0 && len(q.Problem.Needs) <= quickNeeds {
		if err := a.weigh(ctx); err != nil {
			return nil, err
		}
	}
	return a, nil
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

// tried is a plan with the chance that it has.
type tried struct {
	*shopping.Answer
	chance Chance
	held   inventory.Stock // what the shelf was reckoned lower or higher by
}

// search tries plans for a chance and adds them to those tried; the first is that
// at the level which is right where every step is done as its recipe asks. A plan
// that does otherwise is counted, and where it is less sure the shelf is reckoned
// lower. Whole pots round up, so that a plan often gives more: then lower levels
// are tried too. What was tried for other chances is not tried again.
func (q *Question) search(ctx context.Context, solve shopping.Solver, target float64, pool *[]tried) error {
	r := q.reckon.again()
	// settled is the plan at a level once the shelf is reckoned as the plan uses it.
	settled := func(level float64) (*tried, error) {
		var now *tried
		for i := range tightenings {
			var err error
			if now = nearby(*pool, target, level); i > 0 || now == nil {
				now, err = q.try(ctx, solve, r, target, level, pool)
			} else {
				r = r.with(now.held)
			}
			if err != nil || now == nil || now.chance.Enough >= target || ctx.Err() != nil {
				return now, err
			}
			if !r.tighten(now.Question, now.Result, target, now.Rules.Reckon.Level) {
				break
			}
		}
		return now, nil
	}
	now, err := settled(0)
	if err != nil || now == nil {
		return err
	}
	level := now.Rules.Reckon.Level
	for range levelTries {
		if now.chance.Enough >= target || ctx.Err() != nil {
			break
		}
		level = math.Min((1+level)/2, 0.999)
		if now, err = settled(level); err != nil || now == nil {
			return err
		}
	}
	low, high := evenChance, level
	for range lowerTries {
		if now.chance.Enough < target || len(now.Result.Buy) == 0 || high-low < 0.02 || ctx.Err() != nil {
			break
		}
		level = (low + high) / 2
		lower, err := settled(level)
		if err != nil {
			return err
		}
		if lower == nil || lower.chance.Enough < target {
			low = level
			continue
		}
		now, high = lower, level
	}
	return nil
}

// spare finds plans that buy less: what the shelf may well do by itself need not
// be bought where the whole has the chance without it.
func (q *Question) spare(ctx context.Context, solve shopping.Solver, target float64, pool *[]tried) error {
	for best := cheapest(*pool, target); best != nil && ctx.Err() == nil; {
		r := q.reckon.with(best.held)
		if !r.spend(best.Question, best.Result, target) {
			break
		}
		less, err := q.try(ctx, solve, r, target, best.Rules.Reckon.Level, pool)
		if err != nil {
			return err
		}
		if less == nil || less.chance.Enough < target ||
			less.Result.Totals.Objective >= best.Result.Totals.Objective {
			break
		}
		best = less
	}
	return nil
}

// try finds the plan at a level and adds it to those tried; nil where the time
// is up or there is none.
func (q *Question) try(
	ctx context.Context, solve shopping.Solver, r *reckoner, target, level float64, pool *[]tried,
) (*tried, error) {
	rules := q.Rules
	rules.Confidence, rules.Reckon = target, nil
	other, err := q.stateBy(r, rules, level)
	if err != nil {
		return nil, err
	}
	for i := range *pool {
		t := &(*pool)[i]
		if t.Rules.Confidence == target && t.Rules.Reckon.Level == other.Rules.Reckon.Level &&
			maps.Equal(t.held, r.held) {
			return t, nil
		}
	}
	found, err := other.Solve(ctx, patient(solve, levelPatience))
	if timeUp(err) {
		return nil, nil
	}
	if err != nil || !found.Found() || found.Result.Status != optimize.Optimal {
		return nil, err
	}
	*pool = append(*pool, tried{found, r.of(other, found.Result), maps.Clone(r.held)})
	return &(*pool)[len(*pool)-1], nil
}

// nearby is a plan tried for another chance at all but the same level: the cheapest
// that has this chance, or else the surest; nil: there is none.
func nearby(pool []tried, target, level float64) (best *tried) {
	for i := range pool {
		t := &pool[i]
		if math.Abs(t.Rules.Reckon.Level-level) > min(0.01, 0.2*(1-level)) {
			continue
		}
		switch enough := t.chance.Enough >= target; {
		case best == nil, enough && best.chance.Enough < target,
			enough && t.Result.Totals.Objective < best.Result.Totals.Objective,
			!enough && t.chance.Enough > best.chance.Enough:
			best = t
		}
	}
	return best
}

// cheapest is the cheapest plan tried that has a chance, of those at one cost the
// surest, and of those the one that reckons least; nil: none.
func cheapest(pool []tried, target float64) *tried {
	var best *tried
	for i := range pool {
		t := &pool[i]
		if t.chance.Enough < target {
			continue
		}
		if best == nil || cmp.Or(
			cmp.Compare(t.Result.Totals.Objective, best.Result.Totals.Objective),
			cmp.Compare(best.chance.Enough, t.chance.Enough),
			cmp.Compare(t.Rules.Reckon.Level, best.Rules.Reckon.Level),
		) < 0 {
			best = t
		}
	}
	return best
}

// gather tries plans for the chances asked for and for the one of the rules, first
// of all the plan at the level at which the whole has it; every plan that is tried
// for one of them serves the others too. Where the first is no proven plan it comes
// alone. The plans for the chance of the rules are hasty where the time was up before
// all were tried.
func (q *Question) gather(
	ctx context.Context, solve shopping.Solver, asked []float64,
) (first *shopping.Answer, pool []tried, hasty bool, err error) {
	first, err = q.Solve(ctx, solve)
	if err != nil || !first.Found() || q.Rules.Budget != nil || first.Result.Status != optimize.Optimal {
		return first, nil, false, err
	}
	own := func(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
		r, err := proven(solve)(ctx, p) // as long as the painter lets it
		hasty = hasty || timeUp(err)
		return r, err
	}
	pool = []tried{{first, q.reckon.of(q.Question, first.Result), nil}}
	target := q.Rules.Confidence
	explain := proven(patient(solve, patience))
	for _, step := range []func(context.Context, shopping.Solver, float64, *[]tried) error{q.search, q.spare} {
		for i, a := range append([]float64{target}, asked...) {
			if i > 0 && (a == target || len(q.Problem.Needs) > quickNeeds) {
				continue // one long search is enough to wait for
			}
			with := explain
			if i == 0 {
				with = own
			}
			if err := step(ctx, with, a, &pool); err != nil {
				return nil, nil, false, err
			}
			hasty = hasty || i == 0 && ctx.Err() != nil
		}
	}
	return first, pool, hasty, nil
}

// choose finds the cheapest plan that has the chance asked for, and what other
// chances cost.
func (q *Question) choose(
	ctx context.Context, solve shopping.Solver, asked []float64,
) (found *shopping.Answer, chances []ChanceCost, hasty bool, err error) {
	target := q.Rules.Confidence
	if asked = slices.Clone(asked); !slices.Contains(asked, target) {
		asked = append(asked, target)
		slices.Sort(asked)
	}
	first, pool, hasty, err := q.gather(ctx, solve, asked)
	if err != nil || pool == nil {
		return first, nil, false, err
	}
	for _, a := range asked {
		if t := cheapest(pool, a); t != nil {
			total := t.Result.Totals
			chances = append(chances, ChanceCost{
				a,
				inventory.MoneyOfMinor(total.Goods+total.Delivery, q.Problem.Currency),
				total.Points,
				t.chance,
			})
		}
	}
	best := cheapest(pool, target)
	if best == nil { // not to be had for any money on offer: the surest there is
		best = &pool[0]
		for i := range pool {
			if pool[i].chance.Enough > best.chance.Enough {
				best = &pool[i]
			}
		}
	}
	q.Question, q.held = best.Question, best.held
	q.Question.Rules.Confidence = target
	return best.Answer, chances, hasty, nil
}

// usualChances are those of which an answer says what they cost.
var usualChances = []float64{.5, .8, .9, .95, .99}

// beside are those of them next to a chance: what is tried for them serves it too.
func beside(chance float64) []float64 {
	i, found := slices.BinarySearch(usualChances, chance)
	above := i
	if found {
		above++
	}
	return append(slices.Clone(usualChances[max(i-1, 0):i]),
		usualChances[above:min(above+1, len(usualChances))]...)
}

const (
	levelTries    = 3
	tightenings   = 3
	lowerTries    = 4
	levelPatience = time.Minute
	// so many steps are searched in well under a second; a clock would let the answer depend on the
	// machine's load
	quickNeeds = 200
	evenChance = 0.5
)

// ChanceCost is what a plan for a chance costs.
type ChanceCost struct {
	Asked  float64
	Total  inventory.Money
	Points int64
	Chance Chance // that the plan has
}
