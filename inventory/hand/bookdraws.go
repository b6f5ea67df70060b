package hand

import (
	"time"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
)

// Points is how many draws a chance is counted from.
const Points = points

// Work is a step to come, as the model draws it.
func (b *Book) Work(s *estimate.StepSum) Work {
	paint := b.scribe.idx.Paints[s.Paint]
	film, waste, sittings := s.Tabled()
	w := Work{Film: film, Waste: waste, Sittings: float64(max(1, sittings)), FilmSD: s.Step.AreaCM2.LogSD}
	if paint != nil {
		w.Paint, w.Way = b.scribe.paint[s.Paint], b.scribe.way(paint, s.Method)
	}
	return w
}

// PotDraws are the draws of what a pot holds in ml; of a pot that is not owned
// yet the name tells it from others of its kind. Nil for a paint not known.
func (b *Book) PotDraws(d *Draws, name string, p *inventory.Pot, now time.Time) []float64 {
	f := filter{a: b.Hand.a}
	l, ok := b.left(&f, p, now)
	if !ok {
		return nil
	}
	return d.Pot(name, &l)
}
