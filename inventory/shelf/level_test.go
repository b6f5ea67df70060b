package shelf

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/internal/fixture"
)

func bookOf(tares *inventory.Shelf) *LevelBook {
	idx := fixture.LevelCatalogue.Index()
	rules := DefaultLevelRules()
	if tares == nil {
		tares = &inventory.Shelf{}
	}
	return NewLevelBook(idx, LearnTares(tares, idx, rules), nil, rules)
}

func levelOf(p *inventory.Pot) Level {
	at := fixture.Noon
	if n := len(p.Events); n > 0 {
		at = p.Events[n-1].At
	}
	return bookOf(nil).Level(p, at)
}

// A pot is open from the first that opened it or showed it open; what is
// undone opened nothing.
func TestOpenSince(t *testing.T) {
	bought, early := inventory.PotEvent{Kind: inventory.Bought}, fixture.Noon.AddDate(0, 0, -3)
	for _, c := range []struct {
		name   string
		events []inventory.PotEvent
		want   time.Time
	}{
		{"unopened", []inventory.PotEvent{bought, fixture.Judged(1)}, time.Time{}},
		{"opened", []inventory.PotEvent{bought, {Kind: inventory.Opened}}, fixture.Noon.AddDate(0, 0, 1)},
		{"used",
			[]inventory.PotEvent{
				bought,
				{Kind: inventory.Used, Volume: fixture.Vol(1)},
				{Kind: inventory.Opened},
			},
			fixture.Noon.AddDate(0, 0, 1)},
		{"seen half full", []inventory.PotEvent{bought, fixture.Judged(1), fixture.Judged(.5)},
			fixture.Noon.AddDate(0, 0, 2)},
		{"the earlier of two days",
			[]inventory.PotEvent{
				bought,
				{Kind: inventory.Opened},
				{Kind: inventory.Opened, At: early},
				{Kind: inventory.Corrected, Undoes: 2},
			},
			early},
		{"never was",
			[]inventory.PotEvent{bought, {Kind: inventory.Opened}, {Kind: inventory.Corrected, Undoes: 2}},
			time.Time{}},
	} {
		if l := levelOf(fixture.PotOf("tan", c.events...)); !l.OpenSince.Equal(c.want) ||
			l.Opened == c.want.IsZero() {
			t.Errorf("%s: open %v since %s; want %s", c.name, l.Opened, l.OpenSince, c.want)
		}
	}
}

// The filter's reading is the update of a normal mean with known variance:
// exercise in Gelman et al., Bayesian Data Analysis, ch. 2 (from memory), and
// bookdown.org/kevin_davisross/stat415-handouts example 16.1. The last digits
// are computed from the closed form.
func TestReadingIsTheTextbookUpdate(t *testing.T) {
	rules := DefaultLevelRules()
	rules.Doubt = math.Inf(1)
	for _, c := range []struct {
		mean, sd, noise, reading float64
		n                        int
		wantMean, wantSD         float64
	}{
		{180, 40, 20, 150, 10, 150.731707, 6.246950},
		{180, 40, 20, 150, 100, 150.074813, 1.997505},
		{98.6, 0.7, 1, 97.7, 208, 97.708745, 0.069000},
		{600, 25, 116, 538, 60, 554.372400, 12.846959},
	} {
		f := filter{r: &rules, x: c.mean, p: c.sd * c.sd, known: true, full: 1000}
		for range c.n {
			f.read(c.reading, c.noise*c.noise, &inventory.PotEvent{Kind: inventory.Judged, At: fixture.Noon})
		}
		fixture.CloseTo(t, "mean", f.x, c.wantMean, 1e-6)
		fixture.CloseTo(t, "sd", math.Sqrt(f.p), c.wantSD, 1e-6)
	}
}

