package desk

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shelf"
	"halfpot/inventory/shopping"
)

// values keeps a desk in memory.
type values struct {
	catalogue *inventory.Catalogue
	shelf     inventory.Shelf
	settings  map[string]string
	history   []inventory.FactorChange
	orders    []inventory.Order
}

func (v values) CatalogueAt(_ context.Context, at time.Time) (inventory.Catalogue, error) {
	c := *v.catalogue
	c.Forces = slices.Clone(c.Forces)
	for i := range c.Forces {
		c.Forces[i].Done = slices.DeleteFunc(slices.Clone(c.Forces[i].Done), func(w inventory.Work) bool {
			return w.At.After(at)
		})
	}
	return c, nil
}

func (v values) Orders(context.Context) ([]inventory.Order, error) { return v.orders, nil }

func (v values) Retired(context.Context) (inventory.Retired, error)         { return nil, nil }
func (v values) LoadCatalogue(context.Context) (inventory.Catalogue, error) { return *v.catalogue, nil }
func (v values) Shelf(context.Context) (inventory.Shelf, error)             { return v.shelf, nil }
func (v values) Settings(context.Context) (map[string]string, error)        { return v.settings, nil }
func (v values) FactorHistory(context.Context, inventory.FactorLevel, string) ([]inventory.FactorChange, error) {
	return v.history, nil
}

func open(t *testing.T, v values, now time.Time) *Desk {
	t.Helper()
	return fixture.Must[*Desk](t)(Open(t.Context(), v, Options{Now: func() time.Time { return now }}))
}

func pot(id, paint string, events ...inventory.PotEvent) inventory.Pot {
	p := fixture.PotOf(paint, append([]inventory.PotEvent{{Kind: inventory.Bought}}, events...)...)
	p.ID = id
	return *p
}

func TestShelfOfADesk(t *testing.T) {
	v := values{catalogue: fixture.SmallCatalogue(), shelf: inventory.Shelf{Pots: []inventory.Pot{
		pot("black-1", "black"), pot("leather-1", "leather", fixture.Judged(.5)),
		pot("black-2", "black", inventory.PotEvent{Kind: inventory.GivenAway})}}}
	d := open(t, v, fixture.Noon.AddDate(0, 1, 0))
	pots := d.Pots()
	if len(pots) != 3 || pots[1].ID != "leather-1" || pots[1].Level.Pot != "leather-1" {
		t.Fatalf("pots: %+v", pots)
	}
	if left := pots[1].Level.Left().ML(); left < 6 || left > 9.5 {
		t.Errorf("half a pot of 17 ml: %g ml", left)
	}
	if of := d.PotsOf("black"); len(of) != 2 || of[1].Level.Gone != inventory.GivenAway {
		t.Errorf("pots of black: %+v", of)
	}
	if _, ok := d.Paint("cloth-a"); ok {
		t.Error("there is no pot of cloth-a, yet something is left")
	}
	if l, ok := d.NewPot("cloth-a"); !ok || l.Nominal <= 0 {
		t.Errorf("a new pot: %v, %+v", ok, l)
	}
	used := fixture.Vol(2)
	after := pots[0].Pot
	after.Events = append(after.Events, inventory.PotEvent{ID: 9, Kind: inventory.Used, At: d.At, Volume: used})
	if was, is := pots[0].Level.Left(), d.Level(after).Left(); was-is < *used*9/10 {
		t.Errorf("after 2 ml were used: %s, before %s", is, was)
	}
}

// An event dated by a clock a little ahead counts at once; one from far in the
// future does not.
// What is told right after an entry is what the next desk says.
func TestNotedIsWhatTheNextDeskSays(t *testing.T) {
	now := fixture.Noon.AddDate(0, 1, 0)
	v := values{catalogue: fixture.SmallCatalogue(), shelf: inventory.Shelf{Pots: []inventory.Pot{
		pot("black-1", "black", fixture.Judged(.9)), pot("leather-1", "leather", fixture.Judged(.5))}}}
	d := open(t, v, now)
	late := v.shelf.Pots[0]
	used, seen := inventory.PotEvent{
		Kind:      inventory.Used,
		Estimated: true,
		Volume:    fixture.Vol(1),
		At:        now.AddDate(0, 0, -1),
	}, fixture.Judged(.1)
	seen.At = now
	late.Events = append(slices.Clone(late.Events), used, seen)
	told := fixture.Must[[]shelf.Level](t)(d.Noted([]inventory.Pot{late}))
	v.shelf.Pots = []inventory.Pot{late, v.shelf.Pots[1]}
	if next := open(t, v, now).Levels[0]; told[0] != next {
		t.Errorf("told %v, then shown %v", told[0].Left(), next.Left())
	}
	if d.Level(late) == told[0] {
		t.Error("the entry taught nothing: this test can't fail")
	}
}

