package main

import (
	"context"
	"math"
	"strconv"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/postgres"
)

func (a *app) estimateFactors() *cobra.Command {
	var history bool
	var pin, reset, accept string
	c := &cobra.Command{
		Use: "factors", Short: "how your hand compares with the estimate, as learned from your pots",
		Long: `Wherever a pot was judged or weighed twice with logged work between, halfpot
compares what was used with what it had estimated. From that it learns a factor for
each method, type and paint: 1.2 means that you use a fifth more. Readings too odd
to learn from (a spill? a slip?) are listed apart; --accept learns from one all the
same. --pin sets a factor yourself, --reset forgets what was learned of one.`,
		Example: `  halfpot estimate factors
  halfpot estimate factors --history
  halfpot estimate factors --pin wash=1.3
  halfpot estimate factors --reset soot-wash
  halfpot estimate factors --accept soot-wash-1`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			set := func(f func(context.Context, *postgres.Tx, *state, string) (func() error, error), typed string) error {
				return a.change(c, nil, "halfpot estimate factors", func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
					st, err := a.stateOf(ctx, tx)
					if err != nil {
						return nil, err
					}
					return f(ctx, tx, st, typed)
				})
			}
			switch {
			case pin != "":
				return set(a.pinFactor, pin)
			case reset != "":
				return set(a.resetFactor, reset)
			case accept != "":
				return set(a.acceptReading, accept)
			}
			st, err := a.state(c.Context())
			if err != nil {
				return err
			}
			return a.showFactors(st, history)
		},
	}
	a.once(c)
	f := c.Flags()
	f.BoolVar(&history, "history", false, "how the factors came about, oldest first")
	f.StringVar(&pin, "pin", "", "set the factor of a method, type or paint: `NAME=FACTOR`, like wash=1.3")
	f.StringVar(&reset, "reset", "", "forget what was learned, or pinned, of `NAME`, a method, type or paint")
	f.StringVar(&accept, "accept", "", "learn from the odd reading of `POT` all the same")
	c.MarkFlagsMutuallyExclusive("history", "pin", "reset", "accept")
	return c
}

// learnedFactor is one factor of the painter's hand.
type learnedFactor struct {
	Level  string     `json:"level" table:"for the"`
	Key    string     `json:"key" table:"name"`
	Factor view.Num   `json:"factor" table:"factor"`
	Low    view.Num   `json:"low" table:"from"`
	High   view.Num   `json:"high" table:"to"`
	Jobs   view.Count `json:"observations" table:"readings"`
	Pinned bool       `json:"pinned" table:"pinned"`
}

func newLearnedFactor(f inventory.Factor) learnedFactor {
	const z = 1.6448536269514722 // standard normal quantile of 0.95: the range holds nine in ten
	return learnedFactor{string(f.Level), f.Key, view.Num(math.Exp(f.LogMean)), view.Num(math.Exp(f.LogMean - z*f.LogSD)),
		view.Num(math.Exp(f.LogMean + z*f.LogSD)), view.Count(f.Observations), f.Pinned}
}

type oddRow struct {
	Pot      string    `json:"pot" table:"pot"`
	From     view.Date `json:"from" table:"from"`
	To       view.Date `json:"to" table:"to"`
	Used     view.Num  `json:"used_ml" table:"used ml"`
	Expected view.Num  `json:"estimated_ml" table:"estimated ml"`
	Why      string    `json:"why" table:"why"`
}

type changeRow struct {
	Day    view.Date  `json:"day" table:"day"`
	Change string     `json:"change" table:"what"`
	Level  string     `json:"level" table:"for the"`
	Key    string     `json:"key" table:"name"`
	Factor view.Num   `json:"factor" table:"factor"`
	Seen   view.Known `json:"observed" table:"observed"`
	Note   string     `json:"note" table:"note"`
}

