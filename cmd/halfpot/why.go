package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
)

// nearMissTries is how many offers left out are looked at for near misses.
const nearMissTries = 8

// whyDoc says what each part of a plan is there for.
type whyDoc struct {
	Lines      []strandRow    `json:"lines"`
	Sets       []setDoc       `json:"sets"`
	Thresholds []thresholdRow `json:"delivery"`
	NearMisses []nearMissRow  `json:"near_misses"`
	OneMore    []oneMoreRow   `json:"one_more_figure"`
	Cut        []string       `json:"no_time_for"`
}

type strandRow struct {
	Name    string     `json:"name"`
	Count   view.Count `json:"stranded_steps"`
	Text    string     `json:"-"`
	Short   []string   `json:"short_of"`
	Product string     `json:"product"`
	Shop    string     `json:"shop"`
	Steps   []string   `json:"steps"`
}

type setDoc struct {
	Product string     `json:"product"`
	Name    string     `json:"name"`
	Shop    string     `json:"shop"`
	Price   view.Money `json:"price"`
	Pots    []setRow   `json:"pots"`
	Singles view.Money `json:"singles"`
	Without view.Money `json:"dearer_without"`
	None    bool       `json:"no_plan_without"`
	Instead string     `json:"instead"`
}

type setRow struct {
	Name   string      `json:"name" table:"pot in the set"`
	Count  view.Count  `json:"count" table:"pots"`
	Needed view.Amount `json:"needed" table:"needed of it"`
	Single view.Money  `json:"single" table:"singly"`
	At     string      `json:"shop_name" table:"at"`
	Shop   string      `json:"shop"`
}

type thresholdRow struct {
	Shop string     `json:"shop"`
	From view.Money `json:"from"`
	Fee  view.Money `json:"fee"`
	Base view.Money `json:"base_fee"`
	Save view.Money `json:"saved"`
	Text string     `json:"text"`
}

type nearMissRow struct {
	Name    string     `json:"name" table:"left out"`
	At      string     `json:"shop_name" table:"at"`
	Shop    string     `json:"shop"`
	Price   view.Money `json:"price" table:"price"`
	Cheaper view.Money `json:"cheaper" table:"would get in if cheaper by"`
}

type oneMoreRow struct {
	Unit  string     `json:"unit" table:"one more in"`
	Extra view.Money `json:"extra" table:"costs"`
	Buys  string     `json:"buys" table:"with"`
	None  bool       `json:"no_plan"`
}

// errTimeUp says that a search came to no proven end.
var errTimeUp = errors.New("the time was up before it was proven")

// proven turns a solver into one that knows no half answers: what explains a
// plan compares costs, and an unproven cost would tell a tale.
func proven(solve shopping.Solver) shopping.Solver {
	return func(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
		r, err := solve(ctx, p)
		if err == nil && (r.Status == optimize.Feasible || r.Status == optimize.Unsolved) {
			return nil, errTimeUp
		}
		return r, err
	}
}

// explainingPatience bounds each search that only explains: one that takes
// longer is told as "no time for", and the plan itself is not kept waiting.
const explainingPatience = 5 * time.Second

// patient gives every search of a solver a time limit of its own.
func patient(solve shopping.Solver, limit time.Duration) shopping.Solver {
	return func(ctx context.Context, p *optimize.Problem) (*optimize.Result, error) {
		ctx, cancel := context.WithTimeout(ctx, limit)
		defer cancel()
		return solve(ctx, p)
	}
}

func (a *app) newWhyDoc(ctx context.Context, q *question, answer *shopping.Answer) (*whyDoc, error) {
	solve, done := a.solver(q.Problem.Currency)
	defer done()
	solve = proven(patient(solve, explainingPatience))
	d := &whyDoc{}
	if err := d.addLines(q, answer); err != nil {
		return nil, err
	}
	for _, part := range []struct {
		name string
		add  func() error
	}{
		{"why sets beat single pots", func() error { return d.addSets(ctx, q, answer, solve) }},
		{"what the delivery charges did", func() error { return d.addThresholds(ctx, q, answer, solve) }},
		{"what one more figure costs", func() error { return d.addOneMore(ctx, q, answer, solve) }},
		{"what came close", func() error { return d.addNearMisses(ctx, q, answer, solve) }},
	} {
		err := part.add()
		if errors.Is(err, errTimeUp) || errors.Is(err, context.DeadlineExceeded) {
			d.Cut = append(d.Cut, part.name)
			continue
		}
		if err != nil {
			return nil, err
		}
	}
	return d, nil
}

func (d *whyDoc) addSets(ctx context.Context, q *question, answer *shopping.Answer, solve shopping.Solver) error {
	sets, err := answer.Sets(ctx, solve)
	for _, s := range sets {
		d.Sets = append(d.Sets, newSetDoc(q.Index, s))
	}
	return err
}

func (d *whyDoc) addThresholds(ctx context.Context, q *question, answer *shopping.Answer, solve shopping.Solver) error {
	thresholds, err := answer.Thresholds(ctx, solve)
	for _, t := range thresholds {
		d.Thresholds = append(d.Thresholds, newThresholdRow(q.Index, t))
	}
	return err
}