// 38.42 g gross and 20.10 g empty at 1.20 g/ml are 15.2667 ml (arithmetic of
// ISO 2811-1's density, computed); 3 % of 17 ml never comes out.
func TestWeighing(t *testing.T) {
	p := fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 38.42, TareGrams: 20.10})
	l := levelOf(p)
	fixture.CloseTo(t, "left", l.Left().ML(), 15.2667-0.51, 1e-3)
	fixture.CloseTo(t, "full", l.Full(), 17*0.97, 1e-9)
	if l.By != inventory.Weighed || !l.Measured.Equal(fixture.Noon) {
		t.Errorf("measured %v by %s, want now by weighing", l.Measured, l.By)
	}
	low, high := l.Range(0.9)
	if width := (high - low).ML(); width < 0.3 || width > 1.2 {
		t.Errorf("range %s to %s: a weighing is good to some tenths of a millilitre", low, high)
	}
	if l.AtLeast(0.9) >= l.Left() || l.AtLeast(0.9) <= low {
		t.Errorf("at least %s, want between %s and %s", l.AtLeast(.9), low, l.Left())
	}
}

func TestNewPot(t *testing.T) {
	l := levelOf(fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Bought}))
	fixture.CloseTo(t, "left", l.Left().ML(), 16.49, 1e-3)
	low, high := l.Range(.9)
	if high.ML() > 16.49+1e-9 || low.ML() < 15 || low.ML() > 16.2 {
		t.Errorf("new pot: %s to %s", low, high)
	}
	if !l.Measured.IsZero() || l.Opened {
		t.Errorf("new pot: measured %v, opened %v", l.Measured, l.Opened)
	}
	can := fixture.PotOf("can", inventory.PotEvent{Kind: inventory.Bought})
	can.Nominal = 400 * inventory.Millilitre
	fixture.CloseTo(t, "can of 400 ml", levelOf(can).Left().ML(), 400*.65*.97, .001)
	stick := fixture.PotOf("stick", inventory.PotEvent{Kind: inventory.Bought})
	stick.Nominal = inventory.Item
	if l := levelOf(stick); l.Left() != inventory.Item || l.SD() != 0 {
		t.Errorf("new pencil: %s, sd %g", l.Left(), l.SD())
	}
}

func TestJudging(t *testing.T) {
	for _, c := range []struct {
		name         string
		events       []inventory.PotEvent
		want, within float64 // of the nominal volume, dead volume taken off
		doubts       int
	}{
		{"first reading counts alone", []inventory.PotEvent{fixture.Judged(.4)}, .4, .001, 0},
		{"new and nearly full agree", []inventory.PotEvent{{Kind: inventory.Bought}, fixture.Judged(.97)},
			.995, .01, 0},
		{"new, but half gone without a word",
			[]inventory.PotEvent{{Kind: inventory.Bought}, fixture.Judged(.5)}, .5, .01, 0},
		{"half gone where uses are logged",
			[]inventory.PotEvent{
				{Kind: inventory.Bought},
				{Kind: inventory.Used, Volume: fixture.Vol(1)},
				fixture.Judged(.5),
			},
			.5, .01, 1},
		{"more than there was", []inventory.PotEvent{fixture.Judged(.4), fixture.Judged(.9)}, .9, .01, 1},
		{"nearly full when it came",
			[]inventory.PotEvent{
				{Kind: inventory.Bought},
				{Kind: inventory.Judged, Fraction: fixture.Frac(.85), At: fixture.Noon},
			},
			.85, .001, 0},
		{"bought part full", []inventory.PotEvent{{Kind: inventory.Bought, Volume: fixture.Vol(8.5)}}, .5,
			.001, 0},
		{"use after a reading",
			[]inventory.PotEvent{fixture.Judged(.8), {Kind: inventory.Used, Volume: fixture.Vol(3.4)}}, .6,
			.005, 0},
		{"half of what is there spilled",
			[]inventory.PotEvent{fixture.Judged(.8), {Kind: inventory.Spilled, Fraction: fixture.Frac(.5)}},
			.4, .005, 0},
		{"spilled by volume",
			[]inventory.PotEvent{fixture.Judged(.8), {Kind: inventory.Spilled, Volume: fixture.Vol(1.7)}},
			.7, .005, 0},
		{"an estimate gives way to the eye",
			[]inventory.PotEvent{
				fixture.Judged(.9),
				{Kind: inventory.Used, Volume: fixture.Vol(6), Estimated: true},
				fixture.Judged(.6),
			},
			.585, .03, 0},
		{"dried out, then found wet",
			[]inventory.PotEvent{{Kind: inventory.Bought}, {Kind: inventory.DriedOut}, fixture.Judged(.3)},
			.3, .001, 0},
	} {
		l := levelOf(fixture.PotOf("grey", c.events...))
		if got := l.usable.mean/17 + 0.03; math.Abs(got-c.want) > c.within {
			t.Errorf("%s: %.3f of the pot, want %.3f", c.name, got, c.want)
		}
		if l.Doubts != c.doubts {
			t.Errorf("%s: %d doubts, want %d", c.name, l.Doubts, c.doubts)
		}
	}
}

