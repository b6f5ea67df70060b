package painting

import (
	"context"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/painting/timetable"
	"halfpot/inventory/textfile"
)

// demo is the demo's catalogue without the shelf.
func demo(t testing.TB) *inventory.Catalogue {
	t.Helper()
	dir := "../../testdata/demo/"
	batch, err := textfile.ReadFiles(textfile.Options{}, dir+"paints.csv", dir+"figures.toml",
		dir+"recipes.toml", dir+"force.toml")
	if err != nil {
		t.Fatal(err)
	}
	return &batch.Catalogue
}

func evenings(t testing.TB, s string) Evenings {
	t.Helper()
	e, err := ParseEvenings(s)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// monday is noon of Monday 2 March 2026.
var monday = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func TestEvenings(t *testing.T) {
	for _, c := range []struct{ text, first, second string }{
		{"Tue Thu 19:00-21:30, Sat 14-18", "2026-03-03 19:00-21:30", "2026-03-05 19:00-21:30"},
		{"19-21", "2026-03-02 19:00-21:00", "2026-03-03 19:00-21:00"},
		{"daily 11:00-13:00", "2026-03-02 12:00-13:00", "2026-03-03 11:00-13:00"}, // it is going on
		{"fri 22:00-01:00", "2026-03-06 22:00-01:00", "2026-03-13 22:00-01:00"},   // past midnight
		{"mon 19-21, mon 20-22", "2026-03-02 19:00-22:00", "2026-03-09 19:00-22:00"},
		{"weekends 10-12", "2026-03-07 10:00-12:00", "2026-03-08 10:00-12:00"},
	} {
		e := evenings(t, c.text)
		s := e.Slots(monday, 2)
		for i, want := range []string{c.first, c.second} {
			if got := s[i].Start.Format("2006-01-02 15:04") + s[i].End.Format("-15:04"); got != want {
				t.Errorf("%s: %s, want %s", c.text, got, want)
			}
		}
		again := evenings(t, e.String())
		if again.String() != e.String() {
			t.Errorf("%s is written as %s and read as %s", c.text, e, again)
		}
	}
	for text, want := range map[string]string{
		"": "nothing there", "19:00": "no stretch", "Tue 21:00-21:00": "ends when it starts",
		"someday 19-21": "no day", "Tue 19:00--2:00": "no stretch", "Tue 9-25": "no stretch",
		"Tue 19:75-21:00": "no stretch", "1-23:00": "22 hours",
	} {
		if _, err := ParseEvenings(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// A clock change inside a wait: hours are counted, not the hands of the clock.
// In Europe the clocks went forward at 01:00 UTC on 29 March 2026 (EU directive
// 2000/84/EC: the last Sunday in March).
func TestClockChange(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		if os.Getenv("HALFPOT_LONG") != "" {
			t.Fatal("no time zones on this machine: ", err)
		}
		t.Skip("no time zones on this machine: ", err)
	}
	s := evenings(t, "daily 19:00-21:00").Slots(time.Date(2026, 3, 28, 12, 0, 0, 0, zone), 2)
	if got := s[1].Start.Sub(s[0].Start); got != 23*time.Hour {
		t.Errorf("from evening to evening: %s", got)
	}
}

// The demo force fits the evenings, its plan passes the check figure by figure,
// and no wash is varnished on its own evening.
func TestScheduleOfTheDemo(t *testing.T) {
	c := demo(t)
	idx := c.Index()
	b, err := NewBench(&c.Forces[0], idx, nil, Options{Longest: 120})
	if err != nil {
		t.Fatal(err)
	}
	s, err := b.Plan(context.Background(), evenings(t, "daily 19:00-21:00"), monday, nil,
		timetable.Effort{Passes: 10, Exact: 400_000, Beam: 10})
	if err != nil {
		t.Fatal(err)
	}
	steps, washed := 0, map[string]time.Time{}
	for _, e := range s.Evenings {
		for _, l := range e.Lines {
			steps++
			if l.Start.Before(e.Start) || l.End.After(e.End) {
				t.Errorf("%s/%s lies outside %v", l.Batch.ID(), l.Work.Step.ID, e.Slot)
			}
			switch l.Work.Step.ID {
			case "wash":
				washed[l.Batch.ID()] = l.End
			case "varnish":
				if gap := l.Start.Sub(washed[l.Batch.ID()]); gap < 10*time.Hour {
					t.Errorf("%s: varnished %s after the wash", l.Batch.ID(), gap)
				}
			}
		}
	}
	all := 0
	for i := range b.Batches {
		all += len(b.Batches[i].Tasks)
	}
	if steps != all || s.Finish.IsZero() {
		t.Errorf("%d of %d steps are laid out", steps, all)
	}
}

// What is logged fixes what is left and when it may go on.
func TestReplanFromTheLog(t *testing.T) {
	c := demo(t)
	idx := c.Index()
	f := &c.Forces[0]
	u := f.Units[0] // twelve in batches of six
	f.Done = append(f.Done, inventory.Work{Unit: u.ID, Step: "prime", Figures: 8, At: monday},
		inventory.Work{Unit: u.ID, Step: "dry-brush", Figures: 6, At: monday})
	b, err := NewBench(f, idx, nil, Options{Unit: u.ID})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for i := range b.Batches {
		bt := &b.Batches[i]
		got = append(got, bt.ID()+" "+bt.Tasks[0].Step.ID)
		if bt.Figures == 2 && !bt.Tasks[0].ready.Equal(monday.Add(time.Hour)) {
			t.Errorf("primed at noon, ready %s", bt.Tasks[0].ready)
		}
	}
	if want := "first-section 1/3 skin, first-section 2/3 dry-brush, first-section 3/3 prime"; strings.Join(got, ", ") != want {
		t.Errorf("batches %q, want %s", got, want)
	}
}

func TestBatchesAreCutToFit(t *testing.T) {
	c := demo(t)
	idx := c.Index()
	b, err := NewBench(&c.Forces[0], idx, nil, Options{Unit: "second-section", Longest: 35})
	if err != nil || len(b.Cut) != 1 {
		t.Fatalf("cut %v, %v", b.Cut, err)
	}
	for i := range b.Batches {
		for _, a := range b.Batches[i].Tasks {
			if a.Setup+a.Minutes(b.Batches[i].Figures) > 35 {
				t.Errorf("%s: %s takes %.0f min",
					b.Batches[i].ID(), a.Step.ID, a.Setup+a.Minutes(b.Batches[i].Figures))
			}
		}
	}
	if _, err := NewBench(&c.Forces[0], idx, nil, Options{Longest: 8}); err == nil ||
		!strings.Contains(err.Error(), "one figure takes") {
		t.Errorf("an evening of eight minutes: %v", err)
	}
}

func TestTonight(t *testing.T) {
	c := demo(t)
	f := &c.Forces[0]
	f.Units = f.Units[3:] // the staff alone: its waits rule
	b, err := NewBench(f, c.Index(), nil, Options{Longest: 120})
	if err != nil {
		t.Fatal(err)
	}
	slot := Slot{monday.Add(7 * time.Hour), monday.Add(9 * time.Hour)}
	got, err := b.Tonight(context.Background(), evenings(t, "daily 19:00-21:00"), slot, timetable.Effort{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Lines) == 0 || got.Lines[0].Work.Step.ID != "prime" || len(got.Ready) != 1 {
		t.Fatalf("tonight: %+v", got.Lines)
	}
	if len(got.Stake) != 1 || got.Stake[0].Later != 1 {
		t.Errorf("the only batch left alone tonight moves the finish by a day: %+v", got.Stake)
	}
}

// Drops keep a mix's parts: two to one stays two to one, however little it is.
func TestDropsKeepTheParts(t *testing.T) {
	c := demo(t)
	idx := c.Index()
	b, err := NewBench(&c.Forces[0], idx, nil, Options{Unit: "first-section"})
	if err != nil {
		t.Fatal(err)
	}
	e := estimate.NewEstimator(c, nil)
	card, err := b.Card(e, &b.Batches[0], DropUL)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range card.Lines {
		switch l.Work.Step.ID {
		case "jacket", "wash":
			if len(l.Pours) != 2 || l.Pours[0].Drops != 2*l.Pours[1].Drops {
				t.Errorf("%s: %+v", l.Work.Step.ID, l.Pours)
			}
			ml := l.Pours[0].Amount.ML() + l.Pours[1].Amount.ML()
			if d := float64(l.Pours[0].Drops+l.Pours[1].Drops) * DropUL / 1000; d < ml*0.7 || d > ml+0.2 {
				t.Errorf("%s: %.2f ml in drops for %.2f ml", l.Work.Step.ID, d, ml)
			}
		case "prime", "pencil", "ground":
			if l.Pours[0].Drops != 0 {
				t.Errorf("%s comes in no drops: %+v", l.Work.Step.ID, l.Pours)
			}
		}
	}
	if !card.Spray || card.Minutes <= 0 {
		t.Errorf("card: spray %v, %.0f min", card.Spray, card.Minutes)
	}
}

func TestStandAndForecast(t *testing.T) {
	c := demo(t)
	idx := c.Index()
	f := &c.Forces[0]
	f.Units = f.Units[3:]
	if s := Stand(f, idx, nil); s.Done != 0 || s.Units[0].Finished != 0 {
		t.Errorf("nothing is done: %+v", s)
	}
	foresee := func() (*Forecast, error) {
		b, err := NewBench(f, idx, nil, Options{Longest: 120})
		if err != nil {
			t.Fatal(err)
		}
		return b.Foresee(context.Background(), evenings(t, "daily 19:00-21:00"), monday)
	}
	fc, err := foresee()
	if err != nil {
		t.Fatal(err)
	}
	if fc.Early.After(fc.Likely) || fc.Late.Before(fc.Likely) || fc.Sittings == 0 {
		t.Errorf("forecast %s, %s to %s", fc.Likely, fc.Early, fc.Late)
	}
	used := map[string]inventory.Volume{}
	short, err := fc.Whole.Shortages(estimate.NewEstimator(c, nil), func(_ string, _ *inventory.Unit, _ *estimate.StepSum, u estimate.PaintUse) inventory.Volume {
		used[u.Paint] += u.UL(0.9)
		return used[u.Paint]
	})
	if err != nil || len(short) < 10 {
		t.Errorf("an empty shelf runs short of %d paints, %v", len(short), err)
	}
	for _, s := range idx.Recipes[f.Units[0].Recipe].Steps {
		f.Done = append(f.Done, inventory.Work{Unit: f.Units[0].ID, Step: s.ID, Figures: 6, At: monday})
	}
	if s := Stand(f, idx, nil); math.Abs(s.Done-1) > 1e-9 || s.Units[0].Finished != 6 || s.Left > 1e-9 {
		t.Errorf("all is done: %+v", s)
	}
	if _, err := foresee(); !IsNothingLeft(err) {
		t.Errorf("nothing left: %v", err)
	}
}

// BenchmarkSheet is a sheet of the whole demo force from the catalogue on: what the
// shelf serves, the batches, a page for each.
func BenchmarkSheet(b *testing.B) {
	c := demo(b)
	idx := c.Index()
	for range b.N {
		e := estimate.NewEstimator(c, nil)
		taken, err := e.Taken(&c.Forces[0], nil)
		if err != nil {
			b.Fatal(err)
		}
		bench, err := NewBench(&c.Forces[0], idx, nil, Options{Taken: taken, Longest: 120})
		if err != nil {
			b.Fatal(err)
		}
		for i := range bench.Batches {
			if _, err := bench.Card(e, &bench.Batches[i], DropUL); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkCards(b *testing.B) {
	c := demo(b)
	idx := c.Index()
	for range b.N {
		bench, err := NewBench(&c.Forces[0], idx, nil, Options{})
		if err != nil {
			b.Fatal(err)
		}
		e := estimate.NewEstimator(c, nil)
		for i := range bench.Batches {
			if _, err := bench.Card(e, &bench.Batches[i], DropUL); err != nil {
				b.Fatal(err)
			}
		}
	}
}
