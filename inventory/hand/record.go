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
	t := teller{scribe: w, pot: p, paint: paint, makes: w.book.MakeOf(p), over: over, again: p.JudgedAgain(), unseal: p.Opened}
	t.v = t.empty()
	events := p.InOrder()
	t.v.Events = slices.Grow(room[:0], len(events)+1)
	for i := range events {
		t.unsealBefore(events[i].At)
		t.tell(&events[i])
	}
	t.unsealAtLast()
	return t.v, true
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
