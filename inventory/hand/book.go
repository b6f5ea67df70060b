package hand

import (
	"cmp"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// Odd is a reading that does not fit what is known.
type Odd struct {
	Pot, Paint string
	At         time.Time
	// paint went unseen before it: a spill, a sitting not logged; else the reading itself is off
	Gone   bool
	ML     float64 // paint that went beyond what was logged, or by how much the reading says too much; about
	Sigmas float64
}

// Lesson is what the pots have taught of the painter.
type Lesson struct {
	// of every method, and of types and paints that were read or pinned; wide to narrow, by key
	Factors inventory.Factors
	Odd     []Odd // by time
	Reads   int   // readings that counted
	Pots    int   // pots that had any

	EyeShift      Effect  // by how much of a pot the eye reads too high
	Look, Grams   float64 // how far a look (of a pot) and a weighing (g) seem to err
	EyeReads      int
	WeighingReads int
}

// Book is a hand with the levels that follow from it. It is safe for use by
// several goroutines.
type Book struct {
	Hand   *Hand
	plain  *shelf.LevelBook
	scribe *scribe
	doubts map[string]int
	over   []float64 // by paint: what its usual way takes over the tables
	lesson Lesson
	set    []inventory.FactorChange
}

// Words are what the painter has said of the hand.
type Words struct {
	Settings []inventory.FactorChange                 // pins and resets
	Accepts  func(pot string, reading time.Time) bool // a reading that is right, however odd; nil: none
}

// NewBook learns a painter's hand from every pot of a shelf up to a time. The
// same record gives the same book.
func NewBook(
	c *inventory.Catalogue, s *inventory.Shelf, plain *shelf.LevelBook, words Words, now time.Time,
) (*Book, error) {
	w, err := newScribe(c, s, plain)
	if err != nil {
		return nil, err
	}
	w.accepts = words.Accepts
	b := &Book{plain: plain, scribe: w, doubts: map[string]int{}, set: words.Settings}
	// In one order, however they came in, so that sums round alike.
	pots := make([]*inventory.Pot, len(s.Pots))
	for i := range s.Pots {
		pots[i] = &s.Pots[i]
	}
	slices.SortFunc(pots, func(a, b *inventory.Pot) int { return cmp.Compare(a.ID, b.ID) })
	for _, pot := range teachers(pots, now) {
		if v, ok := w.vessel(pot, 1); ok {
			w.rec.Pots = append(w.rec.Pots, v)
		}
	}
	w.settings(words.Settings)
	b.Hand = FromRecord(&w.rec, assumptions(plain.Rules), monthOf(now))
	for i, way := range w.rec.Paints {
		b.over = append(b.over, exp(b.Hand.b.of(b.Hand.u.film(way, i, late), i)))
	}
	b.learned(s)
	return b, nil
}

// teachers are the pots that were read, by id; of a large shelf those read last,
// more than a hand is learned from ([newest] chooses among them), so that the
// others need not be made ready.
func teachers(pots []*inventory.Pot, now time.Time) []*inventory.Pot {
	type reader struct {
		pot   *inventory.Pot
		reads int
		last  int64
	}
	var read []reader
	total := 0
	for _, p := range pots {
		r := reader{pot: p, last: math.MinInt64}
		for i := range p.Events {
			if e := &p.Events[i]; (e.Kind == inventory.Judged || e.Kind == inventory.Weighed) &&
				!e.At.After(now) {
				r.reads++
				r.last = max(r.last, e.At.UnixMicro())
			}
		}
		if r.reads > 0 {
			read = append(read, r)
			total += r.reads
		}
	}
	byID := func(x, y reader) int { return cmp.Compare(x.pot.ID, y.pot.ID) }
	if most := 2 * mostReads; total > most {
		slices.SortFunc(read, func(x, y reader) int { return cmp.Or(cmp.Compare(y.last, x.last), byID(x, y)) })
		n := 0
		for reads := 0; n < len(read) && reads < most; n++ {
			reads += read[n].reads
		}
		read = read[:n]
		slices.SortFunc(read, byID)
	}
	out := make([]*inventory.Pot, len(read))
	for i, r := range read {
		out[i] = r.pot
	}
	return out
}

// settings turns pins and resets into values.
func (w *scribe) settings(all []inventory.FactorChange) {
	for _, c := range all {
		x := Setting{
			Month:  monthOf(c.Factor.Updated),
			Pin:    c.Change == inventory.FactorPinned,
			Log:    c.Factor.LogMean,
			Spread: c.Factor.LogSD,
		}
		var ok bool
		switch c.Factor.Level {
		case inventory.MethodLevel:
			x.Level = OfMethod
			x.Index, ok = w.method[inventory.Method(c.Factor.Key)]
		case inventory.TypeLevel:
			x.Level = OfType
			x.Index, ok = w.typ[inventory.PaintType(c.Factor.Key)]
		default:
			x.Level = OfPaint
			x.Index, ok = w.paint[c.Factor.Key]
		}
		if ok && (x.Pin || c.Change == inventory.FactorReset) {
			w.rec.Settings = append(w.rec.Settings, x)
		}
	}
}

// learned reads the lesson off.
func (b *Book) learned(s *inventory.Shelf) {
	h, w := b.Hand, b.scribe
	l := &b.lesson
	l.Reads, l.Pots = h.Reads, h.Read
	l.EyeShift = h.Shift()
	l.Look, l.Grams, _ = h.Noise()
	for _, p := range h.pots {
		for i := range p.ops {
			switch p.ops[i].kind {
			case opLook:
				l.EyeReads++
			case opWeigh:
				l.WeighingReads++
			}
		}
	}
	drawn := slices.ContainsFunc(h.pots, func(p *ready) bool { return len(p.parts) > pFilm })
	if !drawn && len(w.rec.Settings) == 0 {
		b.flagged(s)
		return
	}
	pinned := func(lv Level, i int) bool { _, ok := h.u.pins[effect{lv, i}]; return ok }
	jobFilm, jobWaste := h.Spread()
	add := func(level inventory.FactorLevel, key string, way Way, paint int, pin bool) {
		film, waste := h.Film(way, paint), h.Waste(way.Method)
		if level != inventory.MethodLevel && film.Reads == 0 && !pin {
			return
		}
		f := inventory.Factor{
			Level:        level,
			Key:          key,
			LogMean:      film.Mean,
			LogSD:        film.SD,
			Observations: film.Reads,
			Pinned:       pin,
			WasteMean:    waste.Mean,
			WasteSD:      waste.SD,
			Together:     h.together(way, paint),
			JobFilm:      jobFilm,
			JobWaste:     jobWaste,
		}
		l.Factors = append(l.Factors, f)
	}
	for i, m := range w.methods {
		add(inventory.MethodLevel, string(m), Way{i, -1}, -1, pinned(OfMethod, i))
	}
	for i, t := range w.types {
		add(inventory.TypeLevel, string(t), Way{w.rec.Types[i], i}, -1, pinned(OfType, i))
	}
	for i, id := range w.paints {
		add(inventory.PaintLevel, id, w.rec.Paints[i], i, pinned(OfPaint, i))
	}
	b.flagged(s)
}

// flagged tells the readings that don't fit.
func (b *Book) flagged(s *inventory.Shelf) {
	l := &b.lesson
	for _, f := range b.Hand.Flags {
		b.doubts[f.Pot]++
		p, _ := s.Pot(f.Pot)
		at := timeOf(f.Month)
		for i := range p.Events { // months are rounded
			if e := &p.Events[i]; math.Abs(monthOf(e.At)-f.Month) < 1e-9 &&
				(e.Kind == inventory.Judged || e.Kind == inventory.Weighed) {
				at = e.At
			}
		}
		l.Odd = append(l.Odd, Odd{Pot: f.Pot, Paint: p.Paint, At: at, Gone: f.Gone, ML: f.ML, Sigmas: f.Sigmas})
	}
	slices.SortStableFunc(l.Odd, func(a, b Odd) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Pot, b.Pot))
	})
}

