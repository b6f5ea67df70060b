package main

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/desk"
	"halfpot/inventory/hand"
	"halfpot/inventory/postgres"
)

func (a *app) estimateFactors() *cobra.Command {
	var history bool
	var pin, reset, accept string
	c := &cobra.Command{
		Use: "factors", Short: "how your hand compares with the estimate, as learned from your pots",
		Long: `From every pot that was judged or weighed, and the work logged on it, halfpot
learns how much paint you put on figures beside the tables (1.2 means a fifth
more), for each method, type and paint, how much you leave on the palette at a
sitting, and what your eye and scale misread. Readings that don't fit (a spill? a
slip?) are listed apart; --accept takes one as it was read. --pin sets a factor
yourself, --reset forgets what was learned of one.`,
		Example: `  halfpot estimate factors
  halfpot estimate factors --history
  halfpot estimate factors --pin wash=1.3
  halfpot estimate factors --reset soot-wash
  halfpot estimate factors --accept soot-wash-1`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			set := func(
				f func(context.Context, *postgres.Tx, *state, string) (func() error, error), typed string,
			) error {
				return a.change(c, nil, "halfpot estimate factors",
					func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
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
	Waste  view.Num   `json:"waste_factor" table:"waste"`
}

func newLearnedFactor(f inventory.Factor) learnedFactor {
	const z = 1.6448536269514722 // standard normal quantile of 0.95: the range holds nine in ten
	return learnedFactor{
		Level:  string(f.Level),
		Key:    f.Key,
		Factor: view.Num(math.Exp(f.LogMean)),
		Low:    view.Num(math.Exp(f.LogMean - z*f.LogSD)),
		High:   view.Num(math.Exp(f.LogMean + z*f.LogSD)),
		Jobs:   view.Count(f.Observations),
		Pinned: f.Pinned,
		Waste:  view.Num(math.Exp(f.WasteMean)),
	}
}

// oddRow is a reading that does not fit.
type oddRow struct {
	Pot string    `json:"pot" table:"pot"`
	At  view.Date `json:"read" table:"read"`
	ML  view.Num  `json:"off_ml" table:"ml"`
	Why string    `json:"why" table:"why"`
}

func newOddRow(o hand.Odd) oddRow {
	why := "more gone than logged: a spill, or a sitting not logged?"
	switch {
	case !o.Gone && o.ML > 0:
		why = "reads too high: misread, or written to the wrong pot?"
	case !o.Gone:
		why = "reads too low: misread, or written to the wrong pot?"
	}
	return oddRow{o.Pot, view.Date{Time: o.At}, view.Num(math.Round(10*math.Abs(o.ML)) / 10), why}
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
		for _, h := range st.FactorHistory() {
			rows = append(rows,
				changeRow{
					Day:    view.Date{Time: h.Factor.Updated},
					Change: string(h.Change),
					Level:  string(h.Factor.Level),
					Key:    h.Factor.Key,
					Factor: view.Num(math.Exp(h.Factor.LogMean)),
					Seen:   view.Known(h.Observed),
					Note:   h.Note,
				})
		}
		return a.list(rows, noFactors)
	}
	doc := struct {
		Factors []learnedFactor `json:"factors"`
		Odd     []oddRow        `json:"odd_readings"`
		Words   []string        `json:"in_words"`
	}{Words: handWords(st.Lesson, st.cat.Tables)}
	for _, f := range st.Lesson.Factors {
		if f.Observations > 0 || f.Pinned {
			doc.Factors = append(doc.Factors, newLearnedFactor(f))
		}
	}
	for _, o := range st.Lesson.Odd {
		doc.Odd = append(doc.Odd, newOddRow(o))
	}
	return a.show(doc, doc.Factors, func(page *view.Page) {
		for _, w := range doc.Words {
			page.Line("%s", w)
		}
		page.List(doc.Factors, noFactors)
		if len(doc.Factors) > 0 {
			page.Note("A factor is the paint you put on figures over what the tables say; " +
				"the range holds nine times out of ten. Waste: what you leave at a sitting, likewise.")
		}
		if len(doc.Odd) > 0 {
			page.Heading("Readings that don't fit")
			page.List(doc.Odd, "")
			page.Note("Nothing is learned from them. " +
				"halfpot estimate factors --accept POT takes one as it was read.")
		}
	})
}

// handWords say in a few lines what the pots have taught.
func handWords(l hand.Lesson, tables coverage.Tables) []string {
	var out []string
	for _, f := range l.Factors {
		if f.Level != inventory.MethodLevel || f.Observations == 0 {
			continue
		}
		d, err := tables.MethodDefaults(coverage.Method(f.Key))
		if err != nil || d.WasteML.Value == 0 {
			continue
		}
		r := newLearnedFactor(f)
		waste := coverage.Estimate{Median: d.WasteML.Value * math.Exp(f.WasteMean), LogSD: f.WasteSD}
		low, high := waste.Range()
		line := fmt.Sprintf("By %s you put on %.1f times the tables' paint (%.1f to %.1f) and leave %.1f "+
			"ml a sitting (%.1f to %.1f), from %s.",
			f.Key, float64(r.Factor), float64(r.Low), float64(r.High), waste.Median, low, high, count(f.Observations, "reading", "readings"))
		const z90 = 1.645
		apart := math.Abs(f.WasteMean) > z90*f.WasteSD || math.Abs(f.LogMean) > z90*f.LogSD
		if f.Observations < 4 && !apart {
			line += " So far that is mostly the tables'."
		}
		out = append(out, line)
	}
	if s := 100 * l.EyeShift.Mean; l.EyeReads >= 4 && math.Abs(s) >= 2 &&
		math.Abs(l.EyeShift.Mean) > l.EyeShift.SD {
		word := "high"
		if s < 0 {
			word = "low"
		}
		out = append(out, fmt.Sprintf("Your eye reads about %.0f %% of a pot %s; that is allowed for.",
			math.Abs(s), word))
	}
	if l.WeighingReads >= 8 && l.Grams >= 0.3 {
		out = append(out, fmt.Sprintf("Your scale seems to err by %.1f g.", l.Grams))
	}
	return out
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
		return nil, usagef("--pin %q: expected a method, type or paint and a factor of 0.05 to 20, "+
			"like wash=1.3", typed)
	}
	f, err := factorNamed(st, name)
	if err != nil {
		return nil, err
	}
	f.LogMean, f.LogSD, f.Pinned = math.Log(v), pinnedSD, true
	err = tx.ChangeFactors(ctx, []inventory.FactorChange{{Factor: f, Change: inventory.FactorPinned}})
	return func() error {
		return a.done(newLearnedFactor(f), "The factor for the %s %s is %s from now on, "+
			"and learns no more.", f.Level, f.Key, view.Num(v))
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
		return a.done(newLearnedFactor(inventory.Factor{Level: f.Level, Key: f.Key}),
			"What was learned of the %s %s is forgotten; it learns anew from now on.", f.Level, f.Key)
	}, err
}

func (a *app) acceptReading(
	ctx context.Context, tx *postgres.Tx, st *state, typed string,
) (func() error, error) {
	pot, err := st.pot(typed)
	if err != nil {
		return nil, err
	}
	var last *hand.Odd
	for i, o := range st.Lesson.Odd {
		if o.Pot != pot.ID {
			continue
		}
		if err := tx.SetSetting(ctx, desk.AcceptedName(o.Pot, o.At), "yes"); err != nil {
			return nil, err
		}
		last = &st.Lesson.Odd[i]
	}
	if last == nil {
		return nil, usagef("%s has no odd reading to accept", pot.ID)
	}
	return func() error {
		return a.done(newOddRow(*last), "Accepted: the reading of %s on %s counts as it was read.",
			last.Pot, view.Date{Time: last.At}.CSVValue())
	}, nil
}
