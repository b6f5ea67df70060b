package main

import (
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
	"halfpot/inventory/shelf"
)

func (a *app) potCommand() *cobra.Command {
	return holder("pot", "one pot: what is left, and what happened to it",
		`Every pot has a list of what happened to it. Nothing in the list is ever changed or
removed; a slip is put right by correcting it, and what is left in the pot is
reckoned from the list. A pot is called by its id, or by its paint where you have
only one pot of that; the beginning of either is enough where it fits one pot only.`,
		`  halfpot pot show pale-bone-1
  halfpot pot judge pale-bone-1 half
  halfpot pot weigh pale-bone-1 31.4g --tare 14.2g
  halfpot pot correct pale-bone-1 3 --note "that was the other pot"`,
		a.potShow(), a.potEvents(), a.potCheck(),
		a.potEvent(eventKind{
			use: "open POT...", short: "it was opened", kind: inventory.Opened,
			long: `Notes when a pot was opened: from then on it slowly dries. For one that is open
already only an earlier day (--at) changes anything.`,
			example: "  halfpot pot open pale-bone-1\n  halfpot pot open pale-bone-1 --at 2026-02-14",
		}),
		a.potEvent(eventKind{
			use: "judge POT LEVEL...", short: "judge by eye what is left", kind: inventory.Judged,
			long: `Notes how full a pot looks: full, half, third, quarter or empty, a part like 2/3 or
40%, or a volume like 12ml. Halfpot knows that an eye errs and weighs it against
what else it knows. Several pots go in one line, each with its level.`,
			example: "  halfpot pot judge pale-bone-1 half\n  halfpot pot judge pale-bone-1 40%\n" +
				"  halfpot pot judge pale half soot 1/3 moss 12ml",
			measure: setLevel,
		}),
		a.potWeigh(),
		a.potEvent(eventKind{
			use: "use POT AMOUNT...", short: "a measured amount was used", kind: inventory.Used,
			long: `Notes an amount you measured as you took it out. Work logged with halfpot log is
drawn from the pots by itself; don't enter it twice.`,
			example: "  halfpot pot use pale-bone-1 1.5ml",
			measure: setVolume,
		}),
		a.potEvent(eventKind{
			use: "spill POT LEVEL...", short: "some of it was spilled", kind: inventory.Spilled,
			long: `Notes an accident: the amount lost, or the part of what was there. Nothing is
learned from it.`,
			example: "  halfpot pot spill pale-bone-1 half\n  halfpot pot spill pale-bone-1 3ml",
			measure: setLevel,
		}),
		a.potThin(),
		a.potEvent(eventKind{
			use: "dry-out POT...", short: "it has dried out", kind: inventory.DriedOut,
			long: "Notes that nothing usable is left.", example: "  halfpot pot dry-out pale-bone-1",
		}),
		a.potEvent(eventKind{
			use: "give-away POT...", short: "it is no longer yours", kind: inventory.GivenAway,
			long:    "Notes that a pot was given away, sold or thrown out.",
			example: "  halfpot pot give-away pale-bone-1 --note \"to the club\"",
		}),
		a.potCorrect(), a.potRules())
}

// eventKind says how one kind of event is typed.
type eventKind struct {
	use, short, long, example string
	kind                      inventory.EventKind
	measure                   func(e *inventory.PotEvent, typed string, p *inventory.Paint) error // nil: none
}

func setLevel(e *inventory.PotEvent, typed string, p *inventory.Paint) error {
	l, err := parseLevel(typed, p)
	e.Fraction, e.Volume = l.Part, l.Volume
	return err
}

func setVolume(e *inventory.PotEvent, typed string, p *inventory.Paint) error {
	v, err := parseAmount(typed, p)
	e.Volume = &v
	return err
}

// eventFlags are those of every event.
type eventFlags struct{ at, note string }

func (f *eventFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&f.at, "at", "", "`DAY` it happened, like 2026-03-01 or yesterday (default now)")
	c.Flags().StringVar(&f.note, "note", "", "a `REMARK` to keep with it")
}

