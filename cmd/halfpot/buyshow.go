package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/optimize"
)

// show writes the plan for people: the orders first, then, unless brief, what
// it rests on.
func (d *buyDoc) show(page *view.Page, brief bool) {
	switch d.Status {
	case string(optimize.Infeasible):
		if d.offers == 0 {
			page.Line("There is no way to finish %s: no shop offers anything yet. Say what shops ask:", d.name)
			page.Raw("  halfpot add product --holds \"PAINT 17ml\"")
			page.Raw("  halfpot add offer PRODUCT SHOP PRICE")
			return
		}
		page.Line("There is no way to finish %s under these conditions:", d.name)
		for _, text := range d.reasonTexts() {
			page.Line("  - %s", text)
		}
		return
	case string(optimize.Unsolved):
		page.Line("The time was up before any plan was found. Give it longer, or drop a condition.")
		return
	}
	d.showOrders(page)
	d.showProof(page)
	if len(d.Unfinished) > 0 {
		page.Line("Within the budget these units wait: %s.", strings.Join(d.Unfinished, ", "))
	}
	if brief && d.Why == nil {
		return
	}
	if len(d.StandIns) > 0 {
		page.Heading("Not with the recipe's own paint")
		rows := slices.Clone(d.StandIns)
		for i := range rows {
			if len(rows[i].Units) == d.units && d.units > 1 {
				rows[i].Units = []string{"all units"}
			}
		}
		page.List(rows, "")
		if d.Why != nil {
			for _, s := range d.StandIns {
				page.Line("  %s with %s: %s.", s.Step, s.With, s.Why)
			}
		}
		page.Note("Points count the compromise in every unit of the line; together %d.", d.Points)
		if slices.ContainsFunc(d.StandIns, func(s standInRow) bool { return !math.IsNaN(float64(s.Differs)) }) {
			page.Note("Differs: CIEDE2000 of the colours, of mixes as predicted: up to 1 nobody sees, " +
				"up to 5 passes apart. Try them on a spare first.")
		}
	}
	d.showWeighed(page)
	if d.Why != nil {
		d.Why.show(page)
	}
	if len(d.Paints) > 0 {
		page.Heading("What it takes, and where it comes from")
		page.List(d.Paints, "")
		page.Note("Needed and surely left are reckoned together, high and low, " +
			"so that nothing runs short with the chance told above; halfpot shelf shows what the pots likely hold.")
	}
	noteComing(page, d.Coming)
}

// reasonTexts are the reasons in sentences. Steps that fail for want of the same
// paints share one.
func (d *buyDoc) reasonTexts() []string {
	var texts []string
	at := map[string]int{}
	for _, r := range d.Reasons {
		if r.Kind != "need" || len(r.Steps) == 0 || len(r.Paints) == 0 {
			texts = append(texts, r.Text)
			continue
		}
		steps := stepsByUnit(r.Steps)
		key := strings.Join(r.Paints, " ")
		if i, ok := at[key]; ok {
			texts[i] += "; " + steps
			continue
		}
		at[key] = len(texts)
		var names []string
		for _, p := range r.Paints {
			names = append(names, d.paintName(p))
		}
		texts = append(texts, fmt.Sprintf("With everything on offer bought, "+
			"%s would still run short for %s", strings.Join(names, " and "), steps))
	}
	return texts
}

func (d *buyDoc) showOrders(page *view.Page) {
	head := fmt.Sprintf("%s: %s", d.name, count(d.figures, "figure", "figures"))
	switch {
	case len(d.Orders) == 0 && d.waiting:
		page.Line("%s. %s", head, d.waitingText())
		return
	case len(d.Orders) == 0 && len(d.Unfinished) > 0:
		page.Line("%s. Nothing to buy for that money: what the shelf finishes needs nothing more.", head)
		return
	case len(d.Orders) == 0:
		if len(d.Coming) > 0 {
			page.Line("%s. Nothing to buy: the shelf and what is on its way have it all.", head)
			return
		}
		page.Line("%s. Nothing to buy: the shelf has it all.", head)
		return
	}
	page.Line("%s. Buy %s at %s for %s:",
		head, count(int(d.Boxes), "item", "items"), count(len(d.Orders), "shop", "shops"), d.Total)
	for _, o := range d.Orders {
		page.Heading("%s", o.Name)
		page.List(o.Lines, "")
		page.Line("goods %s, %s, together %s", o.Goods, deliveryWords(o.Delivery), o.Total)
	}
	page.Gap()
}

// showWeighed says what staying exact would cost, and what money alone would save.
func (d *buyDoc) showWeighed(page *view.Page) {
	var parts []string
	if d.Points == 0 {
		if d.Alone == nil || !d.Alone.Amount.IsNegative() {
			return
		}
		parts = append(parts, "All in the recipes' own colours")
	} else if d.Exact != nil {
		switch m := inventory.Money(*d.Exact); {
		case m.Amount.IsPositive():
			parts = append(parts, fmt.Sprintf("The recipes' own colours throughout cost %s more "+
				"(--exact-colours)", m))
		default:
			parts = append(parts, "The recipes' own colours throughout cost no more (--exact-colours)")
		}
	} else if d.Points > 0 && d.Alone != nil {
		parts = append(parts, "No order keeps to the recipes' own colours throughout")
	}
	if d.Alone != nil && d.Alone.Amount.IsNegative() {
		saved := inventory.Money(*d.Alone)
		saved.Amount = saved.Amount.Neg()
		parts = append(parts, fmt.Sprintf("counting no points would save %s (--money-alone)", saved))
	}
	if len(parts) == 0 {
		return
	}
	text := strings.Join(parts, "; ")
	page.Line("%s%s. All steps between: --trade-off.", strings.ToUpper(text[:1]), text[1:])
}

