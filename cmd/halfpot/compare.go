package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
)

// compareRow is one way of the comparison.
type compareRow struct {
	Way    string     `json:"way" table:"way"`
	Total  view.Money `json:"total" table:"total"`
	More   view.Money `json:"more" table:"more"`
	Shops  view.Count `json:"shops" table:"shops"`
	Pots   view.Count `json:"pots" table:"pots"`
	Boxes  view.Count `json:"boxes" table:"items"`
	Points view.Count `json:"compromise_points" table:"points"`
	Proven bool       `json:"proven"`
	Gives  string     `json:"gives"`
	SameAs string     `json:"same_as"`
	Lines  []orderRow `json:"lines" csv:"-"`
}

// compare sets the usual questions side by side.
func (a *app) compare(ctx context.Context, q *desk.Question) error {
	contenders, err := q.Compare(ctx)
	if err != nil {
		return err
	}
	rows, ways := []compareRow{}, []compareRow{} // all, and those that there is a plan for
	var worst error
	for _, c := range contenders {
		row := newCompareRow(q, contenders[0], c)
		if ctx.Err() != nil && row.Proven { // what is enough may be less than was reckoned
			row.Proven = false
			row.Gives += notProven
			worst = shown(exitLimit)
		}
		if rows = append(rows, row); c.Answer.Found() {
			ways = append(ways, row)
		}
		if c.Answer.Result.Status != optimize.Infeasible {
			worst = cmp.Or(outcome(c.Answer.Result), worst)
		}
	}
	doc := struct {
		Force string       `json:"force"`
		Ways  []compareRow `json:"ways"`
	}{q.Force.ID, rows}
	name := orWord(q.Force.Name, q.Force.ID)
	if err := a.show(doc, rows, func(page *view.Page) {
		if len(ways) == 0 {
			if reasons := contenders[0].List.Reasons; len(reasons) > 0 {
				page.Line("There is no way to finish %s under these conditions:", name)
				for _, r := range reasons {
					page.Line("  - %s", r.Text)
				}
				return
			}
			page.Line("The time was up before any plan was found. Give it longer, or drop a condition.")
			return
		}
		page.Line("Ways to finish %s, each the best of its kind:", name)
		page.List(ways, "")
		// What is gained and lost stands in the columns; only what they can't show is said.
		for i, r := range rows {
			if i == 0 || r.SameAs != "" || !r.Proven {
				page.Line("%s: %s.", r.Way, r.Gives)
			}
		}
		page.Note("Items are what you order: a set is one item and several pots. " +
			"A point is one step of compromise in one unit. " +
			"Ask for one way by itself with --max-shops 1 or --exact-colours.")
	}); err != nil {
		return err
	}
	if contenders[0].Answer.Result.Status == optimize.Infeasible {
		return shown(exitNoPlan)
	}
	return worst
}

func newCompareRow(q *desk.Question, first, c shopping.Contender) compareRow {
	row := compareRow{Way: string(c.Aim), SameAs: string(c.SameAs), Lines: []orderRow{}}
	if !c.Answer.Found() {
		row.Gives = "no plan: " + noPlanText(c)
		return row
	}
	t := c.Answer.Result.Totals
	row.Total, row.Shops = view.Money(c.List.Total), view.Count(c.Shops)
	row.Pots, row.Boxes = view.Count(c.Pots), view.Count(t.Boxes)
	row.Points = view.Count(t.Points)
	row.Proven = c.List.Proven()
	if c.Aim != first.Aim {
		row.More = view.Money(c.Extra)
	}
	for _, o := range c.List.Orders {
		row.Lines = append(row.Lines, newOrderDoc(q.Index, o).Lines...)
	}
	switch {
	case c.SameAs != "":
		row.Gives = "the same order as " + row.SameAs
	case c.Aim == first.Aim:
		if row.Gives = "least money"; c.Aim == shopping.Weighed {
			row.Gives = fmt.Sprintf("a point counted as %s", view.Money(q.Rules.CompromisePrice))
		}
	case first.Answer.Found():
		row.Gives = gives(first, c)
	}
	if !row.Proven {
		row.Gives += notProven
	}
	return row
}

const notProven = " (not proven: the time was up)"

func noPlanText(c shopping.Contender) string {
	if len(c.List.Reasons) > 0 {
		text := strings.TrimSuffix(c.List.Reasons[0].Text, ".")
		if rest, ok := strings.CutPrefix(text, "There "); ok { // others may begin with a name
			return "there " + rest
		}
		return text
	}
	return "the time was up"
}

// gives says what a way gains and loses against the cheapest.
func gives(first, c shopping.Contender) string {
	var parts []string
	change := func(is, was int64, one, many string) {
		if is != was {
			parts = append(parts, fmt.Sprintf("%s instead of %d", count(int(is), one, many), was))
		}
	}
	change(int64(c.Shops), int64(first.Shops), "parcel", "parcels")
	change(c.Answer.Result.Totals.Points, first.Answer.Result.Totals.Points, "point", "points")
	change(c.Pots, first.Pots, "pot", "pots")
	if len(parts) == 0 {
		return "other pots at the same count"
	}
	return strings.Join(parts, ", ")
}

