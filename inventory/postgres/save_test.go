package postgres

import (
	"strings"
	"sync"
	"testing"
	"time"

	"halfpot/inventory"
)

func TestExampleIsLegal(t *testing.T) {
	c := example()
	if err := c.Validate().Err(); err != nil {
		t.Fatal(err)
	}
}

func TestCatalogueComesBackAsSaved(t *testing.T) {
	s := open(t)
	want := example()
	r := mustSave(t, s, Load{Catalogue: want})
	for name, got := range map[string]struct{ count, want Count }{
		"paints": {r.Paints, Count{New: 4}}, "stand-ins": {r.StandIns, Count{New: 1}},
		"products": {r.Products, Count{New: 2}}, "shops": {r.Shops, Count{New: 2}},
		"offers": {r.Offers, Count{New: 3}}, "figures": {r.Figures, Count{New: 3}},
		"recipes": {r.Recipes, Count{New: 1}}, "forces": {r.Forces, Count{New: 1}},
	} {
		if got.count != got.want {
			t.Errorf("%s: %+v, want %+v", name, got.count, got.want)
		}
	}
	got := mustLoad(t, s)
	if !same(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	if p := got.Offers[0].Price.String(); p != "9.99 EUR" {
		t.Errorf("price reads %q", p)
	}
}

func TestSavingTwiceChangesNothing(t *testing.T) {
	s := open(t)
	l := Load{Catalogue: example(), Pots: examplePots(), Jobs: []Job{exampleJob("job-a")}}
	first := mustSave(t, s, l)
	before := dump(t, s)
	second := mustSave(t, s, l)
	if n := second.Total(); n.New != 0 || n.Changed != 0 || n.Same != first.Total().New {
		t.Errorf("second time %+v after %+v", n, first.Total())
	}
	if after := dump(t, s); after != before { // xmin too: not a row was written
		t.Errorf("the tables changed:\n%s\n---\n%s", before, after)
	}
}

func TestChangesOfEveryKindAreSaved(t *testing.T) {
	s := open(t)
	mustSave(t, s, Load{Catalogue: example()})
	c := example()
	c.Paints[0].Density, c.Paints[0].Colour = 0, nil
	c.StandIns[0].Compromise = 0
	c.Products[1].Contents = c.Products[1].Contents[1:]
	c.Shops[0].Delivery = c.Shops[0].Delivery[:1]
	c.Shops[0].MinOrder = inventory.Money{}
	c.Spectra[0].Readings[3].Reflectance = 0.9
	c.TrialMixes[0].Mix = inventory.Mix{c.TrialMixes[0].Mix[1], c.TrialMixes[0].Mix[0]}
	c.Offers[1].Price = eur("3.21")
	c.Offers[0].Limit = nil
	c.Figures[0].Regions[0].Share = 0.25
	c.Figures[1].Body, c.Figures[1].AreaCM2 = nil, 8
	c.Recipes[0].Steps = c.Recipes[0].Steps[1:]
	c.Recipes[0].Steps[0].Alternatives = nil
	c.Forces[0].Units[0].Figures = 9
	c.Forces[0].Match = c.Forces[0].Match[:1]
	r := mustSave(t, s, Load{Catalogue: c})
	want := Report{
		Paints:     Count{0, 1, 3},
		StandIns:   Count{0, 1, 0},
		Spectra:    Count{0, 1, 0},
		TrialMixes: Count{0, 1, 0},
		Products:   Count{0, 1, 1},
		Shops:      Count{0, 1, 1},
		Offers:     Count{0, 2, 1},
		Figures:    Count{0, 2, 1},
		Recipes:    Count{0, 1, 0},
		Forces:     Count{0, 1, 0},
	}
	if r != want {
		t.Errorf("got  %+v\nwant %+v", r, want)
	}
	if got := mustLoad(t, s); !same(got, c) {
		t.Errorf("got  %+v\nwant %+v", got, c)
	}
}

func TestWhatALoadLeavesOutStays(t *testing.T) {
	s := open(t)
	mustSave(t, s, Load{Catalogue: example()})
	extra := inventory.Catalogue{Paints: []inventory.Paint{{ID: "new", Name: "New", Type: inventory.Ink}}}
	mustSave(t, s, Load{Catalogue: extra})
	want := example()
	want.Paints = append(want.Paints, extra.Paints...)
	if got := mustLoad(t, s); !same(got, want) {
		t.Errorf("got %+v", got)
	}
}

func TestAShopCanChangeItsCurrencyWithItsPrices(t *testing.T) {
	s := open(t)
	mustSave(t, s, Load{Catalogue: example()})
	only := inventory.Catalogue{Shops: []inventory.Shop{{ID: "harbour", Name: "Harbour", Currency: "USD"}}}
	_, err := s.Save(t.Context(), Load{Catalogue: only})
	if err == nil || !strings.Contains(err.Error(), "money in USD, the shop's currency") {
		t.Errorf("got %v", err)
	}
	// All shops of a catalogue have one currency, so they change together.
	only.Shops = append(only.Shops, inventory.Shop{ID: "corner", Name: "Corner", Currency: "USD"})
	for _, o := range example().Offers {
		o.Price.Currency = "USD"
		only.Offers = append(only.Offers, o)
	}
	mustSave(t, s, Load{Catalogue: only})
}

func TestABadLoadWritesNothing(t *testing.T) {
	s := open(t)
	mustSave(t, s, Load{Catalogue: example(), Pots: examplePots()})
	before := dump(t, s)
	fresh := inventory.Paint{ID: "fresh", Name: "Fresh", Type: inventory.Base}
	for _, tt := range []struct {
		name string
		load Load
		kind ErrorKind
		want []string
	}{
		{"dangling paint", Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{fresh},
			Products: []inventory.Product{{
				ID:       "p",
				Contents: []inventory.Content{{Paint: "nowhere", Volume: 1, Count: 1}},
			}}}},
			Invalid, []string{"product content names a paint that is not there", "nowhere"}},
		{"the same twice", Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{fresh, fresh}}},
			Conflict, []string{"the same paint is there already", "fresh"}},
		{"money too fine", Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{fresh},
			Offers: []inventory.Offer{{Product: "starter", Shop: "harbour", Price: eur("1.2345")}}}},
			Invalid, []string{"1.2345 EUR", "three decimals"}},
		{"money too large", Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{fresh},
			Offers: []inventory.Offer{{Product: "starter", Shop: "harbour", Price: eur("1000000000")}}}},
			Invalid, []string{"larger than the database keeps"}},
		{"zero byte", Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{
			fresh,
			{ID: "zero", Name: "a\x00b", Type: inventory.Base},
		}}},
			Invalid, []string{"zero byte"}},
		{"broken UTF-8", Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{
			fresh,
			{ID: "utf", Name: "a\xffb", Type: inventory.Base},
		}}},
			Invalid, []string{"UTF-8"}},
		{"bad event after good pots", Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{fresh}},
			Pots: []inventory.Pot{{ID: "x", Paint: "fresh", Nominal: 17000,
				Events: []inventory.PotEvent{{Kind: inventory.Judged, At: noon}}}}},
			Invalid, []string{"lacks the measure"}},
		{"job without id", Load{
			Catalogue: inventory.Catalogue{Paints: []inventory.Paint{fresh}},
			Jobs:      []Job{{Force: "patrol"}},
		},
			Invalid, []string{"needs an id"}},
		{"work on no unit", Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{fresh}},
			Jobs: []Job{{
				ID:    "j",
				Force: "patrol",
				Work:  []inventory.Work{{Unit: "nobody", Step: "prime", Figures: 1}},
			}}},
			Invalid, []string{"a unit that the force does not have"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := s.Save(t.Context(), tt.load)
			mustFail(t, err, tt.kind, tt.want...)
			if r != (Report{}) {
				t.Errorf("reported %+v", r)
			}
			if after := dump(t, s); after != before {
				t.Error("something was written")
			}
		})
	}
}

