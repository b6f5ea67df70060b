package inventory

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Untaught is a stretch of work between two readings that teaches nothing,
// and why.
type Untaught struct {
	Pot      string
	From, To time.Time
	Reason   string
}

// coarsest is how far off the readings may leave the use between them, as a
// fraction of it: beyond, the log of it is no normal any more.
const coarsest = 0.4

// mainShare is the part of the work between two readings that one method must
// have for the observation to be put down to it.
const mainShare = 0.8

// Observations finds what the pots of a shelf have to teach: wherever two
// readings of a pot have logged, estimated use between them, the difference is
// what was really used. What the tables say for that work is reckoned afresh
// from the catalogue's forces, so that a better area or film corrects the past
// too. Stretches with a spill, of two methods, or told apart too coarsely come
// back as Untaught. Events after now do not count.
func (b *LevelBook) Observations(c *Catalogue, s *Shelf, now time.Time) ([]Observation, []Untaught, error) {
	jobs, err := newJobBook(c, s)
	if err != nil {
		return nil, nil, err
	}
	var out []Observation
	var not []Untaught
	for i := range s.Pots {
		p := &s.Pots[i]
		paint := jobs.idx.Paints[p.Paint]
		if paint == nil {
			continue
		}
		w := watcher{book: b, jobs: jobs, pot: p, paint: paint}
		w.watch(now)
		out, not = append(out, w.seen...), append(not, w.not...)
	}
	return out, not, nil
}

// watcher goes through the events of one pot.
type watcher struct {
	book  *LevelBook
	jobs  *jobBook
	pot   *Pot
	paint *Paint
	seen  []Observation
	not   []Untaught

	from    *mark // the last reading
	base    map[Method]float64
	jobIDs  []string
	volumes []float64 // estimated uses, for how many jobs they average over
	known   float64   // use that was measured, ml
	knownV  float64   // its variance
	spilt   bool
}

// mark is a reading: ml there with a variance, or grams.
type mark struct {
	at           time.Time
	ml, variance float64
	level        bool    // ml is known
	grams, dried float64 // grams 0: not weighed
	there        float64 // ml the record says were there
}

func (w *watcher) watch(now time.Time) {
	m, ok := w.book.models[w.paint.ID]
	if !ok {
		m = w.book.other
	}
	events := orderedEvents(w.pot)
	f := newFilter(w.book, w.pot, m, events)
	for i := range events {
		e := &events[i]
		if e.At.After(now) {
			return
		}
		f.advance(e.At)
		if r, ok := w.mark(&f, e); ok {
			if w.from != nil {
				w.close(&f, r)
			}
			w.begin(r)
		}
		f.event(e)
		switch e.Kind {
		case Used:
			w.used(&f, e)
		case Spilled:
			w.spilt = true
		case DriedOut, GivenAway:
			w.from = nil
		}
	}
}

// mark reads an event as a reading of the pot.
func (w *watcher) mark(f *filter, e *PotEvent) (mark, bool) {
	r := mark{at: e.At, dried: f.dried, there: f.x}
	switch e.Kind {
	case Bought:
		full := *f
		full.fill()
		r.ml, r.variance, r.level, r.dried = full.x, full.p, true, 0
		if z, ok := f.reading(e); ok {
			r.ml, r.variance = z, f.eyeVariance(z)
		}
	case Judged:
		z, ok := f.reading(e)
		if !ok {
			return r, false
		}
		r.ml, r.variance, r.level = z/(1-f.dried), f.eyeVariance(z), true
	case Weighed:
		if !f.m.liquid || e.GrossGrams <= 0 {
			return r, false
		}
		r.grams = e.GrossGrams
		if tare := f.tareOf(e); tare.Grams > 0 {
			r.ml, r.variance = f.weighed(e, tare)
			r.level = true
		}
	default:
		return r, false
	}
	return r, true
}

func (w *watcher) begin(r mark) {
	w.from, w.base, w.jobIDs, w.volumes = &r, map[Method]float64{}, nil, nil
	w.known, w.knownV, w.spilt = 0, 0, false
}

func (w *watcher) used(f *filter, e *PotEvent) {
	if e.Volume == nil || w.from == nil {
		return
	}
	v := e.Volume.ML()
	if !e.Estimated {
		w.known += v
		w.knownV += square(f.r.UseSD * v)
		return
	}
	w.volumes = append(w.volumes, v)
	if e.Job != "" && !slices.Contains(w.jobIDs, e.Job) {
		w.jobIDs = append(w.jobIDs, e.Job)
	}
	w.jobs.split(e.Job, w.paint, v, w.base)
}

// close makes the observation of the stretch that ends with reading r.
func (w *watcher) close(f *filter, r mark) {
	if len(w.volumes) == 0 {
		return
	}
	not := func(reason string) {
		w.not = append(w.not, Untaught{Pot: w.pot.ID, From: w.from.at, To: r.at, Reason: reason})
	}
	method, part := mainMethod(w.base)
	actual, variance, ok := w.gone(f, r)
	actual, variance = actual-w.known, variance+w.knownV
	switch {
	case w.spilt:
		not("a spill lies between the readings")
	case part < mainShare:
		not("more than one method was used between the readings")
	case !ok:
		not("one of the readings needs the weight of the empty pot")
	case actual <= 0 || math.Sqrt(variance) > coarsest*actual:
		not(fmt.Sprintf("the readings are too coarse to tell: %.1f ml, give or take %.1f", actual, math.Sqrt(variance)))
	default:
		o := Observation{Pot: w.pot.ID, Paint: w.paint.ID, Type: w.paint.Type, Method: method, From: w.from.at, To: r.at,
			Actual: actual, Estimated: total(w.base), ReadingSD: math.Sqrt(variance) / actual, Jobs: effective(w.volumes)}
		if n := len(w.jobIDs); n > 0 {
			o.Job = w.jobIDs[n-1]
		}
		w.seen = append(w.seen, o)
	}
}

// gone is what left the pot between two readings, by weight where both are
// weighings: then neither the empty pot nor much of the density matters.
func (w *watcher) gone(f *filter, r mark) (ml, variance float64, ok bool) {
	a := w.from
	if a.grams > 0 && r.grams > 0 {
		ml, variance = f.between(a.grams, r.grams, (r.dried-a.dried)*a.there)
		return ml, variance, true
	}
	return a.ml - r.ml, a.variance + r.variance, a.level && r.level
}

// effective is the number of equal jobs that average out as well as these.
func effective(v []float64) float64 {
	var sum, squares float64
	for _, x := range v {
		sum += x
		squares += x * x
	}
	if squares == 0 {
		return 1
	}
	return sum * sum / squares
}

// mainMethod is the method with most of the work, the first by name among
// equals, and its part of it.
func mainMethod(base map[Method]float64) (Method, float64) {
	best := Method("")
	for m, v := range base {
		if v > base[best] || (v == base[best] && m < best) || best == "" {
			best = m
		}
	}
	return best, base[best] / math.Max(total(base), 1e-300)
}

func total(base map[Method]float64) float64 {
	sum := 0.0
	for _, v := range base {
		sum += v
	}
	return sum
}
