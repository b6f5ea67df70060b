package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/painting"
)

// airSetting keeps the weather that was said last, with its day: it holds for
// that day's sheets and log.
const airSetting = "air"

const airHelp = "the `WEATHER` where you spray, like \"8 C, 75 %\"; it holds for the day"

// airOf is the weather typed, which is kept for the day, or the one kept today.
func (a *app) airOf(ctx context.Context, typed string) (*painting.Air, error) {
	today := a.now().Format(time.DateOnly)
	air, err := parseAir(typed)
	if err != nil {
		return nil, err
	}
	if air != nil {
		return air, a.opened.store.SetSetting(ctx, airSetting, today+" "+typed)
	}
	said, err := a.opened.store.Settings(ctx)
	if err != nil {
		return nil, err
	}
	return airKept(said, today), nil
}

// airKept is the weather kept for a day; nil: none.
func airKept(said map[string]string, day string) *painting.Air {
	text, ok := strings.CutPrefix(said[airSetting], day+" ")
	if !ok {
		return nil
	}
	air, err := parseAir(text)
	if err != nil {
		return nil
	}
	return air
}

// parseAir reads "8 C, 75 %", or one of them.
func parseAir(s string) (*painting.Air, error) {
	if s == "" {
		return nil, nil
	}
	air := painting.Air{Celsius: 20, Humidity: 50}
	for part := range strings.SplitSeq(s, ",") {
		var v float64
		var unit string
		n, _ := fmt.Sscanf(strings.TrimSpace(part), "%g%s", &v, &unit)
		switch {
		case n == 2 && strings.EqualFold(strings.TrimPrefix(unit, "°"), "C") && v >= -50 && v <= 60:
			air.Celsius = v
		case n == 2 && unit == "%" && v >= 0 && v <= 100:
			air.Humidity = v
		default:
			return nil, usagef("--air %q: expected a temperature and how damp it is, like \"8 C, 75 %%\"", s)
		}
	}
	return &air, nil
}

// sprayNotes say which steps the weather does not suit.
func sprayNotes(page *view.Page, byID *inventory.Index, air *painting.Air, steps []*inventory.Step) {
	if air == nil {
		return
	}
	told := map[string]bool{}
	for _, s := range steps {
		for _, f := range painting.CheckAir(s, byID, *air) {
			if text := newRuleRow("", f).text(); !told[text] {
				told[text] = true
				page.Line("%s", text)
			}
		}
	}
}
