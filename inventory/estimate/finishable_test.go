package estimate

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shelf"
)

// sharpLevel is a pot whose content is known to the drop: what is counted is.
func sharpLevel(paint string, ml float64) shelf.Level {
	idx := &inventory.Index{Paints: map[string]*inventory.Paint{paint: {ID: paint, Type: inventory.Pencil}}}
	l := shelf.NewLevelBook(idx, shelf.Tares{}, nil, shelf.LevelRules{}).NewPot(paint, inventory.VolumeOfML(ml))
	l.Pot = paint + "-pot"
	return l
}

// plentyOf is a shelf with 100 ml of everything, but for the paints named.
func plentyOf(c *inventory.Catalogue, but map[string]float64) []shelf.Level {
	var out []shelf.Level
	for _, p := range c.Paints {
		ml, ok := but[p.ID]
		if !ok {
			ml = 100
		}
		out = append(out, sharpLevel(p.ID, ml))
	}
	return out
}

func TestFinishable(t *testing.T) {
	c := fixture.SmallCatalogue()
	f := &c.Forces[0]
	e := NewEstimator(c, nil)
	all := fixture.Must[*Finishing](t)(e.Finishable(f, plentyOf(c, nil), NeedRules{}, 0))
	if all.Together != 16 || !all.Proven || all.Units[0].Together != 10 ||
		all.Units[1].Alone != (Figures{6, 6, 6}) || all.Units[0].Lacking != nil {
		t.Errorf("with plenty of everything: %+v", all)
	}
	for _, w := range all.Units[0].Ways {
		if w.Compromise != 0 {
			t.Errorf("plenty of everything, yet %+v", w)
		}
	}
	// Half of the cloth paint: its near twin, 100 ml of it, does the rest; a unit
	// is all of one or all of the other.
	twin := fixture.Must[*Finishing](t)(e.Finishable(f, plentyOf(c, map[string]float64{"cloth-a": 0.7}),
		NeedRules{}, .5))
	if twin.Together != 16 || !twin.Proven {
		t.Errorf("with a near twin: %+v", twin)
	}
	// No twin either: the cloth paint stops the work, and both units share it.
	none := fixture.Must[*Finishing](t)(e.Finishable(f,
		plentyOf(c, map[string]float64{"cloth-a": 0.45, "cloth-b": 0}), NeedRules{}, .5))
	u := none.Units[0]
	if !(none.Together > 0 && none.Together < 16 && none.Together >= u.Alone.AtLeast) || !none.Proven {
		t.Errorf("without it: %+v", none)
	}
	if len(u.Lacking) != 1 || u.Lacking[0] != "cloth-a" || none.RunsOut[0].Paint != "cloth-a" ||
		none.RunsOut[0].Step != "cloth" {
		t.Errorf("lacking %v, first to run out %+v", u.Lacking, none.RunsOut[0])
	}
	// The can is empty: nothing can be finished.
	empty := fixture.Must[*Finishing](t)(e.Finishable(f, plentyOf(c, map[string]float64{"bone-can": 0}),
		NeedRules{}, 0))
	if empty.Together != 0 || empty.Units[1].Alone != (Figures{}) {
		t.Errorf("without primer: %+v", empty)
	}
	// The pencil is optional.
	lead := plentyOf(c, map[string]float64{"soft-pencil": 0})
	if got := fixture.Must[*Finishing](t)(e.Finishable(f, lead, NeedRules{
		SkipOptional: true,
	}, 0)); got.Together != 16 {
		t.Errorf("optional step skipped: %+v", got)
	}
	if got := fixture.Must[*Finishing](t)(e.Finishable(f, lead, NeedRules{}, 0)); got.Together != 0 {
		t.Errorf("optional step wanted: %+v", got)
	}
}

// Figures that had a step already need no more of it.
func TestFinishableCountsWorkDone(t *testing.T) {
	c := fixture.SmallCatalogue()
	f := &c.Forces[0]
	shelf := plentyOf(c, map[string]float64{"bone-can": 0})
	f.Done = []inventory.Work{{Unit: "first", Step: "prime", Figures: 4, At: fixture.Noon}}
	got := fixture.Must[*Finishing](t)(NewEstimator(c, nil).Finishable(f, shelf, NeedRules{}, 0))
	if got.Units[0].Alone != (Figures{4, 4, 4}) || got.Units[0].Left != 10 || got.Together != 4 {
		t.Errorf("four primed, no primer left: %+v", got)
	}
	for _, s := range c.Recipes[0].Steps {
		f.Done = append(f.Done, inventory.Work{Unit: "second", Step: s.ID, Figures: 6, At: fixture.Noon})
	}
	got = fixture.Must[*Finishing](t)(NewEstimator(c, nil).Finishable(f, shelf, NeedRules{}, 0))
	if len(got.Units) != 1 {
		t.Errorf("a finished unit is still listed: %+v", got.Units)
	}
}

