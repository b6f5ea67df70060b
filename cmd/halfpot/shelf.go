package main

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/shelf"
)

// rangeConfidence is how much of the truth the ranges on screen hold.
const rangeConfidence = 0.9

// potRow is one pot with what is left in it.
type potRow struct {
	ID       string      `json:"id" table:"pot"`
	Colour   view.Swatch `json:"colour" table:"col."`
	Name     string      `json:"name" table:"paint"`
	Type     string      `json:"type"`
	Size     view.Amount `json:"size"`
	Left     view.Amount `json:"left" table:"left"`
	Share    shareBar    `json:"share" table:"full"`
	Measured view.Date   `json:"measured" table:"looked at" narrow:"2"`
	By       string      `json:"measured_by" table:"by" narrow:"3"`
	Place    string      `json:"place" table:"place" narrow:"4"`
	Remark   string      `json:"remark" table:"remark" narrow:"1"`
	Paint    string      `json:"paint"`
	Opened   view.Date   `json:"opened"`
	Cost     view.Money  `json:"cost"`
	Title    string      `json:"title"`
	gone     bool        // dried out or given away
	lookOff  float64     // as in shelf.Level
}

// shareBar is how full a pot is, as a bar of five.
type shareBar float64

// Cell draws the bar in plain characters.
func (s shareBar) Cell(view.Style) string {
	n := int(float64(s)*5 + 0.5)
	if n == 0 && s > 0 {
		n = 1
	}
	n = max(0, min(5, n))
	return strings.Repeat("#", n) + strings.Repeat(".", 5-n)
}

func newPotRow(byID *inventory.Index, pot inventory.Pot, l shelf.Level, now time.Time) potRow {
	paint := byID.Paints[pot.Paint]
	counted := paint.Type.Counted()
	left, low, high := l.LeftWithin(rangeConfidence)
	row := potRow{
		ID:      pot.ID,
		Colour:  swatch(*paint),
		Name:    paint.Name,
		Type:    string(paint.Type),
		Size:    view.Exactly(pot.Nominal, counted),
		Left:    view.Amount{Mid: left, Low: low, High: high, Counted: counted},
		By:      readingWord(l.By),
		Place:   pot.Place,
		Remark:  remark(l),
		Paint:   pot.Paint,
		Title:   paint.Title(),
		gone:    l.Gone != "",
		lookOff: l.LookOff,
	}
	if odd := oddRemark(&pot, now); odd != "" && l.Gone == "" && !l.Overdrawn {
		row.Remark = odd
	}
	if full := l.Full(); full > 0 {
		row.Share = shareBar(min(1, left.ML()/full))
	}
	if !l.Measured.IsZero() {
		row.Measured = view.Date{Time: l.Measured}
	}
	events := pot.Standing()
	for i := range events {
		if events[i].Kind == inventory.Opened {
			row.Opened = view.Date{Time: events[i].At}
		}
	}
	if row.Opened.IsZero() && pot.Opened != nil {
		row.Opened = view.Date{Time: *pot.Opened}
	}
	if pot.Cost != nil {
		row.Cost = view.Money(*pot.Cost)
	}
	return row
}

func readingWord(k inventory.EventKind) string {
	switch k {
	case inventory.Judged:
		return "eye"
	case inventory.Weighed:
		return "scale"
	}
	return ""
}

// oddRemark says what of a pot's list its owner should look at now: an entry to
// come, or a last reading that contradicts another.
func oddRemark(pot *inventory.Pot, now time.Time) string {
	for _, o := range pot.Odd(now) {
		switch o.Kind {
		case inventory.ToCome:
			return "an entry lies ahead, on " + view.Date{Time: o.Entry.At}.CSVValue()
		case inventory.Contradicts, inventory.LighterThanEmpty:
			if o.Entry.Kind == inventory.Judged {
				continue // the later look counts
			}
			later := slices.ContainsFunc(pot.InOrder(), func(e inventory.PotEvent) bool {
				known := e.Kind == inventory.Judged || e.Kind == inventory.Weighed || e.Kind == inventory.Bought
				return known && e.At.After(o.Entry.At)
			})
			if !later {
				return "readings of " + view.Date{Time: o.Entry.At}.CSVValue() + " disagree: weigh it"
			}
		}
	}
	return ""
}