func (d *whyDoc) addNearMisses(ctx context.Context, q *question, answer *shopping.Answer, solve shopping.Solver) error {
	misses, err := answer.NearMisses(ctx, solve, nearMissTries)
	for _, m := range misses {
		d.NearMisses = append(d.NearMisses, nearMissRow{Name: q.Index.Products[m.Product].Name, At: shopName(q.Index, m.Shop), Shop: m.Shop, Price: view.Money(m.Price), Cheaper: view.Money(m.Cheaper)})
	}
	return err
}

func (d *whyDoc) addOneMore(ctx context.Context, q *question, answer *shopping.Answer, solve shopping.Solver) error {
	more, err := answer.OneMoreFigure(ctx, solve, q.factors, q.needRules)
	for _, m := range more {
		row := oneMoreRow{Unit: m.Unit, None: m.None, Buys: "no plan"}
		if !m.None {
			row.Extra, row.Buys = view.Money(m.Extra), orWord(extraText(q.Index, m.Buys), "nothing more to buy")
		}
		d.OneMore = append(d.OneMore, row)
	}
	return err
}

func (d *whyDoc) addLines(q *question, answer *shopping.Answer) error {
	l, err := answer.List()
	if err != nil {
		return err
	}
	for _, s := range l.Strandings(q.Question) {
		row := strandRow{Name: q.Index.Products[s.Product].Name, Count: view.Count(len(s.Steps)), Product: s.Product, Shop: s.Shop, Steps: s.Steps, Text: stepsByUnit(s.Steps)}
		for _, p := range s.Paints {
			row.Short = append(row.Short, paintName(q.Index, p))
		}
		d.Lines = append(d.Lines, row)
	}
	return nil
}

// stepsByUnit is "rifles: skin, webbing; scouts: skin".
func stepsByUnit(steps []string) string {
	var units []string
	by := map[string][]string{}
	for _, s := range steps {
		unit, step, _ := strings.Cut(s, "/")
		if by[unit] == nil {
			units = append(units, unit)
		}
		by[unit] = append(by[unit], step)
	}
	for i, u := range units {
		units[i] = u + ": " + strings.Join(by[u], ", ")
	}
	return strings.Join(units, "; ")
}

func newSetDoc(byID *inventory.Index, s shopping.SetReason) setDoc {
	d := setDoc{Product: s.Product, Name: byID.Products[s.Product].Name, Shop: s.Shop, Price: view.Money(s.Price), Singles: view.Money(s.Singles),
		Without: view.Money(s.Without), None: s.None, Instead: extraText(byID, s.Instead)}
	for _, p := range s.Pots {
		row := setRow{Name: paintName(byID, p.Paint), Count: view.Count(p.Count), Needed: amount(byID.Paints[p.Paint], p.Needed), At: shopName(byID, p.Shop), Shop: p.Shop}
		if p.Single != nil {
			row.Single = view.Money(*p.Single)
		}
		d.Pots = append(d.Pots, row)
	}
	return d
}

func newThresholdRow(byID *inventory.Index, t shopping.ThresholdEffect) thresholdRow {
	row := thresholdRow{Shop: t.Shop, From: view.Money(t.From), Fee: view.Money(t.Fee), Base: view.Money(t.BaseFee), Save: view.Money(t.Saved)}
	name := shopName(byID, t.Shop)
	switch {
	case t.Fee.Equal(t.BaseFee) && t.NextFrom != nil:
		row.Text = fmt.Sprintf("%s: %s; from %s it would be %s, but filling up to that does not pay.", name, deliveryWords(row.Fee), *t.NextFrom, deliveryWords(view.Money(*t.NextFee)))
	case len(t.Changed) == 0:
		row.Text = fmt.Sprintf("%s: the order passes %s by itself, which saves %s on delivery.", name, t.From, t.Saved)
	default:
		row.Text = fmt.Sprintf("%s: the order was filled to pass %s, where it is %s; all told that saves %s (%s).", name, t.From, deliveryWords(row.Fee), t.Saved, extraText(byID, t.Changed))
	}
	return row
}

func (d *whyDoc) show(page *view.Page) {
	page.Heading("What each line is there for")
	for _, l := range d.Lines {
		if l.Count == 0 {
			page.Line("  %s: no step needs it; it pays for itself in what it saves elsewhere.", l.Name)
			continue
		}
		page.Line("  %s: without it %s for %s (%s).", l.Name, count(int(l.Count), "step waits", "steps wait"), strings.Join(l.Short, ", "), l.Text)
	}
	for _, s := range d.Sets {
		page.Heading("Why the set %s", s.Name)
		page.List(s.Pots, "")
		page.Line("It costs %s; the pots needed would cost %s one by one, before delivery.", s.Price, s.Singles)
		switch {
		case s.None:
			page.Line("Without it there is no plan.")
		case s.Without.Amount.IsZero():
			page.Line("An order without it costs the same: %s.", s.Instead)
		default:
			page.Line("The best order without it is %s dearer: %s.", s.Without, s.Instead)
		}
	}
	if len(d.Thresholds) > 0 {
		page.Heading("What the delivery charges did")
		for _, t := range d.Thresholds {
			page.Line("%s", t.Text)
		}
	}
	if len(d.NearMisses) > 0 {
		page.Heading("What came close")
		page.List(d.NearMisses, "")
	}
	if len(d.Cut) > 0 {
		page.Gap()
		page.Note("The time was up before halfpot could work out %s.", strings.Join(d.Cut, ", "))
	}
	if len(d.OneMore) > 0 {
		page.Heading("What one more figure costs")
		page.List(d.OneMore, "")
	}
}
