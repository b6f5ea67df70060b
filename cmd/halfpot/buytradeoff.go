package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"halfpot/cmd/halfpot/paper"
	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/estimate"
)

// tradeRow is one best trade between money and faithfulness.
type tradeRow struct {
	Points  view.Count  `json:"compromise_points" table:"points"`
	Total   view.Money  `json:"total" table:"total"`
	More    view.Money  `json:"more" table:"more" narrow:"1"`
	Shops   view.Count  `json:"shops" table:"shops" narrow:"2"`
	Like    string      `json:"-" table:"departs in"`
	Departs []departDoc `json:"departs"`
	Lines   []orderRow  `json:"lines" csv:"-"`
}

// departDoc is a step done another way than its recipe's.
type departDoc struct {
	Unit   string `json:"unit"`
	Step   string `json:"step"`
	With   string `json:"with"`
	Points int    `json:"points"`
}

// tradeOff shows every best order between the cheapest and the most faithful.
func (a *app) tradeOff(ctx context.Context, q *desk.Question, picture string) error {
	if q.Rules.Budget != nil {
		return usagef("--trade-off with --budget: the budget fixes the money; leave one of the two out")
	}
	price := q.Rules.CompromisePrice
	trades, whole, err := q.TradeOff(ctx)
	if errors.Is(err, desk.ErrTimeUp) {
		return hinted{
			&limitError{"the time was up before the trade-off was worked out"},
			[]string{"halfpot buy " + q.Force.ID},
		}
	}
	if err != nil {
		return err
	}
	if len(trades) == 0 && !whole {
		return hinted{
			&limitError{"the time was up before any order of the trade-off was proven"},
			[]string{"halfpot buy " + q.Force.ID},
		}
	}
	rows := []tradeRow{}
	steps := paper.Steps{
		Title:       "Money against faithfulness: " + orWord(q.Force.Name, q.Force.ID),
		AcrossWords: "points",
		Mark:        -1,
		UpText: func(minor float64) string {
			return inventory.MoneyOfMinor(int64(minor), q.Problem.Currency).String()
		},
	}
	best := int64(-1)
	unit, _ := price.Minor()
	for i, t := range trades {
		rows = append(rows, newTradeRow(q, t))
		steps.Points = append(steps.Points, paper.StepPoint{Across: float64(t.Points), Up: float64(t.Cost)})
		if worth := t.Cost + unit*t.Points; best < 0 || worth < best {
			best, steps.Mark = worth, i
		}
	}
	if picture != "" && len(rows) > 0 {
		if err := writeFile(picture, steps.SVG); err != nil {
			return err
		}
	}
	doc := struct {
		Force  string     `json:"force"`
		Whole  bool       `json:"whole"`
		Trades []tradeRow `json:"trades"`
	}{q.Force.ID, whole, rows}
	if err := a.show(doc, rows, func(page *view.Page) {
		page.Line("Money against faithfulness for %s. "+
			"Of the orders found none is as cheap with fewer points:", orWord(q.Force.Name, q.Force.ID))
		page.List(rows, "there is no order at all: ask halfpot buy without --trade-off for the reasons")
		if len(rows) > 1 {
			page.Gap()
			for _, line := range steps.Text(page.Measure()) {
				page.Raw(line)
			}
			page.Note("* is best with a point counted as %s, which is how halfpot buy weighs; "+
				"a point is one step of compromise in one unit. "+
				"Each order has the chance asked for that nothing runs short, "+
				"and is proven the cheapest for its points if the needs are as reckoned.", price)
		}
		if !whole && len(rows) > 0 {
			page.Note("The search ended before all were found: more faithful orders than these may exist.")
		}
	}); err != nil {
		return err
	}
	switch {
	case len(trades) == 0:
		return shown(exitNoPlan)
	case !whole:
		return shown(exitLimit)
	}
	return nil
}

func newTradeRow(q *desk.Question, t desk.Trade) tradeRow {
	row := tradeRow{
		Points:  view.Count(t.Points),
		Total:   view.Money(t.List.Total),
		More:    view.Money(t.Extra),
		Shops:   view.Count(len(t.List.Orders)),
		Departs: []departDoc{},
		Lines:   []orderRow{},
	}
	var names []string
	units := map[string]int{}
	for _, s := range t.List.Steps {
		if s.Kind == estimate.OwnOption || s.Compromise == 0 {
			continue
		}
		with := mixText(q.Index, s.Mix)
		row.Departs = append(row.Departs, departDoc{s.Unit, s.Step, with, s.Compromise})
		if units[s.Step] == 0 {
			names = append(names, s.Step)
		}
		units[s.Step]++
	}
	for i, n := range names {
		if units[n] > 1 {
			names[i] = fmt.Sprintf("%s (%d units)", n, units[n])
		}
	}
	row.Like = "nothing"
	if len(names) > 0 {
		row.Like = strings.Join(names, ", ")
	}
	for _, o := range t.List.Orders {
		row.Lines = append(row.Lines, newOrderDoc(q.Index, o).Lines...)
	}
	return row
}