func TestAUnitWithWorkCantBeTakenAway(t *testing.T) {
	s := open(t)
	c := example()
	mustSave(t, s, Load{Catalogue: c, Pots: examplePots(), Jobs: []Job{exampleJob("j")}})
	c.Forces[0].Units[1].Figures = 7 // a change beside it is fine
	mustSave(t, s, Load{Catalogue: c})
	c.Forces[0].Units = c.Forces[0].Units[1:]
	c.Forces[0].Match = nil
	_, err := s.Save(t.Context(), Load{Catalogue: c})
	mustFail(t, err, Invalid, "work logged on a unit")
}

func TestLoadsAtOnceBothHold(t *testing.T) {
	s := open(t)
	var wg sync.WaitGroup
	counts := make([]Count, 6)
	for i := range counts {
		wg.Go(func() {
			r, err := s.Save(t.Context(), Load{Catalogue: example(), Pots: examplePots()})
			if err != nil {
				t.Error(err)
			}
			counts[i] = r.Total()
		})
	}
	wg.Wait()
	sum := 0
	for _, c := range counts {
		sum += c.New
	}
	if all := mustSave(t, s, Load{Catalogue: example(), Pots: examplePots()}).Total(); sum != all.Same ||
		all.New != 0 {
		t.Errorf("%d were new over all loads, %d things there are", sum, all.Same)
	}
}

func TestSameSeesThroughForm(t *testing.T) {
	at := time.Date(2031, 1, 2, 3, 4, 5, 6789, time.FixedZone("x", 3600))
	for _, tt := range []struct {
		name string
		a, b any
		want bool
	}{
		{"decimals", eur("1.5"), eur("1.500"), true},
		{"amounts", eur("1.5"), eur("1.51"), false},
		{"currency", eur("1"), inventory.Money{Amount: eur("1").Amount, Currency: "USD"}, false},
		{"nothing", inventory.Money{}, eur("0"), true},
		{"nothing in two currencies", eur("0"), inventory.Money{Currency: "USD"}, false},
		{"times", at, at.UTC().Add(time.Nanosecond), true},
		{"later", at, at.Add(time.Millisecond), false},
		{"empty list", inventory.RegionSet{Names: []string{}}, inventory.RegionSet{}, true},
		{"no pointer", inventory.Step{}, inventory.Step{Loss: ptr(0.0)}, false},
		{"pointers", inventory.Step{Loss: ptr(0.5)}, inventory.Step{Loss: ptr(0.5)}, true},
		{"order", []string{"a", "b"}, []string{"b", "a"}, false},
	} {
		if got := same(tt.a, tt.b); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}
