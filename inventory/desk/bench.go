package desk

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/painting"
	"halfpot/inventory/shopping"
)

// Settings of the bench.
const (
	EveningsSetting = "evenings"
	DropSetting     = "drop-ul"
)

// BenchHabits are what the painter has said of the bench.
type BenchHabits struct {
	Evenings painting.Evenings
	Said     bool    // the evenings are the painter's own, not the usual ones
	DropUL   float64 // size of a drop
}

// Habits reads them from what is kept.
func Habits(ctx context.Context, kept Kept) (BenchHabits, error) {
	h := BenchHabits{DropUL: painting.DropUL}
	said, err := kept.Settings(ctx)
	if err != nil {
		return h, err
	}
	text := painting.UsualEvenings
	if s, ok := said[EveningsSetting]; ok {
		text, h.Said = s, true
	}
	if h.Evenings, err = painting.ParseEvenings(text); err != nil {
		return h, inventory.Fault{
			Path:     "settings." + EveningsSetting,
			Found:    inventory.Quoted(text),
			Expected: "days and hours, like Tue Thu 19:00-21:30",
		}
	}
	if s, ok := said[DropSetting]; ok {
		if v, err := strconv.ParseFloat(s, 64); err == nil && v > 0 {
			h.DropUL = v
		}
	}
	return h, nil
}

// Pace is what timed sittings have taught of the painter's speed.
func (d *Desk) Pace() *painting.Pace {
	var timed []painting.TimedSitting
	for i := range d.Catalogue.Forces {
		f := &d.Catalogue.Forces[i]
		for j := 0; j < len(f.Done); {
			k := j + 1
			for k < len(f.Done) && f.Done[k].Job == f.Done[j].Job {
				k++
			}
			if f.Done[j].Minutes > 0 {
				timed = append(timed, painting.TimedSitting{
					Minutes: float64(f.Done[j].Minutes),
					Tables:  painting.WorkTables(f.Done[j:k], f, d.Index),
				})
			}
			j = k
		}
	}
	return painting.LearnPace(timed)
}

// Bench is what is left of a force at the painter's pace, with the paints that
// will really be taken.
func (d *Desk) Bench(f *inventory.Force, o painting.Options) (*painting.Bench, error) {
	var err error
	if o.Taken, err = d.estimator().Taken(f, d.Levels, d.withComing()); err != nil {
		return nil, err
	}
	return painting.NewBench(f, d.Index, d.Pace(), o)
}

// Estimator works out amounts with what the pots have taught.
func (d *Desk) Estimator() *estimate.Estimator {
	return estimate.NewEstimator(d.Catalogue, d.Lesson.Factors)
}

// Spent is what the paint drawn for a force cost, by currency: the part of each
// pot's price that its logged work took. A pot without a price adds nothing, and
// known says whether every pot drawn on had one.
func (d *Desk) Spent(f *inventory.Force) (spent []inventory.Money, known bool) {
	jobs := map[string]bool{}
	for _, w := range f.Done {
		jobs[w.Job] = true
	}
	known = true
	sum := map[string]inventory.Money{}
	for i := range d.Shelf.Pots {
		p := &d.Shelf.Pots[i]
		undone := map[int64]bool{}
		for _, e := range p.Events {
			if e.Undoes != 0 {
				undone[e.Undoes] = true
			}
		}
		var used inventory.Volume
		for _, e := range p.Events {
			if e.Kind == inventory.Used && e.Job != "" && jobs[e.Job] && e.Volume != nil && !undone[e.ID] {
				used += *e.Volume
			}
		}
		switch {
		case used == 0:
		case p.Cost == nil || p.Nominal == 0:
			known = false
		default:
			m := sum[p.Cost.Currency]
			m.Currency = p.Cost.Currency
			m.Amount = m.Amount.Add(p.Cost.Amount.Mul(decimalOf(used)).Div(decimalOf(p.Nominal)))
			sum[p.Cost.Currency] = m
		}
	}
	for _, m := range sum {
		m.Amount = m.Amount.Round(2)
		spent = append(spent, m)
	}
	sortMoney(spent)
	return spent, known
}

func decimalOf(v inventory.Volume) decimal.Decimal { return decimal.NewFromInt(int64(v)) }

func sortMoney(m []inventory.Money) {
	slices.SortFunc(m, func(a, b inventory.Money) int { return strings.Compare(a.Currency, b.Currency) })
}

// FromNothing asks what a painter who owns nothing buys for one unit alone.
func (d *Desk) FromNothing(
	u inventory.Unit, rules shopping.Rules, needRules estimate.NeedRules,
) (*Question, error) {
	f := inventory.Force{ID: u.ID, Name: u.Name, Units: []inventory.Unit{u}}
	bare := *d
	bare.Shelf, bare.Levels, bare.Orders, bare.Coming = inventory.Shelf{}, nil, nil, nil
	return bare.Question(f, rules, needRules)
}
