package hand

import "testing"

// Where more was measured out than the pot held, the next look says what is there,
// and nothing is put down to the eye.
func TestReadingAfterOverdrawn(t *testing.T) {
	v := usualPot("a", 0)
	v.Events = []Event{
		{Kind: Fresh},
		{Kind: Unseal},
		{Kind: DrawKnown, Month: 1, Value: 60, Sittings: 1},
		{Kind: Look, Month: 1.1, Value: .5},
	}
	rec := &Record{Methods: simHand, Types: simTypes, Paints: []Way{{0, 0}}, Pots: []Vessel{v}}
	h := FromRecord(rec, Assumed(), 1.1)
	l := h.Left(&v, 1.1)
	if m := l.Quantile(.5); m < 7 || m > 9.5 || len(h.Flags) > 0 {
		t.Errorf("half of 18 ml was seen: %.1f ml (%.1f to %.1f), %d flags",
			m, l.Quantile(.05), l.Quantile(.95), len(h.Flags))
	}
	v.Events = v.Events[:3]
	if l := h.Left(&v, 1.1); l.Quantile(.5) != 0 {
		t.Errorf("all of it was measured out: %.1f ml", l.Quantile(.5))
	}
}

// What is left on the palette says nothing of a can's first puff.
func TestWasteApart(t *testing.T) {
	v := usualPot("a", 0)
	v.Events = []Event{{Kind: Fresh}, {Kind: Unseal}}
	for i := range 6 {
		v.Events = append(v.Events,
			Event{Kind: Draw, Month: float64(i), Film: .1, Waste: .2, Sittings: 1, Way: Way{0, 0}},
			Event{Kind: Weigh, Month: float64(i), Value: v.Tare + v.Density*(18-1.4*float64(i+1))})
	}
	rec := &Record{Methods: simHand, Types: simTypes, Paints: []Way{{0, 0}}, Pots: []Vessel{v}}
	together := FromRecord(rec, Assumed(), 6)
	other := *rec
	other.Apart = []bool{false, false, true}
	apart := FromRecord(&other, Assumed(), 6)
	if brush := apart.Waste(0); brush.Mean < ln(2) {
		t.Errorf("four times the waste was weighed, learned %.2f times", exp(brush.Mean))
	}
	if x := apart.Waste(2); x.Mean != 0 || together.Waste(2).Mean < .3 {
		t.Errorf("waste of another method: %.2f apart, %.2f together", x.Mean, together.Waste(2).Mean)
	}
}
