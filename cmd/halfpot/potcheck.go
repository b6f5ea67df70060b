package main

import (
	"bufio"
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
)

// lookRow is a pot worth a look.
type lookRow struct {
	Pot      string       `json:"pot" table:"pot"`
	Name     string       `json:"paint" table:"paint"`
	Left     view.Amount  `json:"left" table:"left"`
	Measured view.Date    `json:"measured" table:"looked at" narrow:"1"`
	Place    string       `json:"place" table:"place" narrow:"2"`
	Share    view.Percent `json:"share_of_doubt"`
	Why      string       `json:"why" table:"why"`
}

func (a *app) potCheck() *cobra.Command {
	var f eventFlags
	var force string
	var list bool
	c := &cobra.Command{
		Use: "check [NUMBER]", Short: "walk the pots most worth a look, and note how full they are",
		Long: `Names the pots most worth a look one after the other (10, or NUMBER of them): first
those that what you plan hangs on, then the ones halfpot knows least about. Answer
each with a level, like half, 1/3 or 6ml, or its weight, like 31.4g; with dry or
gone; with Enter to go on; with q to stop. Each answer is kept at once.

In a pipe it reads one answer a line, for the pots in the same order, or with the
pot's name before it, like "soot wash third", and keeps all of them or, with a bad
one, none. Without an answer it lists the pots.`,
		Example: `  halfpot pot check
  halfpot pot check --list
  halfpot pot check 5 --force harbour-watch
  halfpot pot check < answers.txt`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			n := 10
			if len(args) > 0 {
				var err error
				if n, err = strconv.Atoi(args[0]); err != nil || n < 1 {
					return usagef("%q: expected how many pots, like 5", args[0])
				}
			}
			return a.check(c, n, force, list, f)
		},
	}
	a.once(c)
	f.add(c)
	c.Flags().StringVar(&force, "force", "", "by what `FORCE` hangs on (default: the one you are painting)")
	c.Flags().BoolVar(&list, "list", false, "list the pots and ask nothing")
	complete(a, c, "force", forceNames)
	return c
}

func (a *app) check(c *cobra.Command, n int, force string, list bool, f eventFlags) error {
	st, err := a.state(c.Context())
	if err != nil {
		return err
	}
	var of *inventory.Force
	id, err := forceOr(st.cat, force)
	if err == nil {
		of = st.byID.Forces[id]
	} else if force != "" {
		return err
	}
	looks, err := st.WorthALook(of, n)
	if err != nil {
		return err
	}
	if a.inTerm && !list {
		return a.walk(c, st, looks, f)
	}
	if !list {
		entries, err := a.readAnswers(c.Context(), st, looks)
		if err != nil {
			return err
		}
		if len(entries) > 0 {
			return a.recordAll(c, nil, f, func(*state) ([]potEntry, error) { return entries, nil })
		}
	}
	rows := []lookRow{}
	for _, l := range looks {
		rows = append(rows, newLookRow(st, l))
	}
	return a.list(rows, "No pot needs a look: all are known well enough.")
}

func newLookRow(st *state, l desk.Look) lookRow {
	row := newPotRow(st.byID, l.Pot.Pot, l.Level, st.At)
	why := "unsure"
	switch {
	case l.Share > 0:
		why = "the plan hangs on it"
	case row.Measured.IsZero():
		why = "never looked at"
	}
	return lookRow{row.ID, row.Name, row.Left, row.Measured, row.Place, view.Percent(l.Share), why}
}

