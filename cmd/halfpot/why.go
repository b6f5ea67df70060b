package main

import (
	"fmt"
	"strings"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/desk"
	"halfpot/inventory/shopping"
)

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

// noTimeFor is what a part of the explanation is called where the time was up.
var noTimeFor = map[desk.Telling]string{
	desk.OfSets:       "why sets beat single pots",
	desk.OfThresholds: "what the delivery charges did",
	desk.OfOneMore:    "what one more figure costs",
	desk.OfNearMisses: "what came close",
}

func newWhyDoc(byID *inventory.Index, w *desk.Why) *whyDoc {
	d := &whyDoc{}
	for _, s := range w.Lines {
		d.Lines = append(d.Lines, newStrandRow(byID, s))
	}
	for _, s := range w.Sets {
		d.Sets = append(d.Sets, newSetDoc(byID, s))
	}
	for _, t := range w.Thresholds {
		d.Thresholds = append(d.Thresholds, newThresholdRow(byID, t))
	}
	for _, m := range w.NearMisses {
		d.NearMisses = append(d.NearMisses, nearMissRow{
			Name:    byID.Products[m.Product].Name,
			At:      shopName(byID, m.Shop),
			Shop:    m.Shop,
			Price:   view.Money(m.Price),
			Cheaper: view.Money(m.Cheaper),
		})
	}
	for _, m := range w.OneMore {
		row := oneMoreRow{Unit: m.Unit, None: m.None, Buys: "no plan"}
		if !m.None {
			row.Extra, row.Buys = view.Money(m.Extra), orWord(extraText(byID, m.Buys), "nothing more to buy")
		}
		d.OneMore = append(d.OneMore, row)
	}
	for _, p := range w.NoTime {
		d.Cut = append(d.Cut, noTimeFor[p])
	}
	return d
}

func newStrandRow(byID *inventory.Index, s shopping.Stranding) strandRow {
	row := strandRow{
		Name:    byID.Products[s.Product].Name,
		Count:   view.Count(len(s.Steps)),
		Product: s.Product,
		Shop:    s.Shop,
		Steps:   s.Steps,
		Text:    stepsByUnit(s.Steps),
	}
	for _, p := range s.Paints {
		row.Short = append(row.Short, paintName(byID, p))
	}
	return row
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
	d := setDoc{
		Product: s.Product,
		Name:    byID.Products[s.Product].Name,
		Shop:    s.Shop,
		Price:   view.Money(s.Price),
		Singles: view.Money(s.Singles),
		Without: view.Money(s.Without),
		None:    s.None,
		Instead: extraText(byID, s.Instead),
	}
	for _, p := range s.Pots {
		row := setRow{
			Name:   paintName(byID, p.Paint),
			Count:  view.Count(p.Count),
			Needed: about(byID.Paints[p.Paint], p.Needed),
			At:     shopName(byID, p.Shop),
			Shop:   p.Shop,
		}
		if p.Single != nil {
			row.Single = view.Money(*p.Single)
		}
		d.Pots = append(d.Pots, row)
	}
	return d
}

func newThresholdRow(byID *inventory.Index, t shopping.ThresholdEffect) thresholdRow {
	row := thresholdRow{
		Shop: t.Shop,
		From: view.Money(t.From),
		Fee:  view.Money(t.Fee),
		Base: view.Money(t.BaseFee),
		Save: view.Money(t.Saved),
	}
	name := shopName(byID, t.Shop)
	switch {
	case t.Fee.Equal(t.BaseFee) && t.NextFrom != nil:
		row.Text = fmt.Sprintf("%s: %s; from %s it would be %s, but filling up to that does not pay.",
			name, deliveryWords(row.Fee), *t.NextFrom, deliveryWords(view.Money(*t.NextFee)))
	case len(t.Changed) == 0:
		row.Text = fmt.Sprintf("%s: the order passes %s by itself, which saves %s on delivery.",
			name, t.From, t.Saved)
	default:
		row.Text = fmt.Sprintf("%s: the order was filled to pass %s, where it is %s; "+
			"all told that saves %s (%s).",
			name, t.From, deliveryWords(row.Fee), t.Saved, extraText(byID, t.Changed))
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
		page.Line("  %s: without it %s for %s (%s).",
			l.Name, count(int(l.Count), "step waits", "steps wait"), strings.Join(l.Short, ", "), l.Text)
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
