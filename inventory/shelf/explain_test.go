package shelf

import (
	"strings"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
)

func TestExplainLevel(t *testing.T) {
	p := fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Bought}, inventory.PotEvent{Kind: inventory.Used, Volume: fixture.Vol(3), Estimated: true}, fixture.Judged(.8), inventory.PotEvent{Kind: inventory.Corrected, Undoes: 3},
		fixture.Judged(.3), inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 19}, inventory.PotEvent{Kind: inventory.DriedOut})
	now := fixture.Noon.AddDate(0, 1, 0)
	steps := bookOf(nil).ExplainLevel(p, now)
	want := []string{"16.49 ml left", "drawn by the estimate", "believed over the record", "weight of the empty pot is not known", "nothing left"}
	if len(steps) != len(want) {
		t.Fatalf("%d steps, want %d", len(steps), len(want))
	}
	for i, s := range steps {
		if !strings.Contains(s.Note, want[i]) {
			t.Errorf("%s: %q, want something on %q", s.Event.Kind, s.Note, want[i])
		}
	}
	if got, want := steps[len(steps)-1].Level.Left(), bookOf(nil).Level(p, now).Left(); got != want {
		t.Errorf("ends with %s, the level is %s", got, want)
	}
	if got := bookOf(nil).ExplainLevel(p, fixture.Noon); len(got) != 1 {
		t.Errorf("at the first event: %d steps", len(got))
	}
}