func timeOf(m float64) time.Time {
	return beginning.Add(time.Duration(m * month)).Round(time.Second).UTC()
}

// together is the covariance of film and waste of a way.
func (h *Hand) together(w Way, paint int) float64 {
	return h.b.cov(h.u.film(w, paint, late), h.u.waste(w.Method), max(paint, 0))
}

// Lesson is what the pots have taught.
func (b *Book) Lesson() Lesson { return b.lesson }

// Level is what is left in a pot, on the shelf or not, as of a time.
func (b *Book) Level(p *inventory.Pot, now time.Time) shelf.Level {
	f := filter{a: b.Hand.a}
	return b.level(&f, p, now)
}

func (b *Book) level(f *filter, p *inventory.Pot, now time.Time) shelf.Level {
	l := b.plain.Level(p, now)
	if l.Gone != "" {
		return l
	}
	left, ok := b.left(f, p, now)
	if !ok || left.Gone {
		return l
	}
	l = l.Holding(left.Content()).Dried(left.Lost-left.Stirred, b.plain.Rules)
	l.Doubts, l.LookOff = b.doubts[p.ID], left.Off
	return l
}

// left is the model's own answer, false for a paint that is not known.
func (b *Book) left(f *filter, p *inventory.Pot, now time.Time) (Left, bool) {
	paint := b.scribe.idx.Paints[p.Paint]
	if paint == nil {
		return Left{}, false
	}
	v, ok := b.scribe.vesselIn(f.list, p, b.over[b.scribe.paint[p.Paint]])
	if !ok {
		return Left{}, false
	}
	f.list = v.Events
	at := monthOf(now)
	if p.Events == nil {
		at = 0 // not owned yet: as it comes from the shop
	}
	return b.Hand.left(f, &v, at), true
}