// waitingText says that a budget finishes nothing, and what would.
func (d *buyDoc) waitingText() string {
	switch {
	case !d.Proven:
		return "The time was up before an order was found that finishes a unit for that money."
	case d.noTime:
		return "No unit can be finished for that money."
	case d.Cheapest == nil:
		return "No unit can be finished for that money or any other; without --budget halfpot says why."
	}
	with := "delivery"
	if d.must {
		with += " and what must be in the order"
	}
	return fmt.Sprintf("No unit can be finished for that money. The cheapest to finish is %s, "+
		"for %s with %s.", d.Cheapest.Unit, d.Cheapest.Total, with)
}

func deliveryWords(m view.Money) string {
	switch {
	case m.Amount.IsZero():
		return "delivery free"
	case m.Amount.IsNegative():
		off := inventory.Money(m)
		off.Amount = off.Amount.Neg()
		return off.String() + " off the order"
	}
	return "delivery " + m.String()
}

func (d *buyDoc) showProof(page *view.Page) {
	switch {
	case d.hasty:
		page.Line("The time was up before it was known how little of each paint is enough. " +
			"This order is enough with the chance below; with more time a cheaper one may be found.")
	case d.Proven && len(d.Orders) == 0 && len(d.Unfinished) == 0:
	case d.Proven && d.budget:
		than := "cheaper"
		if d.list.Points > 0 && !d.list.Objective.Equal(d.list.Total) {
			than = fmt.Sprintf("better with a point of compromise counted as %s", d.PointPrice)
		}
		page.Line("Proven: at these prices, if the needs are as reckoned, "+
			"no order within the budget finishes more, and none that finishes as much is %s.", than)
	case d.Proven && d.Alone != nil && d.Alone.Amount.IsNegative():
		page.Line("Proven: at these prices, if the needs are as reckoned, "+
			"no other order is better with a point of compromise counted as %s.", d.PointPrice)
	case d.Proven && d.list.Points > 0 && !d.list.Objective.Equal(d.list.Total):
		page.Line("Proven: at these prices, if the needs are as reckoned, "+
			"no other order is better with a point of compromise counted as %s.", d.PointPrice)
	case d.Proven:
		page.Line("Proven cheapest: at these prices, if the needs are as reckoned, " +
			"no other order finishes this force for less.")
	case d.list.Status == optimize.Feasible && d.list.Objective.Equal(d.list.Bound):
		page.Line("At these prices, if the needs are as reckoned, no other order costs less. " +
			"Whether one at the same cost does with fewer items or shops is not settled.")
	default:
		page.Line("Not proven: the time was up. The cheapest there is costs at least %s, "+
			"so this is at most %s above it.",
			d.Bound, gap(d.minor(d.list.Objective), d.minor(d.list.Bound)))
	}
	d.showChance(page)
}

// surerRow is what another chance would cost.
type surerRow struct {
	Asked  string     `table:"chance"`
	Total  view.Money `table:"total"`
	More   view.Money `table:"more"`
	Points view.Count `table:"points"`
}

// showChance says what the chance is a chance of, and what another would cost.
func (d *buyDoc) showChance(page *view.Page) {
	if d.waiting || d.Chance == 0 && len(d.Chances) == 0 {
		return
	}
	what := "the whole force"
	if len(d.Unfinished) > 0 {
		what = "the units it finishes"
	}
	line := fmt.Sprintf("Chance that nothing runs short over %s: %s", what, percent(float64(d.Chance)))
	if d.LeastSure != "" {
		line += fmt.Sprintf("; least sure is %s, enough with %s",
			d.paintName(d.LeastSure), percent(float64(d.LeastAlone)))
	}
	page.Line("%s.", line)
	if len(d.Chances) < 2 {
		return
	}
	var rows []surerRow
	some := false // of them has anything to buy
	for _, c := range d.Chances {
		some = some || !c.Total.Amount.IsZero() || c.Points > 0
		row := surerRow{Asked: percent(c.Asked), Total: c.Total, Points: view.Count(c.Points)}
		if more := c.Total.Amount.Sub(d.Total.Amount); !more.IsZero() {
			row.More = view.Money{Amount: more, Currency: c.Total.Currency}
		}
		rows = append(rows, row)
	}
	if !some {
		page.Line("To be %s sure, nothing has to be bought either.", rows[len(rows)-1].Asked)
		return
	}
	page.Line("Being surer, or less:")
	page.List(rows, "")
	if d.WeighFirst != "" {
		page.Line("Weigh %s first: if it holds what is likely, this order is %s cheaper.",
			d.WeighFirst, d.WouldSave)
	}
}

// percent is a chance in whole percent, never told as more than it is sure of.
func percent(p float64) string {
	switch {
	case p >= 0.995:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

func (d *buyDoc) minor(m inventory.Money) int64 {
	n, err := m.Minor()
	if err != nil {
		return 0
	}
	return n
}

// count is "1 pot" or "3 pots".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
