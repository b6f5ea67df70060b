package hand

import (
	"slices"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/shelf"
)

// beginning is the day months are counted from; any would do.
var beginning = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

const month = 730.485 * float64(time.Hour) // a twelfth of a Julian year

func monthOf(t time.Time) float64 { return float64(t.Sub(beginning)) / month }

// scribe turns what is kept into the values the model learns from.
type scribe struct {
	book    *shelf.LevelBook
	jobs    *jobBook
	idx     *inventory.Index
	rec     Record
	methods []inventory.Method
	types   []inventory.PaintType
	paints  []string
	method  map[inventory.Method]int
	typ     map[inventory.PaintType]int
	paint   map[string]int
	accepts func(pot string, at time.Time) bool
}

func newScribe(c *inventory.Catalogue, s *inventory.Shelf, book *shelf.LevelBook) (*scribe, error) {
	jobs, err := newJobBook(c, s)
	if err != nil {
		return nil, err
	}
	w := &scribe{book: book, jobs: jobs, idx: jobs.idx, methods: methodsOf(c), types: inventory.PaintTypes(),
		method: map[inventory.Method]int{}, typ: map[inventory.PaintType]int{}, paint: map[string]int{}}
	for i, m := range w.methods {
		w.method[m] = i
		w.rec.Methods = append(w.rec.Methods, inventory.HandSDOf(c.Tables, m))
		w.rec.Apart = append(w.rec.Apart, m == coverage.SprayCan || m == coverage.Airbrush)
	}
	for i, t := range w.types {
		w.typ[t] = i
		w.rec.Types = append(w.rec.Types, w.method[t.UsualMethod()])
	}
	for id := range w.idx.Paints {
		w.paints = append(w.paints, id)
	}
	slices.Sort(w.paints)
	for i, id := range w.paints {
		w.paint[id] = i
		t := w.idx.Paints[id].Type
		w.rec.Paints = append(w.rec.Paints, Way{w.method[t.UsualMethod()], w.typ[t]})
	}
	return w, nil
}

// way is how a paint is put on by a method: its type and itself have their say
// where that is the usual one.
func (w *scribe) way(p *inventory.Paint, m inventory.Method) Way {
	if m == "" || m == p.Type.UsualMethod() {
		return w.rec.Paints[w.paint[p.ID]]
	}
	return Way{w.method[m], -1}
}

// vessel turns a pot and its events into values, false where its paint is not
// in the catalogue. Draws of a job that nobody knows are taken as they were
// estimated, over a factor.
func (w *scribe) vessel(p *inventory.Pot, over float64) (Vessel, bool) {
	return w.vesselIn(nil, p, over)
}

