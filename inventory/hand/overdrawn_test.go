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
