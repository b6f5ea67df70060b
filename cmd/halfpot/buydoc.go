package main

import (
	"math"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/estimate"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
)

// buyDoc is a purchase plan as it is printed.
type buyDoc struct {
	Force      string       `json:"force"`
	Status     string       `json:"status"`
	Proven     bool         `json:"proven"`
	Confidence float64      `json:"confidence"`
	Orders     []orderDoc   `json:"orders"`
	Goods      view.Money   `json:"goods"`
	Delivery   view.Money   `json:"delivery"`
	Total      view.Money   `json:"total"`
	Bound      view.Money   `json:"bound"`
	Points     int64        `json:"compromise_points"`
	Boxes      int64        `json:"boxes"`
	EvenTotal  view.Money   `json:"total_at_even_chance"`
	StandIns   []standInRow `json:"stand_ins"`
	Steps      []plannedRow `json:"steps"`
	Paints     []balanceRow `json:"paints"`
	Unfinished []string     `json:"unfinished_units"`
	Cheapest   *cheapestDoc `json:"cheapest_unit,omitempty"`
	Reasons    []reasonRow  `json:"reasons"`
	Why        *whyDoc      `json:"why,omitempty"`
	Seconds    float64      `json:"seconds"`
	Coming     []comingRow  `json:"on_its_way"`
	Kept       []string     `json:"kept_as"`          // ids of the orders that the list was kept as
	Chance     view.Num     `json:"chance_of_enough"` // that nothing of it runs short, 0 to 1
	LeastSure  string       `json:"least_sure_paint"`
	LeastAlone view.Num     `json:"chance_of_least_sure"`
	Chances    []chanceRow  `json:"chances"`
	WeighFirst string       `json:"weigh_first"`
	WouldSave  view.Money   `json:"weighing_would_save"`
	PointPrice view.Money   `json:"price_of_a_point"`
	Exact      *view.Money  `json:"exact_colours_cost_more,omitempty"`
	Alone      *view.Money  `json:"money_alone_costs_more,omitempty"`

	name    string
	figures int
	units   int
	waiting bool // there is a budget, and no unit gets finished
	must    bool // something must be in the order
	offers  int  // of all shops
	noTime  bool // the time was up before the cheapest unit was known
	hasty   bool // see desk.Answer
	budget  bool
	list    *shopping.ShoppingList
	byID    *inventory.Index
}

// chanceRow is what being so sure costs.
type chanceRow struct {
	Asked  float64    `json:"asked"`
	Total  view.Money `json:"total"`
	Points int64      `json:"compromise_points"`
	Chance view.Num   `json:"chance_of_enough"`
	Least  string     `json:"least_sure_paint"`
}

func (d *buyDoc) paintName(id string) string { return paintName(d.byID, id) }

// cheapestDoc is what finishing a unit would cost at least.
type cheapestDoc struct {
	Unit  string     `json:"unit"`
	Total view.Money `json:"total"`
}

type orderDoc struct {
	Shop     string     `json:"shop"`
	Name     string     `json:"name"`
	Lines    []orderRow `json:"lines"`
	Goods    view.Money `json:"goods"`
	Delivery view.Money `json:"delivery"`
	Total    view.Money `json:"total"`
}

type orderRow struct {
	Count   view.Count `json:"count" table:"buy"`
	Name    string     `json:"name" table:"product"`
	Price   view.Money `json:"price" table:"each" narrow:"1"`
	Sum     view.Money `json:"sum" table:"sum"`
	For     []string   `json:"for" table:"for"`
	Shop    string     `json:"shop"`
	Product string     `json:"product"`
}

type standInRow struct {
	Step       string          `json:"step" table:"step"`
	Units      []string        `json:"units" table:"in"`
	With       string          `json:"with" table:"done with"`
	InsteadOf  string          `json:"instead_of" table:"instead of"`
	Compromise view.Count      `json:"compromise"` // of one unit
	Differs    view.Difference `json:"difference" table:"differs"`
	Points     view.Count      `json:"points" table:"points"`
	Why        string          `json:"why"`
}

type plannedRow struct {
	Unit    string     `json:"unit"`
	Step    string     `json:"step"`
	Figures view.Count `json:"figures"`
	With    string     `json:"with"`
	Kind    string     `json:"kind"`
	Takes   []takesRow `json:"takes"`
}

type takesRow struct {
	Paint  string      `json:"paint"`
	Amount view.Amount `json:"amount"`
}

type balanceRow struct {
	Paint     string        `json:"paint"`
	Colour    view.Swatch   `json:"colour" table:"col."`
	Name      string        `json:"name" table:"paint"`
	Needed    view.Amount   `json:"needed" table:"needed"`
	OnShelf   view.Amount   `json:"on_shelf" table:"surely left"`
	Bought    view.Shortage `json:"bought" table:"bought"`
	Left      view.Amount   `json:"left" table:"left over"`
	FromShelf view.Amount   `json:"from_shelf"`
}

type reasonRow struct {
	Kind   string   `json:"kind"`
	Steps  []string `json:"steps"`
	Paints []string `json:"paints"`
	Shops  []string `json:"shops"`
	Text   string   `json:"text" table:"why not"`
}