// vesselIn is vessel in the room of events that are not needed any more.
func (w *scribe) vesselIn(room []Event, p *inventory.Pot, over float64) (Vessel, bool) {
	paint := w.idx.Paints[p.Paint]
	if paint == nil {
		return Vessel{}, false
	}
	m := w.book.MakeOf(p)
	v := Vessel{
		ID:      p.ID,
		Paint:   w.paint[p.Paint],
		Full:    m.Full,
		FillSD:  m.FillSD,
		Dead:    m.Dead,
		DeadSD:  m.DeadSD,
		Density: m.Density,
		Water:   m.Water,
		Tare:    m.Tare.Grams,
		TareSD:  m.Tare.SD,
	}
	if v.Tare <= 0 { // nothing known of the pot itself: weighings tell what went between them
		v.Tare, v.TareSD = m.Full*.8, 100
	}
	events := p.InOrder()
	v.Events = slices.Grow(room[:0], len(events)+1)
	bought, touched := false, false
	again := p.JudgedAgain()
	drawn := false // since the last reading
	// A pot that nobody drew from and that is found not full was not full, or
	// somebody was at it unseen: that first reading is its beginning.
	begins := func(share, month float64) {
		if touched || share > 1-w.book.Rules.EyeSD {
			return
		}
		v.Events = append(v.Events, Event{Kind: FreshPart, Month: month, Value: clip(share, 0, 1)})
	}
	add := func(e Event) { v.Events = append(v.Events, e) }
	unseal := p.Opened
	for i := range events {
		e := &events[i]
		at := monthOf(e.At)
		if unseal != nil && bought && !e.At.Before(*unseal) {
			add(Event{Kind: Unseal, Month: monthOf(*unseal)})
			unseal = nil
		}
		share := func() (float64, bool) {
			switch {
			case e.Volume != nil:
				return clip(e.Volume.ML()*m.Content/m.Full, 0, 1), m.Full > 0
			case e.Fraction != nil:
				return clip(*e.Fraction, 0, 1), true
			}
			return 0, false
		}
		switch e.Kind {
		case inventory.Bought:
			bought, touched = true, false
			if s, ok := share(); ok && s < .999 {
				add(Event{Kind: FreshPart, Month: at, Value: s})
			} else {
				add(Event{Kind: Fresh, Month: at})
			}
			if unseal != nil && !unseal.After(e.At) {
				add(Event{Kind: Unseal, Month: at})
				unseal = nil
			}
		case inventory.Opened:
			add(Event{Kind: Unseal, Month: at})
		case inventory.Judged:
			if again[e.ID] && !touched {
				break // the later look of that day begins it
			}
			if s, ok := share(); ok && !touched && s <= 1-w.book.Rules.EyeSD {
				begins(s, at)
				touched = true
			} else if ok {
				touched = true
				v := w.verdict(p.ID, e.At)
				switch {
				case again[e.ID]:
					v = Misread
				case s == 0 && !drawn && v == NoVerdict:
					v = Missed // an empty pot is mistaken by nobody: somebody was at it
				}
				add(Event{Kind: Look, Month: at, Value: s, Verdict: v})
			}
			drawn = false
		case inventory.Weighed:
			if e.GrossGrams > 0 {
				if m.Tare.Grams > 0 && m.Density > 0 {
					begins((e.GrossGrams-m.Tare.Grams)/(m.Density*m.Full), at)
				}
				touched, drawn = true, false
				add(Event{Kind: Weigh, Month: at, Value: e.GrossGrams, Verdict: w.verdict(p.ID, e.At)})
			}
		case inventory.Used:
			touched, drawn = true, true
			if e.Volume != nil && !e.Estimated {
				add(Event{Kind: DrawKnown, Month: at, Value: e.Volume.ML(), Sittings: 1})
			} else if e.Volume != nil {
				v.Events = w.jobs.draws(v.Events, w, e, paint, at, over)
			}
		case inventory.Spilled:
			touched = true
			switch {
			case e.Volume != nil:
				add(Event{Kind: SpillML, Month: at, Value: e.Volume.ML() * m.Content})
			case e.Fraction != nil:
				add(Event{Kind: SpillShare, Month: at, Value: clip(*e.Fraction, 0, 1)})
			}
		case inventory.Thinned:
			x := Event{Kind: Thin, Month: at}
			if e.Volume != nil {
				x.Value = e.Volume.ML()
			}
			add(x)
		case inventory.DriedOut, inventory.GivenAway:
			add(Event{Kind: LostForGood, Month: at})
		}
	}
	if unseal != nil {
		if v.Opened = !bought; bought {
			add(Event{Kind: Unseal, Month: monthOf(*unseal)})
		} else {
			v.Events = slices.Insert(v.Events, 0, Event{Kind: Unseal, Month: monthOf(*unseal)})
		}
	}
	return v, true
}

func (w *scribe) verdict(pot string, at time.Time) Verdict {
	if w.accepts != nil && w.accepts(pot, at) {
		return Right
	}
	return NoVerdict
}

// assumptions are those of the model with the painter's own rules of how pots
// are reckoned.
func assumptions(r shelf.LevelRules) Assumptions {
	a := Assumed()
	const least = 1e-3 // "none at all" still leaves a hair, or nothing could be learned
	was := shelf.DefaultLevelRules()
	a.Eye, a.Measured, a.JobFilm = max(r.EyeSD, least), max(r.UseSD, least), max(r.JobSD, least)
	a.Spill, a.Scale, a.Fill = max(r.SpillSD, least), max(r.ScaleGrams, least), max(r.LabelSD, least)
	a.Water, a.WaterMonth, a.WaterSitting = max(r.WaterSD, least), r.WaterMonth, r.WaterSitting
	logged, silent := max(r.DriftLogged, 1e-6)/was.DriftLogged, max(r.DriftSilent, 1e-6)/was.DriftSilent
	a.Silent *= logged
	a.Unwatched += ln(silent / logged)
	a.Bar *= max(r.Doubt, .5) / was.Doubt
	return a
}