func (a *app) potEvent(k eventKind) *cobra.Command {
	var f eventFlags
	least := 1
	if k.measure != nil {
		least = 2
	}
	c := &cobra.Command{
		Use: k.use, Short: k.short, Long: k.long, Example: k.example,
		Args: cobra.MinimumNArgs(least),
		RunE: func(c *cobra.Command, args []string) error {
			fill := func(amount string) func(*inventory.PotEvent, *inventory.Paint) error {
				return func(e *inventory.PotEvent, paint *inventory.Paint) error {
					e.Kind = k.kind
					if k.measure == nil {
						return nil
					}
					return k.measure(e, amount, paint)
				}
			}
			if k.measure == nil {
				return a.recordAll(c, args, f, func(s *state) (entries []potEntry, err error) {
					for _, pot := range together(args, potNames(s.cat, s.shelf)) {
						entries = append(entries, potEntry{pot, fill("")})
					}
					return entries, nil
				})
			}
			pairs, err := amounts(args)
			if err != nil {
				return err
			}
			return a.recordAll(c, args, f, func(*state) (entries []potEntry, err error) {
				for _, p := range pairs {
					entries = append(entries, potEntry{p[0], fill(p[1])})
				}
				return entries, nil
			})
		},
	}
	a.completeShelf(c, "", potNames)
	a.once(c)
	f.add(c)
	return c
}

func (a *app) potWeigh() *cobra.Command {
	var f eventFlags
	var tare string
	c := &cobra.Command{
		Use: "weigh POT GRAMS", Short: "weigh the whole pot",
		Long: `Notes what the pot weighs, lid and all: the surest way to know what is left. With
the weight of the empty pot (--tare) and the paint's density this gives the
volume; an empty pot of the same product may have taught the tare already.`,
		Example: "  halfpot pot weigh pale-bone-1 31.4g --tare 14.2g\n  halfpot pot weigh pale-bone-1 28.9",
		Args:    cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.record(c, args, f, func(e *inventory.PotEvent, _ *inventory.Paint) (err error) {
				e.Kind = inventory.Weighed
				if e.GrossGrams, err = parseGrams("weight", args[1]); err != nil {
					return err
				}
				if tare != "" {
					e.TareGrams, err = parseGrams("--tare", tare)
				}
				return err
			})
		},
	}
	a.once(c)
	f.add(c)
	a.completeShelf(c, "", potNames)
	c.Flags().StringVar(&tare, "tare", "", "`GRAMS` the pot weighs empty, with its lid, like 14.2g")
	return c
}

func (a *app) potThin() *cobra.Command {
	var f eventFlags
	var added string
	c := &cobra.Command{
		Use: "thin POT", Short: "water or thinner was stirred back in",
		Long: `Notes that a thickened pot was thinned: to the strength it was sold at, or, with
--added, by what you measured. Halfpot then asks for less water, or for none; the
paint in the pot stays as much as it was.`,
		Example: "  halfpot pot thin pale-bone-1\n  halfpot pot thin pale-bone-1 --added 0.5ml",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.record(c, args, f, func(e *inventory.PotEvent, p *inventory.Paint) error {
				e.Kind = inventory.Thinned
				if !c.Flags().Changed("added") {
					return nil
				}
				if err := setVolume(e, added, p); err != nil {
					return err
				}
				if *e.Volume <= 0 {
					return usagef("--added %s: expected more than nothing, like 0.5ml", added)
				}
				return nil
			})
		},
	}
	a.once(c)
	f.add(c)
	a.completeShelf(c, "", potNames)
	c.Flags().StringVar(&added, "added", "", "`AMOUNT` of water or thinner that went in, like 0.5ml (default: back to its strength)")
	return c
}