// remark is what a painter should know about a pot, the worst first.
func remark(l shelf.Level) string {
	switch {
	case l.Gone == inventory.DriedOut:
		return "dried out"
	case l.Gone == inventory.Corrected:
		return "entered by mistake"
	case l.Gone == inventory.GivenAway:
		return "given away"
	case l.Overdrawn:
		return "more was used than it held: judge or weigh it"
	case l.Doubts > 0:
		return "readings disagree: weigh it"
	case l.LookOff != 0:
		return fmt.Sprintf("the last look says %.0f %% of a pot %s than all else: weigh it",
			100*math.Abs(l.LookOff), moreOrLess(l.LookOff))
	case l.ThinDue:
		return fmt.Sprintf("thickened: stir in about %.1f ml", l.WaterML)
	case !l.Opened:
		return "unopened"
	}
	return ""
}

func moreOrLess(x float64) string {
	if x < 0 {
		return "less"
	}
	return "more"
}

type shelfOptions struct {
	typ, place string
	gone       bool
	low        float64
	on         string
}

func (a *app) shelfCommand() *cobra.Command {
	var o shelfOptions
	c := &cobra.Command{
		Use: "shelf [WORD...]", Short: "every pot and what is left in it",
		Long: `Lists the pots you own with what is left in each, the range it lies in nine times
out of ten, and when it was last judged or weighed. With words, only pots whose
id, paint, type or place holds every word.`,
		Example: "  halfpot shelf\n  halfpot shelf wash\n  halfpot shelf --low 30\n" +
			"  halfpot shelf --on 2026-03-01\n  halfpot shelf --format csv > shelf.csv",
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("low") && !(o.low > 0 && o.low <= 100) {
				return usagef("--low %g: expected percent of a full pot, above 0 to 100", o.low)
			}
			return a.shelf(c, args, o)
		},
	}
	f := c.Flags()
	words(c, f, &o.typ, "type", "only paints of this type", paintTypeNames())
	f.StringVar(&o.place, "place", "", "only pots that stand in `PLACE`")
	f.Float64Var(&o.low, "low", 0, "only pots below `PERCENT` of a full one")
	onFlag(c, &o.on)
	f.BoolVar(&o.gone, "gone", false, "pots that dried out or were given away too")
	a.completeShelf(c, "place", placeNames)
	return c
}

func (a *app) shelf(c *cobra.Command, words []string, o shelfOptions) error {
	st, err := a.stateOn(c.Context(), o.on)
	if err != nil {
		return err
	}
	hidden, others := 0, 0
	all := potRows(st.byID, st.Pots(), st.At)
	rows := all[:0]
	for i := range all {
		row := &all[i]
		wanted := o.wants(row, words)
		switch {
		case row.gone && !o.gone && wanted:
			hidden++
		case row.gone && !o.gone:
		case !wanted:
			others++
		default:
			rows = append(rows, *row)
		}
	}
	return a.show(rows, rows, func(page *view.Page) {
		st.noteDay(page, o.on)
		none := fmt.Sprintf("No pots here. Bring some in with %s, or %s",
			a.typed("halfpot load pots.csv"), a.typed("halfpot add pot PAINT"))
		if others > 0 {
			none = fmt.Sprintf("None of your %s fits. To see all: %s", count(others, "pot", "pots"), a.typed("halfpot shelf"))
		}
		page.List(rows, none)
		if hidden > 0 {
			page.Note("%s dried out, given away or entered by mistake: --gone shows them.",
				count(hidden, "pot is", "pots are"))
		}
	})
}

// rowsAtOnce is how many pots are worth a processor of their own.
const rowsAtOnce = 500

// potRows are the rows of pots, in their order.
func potRows(byID *inventory.Index, pots []desk.Pot, now time.Time) []potRow {
	rows := make([]potRow, len(pots))
	share := max(rowsAtOnce, (len(pots)+runtime.GOMAXPROCS(0)-1)/runtime.GOMAXPROCS(0))
	var all sync.WaitGroup
	for from := 0; from < len(pots); from += share {
		all.Go(func() {
			for i := from; i < min(from+share, len(pots)); i++ {
				rows[i] = newPotRow(byID, pots[i].Pot, pots[i].Level, now)
			}
		})
	}
	all.Wait()
	return rows
}

// wants tells whether a pot was asked for.
func (o shelfOptions) wants(row *potRow, words []string) bool {
	return matches(words, row.ID, row.Title, row.Type, row.Place) &&
		(o.typ == "" || row.Type == o.typ) &&
		(o.place == "" || strings.EqualFold(row.Place, o.place)) &&
		(o.low == 0 || float64(row.Share)*100 < o.low)
}
