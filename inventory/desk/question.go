package desk

import (
	"context"
	"errors"
	"math"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
	"halfpot/optimize/exact"
)

// Question is what finishing a force asks of shelf and shops.
type Question struct {
	*shopping.Question
	Force inventory.Force

	desk      *Desk
	needRules estimate.NeedRules
	reckon    *reckoner
	held      inventory.Stock // what the plan chosen reckons the shelf lower or higher by
}

// Catalogue is what the question was asked of.
func (q *Question) Catalogue() *inventory.Catalogue { return q.desk.Catalogue }

// Question states what to buy for a force under the painter's rules. It is
// estimate.ErrNothingLeft where every step is done.
func (d *Desk) Question(
	force inventory.Force, rules shopping.Rules, needRules estimate.NeedRules,
) (*Question, error) {
	needs, err := d.Needs(force, needRules)
	if err != nil {
		return nil, err
	}
	q := &Question{Force: force, desk: d, needRules: needRules, reckon: d.reckoner(force, needs)}
	if q.reckon.err != nil {
		return nil, q.reckon.err
	}
	if rules.Confidence == 0 {
		rules.Confidence = estimate.DefaultConfidence
	}
	switch {
	case rules.MoneyAlone:
		rules.CompromisePrice = inventory.Money{}
	case rules.CompromisePrice.IsZero():
		rules.CompromisePrice = d.point
	}
	q.Question, err = q.state(rules, 0)
	return q, err
}

// state states the question at a level, 0 for the one that gives the whole the
// chance the rules ask for.
func (q *Question) state(rules shopping.Rules, level float64) (*shopping.Question, error) {
	return q.stateBy(q.reckon, rules, level)
}

func (q *Question) stateBy(r *reckoner, rules shopping.Rules, level float64) (*shopping.Question, error) {
	reckoning, stock := r.state(math.Min(math.Max(rules.Confidence, evenChance), 0.999), level)
	rules.Reckon = reckoning
	return shopping.NewQuestion(q.desk.Catalogue, r.needs, stock, rules)
}

// ErrTimeUp says that a search came to no proven end.
var ErrTimeUp = errors.New("the time was up before it was proven")

// Compare finds the best plan of each of the usual questions.
func (q *Question) Compare(ctx context.Context) ([]shopping.Contender, error) {
	solve, done := q.solver()
	defer done()
	if _, _, _, err := q.choose(ctx, solve, nil); err != nil {
		return nil, err
	}
	own := q.Rules
	return q.CompareBy(ctx, solve, func(rules shopping.Rules) (*shopping.Answer, error) {
		other, err := q.under(func(r *shopping.Rules) { *r = rules; r.Reckon = nil })
		if err != nil {
			return nil, err
		}
		if rules.ExactColours != own.ExactColours || rules.MoneyAlone != own.MoneyAlone ||
			rules.MaxShops != own.MaxShops ||
			q.Rules.Budget != nil {
			found, _, _, err := other.choose(ctx, solve, usualChances)
			return found, err
		}
		a, err := other.answer(ctx)
		if err != nil {
			return nil, err
		}
		return a.Answer, nil
	})
}

// NextPlans gives the n best plans that differ in what they buy, or ErrTimeUp.
func (q *Question) NextPlans(ctx context.Context, n int) ([]*shopping.Answer, error) {
	solve, done := q.solver()
	defer done()
	if _, _, _, err := q.choose(ctx, solve, nil); err != nil {
		return nil, err
	}
	return q.Question.NextPlans(ctx, proven(solve), n)
}

// solver is the exact solver, watched; done ends the watch.
func (q *Question) solver() (solve shopping.Solver, done func()) {
	d := q.desk
	var report func(optimize.Progress)
	done = func() {}
	if d.options.Watch != nil {
		report, done = d.options.Watch(q.Problem.Currency)
	}
	return func(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
		begun := d.options.Now()
		r, err := exact.Solve(ctx, p, exact.Options{Progress: report})
		if r != nil {
			r.Seconds = d.options.Now().Sub(begun).Seconds()
		}
		return r, err
	}, done
}

// proven turns a solver into one that knows no half answers: what explains a
// plan compares costs, and an unproven cost would tell a tale.
func proven(solve shopping.Solver) shopping.Solver {
	return func(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
		r, err := solve(ctx, p)
		if err == nil && (r.Status == optimize.Feasible || r.Status == optimize.Unsolved) {
			return nil, ErrTimeUp
		}
		return r, err
	}
}

// patience bounds each search that only explains: one that takes longer is
// told as "no time for", and the plan itself is not kept waiting.
const patience = 5 * time.Second

// patient gives every search of a solver a time limit of its own; a small problem,
// which is done within it on any machine that is not overrun, has longer, so that
// what is told does not hang on the machine's load.
func patient(solve shopping.Solver, limit time.Duration) shopping.Solver {
	return func(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
		limit := limit
		if len(p.Needs) <= quickNeeds {
			limit = max(limit, levelPatience)
		}
		ctx, cancel := context.WithTimeout(ctx, limit)
		defer cancel()
		return solve(ctx, p)
	}
}

// explaining is the solver for searches that only explain.
func (q *Question) explaining() (solve shopping.Solver, done func()) {
	solve, done = q.solver()
	return proven(patient(solve, patience)), done
}

// timeUp tells errors that only say that a search took too long.
func timeUp(err error) bool {
	return errors.Is(err, ErrTimeUp) || errors.Is(err, context.DeadlineExceeded)
}
