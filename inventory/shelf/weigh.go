package shelf

import (
	"math"

	"halfpot/inventory"
)

// weigh takes in a weighing: against the one before, which needs no empty
// weight, and once against the empty weight, because its error is the same
// every time and counts but once.
func (f *filter) weigh(e *inventory.PotEvent) {
	if f.gross > 0 {
		gone, r := f.between(f.gross, e.GrossGrams, (f.dried-f.grossDry)*(f.x+f.u))
		y := gone - f.u
		if square(y) > square(f.r.Doubt)*(f.vu+r) {
			f.overruled++
			if f.logged || y < 0 {
				f.doubts++
			}
			f.gonePaint(0, square(y))
		}
		s := f.vu + r
		f.x, f.p = f.x+f.c/s*y, math.Max(0, f.p-f.c*f.c/s)
		f.drawn *= r / s
		if f.known {
			f.overdrawn, f.measured, f.by = false, e.At, e.Kind
		}
	}
	f.u, f.vu, f.c = 0, 0, 0
	if tare := f.tareOf(e); tare.Grams > 0 && !f.absolute {
		z, r := f.weighed(e, tare)
		f.read(z, r, e)
		f.absolute = true
	}
	f.gross, f.grossDry = e.GrossGrams, f.dried
}

// tareOf is the empty weight for a weighing.
func (f *filter) tareOf(e *inventory.PotEvent) Tare {
	if e.TareGrams > 0 {
		return Tare{Grams: e.TareGrams, SD: f.r.TareGrams, Pots: 1}
	}
	return f.tare
}

// weighed is the paint there by weight, at the strength it was sold, and its
// variance: what lacks water weighs less for each ml of it, so gross - tare =
// ml (density - dried).
func (f *filter) weighed(e *inventory.PotEvent, tare Tare) (ml, variance float64) {
	d := f.m.density - f.dried
	ml = (e.GrossGrams - tare.Grams) / d
	return ml, (square(f.r.ScaleGrams)+square(tare.SD))/(d*d) +
		square(ml/d)*(square(f.m.densitySD)+square(f.r.WaterSD*f.dried))
}

// between is the paint gone between two weighings while water ml of water left
// what stayed (below 0: was stirred in), and its variance.
func (f *filter) between(before, after, water float64) (ml, variance float64) {
	d := f.m.density - f.dried
	ml = (before - after - water) / d
	return ml, (2*square(f.r.ScaleGrams)+square(f.r.WaterSD*water))/(d*d) +
		square(ml/d)*(square(f.m.densitySD)+square(f.r.WaterSD*f.dried))
}