func TestClockAhead(t *testing.T) {
	for _, c := range []struct {
		ahead time.Duration
		left  float64
	}{{time.Minute, 3}, {time.Hour, 14}} {
		e := fixture.Judged(.05)
		e.At = fixture.Noon.Add(c.ahead)
		d := open(t,
			values{
				catalogue: fixture.SmallCatalogue(),
				shelf:     inventory.Shelf{Pots: []inventory.Pot{pot("black-1", "black", e)}},
			},
			fixture.Noon)
		if left := d.Pots()[0].Level.Left().ML(); (left < 10) != (c.left < 10) {
			t.Errorf("judged nearly empty %s ahead: %g ml", c.ahead, left)
		}
	}
}

func TestRulesOfADesk(t *testing.T) {
	v := values{
		catalogue: fixture.SmallCatalogue(),
		settings:  map[string]string{RuleName("Level judged by eye"): "0.3", "other": "x"},
	}
	rules := fixture.Must[float64](t)(func() (float64, error) {
		r, err := LevelRules(t.Context(), v)
		return r.EyeSD, err
	}())
	if rules != .3 {
		t.Errorf("an eye errs by %g", rules)
	}
	v.settings[RuleName("Level judged by eye")] = "much"
	if _, err := Open(t.Context(), v, Options{Now: time.Now}); !errors.As(err, new(inventory.Fault)) {
		t.Errorf("a rule that is no number: %v", err)
	}
}

func TestAnswersOfADesk(t *testing.T) {
	v := values{catalogue: fixture.SmallCatalogue()}
	d := open(t, v, fixture.Noon)
	force := v.catalogue.Forces[0]
	e := fixture.Must[*Estimate](t)(d.Estimate(Ask{Force: force, Confidence: .9, Sums: true}))
	needs := fixture.Must[*estimate.Needs](t)(d.Needs(force, estimate.NeedRules{}))
	if len(e.Paints) == 0 || len(e.Sums) != len(needs.List) || e.Finishing == nil ||
		len(e.HangsOn) != len(e.Paints) {
		t.Errorf("estimate: %+v", e)
	}
	one := fixture.Must[*Estimate](t)(d.Estimate(Ask{Force: force, Confidence: .9, Step: "prime"}))
	if len(one.Paints) != 1 || one.Finishing != nil || one.Sums != nil {
		t.Errorf("estimate of one step: %+v", one)
	}
	q := fixture.Must[*Question](t)(d.Question(force, shopping.Rules{Confidence: .9}, estimate.NeedRules{}))
	a := fixture.Must[*Answer](t)(q.Answer(t.Context()))
	if !a.List.Proven() || len(a.List.Orders) == 0 || len(a.Chances) != 5 ||
		a.Chances[0].Total.Amount.GreaterThan(a.List.Total.Amount) || a.Chance.Enough < .9 ||
		a.NoneFinished {
		t.Errorf("answer: %+v", a)
	}
	w := fixture.Must[*Why](t)(a.Why(t.Context()))
	lines := 0
	for _, o := range a.List.Orders {
		lines += len(o.Lines)
	}
	if len(w.Lines) != lines || len(w.OneMore) != len(force.Units) || len(w.NoTime) > 0 {
		t.Errorf("why: %+v", w)
	}
	cent := inventory.MoneyOfMinor(1, "EUR")
	q = fixture.Must[*Question](t)(d.Question(force, shopping.Rules{Confidence: .9, Budget: &cent},
		estimate.NeedRules{}))
	if a := fixture.Must[*Answer](t)(q.Answer(t.Context())); !a.NoneFinished || a.Cheapest == nil ||
		a.Chances != nil {
		t.Errorf("for a cent: %+v", a)
	}
}
