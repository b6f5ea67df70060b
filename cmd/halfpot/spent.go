package main

import (
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
)

type spentOptions struct{ by, from, until string }

func (a *app) spentCommand() *cobra.Command {
	var o spentOptions
	c := &cobra.Command{
		Use: "spent", Short: "what was spent by month, shop or force, paint used, and a figure's cost",
		Long: `Sums up what was spent. An order counts on the day it was placed: what came at the
price paid, what is on its way at the price ordered, what was called off not at all,
and delivery. A pot added by itself counts on the day it came, if you said what it
cost. --by paint tells how much of each paint was used and what that was worth;
--by figure what the paint of one whole figure of each force has cost so far.`,
		Example: `  halfpot spent
  halfpot spent --by shop --from 2026-01-01
  halfpot spent --by figure`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error { return a.spent(c, o) },
	}
	f := c.Flags()
	words(c, f, &o.by, "by", "told by (default month)", []string{
		string(desk.ByMonth), string(desk.ByShop), string(desk.ByForce), "paint", "figure",
	})
	f.StringVar(&o.from, "from", "", "only since `DAY`, like 2026-01-01")
	f.StringVar(&o.until, "until", "", "only up to `DAY` and with it")
	return c
}

// spentRow is a line of what was spent.
type spentRow struct {
	Of       string     `json:"of" table:"when or where"`
	ID       string     `json:"id"`
	Goods    view.Money `json:"goods" table:"goods"`
	Delivery view.Money `json:"delivery" table:"delivery"`
	Total    view.Money `json:"total" table:"together"`
	Coming   view.Money `json:"on_its_way" table:"still on its way"`
	Boxes    view.Count `json:"boxes" table:"items"`
	Unpriced view.Count `json:"orders_without_price"`
}

type usedRow struct {
	Paint    string      `json:"paint"`
	Name     string      `json:"name" table:"paint"`
	Used     view.Amount `json:"used" table:"used"`
	Cost     view.Money  `json:"cost" table:"worth"`
	Unpriced bool        `json:"some_without_price"`
}

type figureCostRow struct {
	Force   string     `json:"force" table:"force"`
	Painted view.Num   `json:"painted" table:"painted so far"`
	Paint   view.Money `json:"paint" table:"paint used"`
	Each    view.Money `json:"each" table:"a figure"`
	Whole   bool       `json:"all_priced"`
}

func (a *app) spent(c *cobra.Command, o spentOptions) error {
	from, until, err := a.span(o)
	if err != nil {
		return err
	}
	st, err := a.state(c.Context())
	if err != nil {
		return err
	}
	switch o.by {
	case "paint":
		return a.paintUsed(st, from, until)
	case "figure":
		if o.from != "" || o.until != "" {
			return usagef("--by figure is of all that was painted so far: expected no --from and no --until")
		}
		return a.figureCosts(st)
	}
	by := desk.SpentBy(orWord(o.by, string(desk.ByMonth)))
	rows := []spentRow{}
	sums := map[string]inventory.Money{}
	unpriced := 0
	for _, s := range st.Spending(by, from, until) {
		row := spentRow{
			ID:       s.Of,
			Of:       s.Of,
			Goods:    view.Money(s.Goods),
			Delivery: view.Money(s.Delivery),
			Total:    view.Money(s.Total()),
			Boxes:    view.Count(s.Boxes),
			Unpriced: view.Count(s.Unpriced),
		}
		switch {
		case s.Of == "" && by == desk.ByForce:
			row.Of = "no force said"
		case s.Of == "":
			row.Of = "no shop said"
		case by == desk.ByShop:
			row.Of = shopName(st.byID, s.Of)
		}
		if !s.Coming.IsZero() {
			row.Coming = view.Money(s.Coming)
		}
		unpriced += s.Unpriced
		total := s.Total()
		total.Amount = total.Amount.Add(sums[total.Currency].Amount)
		sums[total.Currency] = total
		rows = append(rows, row)
	}
	return a.show(rows, rows, func(page *view.Page) {
		page.List(rows, "Nothing spent is on record.")
		for _, s := range rows {
			if m, first := sums[s.Total.Currency]; first && len(rows) > 1 {
				page.Line("Together %s.", m)
				delete(sums, s.Total.Currency)
			}
		}
		if unpriced > 0 {
			page.Note("%s a price that is not known: the sums are without it.",
				count(unpriced, "order has", "orders have"))
		}
	})
}

// span is the time asked for.
func (a *app) span(o spentOptions) (from, until time.Time, err error) {
	if o.from != "" {
		w, err := parseWhen(o.from, a.now())
		if err != nil {
			return from, until, err
		}
		from = inventory.Dawn(w.at)
	}
	until, err = a.endOf(o.until)
	if err == nil && !until.IsZero() && until.Before(from) {
		err = usagef("--until %s lies before --from %s", o.until, o.from)
	}
	return from, until, err
}

func (a *app) paintUsed(st *state, from, until time.Time) error {
	rows := []usedRow{}
	missing := false
	for _, u := range st.Used(from, until) {
		p := st.byID.Paints[u.Paint]
		rows = append(rows, usedRow{
			Paint:    u.Paint,
			Name:     p.Name,
			Used:     about(p, u.Used),
			Cost:     view.Money(u.Cost),
			Unpriced: u.Unpriced,
		})
		missing = missing || u.Unpriced
	}
	return a.show(rows, rows, func(page *view.Page) {
		page.List(rows, "No paint was used yet.")
		if missing {
			page.Note("Some pots have no price: what was used of them is not in the worth.")
		}
	})
}

func (a *app) figureCosts(st *state) error {
	rows := []figureCostRow{}
	missing := false
	for _, f := range st.FigureCosts() {
		rows = append(rows, figureCostRow{
			Force:   f.Force,
			Painted: view.Num(f.Painted),
			Paint:   view.Money(f.Paint),
			Each:    view.Money(f.Each),
			Whole:   f.Known,
		})
		missing = missing || !f.Known
	}
	return a.show(rows, rows, func(page *view.Page) {
		page.List(rows, "Nothing is painted yet.")
		if len(rows) > 0 {
			page.Note("Painted so far counts two half-painted figures as one.")
		}
		if missing {
			page.Note("Some pots have no price: the true cost is higher.")
		}
	})
}