func (a *app) potCorrect() *cobra.Command {
	var f eventFlags
	c := &cobra.Command{
		Use: "correct POT NUMBER", Short: "undo an entry that was a slip",
		Long: `Undoes one entry of a pot's list, by its number in halfpot pot events. Both stay
in the list; what is left is then reckoned without them. Enter what really
happened after that, if anything did.`,
		Example: "  halfpot pot events pale-bone-1\n" +
			"  halfpot pot correct pale-bone-1 3 --note \"that was the other pot\"",
		Args: cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return a.record(c, args, f, func(e *inventory.PotEvent, _ *inventory.Paint) error {
				n, err := strconv.ParseInt(strings.TrimPrefix(args[1], "#"), 10, 64)
				if err != nil || n < 1 {
					return usagef("%q: expected the number of an entry, as halfpot pot events shows it", args[1])
				}
				e.Kind, e.Undoes = inventory.Corrected, n
				return nil
			})
		},
	}
	a.completeShelf(c, "", potNames)
	a.once(c)
	f.add(c)
	return c
}

// record adds one event to the pot that is named first, and shows what it then holds.
func (a *app) record(
	c *cobra.Command, args []string, f eventFlags, fill func(*inventory.PotEvent, *inventory.Paint) error,
) error {
	return a.recordAll(c, args, f, func(*state) ([]potEntry, error) { return []potEntry{{args[0], fill}}, nil })
}

// potEntry is an event to be noted: the pot as it was typed, and what fills the
// event in.
type potEntry struct {
	pot  string
	fill func(*inventory.PotEvent, *inventory.Paint) error
}

// recordAll adds events to pots, all or none, and shows what they then hold.
func (a *app) recordAll(
	c *cobra.Command, args []string, f eventFlags, entries func(*state) ([]potEntry, error),
) error {
	note, err := text("--note", f.note)
	if err != nil {
		return err
	}
	look := "halfpot shelf"
	if len(args) > 0 {
		look = "halfpot pot events " + quoteWord(args[0])
	}
	return a.change(c, args, look, func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
		st, err := a.stateOf(ctx, tx)
		if err != nil {
			return nil, err
		}
		when, err := parseWhen(f.at, a.now())
		if err != nil {
			return nil, err
		}
		asked, err := entries(st)
		if err != nil {
			return nil, err
		}
		var events []postgres.NewEvent
		var before, after []inventory.Pot
		for _, entry := range asked {
			pot, err := st.pot(entry.pot)
			if err != nil {
				return nil, err
			}
			if slices.ContainsFunc(before, func(p inventory.Pot) bool { return p.ID == pot.ID }) {
				return nil, usagef("%s is named twice: one entry a pot at a time", pot.ID)
			}
			e := inventory.PotEvent{At: when.at, DayOnly: when.dayOnly, Note: note}
			if err := entry.fill(&e, st.byID.Paints[pot.Paint]); err != nil {
				return nil, err
			}
			if l := st.Level(pot); e.Kind == inventory.Opened && l.Opened && !e.At.Before(l.OpenSince) {
				if len(asked) > 1 {
					return nil, usagef("%s is open already, since %s: leave it out",
						pot.ID, view.Date{Time: l.OpenSince}.CSVValue())
				}
				return func() error {
					return a.done(st.potRow(pot), "%s is open already, since %s: nothing was changed.",
						pot.ID, view.Date{Time: l.OpenSince}.CSVValue())
				}, errUnchanged
			}
			recorded, err := pot.Record(e, st.byID, a.now())
			if err != nil {
				return nil, err
			}
			before, after = append(before, pot), append(after, recorded)
			events = append(events, postgres.NewEvent{
				Pot:   pot.ID,
				Event: recorded.Events[len(recorded.Events)-1],
			})
		}
		_, err = tx.AddEvents(ctx, events)
		return func() error { return a.showAllRecorded(st, before, after) }, err
	})
}

// showAllRecorded shows what pots hold with their last events and held without.
func (a *app) showAllRecorded(st *state, before, after []inventory.Pot) error {
	levels, err := st.Noted(after)
	if err != nil {
		return err
	}
	var rows []potRow
	for i, p := range after {
		rows = append(rows, newPotRow(st.byID, p, levels[i], st.At))
	}
	if len(after) == 1 {
		return a.showRecorded(st, before[0], after[0], rows[0])
	}
	if a.quiet && a.format == string(view.Text) {
		return nil
	}
	return a.show(rows, rows, func(page *view.Page) {
		for i, row := range rows {
			page.Line("%s: %s left; before: %s", row.ID, row.Left, st.potRow(before[i]).Left)
			a.sayOdd(page, after[i])
		}
	})
}

