package hand

import (
	"math"
	"slices"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
	"halfpot/inventory/shelf"
)

// weighedYear is a pot of brown paint weighed after each of some jobs, that
// took so many times what the tables say.
func weighedYear(
	t *testing.T, film, waste float64, jobs int,
) (*inventory.Catalogue, *inventory.Shelf, time.Time) {
	t.Helper()
	c := fixture.SmallCatalogue()
	for i := range c.Paints {
		c.Paints[i].Density = 1.2
	}
	s := &inventory.Shelf{Pots: []inventory.Pot{{ID: "cloth", Paint: "cloth-a",
		Nominal: 60 * inventory.Millilitre, TareGrams: 20}}}
	p := &s.Pots[0]
	at := fixture.Noon
	add := func(e inventory.PotEvent) {
		e.ID, e.At = int64(len(p.Events)+1), at
		p.Events = append(p.Events, e)
	}
	add(inventory.PotEvent{Kind: inventory.Bought})
	left := 60.0
	add(inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 20 + 1.2*left})
	f := &c.Forces[0]
	f.Match = nil
	f.Units = nil
	for i := range jobs {
		at = at.AddDate(0, 0, 3)
		id := "u" + string(rune('a'+i))
		f.Units = append(f.Units, inventory.Unit{ID: id, Figures: 6 + i, Figure: "walker", Recipe: "plain"})
		f.Done = append(f.Done, inventory.Work{
			Unit:    id,
			Step:    "cloth",
			Figures: 6 + i,
			Mix:     "cloth-a",
			At:      at,
			Job:     id,
		})
		j := fixture.Must[*jobBook](t)(newJobBook(c, s))
		base := j.base[jobPaint{id, "cloth-a"}]
		if len(base) != 1 || base[0].film <= 0 || base[0].waste <= 0 {
			t.Fatalf("job %s by the tables: %+v", id, base)
		}
		v := inventory.VolumeOfML(base[0].film + base[0].waste)
		add(inventory.PotEvent{Kind: inventory.Used, Volume: &v, Estimated: true, Job: id})
		left -= base[0].film*film + base[0].waste*waste
		add(inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 20 + 1.2*left})
	}
	return c, s, at
}

func bookOf(t *testing.T, c *inventory.Catalogue, s *inventory.Shelf, words Words, now time.Time) *Book {
	t.Helper()
	idx := c.Index()
	rules := shelf.DefaultLevelRules()
	return fixture.Must[*Book](t)(NewBook(c, s,
		shelf.NewLevelBook(idx, shelf.LearnTares(s, idx, rules), nil, rules), words, now))
}

// From a shelf and a log of work to factors, levels and history.
func TestBookLearns(t *testing.T) {
	c, s, now := weighedYear(t, 2, 1, 8)
	b := bookOf(t, c, s, Words{}, now)
	l := b.Lesson()
	f, ok := l.Factors.Find(inventory.PaintLevel, "cloth-a")
	if !ok || !(math.Exp(f.LogMean) > 1.6 && math.Exp(f.LogMean) < 2.2) || f.Observations < 8 {
		t.Errorf("twice the film: %+v", f)
	}
	if w := math.Exp(f.WasteMean); !(w > .5 && w < 2) {
		t.Errorf("the tables' waste comes out %.2f times as much", w)
	}
	left := b.Levels(s, now)[0]
	truth := s.Pots[0].Events[len(s.Pots[0].Events)-1].GrossGrams - 20
	if low, high := left.Range(.9); truth/1.2-60*.03 < low.ML()-.2 || truth/1.2-60*.03 > high.ML()+.2 {
		t.Errorf("%.1f ml by weight, reckoned %s to %s", truth/1.2, low, high)
	}
	h := b.History(s)
	if len(h) == 0 ||
		!slices.IsSortedFunc(h, func(x, y inventory.FactorChange) int {
			return x.Factor.Updated.Compare(y.Factor.Updated)
		}) {
		t.Errorf("history: %d entries", len(h))
	}
	if len(l.Odd) > 0 {
		t.Errorf("odd readings in clean books: %+v", l.Odd)
	}
}