// NewPot is the level of a pot of a paint that is not owned yet.
func (b *Book) NewPot(paint string, nominal inventory.Volume) shelf.Level {
	return b.Level(&inventory.Pot{Paint: paint, Nominal: nominal}, time.Time{})
}

// potsAtOnce is how many pots are worth a processor of their own.
const potsAtOnce = 500

// Levels works out every pot of a shelf, in its order; a large shelf on all
// processors, for each pot stands by itself.
func (b *Book) Levels(s *inventory.Shelf, now time.Time) []shelf.Level {
	out := make([]shelf.Level, len(s.Pots))
	share := max(potsAtOnce, (len(out)+runtime.GOMAXPROCS(0)-1)/runtime.GOMAXPROCS(0))
	var all sync.WaitGroup
	for from := 0; from < len(out); from += share {
		all.Go(func() {
			f := filter{a: b.Hand.a}
			for i := from; i < min(from+share, len(out)); i++ {
				out[i] = b.level(&f, &s.Pots[i], now)
			}
		})
	}
	all.Wait()
	return out
}

// History tells how the factors came about: what every reading did to them, and
// the painter's own pins and resets, oldest first. It is as if learned in the
// order of time, with the errors and flags that are known now.
func (b *Book) History(s *inventory.Shelf) []inventory.FactorChange {
	w := b.scribe
	var asked []Asked
	var of []inventory.Factor
	for _, f := range b.lesson.Factors {
		if f.Observations == 0 {
			continue
		}
		a := Asked{Paint: -1}
		switch f.Level {
		case inventory.MethodLevel:
			a.Way = Way{w.method[inventory.Method(f.Key)], -1}
		case inventory.TypeLevel:
			i := w.typ[inventory.PaintType(f.Key)]
			a.Way = Way{w.rec.Types[i], i}
		default:
			a.Paint = w.paint[f.Key]
			a.Way = w.rec.Paints[a.Paint]
		}
		asked, of = append(asked, a), append(of, f)
	}
	var out []inventory.FactorChange
	for i, pulls := range b.Hand.History(asked) {
		for n, p := range pulls {
			f := of[i]
			f.LogMean, f.LogSD, f.Observations, f.Updated = p.After, p.SD, n+1, timeOf(p.Month)
			c := inventory.FactorChange{Factor: f, Change: inventory.FactorLearned, Note: "pot " + p.Pot}
			if p.Out || p.Jump {
				c.Change = inventory.FactorFlagged
				c.Note = fmt.Sprintf("pot %s: %.1f deviations from what was expected",
					p.Pot, max(p.Surprise, -p.Surprise))
			}
			out = append(out, c)
		}
	}
	for _, c := range b.set {
		if c.Change == inventory.FactorPinned || c.Change == inventory.FactorReset {
			out = append(out, c)
		}
	}
	rank := map[inventory.FactorLevel]int{
		inventory.PaintLevel:  0,
		inventory.TypeLevel:   1,
		inventory.MethodLevel: 2,
	}
	slices.SortStableFunc(out, func(x, y inventory.FactorChange) int {
		return cmp.Or(x.Factor.Updated.Compare(y.Factor.Updated),
			cmp.Compare(rank[x.Factor.Level], rank[y.Factor.Level]),
			cmp.Compare(x.Factor.Key, y.Factor.Key))
	})
	return out
}
