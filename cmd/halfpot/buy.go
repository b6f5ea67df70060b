package main

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/estimate"
	"halfpot/optimize"
)

type buyOptions struct {
	ruleFlags
	compare bool
	next    int
	why     bool
	trade   bool
	picture string
	order   bool
	again   bool
}

func (a *app) buyCommand() *cobra.Command {
	var o buyOptions
	c := &cobra.Command{
		Use: "buy [FORCE]", Short: "the cheapest order that finishes a force, proven",
		Long: `Works out what to buy so that a force can be finished: which pots and sets, at
which shops, delivery and all, using up what is on the shelf, taking stand-ins
where that pays and keeping together what must look alike. A point of compromise
in a unit counts as a quarter of a usual pot unless you say (--compromise-price,
--money-alone), and where it departs from the recipes it says so. The answer is
proven: no other order that does it is better. With --time-limit, or after Ctrl-C,
it is the best found so far, with how far from best it can be at most.

The flags ask "what if": fewer shops, a budget, without a shop or a range, only
the recipes' own colours, or any paint whose colour comes near. --compare sets the
usual questions side by side, --trade-off all best orders between money and
colours, --why says what each line is there for, --next shows the next best
orders. FORCE can be left out where you paint only one.`,
		Example: `  halfpot buy harbour-watch
  halfpot buy harbour-watch --max-shops 1 --why
  halfpot buy harbour-watch --budget "25 EUR"
  halfpot buy harbour-watch --by-colour 3       other paints and mixes that come near
  halfpot buy harbour-watch --trade-off         money against faithfulness
  halfpot buy harbour-watch --compare
  halfpot buy harbour-watch --quiet             the order and nothing else
  halfpot buy harbour-watch --order             keep the list as orders that are on their way
  halfpot buy harbour-watch --format csv > order.csv`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if o.next < 0 || o.next > maxNext {
				return usagef("--next %d: expected 1 to %d", o.next, maxNext)
			}
			if o.picture != "" && !o.trade {
				return usagef("--picture draws the trade-off: expected --trade-off too")
			}
			if o.order {
				return a.buyAndOrder(c, args, o)
			}
			return a.buy(c, strings.Join(args, ""), o)
		},
	}
	o.add(a, c)
	f := c.Flags()
	f.BoolVar(&o.compare, "compare", false, "set the cheapest beside one shop, exact colours and fewest pots")
	f.IntVar(&o.next, "next", 0, "show the next best `N` orders too")
	f.BoolVar(&o.trade, "trade-off", false,
		"every best order between the cheapest and the most faithful, as a table and a plot")
	f.StringVar(&o.picture, "picture", "", "draw the trade-off into `FILE`.svg")
	f.BoolVar(&o.why, "why", false, "say what each line is there for, and what came close")
	f.BoolVar(&o.order, "order", false, "keep the list as orders, one for each shop: you have ordered it")
	f.BoolVar(&o.again, "again", false, "keep it although the same was ordered there today")
	c.MarkFlagsMutuallyExclusive("compare", "next", "why", "trade-off")
	c.MarkFlagsMutuallyExclusive("compare", "next", "order", "trade-off")
	a.once(c)
	return exits(completeArg(a, c, forceNames), exitNoPlan, exitLimit)
}

// maxNext bounds --next: each further order is a search of its own.
const maxNext = 20

func (a *app) buy(c *cobra.Command, typed string, o buyOptions) error {
	ctx := c.Context()
	q, err := a.ask(c, typed, o.ruleFlags)
	if errors.Is(err, estimate.ErrNothingLeft) {
		return a.nothingLeft(typed)
	}
	if err != nil {
		return err
	}
	ctx, cancel := limited(ctx, o.timeLimit)
	defer cancel()
	switch {
	case o.compare:
		return a.compare(ctx, q)
	case o.trade:
		return a.tradeOff(ctx, q, o.picture)
	case o.next > 0:
		return a.nextBest(ctx, q, o.next)
	}
	answer, err := q.Answer(ctx)
	if err != nil {
		return err
	}
	doc := newBuyDoc(q, answer)
	if o.why && answer.Found() {
		why, err := answer.Why(ctx)
		if err != nil {
			return err
		}
		doc.Why = newWhyDoc(q.Index, why)
	}
	if err := a.show(doc, doc.lines(), func(page *view.Page) {
		doc.show(page, a.quiet)
		if !a.quiet {
			orderNote(page, q.Catalogue(), func(id string) bool {
				return slices.ContainsFunc(q.Force.Units, func(u inventory.Unit) bool { return u.Recipe == id })
			})
		}
	}); err != nil {
		return err
	}
	return outcomeOf(answer)
}

// limited is a context that ends after a time limit, if there is one.
func limited(ctx context.Context, limit time.Duration) (context.Context, context.CancelFunc) {
	if limit > 0 {
		return context.WithTimeout(ctx, limit)
	}
	return ctx, func() {}
}

// ask states the question for a force under the rules typed.
func (a *app) ask(c *cobra.Command, typed string, r ruleFlags) (*desk.Question, error) {
	st, err := a.state(c.Context())
	if err != nil {
		return nil, err
	}
	id, err := forceOr(st.cat, typed)
	if err != nil {
		return nil, err
	}
	if r.withoutOrders {
		st.WithoutOrders()
	}
	rules, err := r.rules(c, st.cat)
	if err != nil {
		return nil, err
	}
	return st.Question(*st.byID.Forces[id], rules, r.needs(st))
}

// outcomeOf is outcome for an answer, which may have been hasty.
func outcomeOf(answer *desk.Answer) error {
	if answer.Hasty {
		return shown(exitLimit)
	}
	return outcome(answer.Result)
}

// outcome tells the shell how far a search came.
func outcome(r *optimize.Result) error {
	switch r.Status {
	case optimize.Infeasible:
		return shown(exitNoPlan)
	case optimize.Feasible, optimize.Unsolved:
		if r.Stop == optimize.ByPrecision {
			return shown(exitOther)
		}
		return shown(exitLimit)
	}
	return nil
}

func (a *app) nothingLeft(force string) error {
	doc := buyDoc{Force: force, Status: string(optimize.Optimal)}
	return a.show(doc, doc.lines(), func(page *view.Page) {
		page.Line("Every step of every unit is done: there is nothing to buy.")
	})
}