// walk asks at a terminal for one pot after the other; what was answered stays
// noted whatever comes after it.
func (a *app) walk(c *cobra.Command, st *state, looks []desk.Look, f eventFlags) error {
	if len(looks) == 0 {
		return a.list([]lookRow{}, "No pot needs a look: all are known well enough.")
	}
	fmt.Fprintln(a.err, "How full? half, 1/3, 6ml, or a weight like 31.4g; dry, gone; Enter goes on, q stops.")
	lines := bufio.NewScanner(a.in)
	for i, l := range looks {
		row := newLookRow(st, l)
		where := ""
		if row.Place != "" {
			where = ", " + row.Place
		}
		for {
			fmt.Fprintf(a.err, "%d of %d  %s (%s%s): %s left? ",
				i+1, len(looks), view.Clean(row.Name), row.Pot, view.Clean(where), row.Left)
			if !lines.Scan() {
				fmt.Fprintln(a.err)
				return lines.Err()
			}
			fill, stop, err := answer(lines.Text(), st.byID.Paints[l.Pot.Pot.Paint])
			if err == nil && fill != nil {
				err = a.recordAll(c, []string{row.Pot}, f, func(*state) ([]potEntry, error) {
					return []potEntry{{row.Pot, fill}}, nil
				})
			}
			if stop {
				return nil
			}
			if err == nil {
				a.stored = false // of this pot; what goes wrong later is of another
				break
			}
			if !badInput(err) && exitCode(err) != exitBadInput {
				return err
			}
			fmt.Fprintln(a.err, "  "+view.Clean(err.Error()))
		}
	}
	return nil
}

// mostAnswers bounds what is read from a pipe.
const mostAnswers = 10000

// readAnswers reads one answer a line, for the pots in their order or for the one
// that is named.
func (a *app) readAnswers(ctx context.Context, st *state, looks []desk.Look) ([]potEntry, error) {
	var entries []potEntry
	next := 0
	lines := bufio.NewScanner(a.in)
	for n := 1; lines.Scan(); n++ {
		if n > mostAnswers || ctx.Err() != nil {
			return nil, usagef("more than %d answers: expected one a pot", mostAnswers)
		}
		words := strings.Fields(lines.Text())
		name, said := "", strings.Join(words, " ")
		if at := namedUntil(words); at > 0 {
			name, said = strings.Join(words[:at], " "), strings.Join(words[at:], " ")
		} else {
			if next >= len(looks) {
				if said == "" {
					continue
				}
				return nil, usagef("line %d: %q comes after the last of %s",
					n, said, count(len(looks), "pot", "pots"))
			}
			name = looks[next].Pot.Pot.ID
			next++
		}
		pot, err := st.pot(name)
		if err != nil {
			return nil, usagef("line %d: %v", n, err)
		}
		fill, stop, err := answer(said, st.byID.Paints[pot.Paint])
		if err != nil {
			return nil, usagef("line %d: %v", n, err)
		}
		if stop {
			break
		}
		if fill != nil {
			entries = append(entries, potEntry{pot.ID, fill})
		}
	}
	return entries, lines.Err()
}

// namedUntil is how many of the words name a pot: those before the answer, which
// is one word or two, like "12 ml" and "two thirds".
func namedUntil(words []string) int {
	n := len(words)
	if n >= 2 && (isAmount(words[n-2]+" "+words[n-1]) || words[n-1] == "g" || words[n-1] == "out") {
		return n - 2
	}
	return max(0, n-1)
}

// answer is what was said of a pot: fill is nil where it was skipped.
func answer(
	said string, paint *inventory.Paint,
) (fill func(*inventory.PotEvent, *inventory.Paint) error, stop bool, err error) {
	said = strings.ToLower(strings.TrimSpace(said))
	e := inventory.PotEvent{Kind: inventory.Judged}
	switch said {
	case "", "-", "skip":
		return nil, false, nil
	case "q", "quit", "stop":
		return nil, true, nil
	case "dry", "dry-out", "dried out":
		e.Kind = inventory.DriedOut
	case "gone":
		e.Kind = inventory.GivenAway
	default:
		if strings.HasSuffix(said, "g") {
			e.Kind = inventory.Weighed
			e.GrossGrams, err = parseGrams("weight", said)
		} else {
			err = setLevel(&e, said, paint)
		}
	}
	return func(to *inventory.PotEvent, _ *inventory.Paint) error {
		to.Kind, to.Fraction, to.Volume, to.GrossGrams = e.Kind, e.Fraction, e.Volume, e.GrossGrams
		return nil
	}, false, err
}
