package shelf

import (
	"time"

	"halfpot/inventory"
)

// Stretch is what passed in a pot between two readings of it.
type Stretch struct {
	From, To time.Time
	Uses     []inventory.PotEvent // paint taken out by the estimate, in order
	Measured float64              // ml taken out that the painter measured
	Spilt    bool                 // some was spilt
	Gone     float64              // ml that left the pot, by the readings alone
	Variance float64              // of Gone less Measured, ml squared
	Told     bool                 // the readings say what is gone; else the weight of the empty pot is lacking
}

// reading is a pot looked at: ml there with a variance, or grams.
type reading struct {
	at           time.Time
	ml, variance float64
	level        bool    // ml is known
	grams, dried float64 // grams 0: not weighed
	there        float64 // ml the record says were there
}

// Stretches cuts a pot's history at its readings. The first begins with the
// first reading, events after now do not count, and where the pot was gone in
// between there is none.
func (b *LevelBook) Stretches(p *inventory.Pot, now time.Time) []Stretch {
	events := p.InOrder()
	f := newFilter(b, p, b.model(p), events)
	var out []Stretch
	var from *reading
	var open Stretch
	for i := range events {
		e := &events[i]
		if e.At.After(now) {
			break
		}
		f.advance(e.At)
		if r, ok := f.look(e); ok {
			if from != nil {
				open.close(&f, from, &r)
				out = append(out, open)
			}
			from, open = &r, Stretch{From: r.at}
		}
		f.event(e)
		switch e.Kind {
		case inventory.Used:
			open.use(&f, e)
		case inventory.Spilled:
			open.Spilt = true
		case inventory.DriedOut, inventory.GivenAway:
			from = nil
		}
	}
	return out
}

// look reads an event as a reading of the pot.
func (f *filter) look(e *inventory.PotEvent) (reading, bool) {
	r := reading{at: e.At, dried: f.dried, there: f.x}
	switch e.Kind {
	case inventory.Bought:
		full := *f
		full.fill()
		r.ml, r.variance, r.level, r.dried = full.x, full.p, true, 0
		if z, ok := f.reading(e); ok {
			r.ml, r.variance = z, f.eyeVariance(z)
		}
	case inventory.Judged:
		z, ok := f.reading(e)
		if !ok {
			return r, false
		}
		r.ml, r.variance, r.level = z/(1-f.dried), f.eyeVariance(z), true
	case inventory.Weighed:
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

func (s *Stretch) use(f *filter, e *inventory.PotEvent) {
	switch {
	case e.Volume == nil:
	case e.Estimated:
		s.Uses = append(s.Uses, *e)
	default:
		v := e.Volume.ML()
		s.Measured += v
		s.Variance += square(f.r.UseSD * v)
	}
}

// close ends the stretch with a reading: what left the pot is told by weight
// where both are weighings, because then neither the empty pot nor much of the
// density matters.
func (s *Stretch) close(f *filter, a, b *reading) {
	s.To = b.at
	variance := a.variance + b.variance
	s.Gone, s.Told = a.ml-b.ml, a.level && b.level
	if a.grams > 0 && b.grams > 0 {
		s.Gone, variance = f.between(a.grams, b.grams, (b.dried-a.dried)*a.there)
		s.Told = true
	}
	s.Variance = variance + s.Variance
}