// newBuyDoc tells an answer.
func newBuyDoc(q *desk.Question, answer *desk.Answer) *buyDoc {
	l := answer.List
	d := &buyDoc{Force: q.Force.ID, Status: string(l.Status), Proven: l.Proven(), Confidence: l.Confidence,
		Goods:    view.Money(l.Goods),
		Delivery: view.Money(l.Delivery),
		Total:    view.Money(l.Total),
		Bound:    view.Money(l.Bound),
		Points:   l.Points, Boxes: l.Boxes, Unfinished: l.Unfinished, Seconds: l.Seconds,
		name:    orWord(q.Force.Name, q.Force.ID),
		units:   len(q.Force.Units),
		list:    l,
		byID:    q.Index,
		budget:  q.Rules.Budget != nil,
		must:    len(q.Rules.Must) > 0,
		offers:  len(q.Catalogue().Offers),
		waiting: answer.NoneFinished, noTime: answer.NoTime, PointPrice: view.Money(q.Rules.CompromisePrice),
		Exact: (*view.Money)(answer.Weighed.Exact), Alone: (*view.Money)(answer.Weighed.Alone)}
	if d.hasty = answer.Hasty; d.hasty {
		d.Status, d.Proven, d.Bound = string(optimize.Feasible), false, view.Money{}
	}
	for _, u := range q.Force.Units {
		d.figures += u.Figures
	}
	d.Coming = comingRows(q.Index, q.Coming())
	for _, r := range l.Reasons {
		d.Reasons = append(d.Reasons, reasonRow(r))
	}
	for _, o := range l.Orders {
		d.Orders = append(d.Orders, newOrderDoc(q.Index, o))
	}
	for _, s := range l.Steps {
		d.addStep(q.Index, &q.Force, s)
	}
	for _, b := range l.Balance {
		p := q.Index.Paints[b.Paint]
		d.Paints = append(d.Paints, balanceRow{
			Paint:     b.Paint,
			Colour:    swatch(*p),
			Name:      p.Name,
			Needed:    about(p, b.Needed),
			OnShelf:   about(p, b.Have),
			Bought:    view.Shortage(about(p, b.Bought)),
			Left:      about(p, b.Left),
			FromShelf: about(p, b.FromShelf()),
		})
	}
	if c := answer.Cheapest; c != nil {
		d.Cheapest = &cheapestDoc{c.Unit, view.Money(c.Cost)}
	}
	if w := answer.Weigh; w != nil {
		d.WeighFirst, d.WouldSave = w.Pot, view.Money(w.Saves)
	}
	d.Chance, d.LeastSure = view.Num(answer.Chance.Enough), answer.Chance.Least
	d.LeastAlone = view.Num(answer.Chance.Alone)
	for _, c := range answer.Chances {
		if d.hasty {
			break // they would come as dear as what was reckoned in haste
		}
		d.Chances = append(d.Chances, chanceRow{
			Asked:  c.Asked,
			Total:  view.Money(c.Total),
			Points: c.Points,
			Chance: view.Num(c.Chance.Enough),
			Least:  c.Chance.Least,
		})
		if c.Asked == 0.5 {
			d.EvenTotal = view.Money(c.Total)
		}
	}
	return d
}

func newOrderDoc(byID *inventory.Index, o shopping.Order) orderDoc {
	d := orderDoc{
		Shop:     o.Shop,
		Name:     byID.Shops[o.Shop].Name,
		Goods:    view.Money(o.Goods),
		Delivery: view.Money(o.Delivery),
		Total:    view.Money(o.Total),
	}
	for _, l := range o.Lines {
		row := orderRow{
			Count:   view.Count(l.Count),
			Name:    byID.Products[l.Product].Name,
			Price:   view.Money(l.Price),
			Sum:     view.Money(l.Sum),
			Shop:    o.Shop,
			Product: l.Product,
		}
		for _, p := range l.Paints {
			row.For = append(row.For, paintName(byID, p))
		}
		d.Lines = append(d.Lines, row)
	}
	return d
}

func (d *buyDoc) addStep(byID *inventory.Index, f *inventory.Force, s shopping.PlannedStep) {
	row := plannedRow{
		Unit:    s.Unit,
		Step:    s.Step,
		Figures: view.Count(s.Figures),
		With:    mixText(byID, s.Mix),
		Kind:    string(s.Kind),
	}
	for _, t := range s.Takes {
		row.Takes = append(row.Takes, takesRow{t.Paint, about(byID.Paints[t.Paint], t.Volume)})
	}
	d.Steps = append(d.Steps, row)
	if s.Kind == estimate.OwnOption {
		return
	}
	asked := ""
	if u, ok := f.Unit(s.Unit); ok {
		if step, ok := byID.Recipes[u.Recipe].Step(s.Step); ok {
			asked = mixText(byID, step.Mix)
		}
	}
	// Units that do a step alike for the same reason share a line.
	for i := range d.StandIns {
		if o := &d.StandIns[i]; o.Step == s.Step && o.With == row.With && o.InsteadOf == asked &&
			o.Why == s.Why {
			o.Units = append(o.Units, s.Unit)
			o.Points += view.Count(s.Compromise)
			return
		}
	}
	d.StandIns = append(d.StandIns, standInRow{
		Step:       s.Step,
		Units:      []string{s.Unit},
		With:       row.With,
		InsteadOf:  asked,
		Compromise: view.Count(s.Compromise),
		Differs:    differs(s),
		Points:     view.Count(s.Compromise),
		Why:        s.Why,
	})
}

// differs is the measured difference of a way by colour.
func differs(s shopping.PlannedStep) view.Difference {
	if s.Kind != estimate.ByColour || s.Difference == 0 {
		return view.Difference(math.NaN())
	}
	return view.Difference(s.Difference)
}

// lines are all order lines, for CSV.
func (d *buyDoc) lines() []orderRow {
	rows := []orderRow{}
	for _, o := range d.Orders {
		rows = append(rows, o.Lines...)
	}
	return rows
}