// showRecorded shows what a pot holds with its last event and held without.
func (a *app) showRecorded(st *state, pot, recorded inventory.Pot, after potRow) error {
	before := st.potRow(pot)
	if recorded.Events[len(recorded.Events)-1].Kind == inventory.Weighed {
		switch {
		case after.Remark == remark(shelf.Level{Gone: inventory.DriedOut}):
			a.note("The weight is kept, but a scale can't tell dried paint from wet: " +
				"if there is some left, judge it by eye.")
		case after.By != readingWord(inventory.Weighed):
			a.note("The weight is kept, but tells nothing yet: " +
				"halfpot doesn't know what the empty pot weighs (--tare).")
		}
	}
	return a.doneAs(after, func(page *view.Page) {
		page.Line("%s: %s left; before: %s", pot.ID, after.Left, before.Left)
		last := recorded.Events[len(recorded.Events)-1].Kind
		tookOut := last == inventory.Used || last == inventory.Spilled
		if tookOut && after.Remark == remark(shelf.Level{Overdrawn: true}) {
			page.Line("It is kept, but more was used than it held: judge or weigh it, or, if that was a slip:")
			page.Raw("  " + a.typed("halfpot pot correct "+pot.ID+" NUMBER"))
		}
		if after.lookOff != 0 && recorded.Events[len(recorded.Events)-1].Kind == inventory.Judged {
			page.Line("You saw %.0f %% of a pot %s than all that was read and used before says, "+
				"so the look counts for little. A scale decides: halfpot pot weigh %s",
				100*math.Abs(after.lookOff), moreOrLess(after.lookOff), quoteWord(pot.ID))
		}
		a.sayOdd(page, recorded)
	})
}

// sayOdd says where the last entry of a pot does not go with the rest.
func (a *app) sayOdd(page *view.Page, pot inventory.Pot) {
	last := pot.Events[len(pot.Events)-1]
	for _, o := range pot.Odd(a.now()) {
		switch {
		case o.Entry.ID != last.ID || o.Entry.Key != last.Key:
		case o.Other != nil:
			if o.Entry.Kind == inventory.Judged {
				page.Line("It contradicts no. %d of the same day; the later look counts. "+
					"If that is the wrong one:", o.Other.ID)
			} else {
				page.Line("It is kept, but contradicts no. %d of the same day. If one is wrong:", o.Other.ID)
			}
			page.Raw("  " + a.typed("halfpot pot correct "+pot.ID+" NUMBER"))
		default:
			page.Line("It is kept, but %s.", o.Text)
		}
	}
}

// typedPot reads what there is and finds the pot that was typed.
func (a *app) typedPot(ctx context.Context, typed, on string) (*state, inventory.Pot, error) {
	st, err := a.stateOn(ctx, on)
	if err != nil {
		return nil, inventory.Pot{}, err
	}
	pot, err := st.pot(typed)
	if err != nil {
		err = a.notYet(ctx, typed, on, err)
	}
	return st, pot, err
}

// pot finds the pot that was typed. Where several fit, those that are no longer
// there don't count.
func (s *state) pot(typed string) (inventory.Pot, error) {
	things := potNames(s.cat, s.shelf)
	fit, _ := fitting(typed, things)
	there := slices.DeleteFunc(fit, func(id string) bool {
		pot, _ := s.shelf.Pot(id)
		return len(fit) > 1 && s.Level(pot).Gone != ""
	})
	if len(there) == 1 {
		typed = there[0]
	}
	id, err := lookup("pot", typed, "halfpot shelf", things)
	if err != nil {
		return inventory.Pot{}, err
	}
	pot, _ := s.shelf.Pot(id)
	return pot, nil
}