func TestGonePotsHoldNothing(t *testing.T) {
	for _, k := range []inventory.EventKind{inventory.DriedOut, inventory.GivenAway} {
		l := levelOf(fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Bought},
			inventory.PotEvent{Kind: k}))
		if l.Left() != 0 || l.Gone != k || l.Enough(coverage.Exact(.1)) != 0 {
			t.Errorf("%s: %s left, gone %q", k, l.Left(), l.Gone)
		}
		if s := StockOf([]Level{l}, .9); s["tan"] != 0 {
			t.Errorf("%s: stock %s", k, s["tan"])
		}
	}
}

func TestCorrectionsUndo(t *testing.T) {
	plain := fixture.PotOf("tan", fixture.Judged(.8))
	slip := fixture.PotOf("tan", fixture.Judged(.8),
		inventory.PotEvent{Kind: inventory.Used, Volume: fixture.Vol(9)},
		inventory.PotEvent{Kind: inventory.Corrected, Undoes: 2})
	back := fixture.PotOf("tan", fixture.Judged(.8),
		inventory.PotEvent{Kind: inventory.Used, Volume: fixture.Vol(9)},
		inventory.PotEvent{Kind: inventory.Corrected, Undoes: 2},
		inventory.PotEvent{Kind: inventory.Corrected, Undoes: 3})
	b := bookOf(nil)
	at := fixture.Noon.AddDate(0, 0, 5)
	want := b.Level(plain, at)
	if got := b.Level(slip, at); got.Left() != want.Left() || got.SD() != want.SD() {
		t.Errorf("a corrected slip leaves %s, want %s", got.Left(), want.Left())
	}
	if got := b.Level(back, at); got.Left() >= want.Left()-8*inventory.Millilitre {
		t.Errorf("the correction undone leaves %s", got.Left())
	}
}

// Entries may be made late; what counts is when it happened, and nothing after
// the time asked for.
func TestOrderOfEvents(t *testing.T) {
	in := fixture.PotOf("tan", fixture.Judged(.9), inventory.PotEvent{
		Kind:   inventory.Used,
		Volume: fixture.Vol(3),
	})
	late := fixture.PotOf("tan",
		inventory.PotEvent{Kind: inventory.Used, Volume: fixture.Vol(3), At: fixture.Noon.AddDate(0, 0, 1)},
		inventory.PotEvent{Kind: inventory.Judged, Fraction: in.Events[0].Fraction, At: fixture.Noon})
	b, at := bookOf(nil), fixture.Noon.AddDate(0, 0, 2)
	if x, y := b.Level(in, at), b.Level(late, at); x.Left() != y.Left() || x.SD() != y.SD() {
		t.Errorf("recorded in order %s, late %s", x.Left(), y.Left())
	}
	if late.Events[0].Kind != inventory.Used {
		t.Error("the pot's own list was sorted")
	}
	if got, want := b.Level(in, fixture.Noon), levelOf(fixture.PotOf("tan", fixture.Judged(.9))); got.Left() != want.Left() {
		t.Errorf("before the use %s, want %s", got.Left(), want.Left())
	}
}

