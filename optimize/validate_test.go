package optimize_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/internal/testkit"
	"halfpot/optimize/problemfile"
)

// Values made in Go pass no reader, so Validate sees what files can't hold.
func TestValidateOfValues(t *testing.T) {
	valid := func() *optimize.Problem {
		p, err := problemfile.Read(strings.NewReader(testkit.Small))
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	if err := valid().Validate(); err != nil {
		t.Fatal(err)
	}
	if err := (&optimize.Problem{Currency: "EUR"}).Validate(); err != nil {
		t.Errorf("nothing to paint is no fault: %v", err)
	}
	many := int64(math.MaxInt64)
	for name, c := range map[string]struct {
		change func(p *optimize.Problem)
		want   string
	}{
		"nothing": {func(p *optimize.Problem) { *p = optimize.Problem{} }, `currency: found ""`},
		"negative count": {func(p *optimize.Problem) { p.Products[0].Contents[0].Count = -1 },
			"products[0].contents[0].count: found -1, expected a whole number of 1 or more"},
		"negative limit": {func(p *optimize.Problem) { *p.Offers[1].Limit = -1 }, "offers[1].limit: found -1"},
		"no bands": {func(p *optimize.Problem) { p.Shops[0].Delivery = nil },
			"shops[0].delivery: found none"},
		"no contents": {func(p *optimize.Problem) { p.Products[0].Contents = nil },
			"products[0].contents: found none"},
		"repeated option in a long list": {func(p *optimize.Problem) {
			for i := range 20 {
				p.Needs[0].Options = append(p.Needs[0].Options, optimize.Option{ID: fmt.Sprint(i)})
			}
			p.Needs[0].Options = append(p.Needs[0].Options, optimize.Option{ID: "7"})
		}, `needs[0].options[22].id: "7" is the id of options[9] already`},
		"repeated use in a long list": {func(p *optimize.Problem) {
			o := &p.Needs[0].Options[0]
			for i := range 20 {
				id := fmt.Sprint(i)
				p.Paints = append(p.Paints, optimize.Paint{ID: id})
				o.Uses = append(o.Uses, optimize.Use{Paint: id, UL: 1})
			}
			o.Uses = append(o.Uses, optimize.Use{Paint: "7", UL: 1})
		}, `needs[0].options[0].uses[21].paint: "7" is used in this option already`},
		"all the volume there is": {func(p *optimize.Problem) { p.Needs[0].Options[0].Uses[0].UL = many },
			"paints[0]: what is left of paint"},
		"all the worth": {func(p *optimize.Problem) { p.Groups[0].Worth = many },
			"groups: the worth of all groups"},
		"all the fees": {func(p *optimize.Problem) { p.Shops[0].Delivery[1].Fee = -many },
			"shops[0]: the charges, thresholds and minimum order"},
		"all the minimum": {func(p *optimize.Problem) { p.Shops[0].MinOrder = many },
			"shops[0]: the charges, thresholds and minimum order"},
		"all the money": {func(p *optimize.Problem) { p.Rules.Budget = &many }, "rules.budget: the budget"},
		"points for all": {func(p *optimize.Problem) { p.Rules.CompromisePrice = many },
			"rules.compromise_price: the compromise price times the points"},
		"a box without end": {func(p *optimize.Problem) { p.Products[1].Contents[0].Count = many },
			"products[1].contents[0]: the volume of paint"},
	} {
		p := valid()
		c.change(p)
		err := p.Validate()
		var invalid *optimize.InvalidError
		if !errors.As(err, &invalid) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s:\n got %v\nwant %s", name, err, c.want)
		}
		if invalid != nil && invalid.Faults[0].Line != 0 {
			t.Errorf("%s: a line where there is no file", name)
		}
	}
	// Limits beyond any sense are fine: nobody would buy so much.
	p := valid()
	p.Offers[1].Limit = &many
	if err := p.Validate(); err != nil {
		t.Errorf("a very high limit: %v", err)
	}
}