// nextRow is one of the best orders.
type nextRow struct {
	Rank   view.Count `json:"rank" table:"order"`
	Total  view.Money `json:"total" table:"total"`
	More   view.Money `json:"more" table:"more"`
	Shops  view.Count `json:"shops" table:"shops"`
	Boxes  view.Count `json:"boxes" table:"items"`
	Points view.Count `json:"compromise_points" table:"points"`
	Change string     `json:"change"`
	Lines  []orderRow `json:"lines" csv:"-"`
}

// nextBest shows the best order and the n that come after it.
func (a *app) nextBest(ctx context.Context, q *desk.Question, n int) error {
	answers, err := q.NextPlans(ctx, n+1)
	if errors.Is(err, desk.ErrTimeUp) {
		return hinted{
			&limitError{"the time was up before the next best orders were proven"},
			[]string{"halfpot buy " + q.Force.ID + " --next 1"},
		}
	}
	if err != nil {
		return err
	}
	rows := []nextRow{}
	for i, answer := range answers {
		row, err := newNextRow(q, answers[0], answer, i)
		if err != nil {
			return err
		}
		rows = append(rows, row)
	}
	doc := struct {
		Force  string    `json:"force"`
		Orders []nextRow `json:"orders"`
	}{q.Force.ID, rows}
	if err := a.show(doc, rows, func(page *view.Page) {
		page.Line("The best orders that finish %s and differ in what they buy:",
			orWord(q.Force.Name, q.Force.ID))
		page.List(rows, "there is none: ask halfpot buy without --next for the reasons")
		for _, r := range rows {
			if r.Change != "" {
				page.Line("  %d against 1: %s", r.Rank, r.Change)
			}
		}
		switch {
		case len(rows) > 0 && ctx.Err() != nil:
			page.Note("The time was up: with more, cheaper ones may be found.")
		case len(rows) > 0 && len(rows) < n+1:
			page.Note("There are no more: every other order only adds items to one of these.")
		}
	}); err != nil {
		return err
	}
	if len(answers) == 0 {
		if ctx.Err() != nil {
			return shown(exitLimit)
		}
		return shown(exitNoPlan)
	}
	if ctx.Err() != nil {
		return shown(exitLimit)
	}
	return outcome(answers[len(answers)-1].Result)
}

func newNextRow(q *desk.Question, best, answer *shopping.Answer, i int) (nextRow, error) {
	l, err := answer.List()
	if err != nil {
		return nextRow{}, err
	}
	t := answer.Result.Totals
	row := nextRow{
		Rank:   view.Count(i + 1),
		Total:  view.Money(l.Total),
		Shops:  view.Count(t.ShopsUsed),
		Boxes:  view.Count(t.Boxes),
		Points: view.Count(t.Points),
	}
	for _, o := range l.Orders {
		row.Lines = append(row.Lines, newOrderDoc(q.Index, o).Lines...)
	}
	if i > 0 {
		b := best.Result.Totals
		row.More = view.Money(inventory.MoneyOfMinor(t.Goods+t.Delivery-b.Goods-b.Delivery, q.Problem.Currency))
		row.Change = changeText(q.Index, best.Result, answer.Result)
	}
	return row, nil
}

// changeText is what one plan buys more and less than another.
func changeText(byID *inventory.Index, from, to *optimize.Result) string {
	boxes := map[[2]string]int64{}
	var order [][2]string
	note := func(product, shop string, n int64) {
		k := [2]string{product, shop}
		if _, seen := boxes[k]; !seen {
			order = append(order, k)
		}
		boxes[k] += n
	}
	for _, b := range to.Buy {
		note(b.Product, b.Shop, b.Count)
	}
	for _, b := range from.Buy {
		note(b.Product, b.Shop, -b.Count)
	}
	var changes []shopping.Extra
	for _, k := range order {
		if boxes[k] != 0 {
			changes = append(changes, shopping.Extra{Product: k[0], Shop: k[1], Boxes: boxes[k]})
		}
	}
	return extraText(byID, changes)
}

// mostChanges is how many changes a sentence can bear.
const mostChanges = 5

// extraText is "+2 Pale Bone 17 ml, -1 Coast starter set at Ferry Lane Hobbies;
// +1 Soot Wash 17 ml at ...".
func extraText(byID *inventory.Index, changes []shopping.Extra) string {
	told := changes
	if len(changes) > mostChanges+1 {
		told = changes[:mostChanges]
	}
	var shops []string
	at := map[string][]string{}
	for _, c := range told {
		name := c.Product
		if p := byID.Products[c.Product]; p != nil && p.Name != "" {
			name = p.Name
		}
		if at[c.Shop] == nil {
			shops = append(shops, c.Shop)
		}
		at[c.Shop] = append(at[c.Shop], fmt.Sprintf("%+d %s", c.Boxes, name))
	}
	for i, s := range shops {
		shops[i] = strings.Join(at[s], ", ") + " at " + shopName(byID, s)
	}
	if more := len(changes) - len(told); more > 0 {
		shops = append(shops, fmt.Sprintf("and %d changes more", more))
	}
	return strings.Join(shops, "; ")
}