// Two weighings tell what was used where nobody knows the empty weight.
func TestWeighingWithoutEmptyWeight(t *testing.T) {
	use := inventory.PotEvent{Kind: inventory.Used, Volume: fixture.Vol(4), Estimated: true}
	p := fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Bought},
		inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 40}, use,
		inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 40 - 1.2*2.5})
	l := levelOf(p)
	fixture.CloseTo(t, "left after 2.5 ml by weight against 4 by estimate", l.usable.mean, 17*.97-2.5, .12)
	before := levelOf(fixture.PotOf("tan", p.Events[:3]...))
	if !(l.SD() < before.SD()/2) {
		t.Errorf("sd %.3f after weighing, %.3f before", l.SD(), before.SD())
	}
	if l.Doubts != 0 {
		t.Errorf("%d doubts: 2.5 for 4 is within the estimate's error", l.Doubts)
	}
	spill := fixture.PotOf("tan", inventory.PotEvent{Kind: inventory.Bought},
		inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 40},
		inventory.PotEvent{Kind: inventory.Used, Volume: fixture.Vol(1), Estimated: true},
		inventory.PotEvent{Kind: inventory.Weighed, GrossGrams: 40 - 12})
	if l := levelOf(spill); l.Doubts != 1 || math.Abs(l.usable.mean-(17*.97-10)) > .3 {
		t.Errorf("10 ml gone by weight, 1 logged: %.2f left, %d doubts", l.usable.mean, l.Doubts)
	}
}

func TestTaresLearned(t *testing.T) {
	shelf := &inventory.Shelf{Pots: []inventory.Pot{
		{ID: "a", Paint: "tan", Product: "tan-17", Nominal: 17 * inventory.Millilitre, TareGrams: 14.0},
		{ID: "b", Paint: "tan", Product: "tan-17", Nominal: 17 * inventory.Millilitre,
			Events: []inventory.PotEvent{{ID: 1, Kind: inventory.Weighed, At: fixture.Noon, GrossGrams: 30,
				TareGrams: 14.4}}},
		{ID: "big", Paint: "tan", Nominal: 60 * inventory.Millilitre, TareGrams: 31},
	}}
	idx := fixture.LevelCatalogue.Index()
	tares := LearnTares(shelf, idx, DefaultLevelRules())
	for _, c := range []struct {
		pot   inventory.Pot
		grams float64
		pots  int
	}{
		{inventory.Pot{Paint: "tan", Product: "tan-17", Nominal: 17 * inventory.Millilitre}, 14.2, 2},
		{inventory.Pot{Paint: "grey", Product: "other", Nominal: 17 * inventory.Millilitre}, 14.2, 2}, // same range and size
		{inventory.Pot{Paint: "grey", Nominal: 60 * inventory.Millilitre}, 31, 1},
		{inventory.Pot{Paint: "can", Nominal: 17 * inventory.Millilitre}, 0, 0},
		{inventory.Pot{Paint: "tan", Nominal: 17 * inventory.Millilitre, TareGrams: 13}, 13, 1},
	} {
		got := tares.Of(&c.pot)
		fixture.CloseTo(t, "tare", got.Grams, c.grams, 1e-9)
		if got.Pots != c.pots {
			t.Errorf("tare of %+v rests on %d pots, want %d", c.pot, got.Pots, c.pots)
		}
	}
	unknown := &inventory.Pot{
		ID:      "n",
		Paint:   "tan",
		Product: "tan-17",
		Nominal: 17 * inventory.Millilitre,
		Events:  []inventory.PotEvent{{ID: 1, Kind: inventory.Weighed, At: fixture.Noon, GrossGrams: 26.2}},
	}
	fixture.CloseTo(t, "left by the learned tare", bookOf(shelf).Level(unknown, fixture.Noon).Left().ML(),
		10-.51, .002)
}