// Bad input is named or held at what physics allows, and nothing is lost.
func TestBookAndBadInput(t *testing.T) {
	c, s, now := weighedYear(t, 1, 1, 6)
	p := &s.Pots[0]
	clean := bookOf(t, c, s, Words{}, now).Lesson()

	// A reading from before the pot was bought.
	early := inventory.PotEvent{
		ID:       90,
		Kind:     inventory.Judged,
		At:       fixture.Noon.AddDate(0, 0, -9),
		Fraction: fixture.Frac(.1),
	}
	p.Events = append(p.Events, early)
	before := bookOf(t, c, s, Words{}, now).Lesson()
	a, _ := clean.Factors.Find(inventory.MethodLevel, string(coverage.Brush))
	z, _ := before.Factors.Find(inventory.MethodLevel, string(coverage.Brush))
	if math.Abs(a.LogMean-z.LogMean) > .1 {
		t.Errorf("a look before it was bought moves the brush from %.2f to %.2f", a.LogMean, z.LogMean)
	}
	p.Events = p.Events[:len(p.Events)-1]

	// Two readings of one minute that contradict.
	both := slices.Clone(p.Events)
	p.Events = append(p.Events, inventory.PotEvent{
		ID:         91,
		Kind:       inventory.Weighed,
		At:         now,
		GrossGrams: p.Events[len(p.Events)-1].GrossGrams - 18,
	})
	b := bookOf(t, c, s, Words{}, now)
	if odd := b.Lesson().Odd; len(odd) != 1 || odd[0].Pot != "cloth" || !odd[0].At.Equal(now) ||
		math.Abs(math.Abs(odd[0].ML)-15) > 3 {
		t.Errorf("18 g less in the same minute: %+v", odd)
	}
	if l := b.Level(p, now); l.Doubts == 0 {
		t.Error("the level does not say that readings contradict")
	}
	right := bookOf(t, c, s,
		Words{Accepts: func(pot string, at time.Time) bool { return pot == "cloth" && at.Equal(now) }},
		now)
	if len(right.Lesson().Odd) > 0 && right.Lesson().Odd[0].At.Equal(now) {
		t.Errorf("accepted, and flagged again: %+v", right.Lesson().Odd)
	}
	p.Events = both

	// Tare over gross: nothing is left, not less than nothing.
	p.Events = append(p.Events, inventory.PotEvent{
		ID:         92,
		Kind:       inventory.Weighed,
		At:         now.AddDate(0, 0, 1),
		GrossGrams: 12,
	})
	l := bookOf(t, c, s, Words{}, now.AddDate(0, 0, 1)).Level(p, now.AddDate(0, 0, 1))
	if low, high := l.Range(.9); low < 0 || high.ML() > 60*.97+.001 {
		t.Errorf("tare over gross: %s to %s", low, high)
	}
	p.Events = both

	// A clock that runs backwards leaves no silent use below nothing.
	if x := bookOf(t, c, s, Words{}, now).Level(p, now.AddDate(0, 0, -2)); x.Left() < 0 {
		t.Errorf("in the past: %s", x.Left())
	}
}

// A pot judged long ago and never logged since holds less, and is less sure;
// it never holds more than its reading could have meant.
func TestForgottenPot(t *testing.T) {
	c := fixture.SmallCatalogue()
	s := &inventory.Shelf{}
	p := fixture.PotOf("cloth-a", inventory.PotEvent{Kind: inventory.Bought}, fixture.Judged(.6))
	p.ID = "old"
	s.Pots = append(s.Pots, *p)
	seen := p.Events[len(p.Events)-1].At
	b := bookOf(t, c, s, Words{}, seen)
	now, later := b.Level(p, seen), b.Level(p, seen.AddDate(0, 10, 0))
	if !(later.Left() < now.Left()*95/100) {
		t.Errorf("judged 60 %% ten months ago: %s then, %s now", now.Left(), later.Left())
	}
	_, high := now.Range(.9)
	if _, then := later.Range(.9); then > high {
		t.Errorf("the upper end rises from %s to %s", high, then)
	}
}
