package estimate

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
)

// The sum that is shown can be redone with a pocket calculator and comes to
// what is said, and the estimate's middle lies close to it.
func TestExplainedSumsAddUp(t *testing.T) {
	c := fixture.SmallCatalogue()
	learned := inventory.Factors{{Level: inventory.TypeLevel, Key: string(inventory.Wash),
		LogMean: math.Log(1.5), LogSD: .1, Observations: 4}}
	f := &c.Forces[0]
	f.Units[1].Batch = 4
	for _, e := range []*Estimator{NewEstimator(c, nil), NewEstimator(c, learned)} {
		for _, u := range f.Units {
			for i := range c.Recipes[0].Steps {
				s := &c.Recipes[0].Steps[i]
				sum := fixture.Must[StepSum](t)(e.Sum(u, s, s.Mix, s.Thinning, u.Figures))
				x := sum.Explain()
				left, right, _ := strings.Cut(x.Sum, " = ")
				fixture.CloseTo(t, u.ID+"/"+s.ID+": "+x.Sum, pocketCalculator(t, left), x.Exact, .002*x.Exact)
				told, err := strconv.ParseFloat(strings.Fields(right)[0], 64)
				if err != nil {
					t.Fatal(err)
				}
				fixture.CloseTo(t, "result told", told, x.Exact, .001*x.Exact)
				if r := x.Result.Median / x.Exact; r < .99 || r > 1.3 {
					t.Errorf("%s/%s: sum %g, estimate %g", u.ID, s.ID, x.Exact, x.Result.Median)
				}
				if sum.Learned != nil && !strings.Contains(x.Formula, "your hand") {
					t.Errorf("learned, but the hand is not told: %s", x.Formula)
				}
				for _, l := range x.Lines {
					if l.Name == "" || l.Origin == "" || l.Source == "" || l.Low > l.Value || l.Value > l.High {
						t.Errorf("%s: line %+v lacks something", s.ID, l)
					}
				}
				if len(strings.Split(x.Formula, " ")) < 3 {
					t.Errorf("formula %q", x.Formula)
				}
			}
		}
	}
}

// pocketCalculator works out + x / and one pair of brackets, from left to
// right with point before dash; units are passed over.
func pocketCalculator(t *testing.T, s string) float64 {
	t.Helper()
	if strings.HasPrefix(s, "(") {
		inner, rest, _ := strings.Cut(s[1:], ") x ")
		v, err := strconv.ParseFloat(rest, 64)
		if err != nil {
			t.Fatal(err)
		}
		return pocketCalculator(t, inner) * v
	}
	total := 0.0
	for _, term := range strings.Split(s, " + ") {
		value, op := 1.0, "x"
		for _, w := range strings.Fields(term) {
			switch w {
			case "x", "/":
				op = w
			case "cm2", "um", "ml":
			default:
				v, err := strconv.ParseFloat(w, 64)
				if err != nil {
					t.Fatalf("%q in %q", w, s)
				}
				if op == "/" {
					v = 1 / v
				}
				value *= v
			}
		}
		total += value
	}
	return total
}

func TestExplainedOrigins(t *testing.T) {
	c := fixture.SmallCatalogue()
	s := &c.Recipes[0].Steps[3]
	learned := inventory.Factors{{Level: inventory.TypeLevel, Key: string(inventory.Wash), LogMean: .2,
		LogSD: .1, Observations: 4}}
	sum := fixture.Must[StepSum](t)(NewEstimator(c, learned).Sum(c.Forces[0].Units[0], s, s.Mix, s.Thinning, 10))
	seen := map[inventory.Origin]string{}
	for _, l := range sum.Explain().Lines {
		seen[l.Origin] = l.Source
	}
	if !strings.Contains(seen[coverage.Learned], "4 readings (type wash)") || seen[coverage.Given] == "" ||
		seen[coverage.Assumption] == "" {
		t.Errorf("origins %v", seen)
	}
	pinned := inventory.Factors{{Level: inventory.MethodLevel, Key: "wash", Pinned: true}}
	sum = fixture.Must[StepSum](t)(NewEstimator(c, pinned).Sum(c.Forces[0].Units[0], s, s.Mix, s.Thinning, 10))
	lines := sum.Explain().Lines
	if last := lines[len(lines)-1]; last.Origin != coverage.Given ||
		!strings.Contains(last.Source, "pinned by you") {
		t.Errorf("pinned: %+v", last)
	}
}