func TestOverdrawn(t *testing.T) {
	l := levelOf(fixture.PotOf("tan", fixture.Judged(.2), inventory.PotEvent{
		Kind:   inventory.Used,
		Volume: fixture.Vol(9),
	}))
	if !l.Overdrawn {
		t.Error("9 ml out of 3.4 go unnoticed")
	}
	low, high := l.Range(.9)
	if low != 0 || high > 2*inventory.Millilitre {
		t.Errorf("overdrawn pot: %s to %s", low, high)
	}
}

// A measurement never widens the range, whatever happened before, unless it
// contradicts the record; then the range is that of the reading itself. A look that
// takes the place of another of its day leaves what was known before that.
func TestMeasurementNeverWidens(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	b := bookOf(nil)
	checked := 0
	for range 4000 {
		p := randomPot(rng, 1+rng.IntN(9))
		at := p.Events[len(p.Events)-1].At
		before := b.Level(p, at)
		more := *p
		f := rng.Float64()
		e := inventory.PotEvent{ID: 999, Kind: inventory.Judged, At: at, Fraction: &f}
		if rng.IntN(2) == 0 {
			e = inventory.PotEvent{
				ID:         999,
				Kind:       inventory.Weighed,
				At:         at,
				GrossGrams: 14 + 20*f,
				TareGrams:  14,
			}
		}
		more.Events = append(p.Events[:len(p.Events):len(p.Events)], e)
		after := b.Level(&more, at)
		if before.Gone != "" || after.overruled > before.overruled || e.At.Equal(p.Events[0].At) ||
			(before.Measured.IsZero() && p.Events[0].Kind != inventory.Bought) ||
			len(more.JudgedAgain()) > len(p.JudgedAgain()) {
			continue
		}
		checked++
		if after.SD() > before.SD()*(1+1e-9) {
			t.Fatalf("%s of %+v: sd %.4f before, %.4f after\n%+v", e.Kind, e, before.SD(), after.SD(), p.Events)
		}
	}
	if checked < 500 {
		t.Fatalf("only %d readings agreed with the record", checked)
	}
}

// More used never leaves more, and what is left stays between 0 and full.
func TestLevelBounds(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	b := bookOf(nil)
	for range 3000 {
		p := randomPot(rng, 1+rng.IntN(12))
		at := p.Events[len(p.Events)-1].At
		l := b.Level(p, at)
		low, high := l.Range(.9)
		if math.IsNaN(l.usable.mean) || math.IsNaN(l.SD()) || low < 0 || low > l.Left() ||
			l.Left() > high || high.ML() > l.Full()+1e-6 {
			t.Fatalf("level %s (%s to %s) of %+v", l.Left(), low, high, p.Events)
		}
		more := *p
		more.Events = append(p.Events[:len(p.Events):len(p.Events)], inventory.PotEvent{
			ID:     999,
			Kind:   inventory.Used,
			At:     at,
			Volume: fixture.Vol(.3 + rng.Float64()),
		})
		if m := b.Level(&more, at); m.Gone == "" && m.Left() > l.Left()+1 && l.usable.mean > 2*l.SD() {
			t.Fatalf("after a use %s, before %s", m.Left(), l.Left())
		}
	}
}

func TestSeveralPotsOfOnePaint(t *testing.T) {
	a, b := levelOf(fixture.PotOf("grey", fixture.Judged(.5))), levelOf(fixture.PotOf("grey",
		fixture.Judged(.7)))
	sum := PaintLevels([]Level{a, b})["grey"]
	fixture.CloseTo(t, "left", sum.Left().ML(), a.Left().ML()+b.Left().ML(), .01)
	if s := StockOf([]Level{a, b}, .9)["grey"]; s <= a.AtLeast(.9)+b.AtLeast(.9) {
		t.Errorf("two pots %s, want more than the sum of their lower ends", s)
	}
	if single := StockOf([]Level{a}, .9)["grey"]; single != a.AtLeast(.9) {
		t.Errorf("one pot %s, want %s", single, a.AtLeast(.9))
	}
}

