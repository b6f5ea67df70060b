package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/inventory/painting"
)

// lastSheetSetting keeps what the last sheet showed, so that done knows what
// "step 4" means.
const lastSheetSetting = "last-sheet"

type lastSheet struct {
	Force   string      `json:"force"`
	Batches []lastBatch `json:"batches"`
}

type lastBatch struct {
	Unit    string            `json:"unit"`
	Figures int               `json:"figures"`
	Steps   map[int]string    `json:"steps"`          // by number in the recipe
	Ways    map[string]string `json:"ways,omitempty"` // by step, where it is not the recipe's own
}

func (a *app) rememberSheet(ctx context.Context, force string, cards []painting.Card) error {
	s := lastSheet{Force: force}
	for _, c := range cards {
		b := lastBatch{Unit: c.Batch.Unit.ID, Figures: c.Batch.Figures, Steps: map[int]string{}}
		for _, l := range c.Lines {
			b.Steps[l.Work.Number] = l.Work.Step.ID
			if len(l.Work.Instead) > 0 {
				if b.Ways == nil {
					b.Ways = map[string]string{}
				}
				b.Ways[l.Work.Step.ID] = l.Work.Mix.Key()
			}
		}
		s.Batches = append(s.Batches, b)
	}
	text, err := json.Marshal(s)
	if err != nil {
		return err
	}
	said, err := a.opened.store.Settings(ctx)
	if err != nil || said[lastSheetSetting] == string(text) {
		return err
	}
	return a.opened.store.SetSetting(ctx, lastSheetSetting, string(text))
}

func (a *app) doneCommand() *cobra.Command {
	var o logOptions
	c := &cobra.Command{
		Use: "done [UNIT] STEP...", Short: "tick steps off the last sheet; the pots are drawn down",
		Long: `Notes steps of the sheet you looked at last as done, on its batch: by number or id,
like log. Name the unit where more than one on the sheet has the step.`,
		Example: "  halfpot done 4\n  halfpot done rifles 4 5 --minutes 50\n  halfpot done shade --at yesterday",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			st, err := a.store(c.Context())
			if err != nil {
				return err
			}
			said, err := st.Settings(c.Context())
			if err != nil {
				return err
			}
			var sheet lastSheet
			if json.Unmarshal([]byte(said[lastSheetSetting]), &sheet) != nil || len(sheet.Batches) == 0 {
				return &usageError{
					"no sheet to tick off yet",
					[]string{"halfpot sheet FORCE UNIT", "halfpot log FORCE UNIT STEP"},
				}
			}
			b, steps, err := sheet.find(args)
			if err != nil {
				return err
			}
			if !c.Flags().Changed("figures") {
				o.figures = b.Figures
			}
			o.ways = b.Ways
			return a.logWork(c, append([]string{sheet.Force, b.Unit}, steps...), o)
		},
	}
	a.once(c)
	o.eventFlags.add(c)
	f := c.Flags()
	f.IntVar(&o.figures, "figures", 0, "on `N` figures (default: the sheet's batch)")
	f.StringArrayVar(&o.with, "with", nil, "`STEP=MIX` done another way, like straps=saddle-leather (may be repeated)")
	f.IntVar(&o.minutes, "minutes", 0, "how many `MINUTES` it took, waiting taken off; the plan learns your pace")
	return c
}

// find tells which batch of the sheet is meant. The first batch with a step that
// is not done yet comes first where a unit has several.
func (s lastSheet) find(args []string) (lastBatch, []string, error) {
	batches := s.Batches
	if i := slices.IndexFunc(batches, func(b lastBatch) bool {
		return strings.EqualFold(b.Unit, args[0]) || beginning(args[0], b.Unit, false) && !b.has(args[0])
	}); i >= 0 && len(args) > 1 {
		unit := batches[i].Unit
		batches = slices.DeleteFunc(slices.Clone(batches), func(b lastBatch) bool { return b.Unit != unit })
		args = args[1:]
	}
	var fit []lastBatch
	for _, b := range batches {
		all := true
		for _, t := range args {
			all = all && b.has(t)
		}
		if all {
			fit = append(fit, b)
		}
	}
	if len(fit) == 0 {
		var units []string
		for _, b := range s.Batches {
			units = append(units, b.Unit)
		}
		return lastBatch{}, nil, usagef("%s: no batch of the last sheet (%s: %s) has that left to do",
			strings.Join(args, " "), s.Force, strings.Join(slices.Compact(units), ", "))
	}
	for _, b := range fit[1:] {
		if b.Unit != fit[0].Unit {
			return lastBatch{}, nil, &usageError{
				fmt.Sprintf("%s stands on the sheet for %s and %s: which?",
					strings.Join(args, " "), fit[0].Unit, b.Unit),
				[]string{fmt.Sprintf("halfpot done %s %s", fit[0].Unit, strings.Join(args, " "))},
			}
		}
	}
	return fit[0], args, nil
}

func (b lastBatch) has(typed string) bool {
	from, to, span := strings.Cut(typed, "-")
	first, err := strconv.Atoi(from)
	if err == nil {
		last := first
		if span {
			last, err = strconv.Atoi(to)
		}
		for n := first; err == nil && n <= last; n++ {
			if b.Steps[n] == "" {
				return false
			}
		}
		return err == nil
	}
	var open []string
	for _, id := range b.Steps {
		open = append(open, id)
	}
	fit, _ := fitting(typed, ids(open))
	return len(fit) == 1
}
