package desk

import (
	"math"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/hand"
	"halfpot/inventory/internal/fixture"
)

// Painted step by step, a paint is short by what the estimate of the whole says.
func TestRunningAgreesWithTheEstimate(t *testing.T) {
	v := values{catalogue: fixture.SmallCatalogue(), shelf: inventory.Shelf{Pots: []inventory.Pot{
		pot("leather-1", "leather", fixture.Judged(.2)), pot("black-1", "black", fixture.Judged(.9))}}}
	d := open(t, v, fixture.Noon.AddDate(0, 1, 0))
	force := d.Catalogue.Forces[0]
	needs, err := d.Needs(force, estimate.NeedRules{})
	if err != nil {
		t.Fatal(err)
	}
	running, last := d.Running(.9), map[string]inventory.Volume{}
	for i := range needs.List {
		n := &needs.List[i]
		unit, _ := force.Unit(n.Unit)
		step, _ := d.Index.Recipes[unit.Recipe].Step(n.Step)
		o := &n.Options[0]
		s, err := d.estimator().Sum(unit, &step, o.Mix, o.Thinning, n.Figures)
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range s.Uses(o.Mix, o.Thinning) {
			short := running(n.ID(), &unit, &s, u)
			if short < last[u.Paint] {
				t.Errorf("%s of %s: short by %s, before by %s", n.ID(), u.Paint, short, last[u.Paint])
			}
			last[u.Paint] = short
		}
	}
	some, none := 0, 0
	for paint, missed := range d.reckoner(force, needs).ranks.missed {
		want := max(0, hand.AtSorted(missed, .9))
		if got := last[paint].ML(); math.Abs(got-want) > .002 {
			t.Errorf("%s: short by %.3f ml, the estimate says %.3f", paint, got, want)
		}
		if want > 0 {
			some++
		} else {
			none++
		}
	}
	if some == 0 || none == 0 {
		t.Errorf("%d paints are short, %d last: nothing was compared", some, none)
	}
}