func TestRulesAreShown(t *testing.T) {
	r := DefaultLevelRules()
	r.EyeSD = 0.12
	changed := 0
	for _, f := range r.Factors() {
		if f.Source == "" || !(f.Median > 0) {
			t.Errorf("rule %s lacks a value or a reason", f.Name)
		}
		if f.Origin == coverage.Given {
			changed++
		}
	}
	if changed != 1 {
		t.Errorf("%d rules shown as given, want 1", changed)
	}
	for _, f := range LevelDefaults() {
		var r LevelRules
		if err := r.Set(inventory.Slug(f.Name), f.Median); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
		set := 0
		for _, d := range levelRules {
			if *d.field(&r) != 0 {
				set++
			}
		}
		if set != 1 {
			t.Errorf("%s sets %d rules", f.Name, set)
		}
	}
	before := r
	for name, v := range map[string]float64{
		"level judged by eye": -.1,
		"scale":               50,
		"spill":               math.NaN(),
		"level-judged-by-ear": .1,
	} {
		if err := r.Set(name, v); err == nil || r != before {
			t.Errorf("%s = %g passed", name, v)
		}
	}
}

func randomPot(rng *rand.Rand, n int) *inventory.Pot {
	events := make([]inventory.PotEvent, 0, n)
	at := fixture.Noon
	for i := range n {
		at = at.Add(time.Duration(rng.IntN(40*24)) * time.Hour)
		f := rng.Float64()
		e := inventory.PotEvent{ID: int64(i + 1), At: at}
		switch k := rng.IntN(10); {
		case i == 0 && k < 7:
			e.Kind = inventory.Bought
		case k < 2:
			e.Kind, e.Fraction = inventory.Judged, &f
		case k < 4:
			e.Kind, e.GrossGrams = inventory.Weighed, 14+20*f
			if rng.IntN(2) == 0 {
				e.TareGrams = 14
			}
		case k == 4:
			e.Kind, e.Fraction = inventory.Spilled, &f
		case k == 5:
			e.Kind = inventory.Opened
		default:
			e.Kind, e.Volume, e.Estimated = inventory.Used, fixture.Vol(3*f), rng.IntN(2) == 0
		}
		events = append(events, e)
	}
	return &inventory.Pot{ID: "p", Paint: "tan", Nominal: 17 * inventory.Millilitre, Events: events}
}

// bigShelf is 100,000 pots with 1,000,000 events.
func bigShelf(pots int) *inventory.Shelf {
	rng := rand.New(rand.NewPCG(1, 2))
	s := &inventory.Shelf{Pots: make([]inventory.Pot, pots)}
	for i := range s.Pots {
		s.Pots[i] = *randomPot(rng, 10)
		s.Pots[i].ID = fmt.Sprintf("pot-%d", i)
	}
	return s
}

func TestLevelsAllocateLittle(t *testing.T) {
	s, b := bigShelf(1000), bookOf(nil)
	at := fixture.Noon.AddDate(5, 0, 0)
	if n := testing.AllocsPerRun(5, func() {
		b.Levels(s, at)
	}); n > 5000 { // some a pot for the hand's sums, none an event
		t.Errorf("%g allocations for 1,000 pots and 10,000 events", n)
	}
}

func BenchmarkLevels100kPots1MEvents(b *testing.B) {
	s, book := bigShelf(100_000), bookOf(nil)
	at := fixture.Noon.AddDate(5, 0, 0)
	b.ReportAllocs()
	for b.Loop() {
		book.Levels(s, at)
	}
}

func BenchmarkTares100kPots1MEvents(b *testing.B) {
	s, idx := bigShelf(100_000), fixture.LevelCatalogue.Index()
	for b.Loop() {
		LearnTares(s, idx, DefaultLevelRules())
	}
}
