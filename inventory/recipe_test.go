package inventory_test

import (
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
)

// A step is found by the key of its mix, its own or a stand-in's.
func TestWaysOfAStep(t *testing.T) {
	c := fixture.SmallCatalogue()
	for _, s := range c.Recipes[0].Steps {
		for _, key := range []string{s.Mix.Key(), ""} {
			if m, th := s.Way(key); m.Key() != s.Mix.Key() || th != s.Thinning {
				t.Errorf("step %s by %q: %v", s.ID, key, m)
			}
		}
	}
	m := inventory.Mix{{Paint: "black", Parts: 1}, {Paint: "leather", Parts: 2.5}}
	step := c.Recipes[0].Steps[0]
	if got, _ := step.Way(m.Key()); got.Key() != m.Key() {
		t.Errorf("%s came back as %s", m.Key(), got.Key())
	}
	if m, _ := step.Way("x:a+1:b"); m != nil {
		t.Error("parts that are no number make a mix")
	}
}
