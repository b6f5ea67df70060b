package inventory

import "math"

// weigh takes in a weighing: against the one before, which needs no empty
// weight, and once against the empty weight, because its error is the same
// every time and counts but once.
func (f *filter) weigh(e *PotEvent) {
	if f.gross > 0 {
		gone, r := f.between(f.gross, e.GrossGrams, math.Max(0, f.water-f.grossLost))
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
	f.gross, f.grossLost = e.GrossGrams, f.water
}

// tareOf is the empty weight for a weighing.
func (f *filter) tareOf(e *PotEvent) Tare {
	if e.TareGrams > 0 {
		return Tare{Grams: e.TareGrams, SD: f.r.TareGrams, Pots: 1}
	}
	return f.tare
}

// weighed is the paint there by weight: (gross - tare) / density, with the
// water put back in, and its variance.
func (f *filter) weighed(e *PotEvent, tare Tare) (ml, variance float64) {
	d := f.m.density
	ml = (e.GrossGrams - tare.Grams + f.water) / d
	return ml, (square(f.r.ScaleGrams)+square(tare.SD)+square(f.r.WaterSD*f.water))/(d*d) + square(ml*f.m.densitySD/d)
}

// between is the paint gone between two weighings while dried ml of water left
// too, and its variance.
func (f *filter) between(before, after, dried float64) (ml, variance float64) {
	d := f.m.density
	ml = (before - after - dried) / d
	return ml, 2*square(f.r.ScaleGrams/d) + square(ml*f.m.densitySD/d) + square(f.r.WaterSD*dried/d)
}