// Less sure, fewer figures; and the range is in order.
func TestFinishableRange(t *testing.T) {
	c := fixture.SmallCatalogue()
	levels := plentyOf(c, map[string]float64{"cloth-a": 0.5, "cloth-b": 0.4, "shade": .5})
	e := NewEstimator(c, nil)
	before := 1 << 30
	for _, conf := range []float64{.5, .7, .9, .99} {
		got := fixture.Must[*Finishing](t)(e.Finishable(&c.Forces[0], levels, NeedRules{}, conf))
		if got.Together > before {
			t.Errorf("confidence %g finishes %d, a lower one %d", conf, got.Together, before)
		}
		before = got.Together
		for _, u := range got.Units {
			if u.Alone.AtLeast > u.Alone.Likely || u.Alone.Likely > u.Alone.AtMost ||
				u.Together > u.Alone.AtLeast {
				t.Errorf("confidence %g: %+v", conf, u)
			}
		}
		for _, r := range got.RunsOut {
			if r.AtLeast > r.Likely || r.Likely > r.AtMost || r.Of != 16 || r.Enough() != (r.Unit == "") {
				t.Errorf("confidence %g: %+v", conf, r)
			}
		}
	}
	if _, err := e.Finishable(&c.Forces[0], levels, NeedRules{}, 1.5); err == nil {
		t.Error("confidence 1.5 passed")
	}
}

// Against trying everything: every number of figures of every unit in every way.
func TestFinishableAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	short := 0
	for round := range 60 {
		c := randomSmallForce(rng)
		but := map[string]float64{}
		for _, p := range c.Paints {
			but[p.ID] = rng.Float64() * .35
			if rng.IntN(4) == 0 {
				but[p.ID] = 0
			}
		}
		levels := plentyOf(c, but)
		f := &c.Forces[0]
		e := NewEstimator(c, nil)
		got := fixture.Must[*Finishing](t)(e.Finishable(f, levels, NeedRules{}, .9))
		g, err := newFinisher(e, f, levels, NeedRules{}, .9)
		if err != nil {
			t.Fatal(err)
		}
		want := bruteTogether(t, g, 0, append([]int64(nil), g.stock...), map[string]string{})
		if got.Together != want || !got.Proven {
			t.Fatalf("round %d: together %d (proven %v), trying everything finds %d",
				round, got.Together, got.Proven, want)
		}
		for i, u := range got.Units {
			solo := &finisher{e: e, q: .9, units: g.units[i : i+1], paint: g.paint, stock: g.stock}
			if w := bruteTogether(t, solo, 0, append([]int64(nil), g.stock...), map[string]string{}); w != u.Alone.AtLeast {
				t.Fatalf("round %d, unit %s alone: %d, trying everything finds %d",
					round, u.Unit, u.Alone.AtLeast, w)
			}
			if u.Together < u.Left {
				short++
			}
		}
	}
	if short < 60 {
		t.Fatalf("only %d units were short of anything: the test shows little", short)
	}
}

func bruteTogether(t *testing.T, g *finisher, i int, left []int64, fixed map[string]string) int {
	if i == len(g.units) {
		return 0
	}
	u := g.units[i]
	best := bruteTogether(t, g, i+1, left, fixed)
	for n := 1; n <= u.left; n++ {
		var ways func(s int)
		ways = func(s int) {
			if s == len(u.steps) {
				best = max(best, n+bruteTogether(t, g, i+1, left, fixed))
				return
			}
			step := u.steps[s]
			for j, w := range fixture.Must[[][]use](t)(g.needs(u, step, n)) {
				id, old := step.options[j].ID, fixed[step.match]
				if step.match != "" && old != "" && old != id {
					continue
				}
				if step.match != "" {
					fixed[step.match] = id
				}
				ok := true
				for _, x := range w {
					left[x.paint] -= x.ul
					ok = ok && left[x.paint] >= 0
				}
				if ok {
					ways(s + 1)
				}
				for _, x := range w {
					left[x.paint] += x.ul
				}
				fixed[step.match] = old
			}
		}
		ways(0)
	}
	return best
}

