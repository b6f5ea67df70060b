package painting

import (
	"context"
	"math"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/painting/timetable"
	"halfpot/inventory/shelf"
)

// Glue takes 2 minutes a figure, sand as long: with 10 minutes to begin the sand in,
// the last of n figures waits 2n-2 minutes, so that six would do; worked by hand.
func TestVisitKeepsItsEnd(t *testing.T) {
	for _, c := range []struct {
		each, later      float64
		wait, within     time.Duration
		figures, handful int
		total            float64
	}{
		{2, 2, 0, 10 * time.Minute, 12, 6, 48},
		{2, 2, 0, 10 * time.Minute, 5, 5, 20},
		{2, 2, 0, time.Minute, 3, 1, 12},
		// The wait of 5 min is waited out with a single figure: 3 times 1 + 5 + 1.
		{1, 1, 5 * time.Minute, 5 * time.Minute, 3, 3, 9},
		{1, 1, 5 * time.Minute, 20 * time.Minute, 1, 1, 7},
		// One that takes longer falls behind: figure n begins it (n-1)(3-1) later.
		{1, 3, 0, 6 * time.Minute, 8, 3, 32},
	} {
		tasks := []Assignment{
			{Number: 1, next: 2, Each: c.each, Step: &inventory.Step{NextWithin: c.within, WaitAfter: c.wait}},
			{Number: 2, Each: c.later, Step: &inventory.Step{}},
		}
		v := visits(tasks, c.figures)
		if len(v) != 1 || v[0].handful != c.handful || math.Abs(v[0].total-c.total) > 1e-9 {
			t.Errorf("%+v: %+v", c, v)
			continue
		}
		for left := c.figures; left > 0; left -= v[0].handful { // figure by figure
			n := min(left, v[0].handful)
			second := lead(&tasks[0], c.later, n)
			for f := range n {
				gap := second + float64(f)*c.later - float64(f+1)*c.each
				if gap < c.wait.Minutes()-1e-9 || gap > c.within.Minutes()+1e-9 {
					t.Errorf("%+v: figure %d waits %.1f min", c, f+1, gap)
				}
			}
		}
	}
}

// The rim waits for the varnish though it is elsewhere, and the crew for the riders.
func TestWhatComesAfter(t *testing.T) {
	idx := testIndex()
	r := recipeOf(t, "bone-can all 1h", "blue figure 24h", "matt figure 12h", "red base")
	r.Steps[2].NextWithin, r.Steps[2].WaitAfter = 0, 12*time.Hour
	idx.Recipes["r"], idx.Figures["soldier"] = r, soldier()
	f := &inventory.Force{
		ID: "f",
		Units: []inventory.Unit{
			{ID: "crew", Figures: 2, Figure: "soldier", Recipe: "r", After: []string{"riders"}},
			{ID: "riders", Figures: 4, Figure: "soldier", Recipe: "r"},
		},
	}
	plan := func() map[string][2]time.Time {
		b, err := NewBench(f, idx, nil, Options{})
		if err != nil {
			t.Fatal(err)
		}
		s, err := b.Plan(context.Background(), evenings(t, "19-22"), monday, nil, timetable.Effort{})
		if err != nil {
			t.Fatal(err)
		}
		at := map[string][2]time.Time{}
		for _, e := range s.Evenings {
			for _, l := range e.Lines {
				at[l.Batch.Unit.ID+"/"+l.Work.Step.ID] = [2]time.Time{l.Start, l.End}
			}
		}
		return at
	}
	varnish, rim := "riders/"+r.Steps[2].ID, "riders/"+r.Steps[3].ID
	before := plan()
	if gap := before[rim][0].Sub(before[varnish][1]); gap > 2*time.Hour {
		t.Errorf("the base need not wait for the varnish, but does for %s", gap)
	}
	r.Steps[3].After = []string{r.Steps[2].ID}
	after := plan()
	if gap := after[rim][0].Sub(after[varnish][1]); gap < 11*time.Hour {
		t.Errorf("the base waits %s for the varnish", gap)
	}
	if first := "crew/" + r.Steps[0].ID; after[first][0].Before(after[rim][1]) {
		t.Errorf("the crew begins on %s, the riders end on %s", after[first][0], after[rim][1])
	}
	w := CheckWork(f, f.Units[0], idx, []inventory.Work{{Unit: "crew", Step: r.Steps[0].ID, Figures: 2}}, monday)
	if len(w.Before) != 1 || w.Before[0] != "riders" {
		t.Errorf("the crew before the riders: %+v", w)
	}
}

// Where the pots lack the recipe's paint and hold another way's, the sheet says
// that one, and minutes and rules are of it.
func TestSheetNamesWhatIsTaken(t *testing.T) {
	c := demo(t)
	idx := c.Index()
	f := &c.Forces[0]
	e := estimate.NewEstimator(c, nil)
	level := func(paint string, ml float64) shelf.Level {
		p := inventory.Pot{
			ID:      paint,
			Paint:   paint,
			Nominal: inventory.VolumeOfML(ml),
			Events:  []inventory.PotEvent{{ID: 1, Kind: inventory.Bought, At: monday}},
		}
		return shelf.NewLevelBook(idx, shelf.Tares{}, nil, shelf.DefaultLevelRules()).Levels(&inventory.Shelf{Pots: []inventory.Pot{p}},
			monday.Add(time.Hour))[0]
	}
	taken, err := e.Taken(f, []shelf.Level{level("hearth-flax-bale", 17), level("gauzecoat-gate-hinge", 17)})
	if err != nil {
		t.Fatal(err)
	}
	b, err := NewBench(f, idx, nil, Options{Taken: taken})
	if err != nil {
		t.Fatal(err)
	}
	card, err := b.Card(e, &b.Batches[0], DropUL)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range card.Lines {
		switch l.Work.Step.ID {
		case "straps": // all units must match, and the opaque flax is enough for all
			if l.Work.Mix.Key() != "hearth-flax-bale" || l.Work.Instead.Key() != "gauzecoat-thatch-eave" ||
				l.Pours[0].Paint != "hearth-flax-bale" || l.Work.Task != "base" {
				t.Errorf("straps: %+v", l.Work)
			}
		case "jacket": // nothing is on the shelf for it
			if len(l.Work.Instead) != 0 {
				t.Errorf("jacket: %+v", l.Work)
			}
		}
	}
}