func (a *app) showFactors(st *state, history bool) error {
	if history {
		rows := []changeRow{}
		for _, h := range st.Lesson.History {
			rows = append(rows, changeRow{view.Date{Time: h.Factor.Updated}, string(h.Change), string(h.Factor.Level), h.Factor.Key,
				view.Num(math.Exp(h.Factor.LogMean)), view.Known(h.Observed), h.Note})
		}
		return a.list(rows, noFactors)
	}
	doc := struct {
		Factors  []learnedFactor `json:"factors"`
		Odd      []oddRow        `json:"odd_readings"`
		Untaught []oddRow        `json:"taught_nothing"`
	}{}
	for _, f := range st.Lesson.Factors {
		doc.Factors = append(doc.Factors, newLearnedFactor(f))
	}
	for _, o := range st.Lesson.Flagged {
		doc.Odd = append(doc.Odd, oddRow{o.Pot, view.Date{Time: o.From}, view.Date{Time: o.To}, view.Num(o.Actual), view.Num(o.Estimated), "far from what was expected"})
	}
	for _, u := range st.Untaught {
		doc.Untaught = append(doc.Untaught, oddRow{Pot: u.Pot, From: view.Date{Time: u.From}, To: view.Date{Time: u.To}, Why: u.Reason})
	}
	return a.show(doc, doc.Factors, func(page *view.Page) {
		page.List(doc.Factors, noFactors)
		if len(doc.Factors) > 0 {
			page.Note("A factor is what you really use over what is estimated; the range holds nine times out of ten.")
		}
		if len(doc.Odd) > 0 {
			page.Heading("Too odd to learn from (a spill? a slip?)")
			page.List(doc.Odd, "")
			page.Note("halfpot estimate factors --accept POT learns from one all the same.")
		}
		for _, u := range doc.Untaught {
			page.Note("  %s, %s to %s, taught nothing: %s", u.Pot, u.From.CSVValue(), u.To.CSVValue(), u.Why)
		}
	})
}

const noFactors = "Nothing learned yet. Log work, and judge or weigh a pot before and after it."

// factorNamed finds the factor a painter means: a method, a type or a paint.
func factorNamed(st *state, typed string) (inventory.Factor, error) {
	for _, f := range st.Lesson.Factors {
		if f.Key == typed {
			return inventory.Factor{Level: f.Level, Key: f.Key}, nil
		}
	}
	if inventory.PaintType(typed).Valid() {
		return inventory.Factor{Level: inventory.TypeLevel, Key: typed}, nil
	}
	if inventory.ValidMethod(inventory.Method(typed)) {
		return inventory.Factor{Level: inventory.MethodLevel, Key: typed}, nil
	}
	id, err := lookup("paint", typed, "halfpot estimate factors", paintNames(st.cat))
	return inventory.Factor{Level: inventory.PaintLevel, Key: id}, err
}

// pinnedSD is how sure a pinned factor is: jobs still scatter about it.
const pinnedSD = 0.05

func (a *app) pinFactor(ctx context.Context, tx *postgres.Tx, st *state, typed string) (func() error, error) {
	name, number, ok := cutLast(typed, "=")
	v, err := strconv.ParseFloat(number, 64)
	if !ok || err != nil || !(v >= 0.05 && v <= 20) {
		return nil, usagef("--pin %q: expected a method, type or paint and a factor of 0.05 to 20, like wash=1.3", typed)
	}
	f, err := factorNamed(st, name)
	if err != nil {
		return nil, err
	}
	f.LogMean, f.LogSD, f.Pinned = math.Log(v), pinnedSD, true
	err = tx.ChangeFactors(ctx, []inventory.FactorChange{{Factor: f, Change: inventory.FactorPinned}})
	return func() error {
		return a.done(newLearnedFactor(f), "The factor for the %s %s is %s from now on, and learns no more.", f.Level, f.Key, view.Num(v))
	}, err
}

func (a *app) resetFactor(ctx context.Context, tx *postgres.Tx, st *state, typed string) (func() error, error) {
	f, err := factorNamed(st, typed)
	if err != nil {
		return nil, err
	}
	f.LogSD = pinnedSD
	err = tx.ChangeFactors(ctx, []inventory.FactorChange{{Factor: f, Change: inventory.FactorReset}})
	return func() error {
		return a.done(newLearnedFactor(inventory.Factor{Level: f.Level, Key: f.Key}), "What was learned of the %s %s is forgotten; it learns anew from now on.", f.Level, f.Key)
	}, err
}

func (a *app) acceptReading(ctx context.Context, tx *postgres.Tx, st *state, typed string) (func() error, error) {
	pot, err := st.pot(typed)
	if err != nil {
		return nil, err
	}
	for _, o := range st.Lesson.Flagged {
		if o.Pot != pot.ID {
			continue
		}
		err := tx.SetSetting(ctx, desk.AcceptedName(o), "yes")
		return func() error {
			return a.done(oddRow{Pot: o.Pot, From: view.Date{Time: o.From}, To: view.Date{Time: o.To}, Used: view.Num(o.Actual), Expected: view.Num(o.Estimated), Why: "accepted"},
				"Accepted: halfpot learns from the reading of %s on %s too.", o.Pot, view.Date{Time: o.To}.CSVValue())
		}, err
	}
	return nil, usagef("%s has no odd reading to accept", pot.ID)
}