// randomSmallForce is three units of at most three figures with two or three
// steps that compete for four paints.
func randomSmallForce(rng *rand.Rand) *inventory.Catalogue {
	c := &inventory.Catalogue{Figures: []inventory.FigureType{{
		ID:      "fig",
		AreaCM2: 9,
		Regions: []inventory.Region{{Name: "all", Share: 1}},
	}}}
	for i := range 4 {
		c.Paints = append(c.Paints, inventory.Paint{ID: fmt.Sprintf("p%d", i), Type: inventory.Base})
	}
	mix := func() inventory.Mix {
		a := rng.IntN(4)
		if rng.IntN(4) == 0 {
			return inventory.Mix{
				{Paint: fmt.Sprintf("p%d", a), Parts: 2},
				{Paint: fmt.Sprintf("p%d", (a+1)%4), Parts: 1},
			}
		}
		return fixture.One(fmt.Sprintf("p%d", a))
	}
	f := inventory.Force{ID: "f"}
	for i := range 3 {
		r := inventory.Recipe{ID: fmt.Sprintf("r%d", i)}
		for j := range 1 + rng.IntN(2) {
			s := inventory.Step{
				ID:      fmt.Sprintf("s%d", j),
				Label:   "l",
				Regions: inventory.RegionSet{All: true},
				Mix:     mix(),
				Share:   .1 + .3*rng.Float64(),
			}
			if rng.IntN(2) == 0 {
				s.Alternatives = []inventory.Alternative{{Mix: mix(), Compromise: rng.IntN(4)}}
			}
			r.Steps = append(r.Steps, s)
		}
		c.Recipes = append(c.Recipes, r)
		f.Units = append(f.Units, inventory.Unit{
			ID:      fmt.Sprintf("u%d", i),
			Figures: 1 + rng.IntN(3),
			Figure:  "fig",
			Recipe:  r.ID,
		})
	}
	if rng.IntN(3) == 0 {
		f.Match = []inventory.Match{{Label: "alike", Steps: []string{"s0"}}}
	}
	c.Forces = []inventory.Force{f}
	return c
}

// A pot by itself, also one not owned yet: what it does for the whole plan.
func TestRunOutOfOnePot(t *testing.T) {
	c := fixture.SmallCatalogue()
	e := NewEstimator(c, nil)
	book := shelf.NewLevelBook(e.Index, shelf.Tares{}, nil, shelf.DefaultLevelRules())
	r := fixture.Must[[]RunOut](t)(e.RunOuts(&c.Forces[0],
		[]shelf.Level{book.NewPot("cloth-a", 17*inventory.Millilitre)}, NeedRules{}, .9))
	for _, x := range r {
		if x.Paint == "cloth-a" {
			if x.AtLeast != 16 || !x.Enough() {
				t.Errorf("a new pot of 17 ml: %+v", x)
			}
		} else if x.AtLeast != 0 {
			t.Errorf("not on the shelf: %+v", x)
		}
	}
	tiny := fixture.Must[[]RunOut](t)(e.RunOuts(&c.Forces[0], []shelf.Level{sharpLevel("cloth-a", 1.2)},
		NeedRules{}, .9))
	for _, x := range tiny {
		if x.Paint == "cloth-a" && !(0 < x.AtLeast && x.AtLeast < x.Likely && x.Likely < 16) {
			t.Errorf("1.2 ml: %+v", x)
		}
	}
	var l coverage.Estimate = book.NewPot("cloth-a", 17*inventory.Millilitre).Estimate()
	fixture.CloseTo(t, "as an estimate", l.Mean(), 16.3, .1)
}

func BenchmarkFinishableSmall(b *testing.B) {
	c := fixture.SmallCatalogue()
	levels := plentyOf(c, map[string]float64{"cloth-a": 0.5, "cloth-b": 0.4, "shade": .5})
	e := NewEstimator(c, nil)
	for b.Loop() {
		if _, err := e.Finishable(&c.Forces[0], levels, NeedRules{}, .9); err != nil {
			b.Fatal(err)
		}
	}
}

// A force too large to search through: what is found stays below what is
// proven to be the most, and the answer says so.
func TestFinishableCutShort(t *testing.T) {
	c := largeForce()
	c.Forces[0].Units = c.Forces[0].Units[:30]
	var levels []shelf.Level
	for i, p := range c.Paints {
		levels = append(levels, sharpLevel(p.ID, float64(i%7)))
	}
	f := fixture.Must[*Finishing](t)(NewEstimator(c, nil).Finishable(&c.Forces[0], levels, NeedRules{}, .9))
	sum := 0
	for _, u := range f.Units {
		sum += u.Together
	}
	if sum != f.Together || f.Together > f.Bound || (f.Proven && f.Bound != f.Together) {
		t.Errorf("together %d (units %d), proven %v, at most %d", f.Together, sum, f.Proven, f.Bound)
	}
}

// levelsOf is what is left on a shelf that taught nothing but its empty weights.
func levelsOf(s *inventory.Shelf, idx *inventory.Index, now time.Time) []shelf.Level {
	rules := shelf.DefaultLevelRules()
	return shelf.NewLevelBook(idx, shelf.LearnTares(s, idx, rules), nil, rules).Levels(s, now)
}
